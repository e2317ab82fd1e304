// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "base/json.hpp"
#include "base/table.hpp"
#include "catalog/ingredient.hpp"
#include "catalog/library.hpp"
#include "catalog/profile.hpp"
#include "job/job.hpp"

#include <limits>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::job {

inline constexpr double unlimited = std::numeric_limits<double>::max();

/// What the amounts of a recipe's table are.
enum class AmountsIn { parts, percent, weight };

/// A job while it is read. Each part of reading takes what it needs from here, puts into `job` what
/// it read and into `diagnostics` what cannot be right.
struct Reading {
    Reading(catalog::Library& from, const ReadOptions& asked, bool is_recipe);

    catalog::Library& library;
    ReadOptions options;  ///< with ids for the names of ingredients, as far as they are plain
    bool recipe;          ///< ingredients have amounts
    Job job;
    base::Diagnostics diagnostics;
    const catalog::Profile* profile = nullptr;
    const catalog::Stage* stage = nullptr;
    std::optional<AmountsIn> amounts_in;        ///< of a table
    std::map<std::string, std::string> places;  ///< where each ingredient stands, by id
};

// read_settings.cpp: what holds for the whole job.
void read_settings(Reading& reading, const base::JsonView& root);
void read_own_nutrients(Reading& reading, const base::JsonView& root);
/// The profile or the species: the options' before the file's.
void set_profile(Reading& reading, const base::JsonView& root);
/// The profile that the options name, if they do.
void set_profile_of_options(Reading& reading);
/// Of the ponds known for the animal, the one that just holds as many as were asked for.
void set_pond(Reading& reading);

/// Member "sure_percent" of the job or of a limit: above 50, below 100.
std::optional<double> read_sure_percent(const base::JsonView& item);

// read_ingredients.cpp: entries of "ingredients".
void read_ingredients(Reading& reading, const base::JsonView& root);
/// nullptr, and a diagnostic, for an ingredient that the library does not hold or the job has.
Choice* add_library_choice(Reading& reading, const std::string& written, const std::string& file,
                           const std::string& place);
void sort_ingredients(Job& job);

// meant.cpp
/// The id of the ingredient that a file or an option names (meant_by), with a note where it does so
/// by another word. "", and a diagnostic, for what must be asked and for what is none.
std::string ingredient_meant(Reading& reading, const std::string& written, const std::string& file,
                             const std::string& place, bool in_use);
/// Puts ids for names into the options. `own` are the ids of the file's own ingredients.
void name_options(Reading& reading, const std::vector<std::string>& own);

// read_options.cpp: what ReadOptions change of the ingredients.
void add_extras(Reading& reading);
void add_candidates(Reading& reading);
void apply_prices(Reading& reading);
/// After the weight of the batch is known.
void apply_amounts(Reading& reading);
/// Keeps what was understood of a table, and takes its currency for the job's where that has none.
void take_reading(Reading& reading, const base::TableReading& table);
void check_restated(Reading& reading);
/// Sets what the ingredient holds and how lots of it vary, but for what the options state anew.
void set_contents(Reading& reading, const catalog::Ingredient& ingredient, Choice& choice);

// read_limits.cpp: "limits", "groups", "ratios" and "replacements".
void read_limits(Reading& reading, const base::JsonView& root);

// read_recipe_table.cpp: a recipe as a table.
void read_recipe_table(Reading& reading, std::string_view bytes);
/// Amounts are parts of any total; notes one that is neither 100 nor the weight of the batch.
void check_amounts(Reading& reading);

}  // namespace feedwright::job
