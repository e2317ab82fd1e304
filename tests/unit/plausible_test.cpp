// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/plausible.hpp"

#include "catalog/library.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <string>
#include <utility>
#include <vector>

using namespace feedwright;
using catalog::Basis;
using catalog::ImpossibleValue;
using catalog::Ingredient;
using Catch::Matchers::Contains;
using Kind = ImpossibleValue::Kind;

namespace {

const catalog::NutrientDictionary& dictionary() {
    static const catalog::Library library((test::source_folder() / "data").string());
    return library.dictionary();
}

using Values = std::vector<std::pair<std::string, double>>;

Ingredient meal(const Values& values, const std::string& category = "",
                Basis basis = Basis::as_fed) {
    Ingredient ingredient;
    ingredient.id = "meal";
    ingredient.category = category;
    for (const auto& [nutrient, amount] : values) {
        catalog::StatedValue value;
        value.nutrient = nutrient;
        value.amount = amount;
        value.basis = nutrient == "dry_matter" ? Basis::as_fed : basis;
        ingredient.stated.push_back(value);
    }
    return ingredient;
}

// Every problem as one text; none gives an empty one.
std::string found_in(const Ingredient& ingredient) {
    std::string text;
    for (const ImpossibleValue& impossible : catalog::impossible_values(ingredient, dictionary())) {
        text += impossible.problem.text() + '\n';
    }
    return text;
}

std::string found(const Values& values, const std::string& category = "") {
    return found_in(meal(values, category));
}

void only(const Values& values, Kind kind, const std::string& nutrient,
          const std::string& category = "") {
    const auto list = catalog::impossible_values(meal(values, category), dictionary());
    INFO(found(values, category));
    REQUIRE(list.size() == 1);
    CHECK(list[0].kind == kind);
    CHECK(list[0].nutrient == nutrient);
    CHECK(list[0].problem.place == "meal");
}

}  // namespace

TEST_CASE("an ordinary feed has nothing impossible about it") {
    CHECK(found(Values{}).empty());
    CHECK(found({{"dry_matter", 88},
                 {"crude_protein", 9},
                 {"crude_lipid", 4},
                 {"crude_fibre", 2},
                 {"ash", 1.5},
                 {"starch", 62},
                 {"sugars", 2},
                 {"lysine", 0.25},
                 {"methionine", 0.19},
                 {"methionine_cystine", 0.38},
                 {"phosphorus", 0.27},
                 {"phytate_phosphorus", 0.19},
                 {"linoleic_18_2n6", 1.9},
                 {"metabolisable_energy", 14},
                 {"gross_energy", 16.5}})
              .empty());
}

TEST_CASE("parts are within the dry matter, by 3 points or a tenth of it, whichever is less") {
    const Values dry{{"dry_matter", 90}, {"crude_protein", 50}, {"crude_lipid", 30}};
    const auto with = [](Values values, double ash) {
        values.emplace_back("ash", ash);
        return values;
    };
    CHECK(found(with(dry, 12.9)).empty());
    only(with(dry, 13.1), Kind::parts, "");
    CHECK_THAT(found(with(dry, 13.1)),
               Contains("protein, lipid and ash that add to 93.1 % as fed, in 90 % dry matter"));
    const Values wet{{"dry_matter", 20}, {"crude_protein", 18}, {"crude_lipid", 2}};
    CHECK(found(with(wet, 1.9)).empty());
    only(with(wet, 2.1), Kind::parts, "");
    only({{"dry_matter", 88}, {"crude_protein", 9}, {"starch", 70}, {"sugars", 15}}, Kind::parts,
         "");
    only({{"crude_protein", 60}, {"crude_lipid", 44}}, Kind::parts, "");
    only({{"dry_matter", 98}, {"calcium", 60}, {"phosphorus", 50}}, Kind::parts, "");
    // On dry matter 100 parts are what they are.
    CHECK(found_in(
              meal({{"dry_matter", 20}, {"crude_protein", 80}, {"ash", 20}}, "", Basis::dry_matter))
              .empty());
}

TEST_CASE("no nutrient is less than none or more than all of the feed") {
    only({{"dry_matter", 90}, {"calcium", -1}}, Kind::negative, "calcium");
    only({{"dry_matter", 90}, {"crude_protein", 140}}, Kind::above_all, "crude_protein");
    only({{"zinc", 1.2e6}}, Kind::above_all, "zinc");
    CHECK(found({{"zinc", 8e5}}).empty());
    CHECK(found({{"crude_lipid", 100}, {"dry_matter", 100}}).empty());
    CHECK(found({{"vitamin_a", 5e8}}).empty());  // IU weigh next to nothing
}

TEST_CASE("amino acids are no more than the protein they make, 16 % of water aside") {
    only({{"crude_protein", 20}, {"lysine", 25}}, Kind::amino_acids, "lysine");
    only({{"crude_protein", 20}, {"lysine", 6}, {"leucine", 9}, {"glutamic_acid", 9}},
         Kind::amino_acids, "");
    // Tables of milk powder add to 107 % of the protein.
    CHECK(found({{"crude_protein", 20}, {"lysine", 3}, {"leucine", 9.4}, {"glutamic_acid", 9}})
              .empty());
    // Lysine is a fifth nitrogen: 19 % of it counts as 22.8 % protein.
    only({{"crude_protein", 20}, {"lysine", 19}}, Kind::amino_acids, "lysine", "amino-acid");
    CHECK_THAT(found({{"crude_protein", 20}, {"arginine", 12}}),
               Contains("arginine whose nitrogen x 6.25 is 24"));
    // What a sum holds beyond its parts counts too, and the sum beside its parts does not count
    // twice.
    only({{"crude_protein", 2}, {"methionine_cystine", 2.5}}, Kind::amino_acids,
         "methionine_cystine");
    CHECK(
        found({{"crude_protein", 10}, {"methionine", 3}, {"cystine", 3}, {"methionine_cystine", 6}})
            .empty());
    CHECK(found({{"lysine", 3}}).empty());  // no protein to hold it against
}

