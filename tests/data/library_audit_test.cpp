// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "base/json.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "catalog/library.hpp"
#include "catalog/plausible.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <functional>
#include <map>
#include <set>
#include <string>
#include <vector>

// The shipped library held against what any table of feeds must satisfy. A list of what is wrong is
// compared with an empty list, so that a failure names every offender at once.

namespace fs = std::filesystem;
using namespace feedwright;
using catalog::Composition;
using catalog::Ingredient;

namespace {

using Complaints = std::vector<std::string>;
// A failed comparison with it prints all complaints.
const Complaints no_complaints;

using test::library;

const std::vector<const Ingredient*>& ingredients() {
    static const std::vector<const Ingredient*> all = [] {
        std::vector<const Ingredient*> list;
        for (const std::string& id : library().ingredient_ids()) {
            list.push_back(library().ingredient(id));
        }
        return list;
    }();
    return all;
}

const std::vector<const catalog::Profile*>& profiles() {
    static const std::vector<const catalog::Profile*> all = [] {
        std::vector<const catalog::Profile*> list;
        for (const std::string& species : library().species()) {
            list.push_back(library().profile(species));
        }
        return list;
    }();
    return all;
}

// As fed, for no animal in particular.
const Composition& composition(const Ingredient& ingredient) {
    static std::map<std::string, Composition> made;
    const auto [at, added] = made.try_emplace(ingredient.id);
    if (added) at->second = catalog::compose(ingredient, library().dictionary(), {});
    return at->second;
}

std::optional<double> amount(const Ingredient& ingredient, std::string_view nutrient) {
    const catalog::Amount* found = composition(ingredient).find(nutrient);
    return found == nullptr ? std::nullopt : std::optional<double>(found->value);
}

bool is_one_of(const std::string& word, const std::vector<std::string>& words) {
    return std::find(words.begin(), words.end(), word) != words.end();
}

// Made in a works to a formula, so that what living things hold says nothing about them.
bool is_natural(const Ingredient& ingredient) {
    return !is_one_of(ingredient.category, {"mineral", "premix", "amino-acid", "acid", "water"});
}

std::string say(double value) {
    return base::significant(value, 4);
}

// Groups, classes of what tolerates the same feeds, and any animal; see docs/formats.md.
const std::vector<std::string> animal_words{
    "fish",           "crustacean",    "poultry",        "pig",     "rabbit", "ruminant", "all",
    "fish-herbivore", "fish-omnivore", "fish-carnivore", "broiler", "layer",  "duck",     "quail",
    "turkey",         "goose"};

bool is_animal(const std::string& word) {
    return is_one_of(word, animal_words) || is_one_of(word, library().species());
}

std::vector<fs::path> data_files() {
    std::vector<fs::path> files;
    for (const auto& item : fs::recursive_directory_iterator(test::source_folder() / "data")) {
        if (item.path().extension() == ".json" &&
            item.path().parent_path().filename() != "schema") {
            files.push_back(item.path());
        }
    }
    std::sort(files.begin(), files.end());
    return files;
}

// Calls `use` with the text of every "source" and every element of every "sources" below `value`.
void each_source(const base::JsonValue& value, const std::function<void(const std::string&)>& use) {
    for (std::size_t i = 0; i < value.items.size(); ++i) {
        const base::JsonValue& item = value.items[i];
        const std::string key = value.kind == base::JsonValue::Kind::object ? value.keys[i] : "";
        if (key == "source") use(item.string);
        if ((key == "sources" || key == "limits_sources") &&
            item.kind == base::JsonValue::Kind::array) {
            for (const base::JsonValue& id : item.items) {
                if (id.kind == base::JsonValue::Kind::string) use(id.string);
            }
        }
        each_source(item, use);
    }
}

}  // namespace

TEST_CASE("every file of the library loads without a complaint") {
    CHECK(ingredients().size() >= 130);
    CHECK(profiles().size() >= 20);
    CHECK(library().sources().size() > 100);
    CHECK(library().cautions().size() > 10);
}

TEST_CASE("every source that is named is listed, and every listed source is used") {
    std::set<std::string> listed;
    for (const catalog::Source& source : library().sources())
        listed.insert(source.id);
    std::set<std::string> used;
    Complaints unknown;
    for (const fs::path& file : data_files()) {
        const auto document = base::parse_json(base::read_file(file.string()), file.string());
        each_source(document->root, [&](const std::string& id) {
            used.insert(id);
            if (!listed.contains(id)) unknown.push_back(file.filename().string() + ": " + id);
        });
    }
    CHECK(unknown == no_complaints);
    Complaints unused;
    std::set_difference(listed.begin(), listed.end(), used.begin(), used.end(),
                        std::back_inserter(unused));
    CHECK(unused == no_complaints);
}

