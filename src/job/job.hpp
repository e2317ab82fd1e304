// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/json.hpp"
#include "base/table.hpp"
#include "catalog/cap.hpp"
#include "catalog/ingredient.hpp"
#include "catalog/library.hpp"
#include "catalog/nutrient.hpp"
#include "catalog/profile.hpp"
#include "catalog/rules.hpp"
#include "catalog/variation.hpp"
#include "job/note.hpp"
#include "job/price_list.hpp"

#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace feedwright::job {

/// What kind of need a nutrient meets; advisory limits are switched by it.
enum class Need { energy, amino_acids, fatty_acids, phosphorus, minerals, vitamins, other };

/// The kinds that have a word on the command line, in order: "energy", "amino-acids", ...
const std::vector<Need>& named_needs();
std::string_view to_string(Need need);
Need need_of(const catalog::Nutrient& nutrient);

/// A part of an ingredient that is a recipe itself.
struct Part {
    std::string id;
    std::string name;
    std::string category;
    std::string role;
    std::vector<std::string> kin;
    double share = 0;      ///< of its weight
    double dry_share = 0;  ///< of its dry matter; where that is not known, of its weight
    std::optional<double> rate_percent{};
    bool made_for_animal = false;
};

/// An ingredient the mix may use, with its amounts as fed for the job's animal.
struct Choice {
    std::string id;
    std::string name;
    std::string category;  ///< empty for an inline ingredient
    std::string role;
    std::vector<std::string> processing;
    std::vector<std::string> kin;         ///< ids of the ingredients that it extends
    std::optional<catalog::Label> label;  ///< of a bought feed (job/label.hpp)
    std::vector<Part> parts;              ///< of a recipe that is an ingredient
    std::vector<std::string> partly;      ///< nutrients that only some parts have a value for
    catalog::Composition composition;
    catalog::Variability variability;  ///< of those amounts, from lot to lot
    /// High amounts of its kind, as fed, of nutrients that have a maximum and no value here: they
    /// count under the maximum, and nowhere else.
    std::map<std::string, catalog::Amount, std::less<>> assumed;
    /// Of a premix or a concentrate: the rate of its label, percent of the feed.
    std::optional<double> rate_percent;
    bool made_for_animal = false;  ///< of a premix: for the job's animal
    bool at_label_rate = false;    ///< it goes in at that rate
    /// Money per kg as bought; below zero where one is paid to take it.
    std::optional<double> price;
    std::optional<double> min;          ///< percent of the mix; kg when the total is free
    std::optional<double> max;          ///< likewise
    std::optional<double> min_if_used;  ///< none at all, or at least this much; likewise
    std::optional<double> stock_kg;     ///< what there is of it for one batch
    std::optional<double> amount;       ///< recipes: parts, any total
};

/// What a fertilised pond gives of a need.
struct PondShare {
    double percent = 0;  ///< of the need
    std::string source;
};

/// A nutrient limit of the job or of its profile, in the nutrient's unit.
struct NutrientLimit {
    std::string nutrient;
    std::optional<double> min;
    std::optional<double> max;
    catalog::Basis basis = catalog::Basis::as_fed;
    /// A daily total (free total) instead of a share: kg for %, and the unit without its "/kg" for
    /// others.
    bool is_amount = false;
    bool advisory = false;
    /// Holds only where these ingredients can meet it together with the others; search::settle
    /// decides, and makes it advisory where they cannot.
    bool yields = false;
    /// Rests on memory, on a relative or on a target of practice: a recipe that misses it is warned
    /// of, not failed.
    bool weak = false;
    std::optional<double> sure_percent;  ///< its own, instead of the job's
    std::string harms;   ///< of a safe maximum: animal, eater or law; empty for others
    std::string level;   ///< requirement, practical, target, borrowed, or empty for the job's own
    std::string source;  ///< source id, or "job"
    std::string note;
    std::optional<PondShare> from_pond;  ///< taken off the minimum
    /// The minimum before it was lowered, because the mix may fall below a bought feed.
    std::optional<double> undiluted_min{};
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
    bool yields = false;
    bool weak = false;
    std::string source;
    std::optional<double> sure_percent{};   ///< its own, instead of the job's
    std::optional<double> undiluted_min{};  ///< as in NutrientLimit
};

/// Ingredients that are used in these parts to each other, or not at all.
struct Proportion {
    std::vector<std::pair<std::string, double>> parts;
};

/// `ingredient` supplies at most `max` percent of the protein that it and `references` supply
/// together; with no references, of all protein in the mix.
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
    std::string name;                      ///< of a group or category, for people; else empty
    std::vector<std::string> ingredients;  ///< those of the job it covers
    double max = 0;
    catalog::Cap::Kind kind = catalog::Cap::Kind::rule_of_thumb;
    std::string source;
    std::string note;
    std::vector<std::string> parts{};  ///< ids of what it covers in ingredients that are recipes
};

/// How much of an ingredient counts under a cap: all of it, none, or the parts that the cap covers;
/// of its weight, or of its dry matter.
double covered_share(const CapLimit& cap, const Choice& choice, bool of_dry_matter);

/// The most of a substance that the whole feed may hold for the job's animal.
struct SafeLimit {
    catalog::SafeMaximum maximum;
    bool verified = false;  ///< its source was read; others only warn
};

