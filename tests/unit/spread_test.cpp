// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "catalog/extension.hpp"
#include "catalog/library.hpp"
#include "catalog/rules.hpp"
#include "document/document.hpp"
#include "report/catalog/catalog_pages.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <string>

// How far samples of an ingredient differ: read from a file, shown, and given where a file says
// nothing.

using namespace feedwright;
using catalog::Spread;

namespace {

const std::string nutrients = R"({ "format": "feedwright-nutrients/1", "nutrients": [
  { "id": "dry_matter", "name": "dry matter", "unit": "%", "group": "proximate" },
  { "id": "crude_protein", "name": "crude protein", "unit": "%", "group": "proximate" },
  { "id": "lysine", "name": "lysine", "unit": "%", "group": "amino_acid" },
  { "id": "valine", "name": "valine", "unit": "%", "group": "amino_acid" } ] })";

struct Shelf {
    test::TempFolder folder;
    Shelf(const std::string& values, const std::string& variation = "") {
        folder.write("nutrients.json", nutrients);
        folder.write(
            "ingredients/meal.json",
            R"({ "format": "feedwright-ingredient/1", "id": "meal", "name": "meal", "category": "oilcake",
                          "composition": [ { "source": "a", "basis": "dry_matter", "nutrients": { "dry_matter": 80, )" +
                values + " } } ] }");
        if (!variation.empty()) folder.write("variation.json", variation);
    }
    catalog::Library library() const { return catalog::Library(folder.path().string()); }
};

std::string complaint(const std::string& values) {
    const Shelf shelf(values);
    auto library = shelf.library();
    try {
        library.ingredient("meal");
    } catch (const base::DataError& error) {
        return error.what();
    }
    return "";
}

const std::string table = R"({ "format": "feedwright-variation/1",
  "ingredients": [ { "ingredient": "meal", "nutrient": "lysine", "cv_percent": 19, "n": 12, "spread": "lots", "source": "a" } ],
  "defaults": [ { "nutrient": "group:amino_acid", "cv_percent": 1, "spread": "assumed", "source": "a" },
                { "category": "oilcake", "nutrient": "group:amino_acid", "cv_percent": 3, "spread": "assumed", "source": "a" },
                { "nutrient": "valine", "cv_percent": 2, "spread": "lots", "source": "a" },
                { "category": "cereal", "nutrient": "valine", "cv_percent": 4, "spread": "lots", "source": "a" } ] })";

}  // namespace

TEST_CASE("the lowest, the highest and the kind of spread of a value are read") {
    const Shelf shelf(
        R"("crude_protein": { "value": 44, "sd": 1.2, "n": 31, "min": 40, "max": 47, "spread": "lots" })");
    auto library = shelf.library();
    const catalog::StatedValue& value = library.ingredient("meal")->stated.back();
    CHECK(value.min == 40.0);
    CHECK(value.max == 47.0);
    CHECK(value.spread == Spread::lots);
}

TEST_CASE("a spread that cannot be is refused") {
    CHECK(complaint(R"("crude_protein": { "value": 44, "spread": "lots" })").find("spread") !=
          std::string::npos);
    CHECK(complaint(R"("crude_protein": { "value": 44, "sd": 1, "spread": "batches" })")
              .find("batches") != std::string::npos);
    CHECK(complaint(R"("crude_protein": { "value": 44, "min": 45 })").find("outside") !=
          std::string::npos);
    CHECK(complaint(R"("crude_protein": { "value": 44, "max": 43 })").find("outside") !=
          std::string::npos);
    CHECK(
        complaint(
            R"("crude_protein": { "value": 44, "min": 43, "max": 45, "n": 2, "spread": "samples" })")
            .empty());
}

TEST_CASE("the page of an ingredient says what its spread is a spread of") {
    const Shelf shelf(
        R"("crude_protein": { "value": 50, "sd": 1, "n": 3, "min": 45, "max": 55, "spread": "replicates" })");
    auto library = shelf.library();
    const catalog::Ingredient& meal = *library.ingredient("meal");
    const auto composition = catalog::compose(meal, library.dictionary(), {});
    const document::Document page =
        report::ingredient_page(meal, library.dictionary(), composition, {}, {}, {});
    const document::Table* found = nullptr;
    for (const document::Block& block : page.blocks) {
        const auto* one = std::get_if<document::Table>(&block);
        if (one != nullptr && one->key == "proximate") found = one;
    }
    REQUIRE(found != nullptr);
    const auto cell = [&](const std::string& key) {
        for (std::size_t i = 0; i < found->columns.size(); ++i) {
            if (found->columns[i].key == key) return found->rows.back()[i];
        }
        return document::Cell{};
    };
    CHECK(cell("spread").text == "repeats on one lot");
    CHECK(cell("min").number == 36.0);  // as fed, at 80 % dry matter
    CHECK(cell("max").number == 44.0);
    const std::string json =
        report::ingredient_json(meal, library.dictionary(), composition, {}, {});
    CHECK(json.find("\"spread\": \"replicates\"") != std::string::npos);
}

TEST_CASE("the nearest entry of the variation table is taken") {
    const Shelf shelf(R"("crude_protein": 50)", table);
    auto library = shelf.library();
    const catalog::Ingredient& meal = *library.ingredient("meal");
    const auto cv = [&](const catalog::Ingredient& ingredient, const char* nutrient) {
        const auto* entry = catalog::variation_of(library.variation(), ingredient,
                                                  *library.dictionary().find(nutrient));
        return entry == nullptr ? -1 : entry->cv_percent;
    };
    CHECK(cv(meal, "lysine") == 19);
    CHECK(cv(meal, "valine") == 3);
    CHECK(cv(meal, "crude_protein") == -1);
    catalog::Ingredient other = meal;
    other.id = "other";
    CHECK(cv(other, "lysine") == 3);
    other.category = "cereal";
    CHECK(cv(other, "lysine") == 1);
    CHECK(cv(other, "valine") == 4);
    other.category = "leaf-meal";
    CHECK(cv(other, "valine") == 2);
    other.kin = {"meal"};  // what it extends is nearer than any default
    CHECK(cv(other, "lysine") == 19);
}

TEST_CASE("a table of variation names real nutrients, and nothing twice or from replicates") {
    const auto refuses = [](const std::string& entry) {
        const Shelf shelf(
            R"("crude_protein": 50)",
            R"({ "format": "feedwright-variation/1", "defaults": [ )" + entry + " ] }");
        auto library = shelf.library();
        try {
            library.variation();
        } catch (const base::DataError&) {
            return true;
        }
        return false;
    };
    const std::string good =
        R"({ "nutrient": "lysine", "cv_percent": 5, "spread": "lots", "source": "a" })";
    CHECK_FALSE(refuses(good));
    CHECK(refuses(good + ", " + good));
    CHECK(refuses(R"({ "nutrient": "lysin", "cv_percent": 5, "spread": "lots", "source": "a" })"));
    CHECK(refuses(
        R"({ "nutrient": "group:amino", "cv_percent": 5, "spread": "lots", "source": "a" })"));
    CHECK(refuses(
        R"({ "nutrient": "lysine", "cv_percent": 5, "spread": "replicates", "source": "a" })"));
    CHECK(refuses(R"({ "nutrient": "lysine", "spread": "lots", "source": "a" })"));
}
