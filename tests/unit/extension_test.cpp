// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/extension.hpp"

#include "base/diagnostics.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "limits/limit.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <string>

// A small library of round figures, so that every expected amount can be worked out in the head.

using namespace feedwright;
using catalog::Origin;

namespace {

const std::string nutrients = R"({ "format": "feedwright-nutrients/1", "nutrients": [
  { "id": "dry_matter", "name": "dry matter", "unit": "%", "group": "proximate" },
  { "id": "crude_protein", "name": "crude protein", "unit": "%", "group": "proximate" },
  { "id": "crude_lipid", "name": "crude lipid", "unit": "%", "group": "proximate" },
  { "id": "starch", "name": "starch", "unit": "%", "group": "proximate" },
  { "id": "lysine", "name": "lysine", "unit": "%", "group": "amino_acid" },
  { "id": "methionine", "name": "methionine", "unit": "%", "group": "amino_acid" },
  { "id": "cystine", "name": "cystine", "unit": "%", "group": "amino_acid" },
  { "id": "methionine_cystine", "name": "methionine + cystine", "unit": "%", "group": "amino_acid",
    "derived": { "terms": { "methionine": 1, "cystine": 1 }, "kind": "sum" } },
  { "id": "calcium", "name": "calcium", "unit": "%", "group": "macro_mineral" },
  { "id": "zinc", "name": "zinc", "unit": "mg/kg", "group": "trace_mineral" } ] })";

const std::string meal =
    R"({ "format": "feedwright-ingredient/1", "id": "meal-50", "name": "meal", "category": "fish-meal",
  "composition": [
    { "source": "a", "basis": "as_fed",
      "nutrients": { "dry_matter": 80, "crude_protein": { "value": 50, "sd": 2, "n": 9 }, "crude_lipid": { "value": 10, "sd": 1, "n": 5 },
                     "methionine": 1.5, "cystine": 0.5, "methionine_cystine": 2, "zinc": 100 } },
    { "source": "b", "basis": "of_protein", "nutrients": { "lysine": 8 } },
    { "source": "c", "basis": "dry_matter", "nutrients": { "calcium": 5 } } ],
  "zeros": { "source": "a", "nutrients": ["starch"] },
  "digestibility": [ { "nutrient": "crude_protein", "percent": 90, "for": ["fish"], "source": "a" } ],
  "processing": ["grind"] })";

const std::string profile =
    R"({ "format": "feedwright-profile/1", "species": "carp", "name": "carp", "group": "fish",
  "stages": [ { "id": "all", "name": "all", "weight_g": [1, 9],
                "limits": [ { "nutrient": "crude_protein", "min": 5, "level": "practical", "source": "a" } ] } ] })";

const std::string caps = R"({ "format": "feedwright-caps/1", "groups": [], "caps": [
  { "ingredient": "meal-50", "animals": ["fish"], "max": 30, "kind": "handbook", "source": "a" } ] })";

const std::string cautions = R"({ "format": "feedwright-cautions/1", "cautions": [
  { "id": "bones", "text": "Sharp bones.", "ingredients": ["meal-50"], "source": "a" } ] })";

struct Shelf {
    test::TempFolder folder;
    Shelf() {
        folder.write("nutrients.json", nutrients);
        folder.write("ingredients/meal-50.json", meal);
        folder.write(
            "ingredients/filler.json",
            R"({ "format": "feedwright-ingredient/1", "id": "filler", "name": "filler", "category": "cereal",
                          "composition": [ { "source": "a", "basis": "as_fed", "nutrients": { "dry_matter": 90, "crude_protein": 5 } } ] })");
        folder.write("profiles/carp.json", profile);
        folder.write("caps.json", caps);
        folder.write("cautions.json", cautions);
        folder.write(
            "sources.json",
            R"({ "format": "feedwright-sources/1", "sources": [ { "id": "a", "citation": "A", "how_known": "read" } ] })");
    }
    std::string own(const std::string& name, const std::string& ingredients) const {
        return folder.write(name, R"({ "format": "feedwright-library/1", "ingredients": [ )" +
                                      ingredients + " ] }");
    }
    catalog::Library library(const std::vector<std::string>& files = {}) const {
        return catalog::Library(folder.path().string(), files);
    }
    // The composition of the ingredient `id` once `ingredients` lie over the shelf.
    catalog::Composition composed(const std::string& ingredients, const std::string& id) const {
        catalog::Library all = library({own("own.json", ingredients)});
        const catalog::Ingredient* found = all.ingredient(id);
        REQUIRE(found != nullptr);
        return catalog::compose(*found, all.dictionary(), {"carp", "fish"});
    }
    std::string complaint(const std::string& ingredients) const {
        try {
            library({own("own.json", ingredients)});
        } catch (const base::DataError& error) {
            return error.what();
        }
        return "";
    }
};

