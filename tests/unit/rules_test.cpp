// SPDX-License-Identifier: GPL-3.0-or-later
// What holds for kinds of ingredients and of animals: which cap, content and estimate counts.
#include "catalog/rules.hpp"

#include "catalog/cap.hpp"
#include "catalog/library.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <memory>
#include <string>
#include <utility>
#include <vector>

using namespace feedwright;
using catalog::Animal;
using catalog::Basis;
using catalog::Cap;
using catalog::Ingredient;
using catalog::Origin;
using Kind = Cap::Kind;

namespace {

const Animal tilapia{"nile-tilapia", "fish", "fish-omnivore", "fry"};

Cap cap(Kind kind, double max, std::vector<std::string> animals,
        std::vector<std::string> stages = {}) {
    Cap one;
    one.subject = "meal";
    one.kind = kind;
    one.max = max;
    one.animals = std::move(animals);
    one.stages = std::move(stages);
    return one;
}

// The number in force, or -1 without one.
double in_force(const std::vector<Cap>& caps, const Animal& animal = tilapia) {
    std::vector<const Cap*> list;
    for (const Cap& one : caps)
        list.push_back(&one);
    const auto held = catalog::cap_in_force(list, animal);
    return held ? held->cap.max : -1;
}

const catalog::NutrientDictionary& dictionary() {
    static const catalog::Library library((test::source_folder() / "data").string());
    return library.dictionary();
}

catalog::NutrientDictionary with(catalog::CompositionRules rules) {
    catalog::NutrientDictionary own = dictionary();
    own.set_rules(std::make_shared<const catalog::CompositionRules>(std::move(rules)));
    return own;
}

Ingredient meal(const std::string& category,
                const std::vector<std::pair<std::string, double>>& values,
                const std::string& id = "meal") {
    Ingredient ingredient;
    ingredient.id = id;
    ingredient.category = category;
    for (const auto& [nutrient, amount] : values) {
        catalog::StatedValue value;
        value.nutrient = nutrient;
        value.amount = amount;
        ingredient.stated.push_back(value);
    }
    return ingredient;
}

}  // namespace

TEST_CASE("what names the species is nearest, then its class, its group, and any animal") {
    CHECK(catalog::closeness({"fish", "nile-tilapia"}, tilapia) == 4);
    CHECK(catalog::closeness({"fish-omnivore", "poultry"}, tilapia) == 3);
    CHECK(catalog::closeness({"fish"}, tilapia) == 2);
    CHECK(catalog::closeness({"all"}, tilapia) == 1);
    CHECK(catalog::closeness({}, tilapia) == 1);
    CHECK(catalog::closeness({"fish-carnivore", "poultry"}, tilapia) == 0);
    // No animal is not the animal whose words are empty.
    CHECK(catalog::closeness({"fish"}, Animal{}) == 0);
}

TEST_CASE(
    "of two equally near entries the one that names the stage counts, and one for other stages "
    "never") {
    CHECK(catalog::closeness({"fish"}, {"fry"}, tilapia) >
          catalog::closeness({"fish"}, {}, tilapia));
    CHECK(catalog::closeness({"nile-tilapia"}, {"grow-out"}, tilapia) == 0);
    // A nearer animal outweighs a stage.
    CHECK(catalog::closeness({"fish-omnivore"}, {}, tilapia) >
          catalog::closeness({"fish"}, {"fry"}, tilapia));
}

TEST_CASE("the best known kind of cap counts, whatever its number") {
    const Cap species = cap(Kind::tried, 30, {"nile-tilapia"});
    const Cap of_class = cap(Kind::tried, 40, {"fish-omnivore"});
    const Cap handbook = cap(Kind::handbook, 10, {"nile-tilapia"});
    const Cap rule = cap(Kind::rule_of_thumb, 5, {"nile-tilapia"});
    const Cap otherwise = cap(Kind::by_default, 2, {"nile-tilapia"});
    CHECK(in_force({otherwise, rule, handbook, of_class, species}) == 30);
    CHECK(in_force({otherwise, rule, handbook, of_class}) == 40);
    CHECK(in_force({otherwise, rule, handbook}) == 10);
    CHECK(in_force({otherwise, rule}) == 5);
    CHECK(in_force({otherwise}) == 2);
    CHECK(in_force({}) == -1);
}