TEST_CASE("an estimate in the dictionary names its source") {
    Complaints wrong;
    for (const catalog::Nutrient& nutrient : library().dictionary().all()) {
        if (!nutrient.derived) continue;
        const catalog::Derivation& rule = *nutrient.derived;
        const bool estimate = rule.kind == catalog::Derivation::Kind::estimate;
        if (estimate && library().source(rule.source) == nullptr) wrong.push_back(nutrient.id);
        for (const auto& [term, factor] : rule.terms) {
            if (library().dictionary().find(term) == nullptr)
                wrong.push_back(nutrient.id + ": " + term);
        }
        if (!rule.digestible_of.empty() &&
            library().dictionary().find(rule.digestible_of) == nullptr) {
            wrong.push_back(nutrient.id + ": " + rule.digestible_of);
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("a source that was recalled says so in its name, and only such a one") {
    Complaints wrong;
    for (const catalog::Source& source : library().sources()) {
        const bool named = source.id.ends_with("-unverified");
        if (named != (source.how_known == "unverified")) {
            wrong.push_back(source.id + " is known by " + source.how_known);
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("no more than 6 in 100 values of ingredients are remembered, zeros apart") {
    std::size_t stated = 0;
    std::size_t remembered = 0;
    for (const Ingredient* ingredient : ingredients()) {
        for (const catalog::StatedValue& value : ingredient->stated) {
            if (value.amount == 0) continue;
            ++stated;
            const catalog::Source* source = library().source(value.source);
            if (source == nullptr || source->how_known == "unverified") ++remembered;
        }
    }
    INFO(remembered << " of " << stated);
    CHECK(stated > 10000);
    CHECK(100 * remembered <= 6 * stated);
}

TEST_CASE("no more than 20 in 100 limits of profiles are remembered") {
    std::size_t stated = 0;
    std::size_t remembered = 0;
    for (const catalog::Profile* profile : profiles()) {
        for (const catalog::Stage& stage : profile->stages) {
            for (const catalog::RequirementLimit& limit : stage.limits) {
                ++stated;
                const catalog::Source* source = library().source(limit.source);
                if (source == nullptr || source->how_known == "unverified") ++remembered;
            }
        }
    }
    INFO(remembered << " of " << stated);
    CHECK(stated > 2000);
    CHECK(5 * remembered <= stated);
}

TEST_CASE("no two ingredients, profiles or nutrients share a name") {
    Complaints twice;
    std::map<std::string, std::string> names;
    for (const Ingredient* ingredient : ingredients()) {
        const auto [at, added] = names.try_emplace(ingredient->name, ingredient->id);
        if (!added) twice.push_back(ingredient->name + ": " + at->second + ", " + ingredient->id);
    }
    // Another name of one ingredient may not be the name of another.
    for (const Ingredient* ingredient : ingredients()) {
        for (const std::string& other : ingredient->also_called) {
            const auto at = names.find(other);
            if (at != names.end()) {
                twice.push_back(other + ": " + at->second + ", also called " + ingredient->id);
            }
        }
    }
    std::set<std::string> animals;
    for (const catalog::Profile* profile : profiles()) {
        if (!animals.insert(profile->name).second) twice.push_back(profile->name);
    }
    std::set<std::string> nutrients;
    for (const catalog::Nutrient& nutrient : library().dictionary().all()) {
        if (!nutrients.insert(nutrient.name).second) twice.push_back(nutrient.name);
    }
    CHECK(twice == no_complaints);
}

TEST_CASE("every ingredient composes to finite amounts that are possible, for every animal") {
    Complaints wrong;
    std::vector<catalog::Animal> animals{{}};
    for (const catalog::Profile* profile : profiles()) {
        animals.push_back({profile->species, profile->group, profile->feeds_as});
    }
    for (const Ingredient* ingredient : ingredients()) {
        for (const catalog::Animal& animal : animals) {
            const Composition made = catalog::compose(*ingredient, library().dictionary(), animal);
            for (const std::string& id : made.nutrients()) {
                const catalog::Amount& value = *made.find(id);
                const bool percent = library().dictionary().find(id)->unit == "%";
                const bool nitrogen = id == "crude_protein" || id == "digestible_protein";
                const double most = !percent ? 1e7 : nitrogen ? 300 : 100.5;
                const auto& rule = library().dictionary().find(id)->derived;
                const bool balance = rule && rule->kind == catalog::Derivation::Kind::balance;
                const double least =
                    balance ? -30000 : 0;  // pure hydrochloric acid has -27400 mEq/kg
                if (!std::isfinite(value.value) || value.value < least || value.value > most) {
                    wrong.push_back(ingredient->id + ": " + id + " " + std::to_string(value.value));
                }
            }
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("the electrolyte balance is that of the ions") {
    // Sodium chloride has as many of the one as of the other; potassium chloride too; the free base
    // of lysine carries its hydrochloride alone. Molar masses in g/mol: NaHCO3 84.007,
    // C6H14N2O2.HCl 182.65.
    const auto balance = [](const char* id) {
        return amount(*library().ingredient(id), "dietary_electrolyte_balance");
    };
    REQUIRE(balance("salt"));
    CHECK(std::abs(*balance("salt")) < 250);
    REQUIRE(balance("baking-soda"));
    CHECK(*balance("baking-soda") == Approx(1e6 / 84.007).epsilon(0.03));
    REQUIRE(balance("l-lysine-hcl"));
    CHECK(*balance("l-lysine-hcl") == Approx(-1e6 / 182.65).epsilon(0.05));
}

TEST_CASE("a spread is not more than twice its mean, and n is at least one") {
    Complaints wrong;
    for (const Ingredient* ingredient : ingredients()) {
        for (const catalog::StatedValue& value : ingredient->stated) {
            const bool wide = value.sd && *value.sd > 2 * value.amount;
            const bool none = value.n && *value.n < 1;
            if (wide || none) wrong.push_back(ingredient->id + ": " + value.nutrient);
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("every spread says what it is a spread of, and repeats on one lot never count as lots") {
    // What these print are repeats on one lot or one product.
    const std::vector<std::string> repeats{"alikwe2013", "animals2020-bsf-brewery", "rutto2013",
                                           "shrimp-head2017"};
    using catalog::Spread;
    std::map<std::string, int> counts;
    Complaints wrong;
    for (const Ingredient* ingredient : ingredients()) {
        for (const catalog::StatedValue& value : ingredient->stated) {
            const std::string what = ingredient->id + ' ' + value.nutrient;
            if (!value.sd && !value.min && !value.max) continue;
            ++counts[std::string(to_string(value.spread))];
            if (value.spread == Spread::unstated) wrong.push_back(what + ": no kind of spread");
            const bool between = value.spread == Spread::lots || value.spread == Spread::regions;
            if (between && value.n && *value.n < 2) wrong.push_back(what + ": between how many?");
            if (is_one_of(value.source, repeats) && value.spread != Spread::replicates) {
                wrong.push_back(what + ": repeats that count as " +
                                std::string(to_string(value.spread)));
            }
        }
    }
    CHECK(wrong == no_complaints);
    CHECK(counts["lots"] + counts["regions"] + counts["samples"] >= 3000);
    // docs/data.md gives the counts, rounded.
    const std::string page = base::read_file((test::source_folder() / "docs/data.md").string());
    for (const std::string kind : {"lots", "regions", "samples", "replicates"}) {
        const std::string head = "\n| " + kind + " | ";
        const auto at = page.find(head);
        REQUIRE(at != std::string::npos);
        std::string digits = page.substr(at + head.size(), 8);
        digits.erase(std::remove(digits.begin(), digits.end(), ','), digits.end());
        const int written = std::stoi(digits);
        INFO(kind << ": written " << written << ", counted " << counts[kind]);
        CHECK(std::abs(written - counts[kind]) <= std::max(10, counts[kind] / 20));
    }
}

TEST_CASE("the table of variation speaks of what exists, and knows something of every feed") {
    Complaints wrong;
    for (const catalog::Variation& entry : library().variation()) {
        const std::string what = entry.ingredient + entry.category + ' ' + entry.nutrient;
        if (!entry.ingredient.empty() && library().ingredient(entry.ingredient) == nullptr) {
            wrong.push_back(what + ": no such ingredient");
        }
        const auto is_of = [&](const Ingredient* one) { return one->category == entry.category; };
        if (!entry.category.empty() &&
            std::none_of(ingredients().begin(), ingredients().end(), is_of)) {
            wrong.push_back(what + ": no such category");
        }
        // Two to three times the mean would say that nothing is known of it.
        if (entry.cv_percent <= 0 || entry.cv_percent > 150)
            wrong.push_back(what + ": not a spread");
        const catalog::Source* source = library().source(entry.source);
        const bool recalled = source == nullptr || source->how_known == "unverified";
        if (recalled != (entry.spread == catalog::Spread::assumed)) {
            wrong.push_back(what + ": assumed, and yet from a source, or the other way round");
        }
    }
    CHECK(wrong == no_complaints);
    Complaints none;
    for (const Ingredient* ingredient : ingredients()) {
        for (const char* id :
             {"crude_protein", "crude_lipid", "crude_fibre", "lysine", "methionine", "calcium",
              "phosphorus", "digestible_energy", "metabolisable_energy", "zinc", "thiamine"}) {
            if (catalog::variation_of(library().variation(), *ingredient,
                                      *library().dictionary().find(id)) == nullptr) {
                none.push_back(ingredient->id + ' ' + id);
            }
        }
    }
    CHECK(none == no_complaints);
}

TEST_CASE("protein, lipid, fibre and ash are not more than the dry matter by 3 points") {
    Complaints wrong;
    std::size_t checked = 0;
    for (const Ingredient* ingredient : ingredients()) {
        if (ingredient->category == "amino-acid") continue;  // nitrogen x 6.25 is no weight there
        const auto dry_matter = amount(*ingredient, "dry_matter");
        if (!dry_matter) continue;
        double parts = 0;
        int known = 0;
        for (const char* id : {"crude_protein", "crude_lipid", "crude_fibre", "ash"}) {
            const auto part = amount(*ingredient, id);
            parts += part.value_or(0);
            known += part ? 1 : 0;
        }
        if (known == 4) ++checked;
        if (parts > *dry_matter + 3) {
            wrong.push_back(ingredient->id + ": " + say(parts) + " in " + say(*dry_matter));
        }
    }
    CHECK(wrong == no_complaints);
    CHECK(checked > 150);
}

TEST_CASE("no shipped ingredient holds what the program refuses of a user's own") {
    Complaints wrong;
    for (const Ingredient* ingredient : ingredients()) {
        const auto problems = catalog::impossible_values(*ingredient, library().dictionary());
        for (const catalog::ImpossibleValue& impossible : problems) {
            wrong.push_back(ingredient->id + ": " + impossible.problem.found);
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("where a source states the nitrogen-free extract, the parts add to 100 within 3") {
    Complaints wrong;
    for (const Ingredient* ingredient : ingredients()) {
        const catalog::Amount* nfe = composition(*ingredient).find("nfe");
        if (nfe == nullptr || nfe->origin != catalog::Origin::stated) continue;
        double total = nfe->value;
        bool known = true;
        for (const char* id : {"moisture", "crude_protein", "crude_lipid", "crude_fibre", "ash"}) {
            const auto part = amount(*ingredient, id);
            known = known && part;
            total += part.value_or(0);
        }
        if (known && std::abs(total - 100) > 3) wrong.push_back(ingredient->id + ": " + say(total));
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("what is part of something is not more than it") {
    struct Part {
        const char* part;
        const char* whole;
        double slack;  // points, for figures of two samples
    };
    const Part parts[] = {
        {"available_phosphorus", "phosphorus", 0},
        {"phytate_phosphorus", "phosphorus", 0},
        {"lignin", "adf", 0},
        {"adf", "ndf", 0},
        {"crude_fibre", "ndf", 1},
        {"starch", "nfe", 3},
        {"cholesterol", "crude_lipid", 0},
        {"epa_dha", "crude_lipid", 0},
        {"linoleic_plus_linolenic", "crude_lipid", 0},
        {"n3_fatty_acids", "crude_lipid", 0},
        {"n6_fatty_acids", "crude_lipid", 0},
        {"phospholipid", "crude_lipid", 0},
        {"digestible_protein", "crude_protein", 0},
        {"digestible_lipid", "crude_lipid", 0},
        {"digestible_energy", "gross_energy", 0},
        {"metabolisable_energy", "gross_energy", 0},
        {"ash", "dry_matter", 0},
        {"salt", "ash", 0},
        {"chitin", "dry_matter", 0},
    };
    Complaints wrong;
    for (const Ingredient* ingredient : ingredients()) {
        for (const catalog::Animal& animal :
             {catalog::Animal{}, catalog::Animal{"", "fish"}, catalog::Animal{"", "poultry"},
              catalog::Animal{"", "pig"}}) {
            const Composition made = catalog::compose(*ingredient, library().dictionary(), animal);
            for (const Part& rule : parts) {
                const catalog::Amount* part = made.find(rule.part);
                const catalog::Amount* whole = made.find(rule.whole);
                if (part == nullptr || whole == nullptr) continue;
                if (part->value > whole->value + rule.slack + 1e-9) {
                    wrong.push_back(ingredient->id + ": " + rule.part + " " + say(part->value) +
                                    " of " + say(whole->value) + ' ' + rule.whole);
                }
            }
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("the minerals of an ingredient are not more than its ash") {
    // Ashing burns chloride off in part and turns carbonate to oxide, hence half a point.
    Complaints wrong;
    for (const Ingredient* ingredient : ingredients()) {
        if (!is_natural(*ingredient)) continue;
        const auto ash = amount(*ingredient, "ash");
        if (!ash) continue;
        double sum = 0;
        for (const char* id : {"calcium", "phosphorus", "sodium", "potassium", "magnesium"}) {
            sum += amount(*ingredient, id).value_or(0);
        }
        if (sum > *ash + 0.5)
            wrong.push_back(ingredient->id + ": " + say(sum) + " in " + say(*ash));
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("the residues of the amino acids are less than the crude protein") {
    // An amino acid set free by hydrolysis has taken up one molecule of water, 18.015 g/mol, which
    // the protein did not hold; so a complete set may weigh up to 16 % more than its protein, and
    // its residues may not.
    constexpr double water = 18.015;
    const std::map<std::string, double> molar_mass{
        {"arginine", 174.20},      {"histidine", 155.16},     {"isoleucine", 131.17},
        {"leucine", 131.17},       {"lysine", 146.19},        {"methionine", 149.21},
        {"cystine", 240.30 / 2},   {"phenylalanine", 165.19}, {"tyrosine", 181.19},
        {"threonine", 119.12},     {"tryptophan", 204.23},    {"valine", 117.15},
        {"glycine", 75.07},        {"serine", 105.09},        {"alanine", 89.09},
        {"aspartic_acid", 133.10}, {"glutamic_acid", 147.13}, {"proline", 115.13},
        {"hydroxyproline", 131.13}};
    const std::set<std::string> essential{"arginine", "histidine",  "isoleucine", "leucine",
                                          "lysine",   "methionine", "cystine",    "phenylalanine",
                                          "tyrosine", "threonine",  "tryptophan", "valine"};
    Complaints wrong;
    std::size_t complete = 0;
    for (const Ingredient* ingredient : ingredients()) {
        if (!is_natural(*ingredient)) continue;
        const auto protein = amount(*ingredient, "crude_protein");
        double residues = 0;
        double essentials = 0;
        int known = 0;
        for (const auto& [id, mass] : molar_mass) {
            const auto value = amount(*ingredient, id);
            if (!value) continue;
            ++known;
            residues += *value * (mass - water) / mass;
            if (essential.contains(id)) essentials += *value;
        }
        if (known == 0) continue;
        if (known >= 18) ++complete;
        if (!protein) {
            wrong.push_back(ingredient->id + ": amino acids and no crude protein");
        } else if (*protein > 0 && (residues >= *protein || essentials >= 0.75 * *protein)) {
            wrong.push_back(ingredient->id + ": residues " + say(100 * residues / *protein) +
                            ", essential " + say(100 * essentials / *protein) + " % of protein");
        }
    }
    CHECK(wrong == no_complaints);
    CHECK(complete > 150);
}

TEST_CASE("every amino acid is a plausible share of the protein") {
    // g per 100 g crude protein, over all materials here. The high ends are those of proteins known
    // for them.
    struct Plausible {
        const char* nutrient;
        double low;
        double high;
        std::map<std::string, const char*> outliers;
    };
    const char* const slaughter_blood =
        "haemoglobin is poor in isoleucine and rich in histidine, leucine and valine";
    const char* const collagen =
        "collagen: a third glycine, no tryptophan, next to no tyrosine and cystine";
    const char* const free_histidine = "free histidine of the fruit";
    const Plausible table[] = {
        {"arginine", 2, 16, {{"garlic-powder", "arginine is the store of nitrogen of the bulb"}}},
        {"histidine",
         0.9,
         5.3,
         {{"blood-meal", slaughter_blood},
          {"blood-meal-flash-dried", slaughter_blood},
          {"blood-meal-spray-dried", slaughter_blood},
          {"banana-fresh", free_histidine},
          {"banana-meal", free_histidine},
          {"gelatin", collagen},
          {"feather-meal", "keratin holds little histidine"},
          {"wakame-fresh", "SR28 gives 0.015 g in 3.03 g protein"}}},
        {"isoleucine",
         1.6,
         7,
         {{"blood-meal", slaughter_blood},
          {"blood-meal-flash-dried", slaughter_blood},
          {"blood-meal-spray-dried", slaughter_blood},
          {"gelatin", collagen},
          {"chard-fresh", "SR28 gives 0.147 g in 1.8 g protein"}}},
        {"leucine", 2.5, 14.5, {{"maize-gluten-meal-60", "zein is a fifth leucine"}}},
        {"lysine", 1.6, 9.6, {{"maize-gluten-meal-60", "zein holds next to no lysine"}}},
        {"methionine", 0.35, 4.3, {}},
        {"cystine", 0.25, 3.5, {{"kelp-fresh", "SR28 gives 0.098 g in 1.68 g protein"}}},
        {"phenylalanine", 1.7, 8.7, {}},
        {"tyrosine", 0.35, 7.5, {{"gelatin", collagen}}},
        {"threonine", 1.5, 6.5, {}},
        {"tryptophan",
         0.3,
         2.3,
         {{"gelatin", collagen}, {"kelp-fresh", "SR28 gives 0.048 g in 1.68 g protein"}}},
        {"valine", 2, 8.3, {}},
        {"glycine", 1.9, 12, {{"gelatin", collagen}}},
        {"serine", 1, 8.5, {}},
        {"alanine", 2, 11.3, {}},
        {"aspartic_acid", 2.3, 32, {}},
        {"glutamic_acid",
         5,
         32,
         {{"tomato-fresh", "free glutamic acid gives the fruit its taste"}}},
        {"proline",
         1.5,
         13,
         {{"paprika", "SR28 gives 2.3 g in 14.14 g protein; free proline of the pepper"}}},
    };
    Complaints wrong;
    for (const Plausible& rule : table) {
        for (const Ingredient* ingredient : ingredients()) {
            if (!is_natural(*ingredient)) continue;
            const auto value = amount(*ingredient, rule.nutrient);
            const auto protein = amount(*ingredient, "crude_protein");
            if (!value || !protein || *protein == 0) continue;
            const double share = 100 * *value / *protein;
            const bool inside = share >= rule.low && share <= rule.high;
            // An outlier that is listed and is none any more is as wrong as one that is not listed.
            if (inside == rule.outliers.contains(ingredient->id)) {
                wrong.push_back(ingredient->id + ": " + rule.nutrient + ' ' + say(share) +
                                (inside ? " % of protein is no outlier" : " % of protein"));
            }
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("lysine of a protein meal is 1 to 9 % of the protein") {
    const char* const pattern = "the pattern SR28 uses for finfish holds 9.2 %";
    const std::map<std::string, const char*> outliers{
        {"anchovy-fresh", pattern},
        {"carp-fresh", pattern},
        {"catla-fresh", pattern},
        {"fish-meal-sardine", pattern},
        {"herring-fresh", pattern},
        {"mackerel-fresh", pattern},
        {"rohu-fresh", pattern},
        {"sardine-canned", pattern},
        {"smelt-fresh", pattern},
        {"shrimp-fresh", "SR28 gives 9.5 % for mixed shrimp"},
        {"tilapia-fresh", "SR28 gives 9.01 %"}};
    Complaints wrong;
    for (const Ingredient* ingredient : ingredients()) {
        if (!is_natural(*ingredient)) continue;
        const auto lysine = amount(*ingredient, "lysine");
        const auto protein = amount(*ingredient, "crude_protein");
        if (!lysine || !protein || *protein == 0) continue;
        const double share = 100 * *lysine / *protein;
        const bool inside = share >= 1 && share <= 9;
        if (inside == outliers.contains(ingredient->id)) {
            wrong.push_back(ingredient->id + ": " + say(share));
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("every amount is plausible for what grows") {
    // Most in 100 (or 1) kg of dry matter of a plant, an animal or what is made of them; minerals,
    // premixes and pure substances have no such bound. `why` says what reaches up there.
    struct Plausible {
        const char* nutrient;
        double high;
        const char* why;
    };
    const Plausible table[] = {
        {"crude_protein", 96, "blood, casein, gelatin and soya isolate"},
        {"crude_lipid", 100.2, "oils"},
        {"crude_fibre", 34, "alfalfa stems, hulls left on seeds, as in castor cake"},
        {"dietary_fibre", 50, "bran, dried mushrooms"},
        {"ash", 45, "seaweed, bone in meat and bone meal, shells in crab meal"},
        {"starch", 90, "starch itself"},
        {"sugars", 100, "sugar"},
        {"gross_energy", 39.6, "oils"},
        {"calcium", 17, "shell in crab and shrimp meal, bone in meat meal"},
        {"phosphorus", 6, "bone in meat and fish meals"},
        {"phytate_phosphorus", 1.6, "rice bran"},
        {"sodium", 5, "seaweed and shellfish with the sea on them"},
        {"potassium", 9, "leaves of the beet and purslane families"},
        {"chloride", 4, "molasses, marine meals"},
        {"magnesium", 2.2, "leaves rich in chlorophyll and oxalate"},
        {"sulfur", 2, "keratin, glucosinolates"},
        {"zinc", 400, "water plants and snails that gather it"},
        {"iron", 5000, "blood; soil on crabs and water plants"},
        {"copper", 350, "liver"},
        {"manganese", 800, "azolla"},
        {"selenium", 5, "tuna"},
        {"iodine", 1000, "brown seaweed"},
        {"cobalt", 2, "molasses"},
        {"epa_dha", 35, "fish oils"},
        {"linoleic_18_2n6", 78, "safflower oil"},
        {"linolenic_18_3n3", 60, "linseed oil"},
        {"arachidonic_20_4n6", 3, "heart and liver"},
        {"cholesterol", 3, "egg"},
        {"vitamin_a", 1e6, "cod liver oil, liver"},
        {"vitamin_d3", 1e5, "cod liver oil"},
        {"vitamin_e", 2300, "wheat germ oil"},
        {"vitamin_k", 120, "green leaves"},
        {"thiamine", 130, "yeast"},
        {"riboflavin", 110, "liver"},
        {"pyridoxine", 50, "leaves, rice bran"},
        {"niacin", 600, "liver, anchovy"},
        {"pantothenic_acid", 280, "liver"},
        {"folic_acid", 30, "leaves, liver, yeast"},
        {"vitamin_b12", 2.2, "liver"},
        {"biotin", 5, "yeast and liver"},
        {"choline", 18000, "egg yolk"},
        {"inositol", 8000, "cereals"},
        {"vitamin_c", 17000, "sweet pepper"},
        {"oxalate", 7, "spinach, amaranth"},
        {"phytate", 6, "rice bran, oil seeds"},
    };
    Complaints wrong;
    for (const Plausible& rule : table) {
        REQUIRE(library().dictionary().find(rule.nutrient) != nullptr);
        for (const Ingredient* ingredient : ingredients()) {
            if (!is_natural(*ingredient)) continue;
            const auto value = amount(*ingredient, rule.nutrient);
            const auto dry_matter = amount(*ingredient, "dry_matter");
            if (!value || !dry_matter) continue;
            const double dry = 100 * *value / *dry_matter;
            if (dry > rule.high) {
                wrong.push_back(ingredient->id + ": " + rule.nutrient + ' ' + say(dry) +
                                " in dry matter; high are " + rule.why);
            }
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("a mineral source holds no more of its elements than its formula allows") {
    // Mass percent of the pure compound, from the atomic masses Na 22.990, Mg 24.305, P 30.974,
    // Cl 35.453, K 39.098, Ca 40.078; food and feed grades hold less, or at most as much.
    struct Formula {
        const char* ingredient;
        const char* nutrient;
        double most;
    };
    const Formula table[] = {
        {"calcium-carbonate", "calcium", 40.05},
        {"limestone", "calcium", 40.05},
        {"eggshell-meal", "calcium", 40.05},
        {"oyster-shell", "calcium", 40.05},
        {"monocalcium-phosphate", "phosphorus", 26.47},
        {"dicalcium-phosphate-dihydrate", "phosphorus",
         22.77},  // the anhydrous salt's; grades vary in water
        {"dicalcium-phosphate-anhydrous", "phosphorus", 22.77},
        {"tricalcium-phosphate", "phosphorus", 19.98},
        {"monosodium-phosphate", "phosphorus", 25.82},
        {"salt", "sodium", 39.35},
        {"salt", "chloride", 60.66},
        {"baking-soda", "sodium", 27.37},
        {"potassium-chloride", "potassium", 52.45},
        {"magnesium-sulfate", "magnesium", 20.20},
    };
    for (const Formula& rule : table) {
        const Ingredient* ingredient = library().ingredient(rule.ingredient);
        INFO(rule.ingredient);
        REQUIRE(ingredient != nullptr);
        const auto value = amount(*ingredient, rule.nutrient);
        REQUIRE(value);
        CHECK(*value > 0.4 * rule.most);
        CHECK(*value <= rule.most * 1.002);  // grades are printed to a whole or a tenth percent
    }
}

TEST_CASE("everything the library refers to exists") {
    Complaints wrong;
    std::set<std::string> categories;
    for (const Ingredient* ingredient : ingredients()) {
        categories.insert(ingredient->category);
        for (const catalog::StatedValue& value : ingredient->stated) {
            for (const std::string& animal : value.animals) {
                if (!is_animal(animal)) wrong.push_back(ingredient->id + ": for " + animal);
            }
        }
        for (const catalog::Digestibility& item : ingredient->digestibility) {
            if (item.animals.empty()) wrong.push_back(ingredient->id + ": digested by nobody");
            for (const std::string& animal : item.animals) {
                if (!is_animal(animal)) wrong.push_back(ingredient->id + ": digested by " + animal);
            }
        }
    }
    for (const catalog::Profile* profile : profiles()) {
        for (const catalog::SourceConflict& conflict : profile->conflicts) {
            if (!conflict.nutrient.empty() &&
                library().dictionary().find(conflict.nutrient) == nullptr) {
                wrong.push_back(profile->species + ": conflict on " + conflict.nutrient);
            }
        }
    }
    const auto list = [&](const std::string& where, const std::vector<std::string>& ids,
                          const std::vector<std::string>& kinds,
                          const std::vector<std::string>& animals,
                          const std::vector<std::string>& stages) {
        for (const std::string& id : ids) {
            if (library().ingredient(id) == nullptr) wrong.push_back(where + ": " + id);
        }
        for (const std::string& kind : kinds) {
            if (!categories.contains(kind)) wrong.push_back(where + ": category " + kind);
        }
        for (const std::string& animal : animals) {
            if (!is_animal(animal)) wrong.push_back(where + ": animal " + animal);
        }
        for (const std::string& stage : stages) {
            const bool known =
                std::any_of(profiles().begin(), profiles().end(),
                            [&](const auto* p) { return p->stage(stage) != nullptr; });
            if (!known) wrong.push_back(where + ": stage " + stage);
        }
    };
    for (const catalog::CapGroup& group : library().caps().groups) {
        list("group " + group.id, group.members, group.categories, {}, {});
        list("group " + group.id, group.except, {}, {}, {});
    }
    for (const catalog::Cap& cap : library().caps().caps) {
        const std::string where = "cap on " + cap.subject;
        list(where, {}, {}, cap.animals, cap.stages);
        const std::size_t colon = cap.subject.find(':');
        if (colon == std::string::npos) {
            list(where, {cap.subject}, {}, {}, {});
        } else if (!cap.subject.starts_with("group:")) {
            list(where, {}, {cap.subject.substr(colon + 1)}, {}, {});
        }
    }
    for (const catalog::Content& content : library().dictionary().rules().contents) {
        list("content of " + content.substance, content.ingredients, content.categories, {}, {});
    }
    for (const catalog::Estimate& one : library().dictionary().rules().estimates) {
        list("estimate of " + one.nutrient, one.ingredients, one.categories, one.animals, {});
    }
    for (const catalog::SafeMaximum& one : library().safe_maxima()) {
        list("maximum of " + one.substance, {}, {}, one.animals, one.stages);
    }
    for (const catalog::Pond& pond : library().ponds())
        list("pond", {}, {}, pond.animals, {});
    for (const catalog::GrowthResponse& one : library().water().growth)
        list("growth in water", {}, {}, one.animals, {});
    for (const catalog::Load& one : library().water().loads)
        list("load", {}, {}, one.animals, {});
    list("air breathers", {}, {}, library().water().air_breathers, {});
    for (const Ingredient* ingredient : ingredients()) {
        list(ingredient->id + " is made for", {}, {}, ingredient->made_for,
             ingredient->made_for_stages);
    }
    for (const catalog::Caution& caution : library().cautions()) {
        for (const std::string& id : caution.ingredients) {
            if (library().ingredient(id) == nullptr) wrong.push_back(caution.id + ": " + id);
        }
        for (const std::string& category : caution.categories) {
            if (!categories.contains(category)) wrong.push_back(caution.id + ": " + category);
        }
        for (const std::string& species : caution.species) {
            if (library().profile(species) == nullptr) wrong.push_back(caution.id + ": " + species);
        }
        for (const std::string& stage : caution.stages) {
            const bool known =
                std::any_of(profiles().begin(), profiles().end(),
                            [&](const auto* p) { return p->stage(stage) != nullptr; });
            if (!known) wrong.push_back(caution.id + ": stage " + stage);
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("a caution takes at most two lines of a report") {
    Complaints wrong;
    for (const catalog::Caution& caution : library().cautions()) {
        std::string text = caution.text;
        const bool named = text.find(caution.jurisdiction) != std::string::npos;
        if (!named) text += " (" + caution.jurisdiction + ')';
        if (caution.year) text += " (" + std::to_string(*caution.year) + ')';
        if (base::wrap(text, 76).size() > 2) wrong.push_back(caution.id);
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("the stages of a species follow one another by weight") {
    Complaints wrong;
    for (const catalog::Profile* profile : profiles()) {
        const catalog::Stage* before = nullptr;
        for (const catalog::Stage& stage : profile->stages) {
            if (!stage.weight_g || !(stage.weight_g->low < stage.weight_g->high)) {
                wrong.push_back(profile->species + '/' + stage.id + ": no weights");
                continue;
            }
            if (before != nullptr) {
                const bool follows = stage.weight_g->low == before->weight_g->high;
                const bool same = stage.weight_g->low == before->weight_g->low &&
                                  stage.weight_g->high == before->weight_g->high;
                // Hens kept for breeding weigh less than the males that were fattened beside them.
                const bool hens = profile->group == "poultry" && stage.id == "breeding" &&
                                  stage.weight_g->high < before->weight_g->high;
                if (!follows && !same && !hens) wrong.push_back(profile->species + '/' + stage.id);
            }
            before = &stage;
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("a limit of a profile is one that a feed can hold") {
    // Most that a complete feed holds, in the unit of the nutrient; of protein, most that a protein
    // holds.
    const std::map<std::string, double> most{{"crude_protein", 60},
                                             {"crude_lipid", 40},
                                             {"crude_fibre", 20},
                                             {"ash", 20},
                                             {"carbohydrate", 60},
                                             {"starch", 60},
                                             {"gross_energy", 26},
                                             {"digestible_energy", 24},
                                             {"metabolisable_energy", 20},
                                             {"calcium", 5},
                                             {"phosphorus", 3},
                                             {"available_phosphorus", 2},
                                             {"sodium", 2},
                                             {"chloride", 3},
                                             {"potassium", 3},
                                             {"magnesium", 1},
                                             {"zinc", 500},
                                             {"iron", 1000},
                                             {"copper", 100},
                                             {"manganese", 300},
                                             {"selenium", 5},
                                             {"iodine", 20},
                                             {"cobalt", 10},
                                             {"vitamin_a", 50000},
                                             {"vitamin_d3", 20000},
                                             {"vitamin_e", 1000},
                                             {"vitamin_k", 60},
                                             {"thiamine", 100},
                                             {"riboflavin", 100},
                                             {"pyridoxine", 100},
                                             {"niacin", 500},
                                             {"pantothenic_acid", 200},
                                             {"folic_acid", 20},
                                             {"vitamin_b12", 1},
                                             {"biotin", 5},
                                             {"choline", 5000},
                                             {"inositol", 1000},
                                             {"vitamin_c", 2000},
                                             {"cholesterol", 3},
                                             {"dietary_electrolyte_balance", 400}};
    Complaints wrong;
    for (const catalog::Profile* profile : profiles()) {
        for (const catalog::Stage& stage : profile->stages) {
            for (const catalog::RequirementLimit& limit : stage.limits) {
                const std::string& group = library().dictionary().find(limit.nutrient)->group;
                double high = group == "amino_acid" ? 5 : group == "fatty_acid" ? 5 : 0;
                if (limit.basis == catalog::Basis::of_protein) high = 12;
                if (const auto at = most.find(limit.nutrient); at != most.end()) high = at->second;
                const std::string name = profile->species + '/' + stage.id + ": " + limit.nutrient;
                if (high == 0) high = 5;
                for (const auto& side : {limit.min, limit.max}) {
                    if (side && (*side <= 0 || *side > high))
                        wrong.push_back(name + ' ' + say(*side));
                }
                if (limit.level.empty()) wrong.push_back(name + " says no level");
            }
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("a profile says what it has no figures for") {
    struct Group {
        const char* word;
        const char* group;
    };
    const Group groups[] = {{"amino acids", "amino_acid"},
                            {"vitamins", "vitamin"},
                            {"energy", "energy"},
                            {"fatty acids", "fatty_acid"}};
    Complaints wrong;
    for (const catalog::Profile* profile : profiles()) {
        for (const Group& group : groups) {
            const bool all_stages = std::all_of(
                profile->stages.begin(), profile->stages.end(), [&](const catalog::Stage& stage) {
                    return std::any_of(
                        stage.limits.begin(), stage.limits.end(), [&](const auto& l) {
                            const std::string& of = library().dictionary().find(l.nutrient)->group;
                            return of == group.group ||
                                   (of == "digestible" &&
                                    std::string(group.word) == "amino acids" &&
                                    l.nutrient.find("lysine") != std::string::npos);
                        });
                });
            const bool says = is_one_of(group.word, profile->lacks) ||
                              is_one_of(std::string("some ") + group.word, profile->lacks);
            if (!all_stages && !says) wrong.push_back(profile->species + ": " + group.word);
            if (all_stages && is_one_of(group.word, profile->lacks)) {
                wrong.push_back(profile->species + ": has " + group.word);
            }
        }
    }
    CHECK(wrong == no_complaints);
}

TEST_CASE("the library covers what a feed is made for") {
    const std::array<const char*, 12> amino_acids{
        "arginine", "histidine",     "isoleucine", "leucine",   "lysine",     "methionine",
        "cystine",  "phenylalanine", "tyrosine",   "threonine", "tryptophan", "valine"};
    const std::array<const char*, 7> minerals{"sodium", "potassium", "magnesium", "zinc",
                                              "iron",   "copper",    "manganese"};
    std::size_t with_amino_acids = 0;
    std::size_t with_minerals = 0;
    for (const Ingredient* ingredient : ingredients()) {
        if (!is_natural(*ingredient)) continue;
        const auto stated = [&](const char* id) {
            const catalog::Amount* found = composition(*ingredient).find(id);
            return found != nullptr && found->origin == catalog::Origin::stated;
        };
        if (std::all_of(amino_acids.begin(), amino_acids.end(), stated)) ++with_amino_acids;
        if (std::all_of(minerals.begin(), minerals.end(), stated)) ++with_minerals;
    }
    CHECK(with_amino_acids >= 80);
    CHECK(with_minerals >= 60);
    Complaints missing;
    for (const char* species : {"nile-tilapia", "rainbow-trout",   "channel-catfish",
                                "common-carp",  "african-catfish", "pangasius",
                                "rohu",         "catla",           "mrigal",
                                "goldfish-koi", "atlantic-salmon", "largemouth-bass",
                                "barramundi",   "whiteleg-shrimp", "giant-freshwater-prawn",
                                "laying-hen",   "broiler",         "duck",
                                "quail",        "growing-pig",     "rabbit"}) {
        if (library().profile(species) == nullptr) missing.emplace_back(species);
    }
    CHECK(missing == no_complaints);
}