void check(const catalog::Composition& made, const std::string& nutrient, double value,
           Origin origin) {
    INFO(nutrient);
    const catalog::Amount* amount = made.find(nutrient);
    REQUIRE(amount != nullptr);
    CHECK(amount->value == Approx(value).epsilon(1e-12));
    CHECK(catalog::to_string(amount->origin) == catalog::to_string(origin));
}

}  // namespace

TEST_CASE("an extending ingredient keeps the other values as fed when it asks so") {
    const Shelf shelf;
    const auto made = shelf.composed(
        R"({ "id": "weak", "extend": "meal-50", "scale": "none",
             "composition": [ { "source": "label", "basis": "as_fed", "nutrients": { "dry_matter": 90, "crude_protein": 40 } } ] })",
        "weak");
    check(made, "dry_matter", 90, Origin::stated);
    check(made, "crude_protein", 40, Origin::stated);
    check(made, "crude_lipid", 10, Origin::stated);
    check(made, "calcium", 4, Origin::stated);  // 5 % of 80 % dry matter, as it was
    check(made, "zinc", 100, Origin::stated);
    check(made, "starch", 0, Origin::zero);
    // Amino acids follow the protein whatever is asked.
    check(made, "lysine", 3.2, Origin::scaled);
    check(made, "methionine", 1.2, Origin::scaled);
    CHECK(made.find("crude_protein")->source == "label");
    CHECK(made.find("crude_lipid")->source == "a");
}

TEST_CASE("an extending ingredient keeps shares of dry matter unless told otherwise") {
    const Shelf shelf;
    const auto made = shelf.composed(
        R"({ "id": "wet", "extend": "meal-50",
             "composition": [ { "source": "oven", "basis": "as_fed", "nutrients": { "dry_matter": 40 } } ] })",
        "wet");
    check(made, "dry_matter", 40, Origin::stated);
    check(made, "crude_protein", 25, Origin::scaled);
    check(made, "crude_lipid", 5, Origin::scaled);
    check(made, "calcium", 2, Origin::scaled);
    check(made, "zinc", 50, Origin::scaled);
    check(made, "lysine", 2, Origin::scaled);
    check(made, "starch", 0, Origin::zero);
}

TEST_CASE("an extending ingredient scales by protein when it asks so") {
    const Shelf shelf;
    const auto made = shelf.composed(
        R"({ "id": "weak", "extend": "meal-50", "scale": "crude_protein",
             "composition": [ { "source": "lab", "basis": "dry_matter", "nutrients": { "crude_protein": 50, "crude_lipid": "100 g/kg" } } ] })",
        "weak");
    check(made, "dry_matter", 80, Origin::stated);
    check(made, "crude_protein", 40, Origin::stated);  // 50 % of the other's 80 % dry matter
    check(made, "crude_lipid", 8, Origin::stated);
    check(made, "calcium", 3.2, Origin::scaled);
    check(made, "zinc", 80, Origin::scaled);
    check(made, "lysine", 3.2, Origin::scaled);
}

TEST_CASE("a sum that the other states is worked out anew when one of its terms is replaced") {
    const Shelf shelf;
    const auto made = shelf.composed(
        R"({ "id": "rich", "extend": "meal-50",
             "composition": [ { "source": "lab", "basis": "as_fed", "nutrients": { "methionine": 1.8 } } ] })",
        "rich");
    check(made, "methionine", 1.8, Origin::stated);
    check(made, "cystine", 0.5, Origin::stated);
    check(made, "methionine_cystine", 2.3, Origin::derived);
    const auto scaled = shelf.composed(
        R"({ "id": "rich", "extend": "meal-50",
             "composition": [ { "source": "lab", "basis": "as_fed", "nutrients": { "crude_protein": 25, "methionine": 1.8 } } ] })",
        "rich");
    check(scaled, "methionine_cystine", 2.05, Origin::scaled);
}