TEST_CASE(
    "of levels tried the highest counts, of advice the lowest, and the nearest animal before "
    "both") {
    CHECK(in_force({cap(Kind::tried, 20, {"nile-tilapia"}),
                    cap(Kind::tried, 25, {"nile-tilapia"})}) == 25);
    CHECK(in_force({cap(Kind::handbook, 20, {"fish"}), cap(Kind::handbook, 15, {"fish"})}) == 15);
    CHECK(in_force({cap(Kind::handbook, 20, {"nile-tilapia"}),
                    cap(Kind::handbook, 15, {"fish"})}) == 20);
    CHECK(in_force({cap(Kind::tried, 60, {"fish"}), cap(Kind::tried, 25, {"fish-omnivore"})}) ==
          25);
}

TEST_CASE("a cap for other animals or stages does not count") {
    CHECK(in_force({cap(Kind::tried, 20, {"rainbow-trout"})}) == -1);
    CHECK(in_force({cap(Kind::tried, 20, {"nile-tilapia"}, {"grow-out"}),
                    cap(Kind::by_default, 5, {"all"})}) == 5);
    CHECK(in_force({cap(Kind::handbook, 20, {"fish"}, {"fry"}),
                    cap(Kind::handbook, 10, {"fish"})}) == 20);
}

TEST_CASE("a level that cost growth is a ceiling: the cap stays a tenth below it") {
    const Cap loss = cap(Kind::first_loss, 20, {"nile-tilapia"});
    CHECK(in_force({cap(Kind::handbook, 30, {"nile-tilapia"}), loss}) == Approx(18));
    CHECK(in_force({cap(Kind::tried, 30, {"nile-tilapia"}), loss}) == Approx(18));
    CHECK(in_force({cap(Kind::tried, 15, {"nile-tilapia"}), loss}) == 15);
    CHECK(in_force({loss}) == Approx(18));
    // A loss in a more distant animal says nothing against what was tried in this one.
    CHECK(in_force({cap(Kind::tried, 30, {"nile-tilapia"}), cap(Kind::first_loss, 20, {"fish"})}) ==
          30);
    // It does where only a rule for every animal stands beside it.
    CHECK(in_force({cap(Kind::by_default, 30, {"all"}), cap(Kind::first_loss, 20, {"fish"})}) ==
          Approx(18));
    // The lowest of two losses counts.
    CHECK(in_force({cap(Kind::by_default, 30, {"all"}), loss,
                    cap(Kind::first_loss, 10, {"nile-tilapia"})}) == Approx(9));
}

TEST_CASE("a cap on each ingredient of a kind, on a kind together and on a group together") {
    catalog::CapTable table;
    table.groups.push_back(
        {"cakes", "oil cakes", {"copra-cake"}, {"oilcake"}, {"soybean-meal-44"}});
    Cap one;
    one.subject = "each:leaf-meal";
    CHECK(table.covers(one, "leucaena-leaf-meal", "leaf-meal", {}));
    CHECK_FALSE(table.covers(one, "maize", "cereal", {}));
    CHECK_FALSE(one.is_sum());
    one.subject = "category:leaf-meal";
    CHECK(table.covers(one, "leucaena-leaf-meal", "leaf-meal", {}));
    CHECK(one.is_sum());
    one.subject = "group:cakes";
    CHECK(one.is_sum());
    CHECK(table.covers(one, "cottonseed-meal", "oilcake", {}));
    CHECK(table.covers(one, "copra-cake", "by-product", {}));
    CHECK_FALSE(table.covers(one, "soybean-meal-44", "oilcake", {}));
    // What extends a member is one, what extends an exception is none.
    CHECK(table.covers(one, "my-copra", "", {"copra-cake"}));
    CHECK_FALSE(table.covers(one, "my-soya", "oilcake", {"soybean-meal-44"}));
}