/// Whether library caps hold.
enum class CapsInUse { none, usual };

/// What the profile said about itself; kept for the report.
struct ProfileInUse {
    std::string id;  ///< "nile-tilapia/grow-out"
    std::string name;
    std::string stage_name;
    std::string note;
    std::vector<std::string> lacks;
};

/// Everything asked for, checked and in canonical units: what `formulate` and `check` work from.
/// Ingredients are in order of id.
struct Job {
    std::string file;
    std::string title;
    std::string note;  ///< what the file says about itself, shown under the title
    std::optional<ProfileInUse> profile;
    catalog::Animal animal;
    std::string stage;
    std::string currency;
    std::optional<double> batch_kg;
    std::optional<double> finished_moisture;  ///< percent
    bool moisture_assumed =
        false;  ///< nobody gave it: set because the mix would be too wet to compare as it is
    bool free_total = false;
    /// How far the mix may fall below the bought feed in it on what the profile asks, percent.
    std::optional<double> dilute_percent;
    std::optional<int> at_most;  ///< ingredients in one mix
    /// Each limit on a nutrient and each ratio must hold in so many of 100 lots; empty: on average.
    std::optional<double> sure_percent;
    CapsInUse caps_in_use = CapsInUse::usual;
    /// Kinds of advisory limits that must hold; empty: those of default_needs hold where they can
    /// be met.
    std::optional<std::set<Need>> enforce;
    std::optional<double>
        fish_per_m2;  ///< in a fertilised pond; empty: the animals live on this feed alone
    std::optional<catalog::Pond> pond;       ///< what such a pond gives
    catalog::NutrientDictionary dictionary;  ///< the library's, then the job's own
    std::vector<Choice> ingredients;
    std::vector<NutrientLimit> limits;
    std::vector<GroupLimit> groups;
    std::vector<RatioLimit> ratios;
    std::vector<Proportion> proportions;
    std::vector<ReplacementLimit> replacements;
    std::vector<CapLimit> caps;
    std::vector<CapLimit> tolerated;  ///< every cap for the animal, those that do not hold here too
    std::vector<catalog::Tolerance> tolerances;  ///< of a recipe's contents
    std::vector<SafeLimit>
        safe;  ///< for the animal, by substance; the job's own limits do not change them
    std::vector<Note> notes;
    /// What the file says besides profile and amounts: its own ingredients, limits and the like, as
    /// members of an object. Results carry it, so that they can be read as a recipe.
    base::JsonValue asked;
    std::vector<std::string> inputs;         ///< files read, as named by the user
    std::vector<base::TableReading> tables;  ///< what was understood of those that are tables

    const Choice* find(std::string_view ingredient) const;
    /// In the order of `ingredients`.
    std::vector<std::string> ingredient_ids() const;
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

/// Another amount of a nutrient in an ingredient than the library or the file gives, as fed in the
/// nutrient's unit. The rest follows as for an ingredient that extends another (catalog::extended,
/// Scale::none): what is derived is worked out anew, amino acids keep their share of the crude
/// protein.
struct Restated {
    std::string ingredient;
    std::string nutrient;
    double amount = 0;
};

/// An amount of an ingredient that is asked for beside the file.
struct AskedAmount {
    enum class What { min, max, stock_kg };
    std::string ingredient;
    What what = What::max;
    double number = 0;  ///< as in Choice
    std::string place;  ///< for messages: "--max maize=20"
};

struct ReadOptions {
    std::optional<std::string> profile;  ///< instead of the file's
    std::optional<PriceList> prices;     ///< over the file's
    CapsInUse caps = CapsInUse::usual;
    std::optional<std::set<Need>> enforce;
    std::optional<double> finished_moisture;  ///< percent, instead of the file's
    std::optional<double> fish_per_m2;        ///< in a fertilised pond
    std::optional<double> batch_kg;
    std::optional<double> dilute_percent;  ///< instead of the file's
    std::optional<int> at_most;            ///< ingredients in one mix
    std::optional<double> sure_percent;    ///< instead of the file's
    /// Added where the file does not hold them; in a recipe, with an amount of zero.
    std::vector<Candidate> candidates;
    std::vector<Extra> with;
    std::vector<Restated> restated;
    std::vector<AskedAmount> amounts;
    std::vector<std::string> inside;  ///< the recipes that this one is an ingredient of
};

/// Reads a job file (feedwright-job/1). Throws DataError with every problem found, or IoError.
Job read_job(const std::string& file, catalog::Library& library, const ReadOptions& options);

/// The same of a job within another file, such as the feed of some animals in a season: `document`
/// has the members of a job file, each with its place in that file.
Job read_job(std::shared_ptr<const base::JsonDocument> document, catalog::Library& library,
             const ReadOptions& options);

/// The job that options alone make: the ingredients of a price list, and those of `with`.
Job job_from_prices(catalog::Library& library, const ReadOptions& options);

/// Reads a recipe: JSON (feedwright-recipe/1) or a table with the columns ingredient, amount and,
/// where it has them, price and unit. Every ingredient of the result has an amount, and at least
/// one is above zero.
Job read_recipe(const std::string& file, catalog::Library& library, const ReadOptions& options);

}  // namespace feedwright::job