TEST_CASE("spread and samples stay with a value that is not scaled, and only with it") {
    const Shelf shelf;
    catalog::Library library =
        shelf.library({shelf.own("own.json", R"({ "id": "wet", "extend": "meal-50",
             "composition": [ { "source": "oven", "basis": "as_fed", "nutrients": { "dry_matter": 40 } } ] },
           { "id": "same", "extend": "meal-50" })")});
    for (const catalog::StatedValue& value : library.ingredient("wet")->stated) {
        CHECK_FALSE(value.n);
        CHECK_FALSE(value.sd);
    }
    const catalog::Ingredient& same = *library.ingredient("same");
    CHECK(same.name == "same");
    CHECK(same.category == "fish-meal");
    CHECK(same.processing == std::vector<std::string>{"grind"});
    CHECK(same.digestibility.size() == 1);
    CHECK(same.stated.size() == library.ingredient("meal-50")->stated.size());
    CHECK(same.stated[1].n == 9.0);
    CHECK_FALSE(same.stated[1].scaled);
}

TEST_CASE("a user's file lies over the library, and a later one over an earlier one") {
    const Shelf shelf;
    const std::string first = shelf.own("first.json", R"({ "id": "meal-50", "extend": "meal-50",
             "composition": [ { "source": "lab 1", "basis": "as_fed", "nutrients": { "zinc": 200 } } ] })");
    const std::string second = shelf.own("second.json", R"({ "id": "meal-50", "extend": "meal-50",
             "composition": [ { "source": "lab 2", "basis": "as_fed", "nutrients": { "crude_lipid": 12 } } ] },
           { "id": "new-one", "name": "new", "category": "cereal",
             "composition": [ { "source": "lab 2", "basis": "as_fed", "nutrients": { "dry_matter": 88 } } ] })");
    catalog::Library library = shelf.library({first, second});
    const auto made = catalog::compose(*library.ingredient("meal-50"), library.dictionary(), {});
    check(made, "zinc", 200, Origin::stated);
    check(made, "crude_lipid", 12, Origin::stated);
    CHECK(made.find("zinc")->source == "lab 1");
    CHECK(library.ingredient("meal-50")->name == "meal");
    CHECK(library.ingredient_ids() == std::vector<std::string>{"filler", "meal-50", "new-one"});
    CHECK(library.own_files() == std::vector<std::string>{first, second});
    CHECK(library.ingredient("filler") != nullptr);
}

TEST_CASE("a user's file may hold profiles and sources") {
    const Shelf shelf;
    const std::string file = shelf.folder.write("own.json", R"({ "format": "feedwright-library/1",
      "sources": [ { "id": "my-book", "citation": "A book", "how_known": "read" } ],
      "profiles": [ { "species": "snail", "name": "snail", "group": "fish",
                      "stages": [ { "id": "all", "name": "all", "limits": [ { "nutrient": "calcium", "min": 3, "source": "my-book" } ] } ] } ] })");
    catalog::Library library = shelf.library({file});
    CHECK(library.species() == std::vector<std::string>{"carp", "snail"});
    CHECK(library.profile_ids() == std::vector<std::string>{"carp/all", "snail/all"});
    REQUIRE(library.source("my-book") != nullptr);
    CHECK(library.source("a") != nullptr);
}

TEST_CASE("caps and cautions of an ingredient hold for what extends it") {
    const Shelf shelf;
    catalog::Library library =
        shelf.library({shelf.own("own.json", R"({ "id": "weak", "extend": "meal-50" },
      { "id": "weaker", "extend": "weak" })")});
    const std::string file =
        shelf.folder.write("job.json", R"({ "format": "feedwright-job/1", "profile": "carp/all",
      "ingredients": [ { "id": "weaker", "price": 1 }, { "id": "filler", "price": 2 } ] })");
    const job::Job job = job::read_job(file, library, {});
    REQUIRE(job.caps.size() == 1);
    CHECK(job.caps[0].ingredients == std::vector<std::string>{"weaker"});
    CHECK(limits::cautions_for(job, {0.5, 0.5}, library.cautions()).size() == 1);
    CHECK(limits::cautions_for(job, {1, 0}, library.cautions()).empty());
    CHECK(job.inputs.size() == 2);
}

TEST_CASE(
    "a cap on a group counts all of its forms together, and is a plain cap where there is one") {
    const Shelf shelf;
    shelf.folder.write("caps.json", R"({ "format": "feedwright-caps/1",
      "groups": [ { "id": "pair", "name": "meal and filler", "members": ["meal-50"], "categories": ["cereal"] } ],
      "caps": [ { "ingredient": "group:pair", "animals": ["fish"], "max": 15, "kind": "handbook", "source": "a" } ] })");
    const auto caps = [&](const std::string& ingredients) {
        const std::string file = shelf.folder.write(
            "job.json",
            R"({ "format": "feedwright-job/1", "profile": "carp/all", "ingredients": [ )" +
                ingredients + " ] }");
        catalog::Library library = shelf.library();
        return job::read_job(file, library, {}).caps;
    };
    const auto both = caps(R"({ "id": "meal-50", "price": 1 }, { "id": "filler", "price": 1 })");
    REQUIRE(both.size() == 1);
    CHECK(both[0].subject == "group:pair");
    CHECK(both[0].name == "meal and filler");
    CHECK(both[0].ingredients == std::vector<std::string>{"filler", "meal-50"});
    CHECK(both[0].max == 15);
    const auto one = caps(
        R"({ "id": "mine", "extend": "meal-50", "price": 1, "nutrients": { "crude_protein": 47 } })");
    REQUIRE(one.size() == 1);
    CHECK(one[0].subject == "mine");
    CHECK(caps(R"({ "id": "meal-50", "price": 1, "max": 30 })").empty());
}