TEST_CASE(
    "an ingredient counts what is typical of it, one of a risky kind what is high for the kind") {
    catalog::CompositionRules rules;
    rules.contents.push_back({"gossypol_free", {"meal"}, {}, 600, 1200, Basis::as_fed, "own", ""});
    rules.contents.push_back(
        {"gossypol_free", {}, {"oilcake"}, 0, 1500, Basis::as_fed, "kind", ""});
    rules.contents.push_back(
        {"gossypol_free", {"clean-meal"}, {}, 0, 0, Basis::as_fed, "clean", ""});
    const catalog::NutrientDictionary own = with(rules);
    const auto gossypol = [&](const Ingredient& of) {
        return catalog::compose(of, own, tilapia).find("gossypol_free");
    };
    const catalog::Composition named = catalog::compose(meal("oilcake", {}), own, tilapia);
    REQUIRE(named.find("gossypol_free") != nullptr);
    CHECK(named.find("gossypol_free")->value == 600);
    CHECK(named.find("gossypol_free")->origin == Origin::stated);
    CHECK(named.find("gossypol_free")->source == "own");
    const catalog::Composition other = catalog::compose(meal("oilcake", {}, "other"), own, tilapia);
    REQUIRE(other.find("gossypol_free") != nullptr);
    CHECK(other.find("gossypol_free")->value == 1500);
    CHECK(other.find("gossypol_free")->origin == Origin::assumed);
    // A true zero is known, not assumed.
    const catalog::Composition clean =
        catalog::compose(meal("oilcake", {}, "clean-meal"), own, tilapia);
    REQUIRE(clean.find("gossypol_free") != nullptr);
    CHECK(clean.find("gossypol_free")->value == 0);
    CHECK(clean.find("gossypol_free")->origin == Origin::stated);
    CHECK(gossypol(meal("cereal", {}, "grain")) == nullptr);
    // What the ingredient's own file says stands.
    const catalog::Composition measured =
        catalog::compose(meal("oilcake", {{"gossypol_free", 50}}), own, tilapia);
    CHECK(measured.find("gossypol_free")->value == 50);
}

TEST_CASE("a content of dry matter counts as fed") {
    catalog::CompositionRules rules;
    rules.contents.push_back({"oxalate", {"meal"}, {}, 2, 4, Basis::dry_matter, "own", ""});
    const catalog::NutrientDictionary own = with(rules);
    CHECK(catalog::compose(meal("leaf-meal", {{"dry_matter", 50}}), own, tilapia)
              .find("oxalate")
              ->value == Approx(1));
    // Without a dry matter it cannot be said.
    CHECK(catalog::compose(meal("leaf-meal", {}), own, tilapia).find("oxalate") == nullptr);
}

TEST_CASE(
    "an equation for the ingredient counts before one for its kind, and one that can be worked out "
    "before none") {
    catalog::CompositionRules rules;
    const auto add = [&](std::vector<std::string> categories, std::vector<std::string> ingredients,
                         std::vector<std::string> animals, const std::string& term, double factor) {
        rules.estimates.push_back({"digestible_energy",
                                   std::move(animals),
                                   std::move(categories),
                                   std::move(ingredients),
                                   0,
                                   {{term, factor}},
                                   {},
                                   "source",
                                   ""});
    };
    add({}, {}, {"fish"}, "crude_protein", 0.1);
    add({"cereal"}, {}, {"fish"}, "crude_protein", 0.2);
    add({}, {"meal"}, {"fish"}, "starch", 0.3);
    add({"cereal"}, {}, {"nile-tilapia"}, "sugars", 0.4);
    const catalog::NutrientDictionary own = with(rules);
    const auto energy = [&](const Ingredient& of, const Animal& animal) {
        const catalog::Composition made = catalog::compose(of, own, animal);
        const catalog::Amount* amount = made.find("digestible_energy");
        return amount == nullptr ? -1 : amount->value;
    };
    const Animal trout{"rainbow-trout", "fish", "fish-carnivore", "fry"};
    // Its own, where its term is known.
    CHECK(energy(meal("cereal", {{"crude_protein", 10}, {"starch", 60}, {"sugars", 6}}), tilapia) ==
          Approx(18));
    // Without starch the next one: of its kind, nearest to the animal.
    CHECK(energy(meal("cereal", {{"crude_protein", 10}, {"sugars", 6}}), tilapia) == Approx(2.4));
    // Without sugars the one of its kind for the group.
    CHECK(energy(meal("cereal", {{"crude_protein", 10}}), tilapia) == Approx(2));
    CHECK(energy(meal("cereal", {{"crude_protein", 10}, {"sugars", 6}}), trout) == Approx(2));
    // Of another kind the one for any ingredient.
    CHECK(energy(meal("pulse", {{"crude_protein", 10}}, "bean"), tilapia) == Approx(1));
    // A stated value stands.
    CHECK(energy(meal("cereal", {{"crude_protein", 10}, {"digestible_energy", 14}}), tilapia) ==
          14);
    const catalog::Composition made =
        catalog::compose(meal("cereal", {{"crude_protein", 10}}), own, tilapia);
    CHECK(made.find("digestible_energy")->origin == Origin::estimated);
}

TEST_CASE("a tolerance above the declared content itself can be read") {
    catalog::Library library((test::source_folder() / "data").string());
    bool above_the_whole = false;
    for (const catalog::Tolerance& one : library.tolerances()) {
        for (const catalog::Tolerance::Band& band : one.above) {
            above_the_whole = above_the_whole || (band.percent && *band.percent > 100);
        }
    }
    CHECK(above_the_whole);
}
