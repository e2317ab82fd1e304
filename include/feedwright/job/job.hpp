// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "feedwright/catalog/ingredient.hpp"
#include "feedwright/catalog/library.hpp"
#include "feedwright/catalog/nutrient.hpp"
#include "feedwright/catalog/profile.hpp"
#include "feedwright/job/price_list.hpp"

namespace feedwright::job {

/// An ingredient the mix may use, with its amounts as fed for the job's animal.
struct Choice {
    std::string id;
    std::string name;
    std::string category;  ///< empty for an inline ingredient
    std::string role;
    std::vector<std::string> processing;
    std::vector<std::string> kin;  ///< ids of the ingredients that it extends
    catalog::Composition composition;
    std::optional<double> price;        ///< money per kg as bought
    std::optional<double> min;          ///< percent of the mix; kg when the total is free
    std::optional<double> max;          ///< likewise
    std::optional<double> min_if_used;  ///< none at all, or at least this much; likewise
    std::optional<double> stock_kg;     ///< what there is of it for one batch
    std::optional<double> amount;       ///< recipes: parts, any total
};

/// A nutrient limit of the job or of its profile, in the nutrient's unit.
struct NutrientLimit {
    std::string nutrient;
    std::optional<double> min;
    std::optional<double> max;
    catalog::Basis basis = catalog::Basis::as_fed;
    /// A daily total (free total) instead of a share: kg for %, and the unit without its "/kg" for others.
    bool is_amount = false;
    bool advisory = false;
    std::string level;   ///< requirement, practical, or empty for the job's own
    std::string source;  ///< source id, or "job"
    std::string note;
};

/// Limits on the sum of some ingredients: percent of the mix, kg when the total is free.
struct GroupLimit {
    std::string name;
    std::vector<std::string> ingredients;
    std::optional<double> min;
    std::optional<double> max;
};

struct RatioLimit {
    std::string of;
    std::string to;
    std::optional<double> min;
    std::optional<double> max;
    bool advisory = false;
    std::string source;
};

/// `ingredient` supplies at most `max` percent of the protein that it and `references` supply together;
/// with no references, of all protein in the mix.
struct ReplacementLimit {
    std::string ingredient;
    std::vector<std::string> references;
    double max = 0;
    bool by_weight = false;  ///< of the weight that they make up together, not of the protein
    std::string source;
    std::string note;
};

/// A library cap in use: percent of the mix, or of its dry matter when a finished moisture is set.
struct CapLimit {
    std::string subject;                   ///< ingredient id, category:NAME or group:NAME
    std::vector<std::string> ingredients;  ///< those of the job it covers
    double max = 0;
    catalog::Cap::Kind kind = catalog::Cap::Kind::rule_of_thumb;
    std::string source;
    std::string note;
};

/// Which library caps hold: none; those that an author states or practice holds (usual); also the highest levels
/// that were tried without loss (strict).
enum class CapsInUse { none, usual, strict };

/// What the profile said about itself; kept for the report.
struct ProfileInUse {
    std::string id;  ///< "nile-tilapia/grow-out"
    std::string name;
    std::string stage_name;
    std::string note;
    std::vector<std::string> lacks;
};

/// Everything asked for, checked and in canonical units: what `formulate` and `check` work from. Ingredients are in
/// order of id.
struct Job {
    std::string file;
    std::string title;
    std::optional<ProfileInUse> profile;
    catalog::Animal animal;
    std::string stage;
    std::string currency;
    std::optional<double> batch_kg;
    std::optional<double> finished_moisture;  ///< percent
    bool free_total = false;
    std::optional<int> at_most;  ///< ingredients in one mix
    CapsInUse caps_in_use = CapsInUse::usual;
    bool enforce_advisory = false;
    catalog::NutrientDictionary dictionary;  ///< the library's, then the job's own
    std::vector<Choice> ingredients;
    std::vector<NutrientLimit> limits;
    std::vector<GroupLimit> groups;
    std::vector<RatioLimit> ratios;
    std::vector<ReplacementLimit> replacements;
    std::vector<CapLimit> caps;
    /// Highest levels of the diet that trials tried, of each subject the highest; they limit nothing.
    std::vector<CapLimit> tried;
    std::vector<std::string> notes;   ///< choices made while reading that the user should know of
    std::vector<std::string> inputs;  ///< files read, as named by the user

    const Choice* find(std::string_view ingredient) const;
};

/// A library ingredient that may be used beside those of the file.
struct Candidate {
    std::string ingredient;
    std::optional<double> price;
    std::optional<double> max;  ///< percent of the mix
    std::string file;           ///< where it is named, for messages
    std::string place;
};

/// A further ingredient of the library, as if the file named it.
struct Extra {
    std::string ingredient;
    double price = 0;  ///< over the file's and the price list's
};

/// Another amount of a nutrient in an ingredient than the library or the file gives, as fed in the nutrient's unit. The rest
/// follows as for an ingredient that extends another (catalog::extended, Scale::none): what is derived is worked out
/// anew, amino acids keep their share of the crude protein.
struct Restated {
    std::string ingredient;
    std::string nutrient;
    double amount = 0;
};

struct ReadOptions {
    std::optional<std::string> profile;  ///< instead of the file's
    std::optional<PriceList> prices;     ///< over the file's
    CapsInUse caps = CapsInUse::usual;
    /// Let advisory limits of the profile shape the mix.
    bool enforce_advisory = false;
    std::optional<double> batch_kg;
    std::optional<int> at_most;  ///< ingredients in one mix
    /// Added where the file does not hold them; in a recipe, with an amount of zero.
    std::vector<Candidate> candidates;
    std::vector<Extra> with;
    std::vector<Restated> restated;
};

/// Reads a job file (feedwright-job/1). Throws DataError with every problem found, or IoError.
Job read_job(const std::string& file, catalog::Library& library, const ReadOptions& options);

/// The job that a profile and a price list alone make. `options` must hold both.
Job job_from_prices(catalog::Library& library, const ReadOptions& options);

/// Reads a recipe: JSON (feedwright-recipe/1) or, for a name that ends in .csv, a table ingredient,amount[,price].
/// Every ingredient of the result has an amount, and at least one is above zero.
Job read_recipe(const std::string& file, catalog::Library& library, const ReadOptions& options);

}  // namespace feedwright::job