TEST_CASE("free amino acids and urea go by their nitrogen") {
    // Nitrogen x 6.25 from the formulas: methionine 58.7, arginine 201, urea 291.6 %.
    CHECK(found({{"dry_matter", 99}, {"crude_protein", 58.1}, {"methionine", 99}}).empty());
    CHECK(found({{"dry_matter", 99}, {"crude_protein", 198}, {"arginine", 98.5}}).empty());
    CHECK(
        found({{"dry_matter", 98.5}, {"crude_protein", 94.4}, {"lysine", 78.8}, {"chloride", 19.1}})
            .empty());
    CHECK(found({{"dry_matter", 99}, {"crude_protein", 287}}, "amino-acid").empty());
    CHECK_THAT(found({{"dry_matter", 99}, {"crude_protein", 287}}), Contains("\"amino-acid\""));
    only({{"dry_matter", 99}, {"crude_protein", 40}, {"methionine", 99}}, Kind::amino_acids,
         "methionine", "amino-acid");
}

TEST_CASE("a part is no more than its whole") {
    only({{"phosphorus", 0.5}, {"available_phosphorus", 0.8}}, Kind::part_of_whole,
         "available_phosphorus");
    only({{"phosphorus", 0.5}, {"phytate_phosphorus", 0.6}}, Kind::part_of_whole,
         "phytate_phosphorus");
    only({{"methionine", 0.9}, {"methionine_cystine", 0.7}}, Kind::part_of_whole, "methionine");
    only({{"methionine", 0.5}, {"cystine", 0.5}, {"methionine_cystine", 0.7}}, Kind::part_of_whole,
         "methionine_cystine");
    only({{"crude_lipid", 4}, {"epa_dha", 5}}, Kind::part_of_whole, "epa_dha");
    only({{"crude_lipid", 4}, {"epa", 3}, {"dha", 2.5}}, Kind::part_of_whole, "");
    only({{"crude_lipid", 4}, {"n3_fatty_acids", 2}, {"n6_fatty_acids", 3}}, Kind::part_of_whole,
         "");
    only({{"gross_energy", 15}, {"digestible_energy", 17}}, Kind::part_of_whole,
         "digestible_energy");
    only({{"lysine", 2}, {"digestible_lysine", 3}}, Kind::part_of_whole, "digestible_lysine");
    only({{"ndf", 20}, {"adf", 30}}, Kind::part_of_whole, "adf");
    // Two determinations, or figures rounded: 5 % apart.
    CHECK(found({{"phosphorus", 0.50}, {"available_phosphorus", 0.52}}).empty());
    CHECK(found({{"ndf", 20}, {"adf", 21.5}}).empty());
    // The gross energy that is estimated from the parts judges nothing.
    CHECK(found({{"dry_matter", 88},
                 {"crude_protein", 9},
                 {"crude_lipid", 4},
                 {"ash", 2},
                 {"digestible_energy", 19}})
              .empty());
}

TEST_CASE("energy above that of fat is kcal or kJ, and is told so with the number converted") {
    CHECK_THAT(found({{"metabolisable_energy", 3200}}),
               Contains("3200 MJ/kg metabolisable energy") &&
                   Contains("3200 kcal/kg is 13.4 MJ/kg. Write \"3200 kcal/kg\""));
    CHECK_THAT(found({{"metabolisable_energy", 320}}), Contains("3200 kcal/kg is 13.4 MJ/kg"));
    CHECK_THAT(found({{"gross_energy", 18500}}), Contains("18500 kJ/kg is 18.5 MJ/kg"));
    CHECK(found({{"gross_energy", 39.5}}).empty());
    // The number as it was written, not as fed.
    CHECK_THAT(found_in(meal({{"dry_matter", 50}, {"gross_energy", 4000}}, "", Basis::dry_matter)),
               Contains("4000 kcal/kg is 16.7 MJ/kg"));
}

TEST_CASE("a value for one animal is judged, and is told once") {
    Ingredient ingredient = meal({{"gross_energy", 16}});
    for (const char* animal : {"pig", "poultry"}) {
        catalog::StatedValue value;
        value.nutrient = "metabolisable_energy";
        value.amount = 3300;
        value.animals = {animal};
        ingredient.stated.push_back(value);
    }
    CHECK(catalog::impossible_values(ingredient, dictionary()).size() == 1);
}

TEST_CASE("a limit that nothing can reach or break is told") {
    const auto problem = [](const char* id, double amount, Basis basis = Basis::as_fed) {
        const auto made = catalog::impossible_limit(*dictionary().find(id), amount, basis);
        return made ? made->text() : "";
    };
    CHECK_THAT(problem("digestible_energy", 2900), Contains("2900 kcal/kg is 12.1 MJ/kg"));
    CHECK_THAT(problem("crude_protein", 140), Contains("at most 100 %"));
    CHECK(problem("digestible_energy", 13).empty());
    CHECK(problem("crude_protein", 100).empty());
    CHECK(problem("vitamin_a", 1e7).empty());
    CHECK(problem("lysine", 7, Basis::of_protein).empty());
    const catalog::Nutrient& lysine = *dictionary().find("lysine");
    CHECK(catalog::limits_at_odds(lysine, 40, 30));
    CHECK_FALSE(catalog::limits_at_odds(lysine, 2, 30));
    CHECK_FALSE(catalog::limits_at_odds(*dictionary().find("ash"), 40, 30));
}
