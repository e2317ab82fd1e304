// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/coverage.hpp"
#include "catalog/import.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"

#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

// What the library holds, and what of one's own is laid over it. Results point into the library.
namespace feedwright::tasks {

struct ImportRequest {
    std::string file;  ///< CSV: one row an ingredient, or one row a nutrient
    catalog::ImportOptions options;
};

/// A standard deviation of the table beside what is assumed of the ingredient's kind.
struct ImportedSpread {
    std::string ingredient;  ///< id
    std::string nutrient;    ///< id
    std::string unit;
    catalog::Basis basis = catalog::Basis::as_fed;
    double value = 0;
    double sd = 0;
    std::optional<double> n;
    std::optional<double> assumed_sd;  ///< for that value; empty where nothing is known
    std::string assumed_source;
    bool counts = false;  ///< it is between lots or regions, and so goes before what is assumed
};

struct Imported {
    catalog::Import import;
    std::string library_file;  ///< the text of a library file that holds it
    std::vector<ImportedSpread> spreads;
};

/// A library file of one's own from a table or a laboratory report. Throws base::DataError also
/// where the library could not load what comes out.
Imported import_table(const ImportRequest& request, catalog::Library& library);

using StageOf = std::pair<const catalog::Profile*, const catalog::Stage*>;

/// All of one kind of things whose id, name or kind has the text `match`, in the order of ids.
std::vector<const catalog::Ingredient*> list_ingredients(const std::string& match,
                                                         catalog::Library& library);
std::vector<StageOf> list_stages(const std::string& match, catalog::Library& library);
std::vector<const catalog::Nutrient*> list_nutrients(const std::string& match,
                                                     const catalog::Library& library);
std::vector<const catalog::Source*> list_sources(const std::string& match,
                                                 catalog::Library& library);

/// For how many ingredients the limits of profiles can be worked out.
catalog::Coverage coverage(catalog::Library& library);

/// A cap together with the species that it is looked at for.
struct SpeciesCap {
    std::string species;
    catalog::Cap cap;
};

struct IngredientFacts {
    const catalog::Ingredient* ingredient = nullptr;
    catalog::Composition composition;
    std::vector<SpeciesCap> caps;
    std::vector<catalog::Caution> cautions;
    std::vector<catalog::Source> sources;  ///< of all that is shown
};

struct StageFacts {
    StageOf stage;
    std::vector<SpeciesCap> caps;  ///< for the animal itself or its class, and every sum
};

/// What an id stands for: an ingredient, a species, a stage of one, a nutrient or a source.
using Shown = std::variant<IngredientFacts, const catalog::Profile*, StageFacts,
                           const catalog::Nutrient*, const catalog::Source*>;

struct ShowRequest {
    std::string id;
    std::string species;  ///< whose digestibility an ingredient is shown with; empty: of none
};

/// Throws base::DataError for what the library does not know.
Shown show(const ShowRequest& request, catalog::Library& library);

/// The premix of the library that is made for the job's animal and nearest to it; "" where the job
/// has one that is made for the animal, or the library has none.
std::string premix_lacking(const job::Job& job, catalog::Library& library);

}  // namespace feedwright::tasks