TEST_CASE("a library file may hold caps beside those of the library") {
    const Shelf shelf;
    catalog::Library library =
        shelf.library({shelf.folder.write("own.json", R"({ "format": "feedwright-library/1",
      "caps": [ { "ingredient": "meal-50", "animals": ["carp"], "max": 45, "kind": "tried", "source": "our tanks" } ] })")});
    const std::string file =
        shelf.folder.write("job.json", R"({ "format": "feedwright-job/1", "profile": "carp/all",
      "ingredients": [ { "id": "meal-50", "price": 1 }, { "id": "filler", "price": 2 } ] })");
    const job::Job job = job::read_job(file, library, {});
    REQUIRE(job.caps.size() == 1);
    CHECK(job.caps[0].max == 45);
    CHECK(job.caps[0].source == "our tanks");
}

TEST_CASE("an ingredient of a job may extend one of the library") {
    const Shelf shelf;
    catalog::Library library = shelf.library();
    const std::string file = shelf.folder.write("job.json", R"({ "format": "feedwright-job/1",
      "ingredients": [ { "id": "weak", "extend": "meal-50", "scale": "crude_protein", "price": 1,
                         "nutrients": { "crude_protein": 40 } },
                       { "id": "meal-50", "extend": "meal-50", "dry_matter": 40, "price": 1 } ],
      "limits": [ { "nutrient": "zinc", "min": 1 } ] })");
    const job::Job job = job::read_job(file, library, {});
    check(job.find("weak")->composition, "zinc", 80, Origin::scaled);
    check(job.find("weak")->composition, "crude_protein", 40, Origin::stated);
    check(job.find("meal-50")->composition, "zinc", 50, Origin::scaled);
    CHECK(job.find("weak")->category == "fish-meal");
    const auto assessment = limits::assess(job, limits::limits_of(job), {0.5, 0.5});
    for (const auto& item : assessment.analysis) {
        if (item.nutrient == "zinc") CHECK(item.origin == Origin::scaled);
    }
}

TEST_CASE("what cannot be extended or scaled is refused with its reason") {
    const Shelf shelf;
    const auto contains = [](const std::string& text) { return Catch::Matchers::Contains(text); };
    CHECK_THAT(shelf.complaint(R"({ "id": "x", "extend": "meal-5" })"),
               contains("Did you mean \"meal-50\"?"));
    CHECK_THAT(
        shelf.complaint(R"({ "id": "x", "extend": "y" }, { "id": "y", "extend": "meal-50" })"),
        contains("one that stands before this one"));
    CHECK_THAT(shelf.complaint(R"({ "id": "x", "extend": "meal-50", "scale": "protein" })"),
               contains("none, dry_matter or crude_protein"));
    CHECK_THAT(
        shelf.complaint(R"({ "id": "x", "name": "x", "category": "cereal", "scale": "none" })"),
        contains("a scale and no \"extend\""));
    CHECK_THAT(shelf.complaint(R"({ "id": "x", "extend": "meal-50", "scale": "crude_protein" })"),
               contains("no crude protein of its own"));
    CHECK_THAT(shelf.complaint(R"({ "id": "x" })"), contains("\"name\""));
    CHECK_THAT(shelf.complaint(
                   R"({ "id": "x", "extend": "meal-50" }, { "id": "x", "extend": "meal-50" })"),
               contains("each id once"));
    CHECK_THAT(shelf.complaint(R"({ "id": "none", "name": "none", "category": "premix" },
                                  { "id": "x", "extend": "none",
                                    "composition": [ { "source": "s", "basis": "as_fed", "nutrients": { "dry_matter": 90 } } ] })"),
               contains("no dry matter to scale by"));
    CHECK_THAT(shelf.complaint(R"({ "id": "fat", "name": "fat", "category": "oil",
                                    "composition": [ { "source": "s", "basis": "as_fed", "nutrients": { "dry_matter": 50, "crude_lipid": 60 } } ] },
                                  { "id": "dry-fat", "extend": "fat",
                                    "composition": [ { "source": "s", "basis": "as_fed", "nutrients": { "dry_matter": 90 } } ] })"),
               contains("108.0 % crude lipid after scaling"));
}
