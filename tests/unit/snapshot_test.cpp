// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/snapshot.hpp"

#include "catalog/library.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <filesystem>
#include <fstream>
#include <string>

using namespace feedwright;

namespace fs = std::filesystem;

TEST_CASE("what a snapshot gives is what the files give, for the whole library") {
    const std::string data = (test::source_folder() / "data").string();
    catalog::Library files(data);
    const std::string bytes = catalog::pack(files);
    catalog::Library carried(data, {}, catalog::Snapshot(bytes));
    CHECK(carried.dictionary().all() == files.dictionary().all());
    CHECK(carried.cautions() == files.cautions());
    REQUIRE(files.ingredient_ids().size() > 100);
    for (const std::string& id : files.ingredient_ids()) {
        INFO(id);
        catalog::Ingredient ingredient;
        REQUIRE(catalog::Snapshot(bytes).load(data, "ingredients/" + id + ".json", ingredient));
        CHECK(ingredient == *files.ingredient(id));
        CHECK(*carried.ingredient(id) == *files.ingredient(id));
    }
    for (const std::string& species : files.species()) {
        INFO(species);
        CHECK(*carried.profile(species) == *files.profile(species));
    }
}

TEST_CASE("a file that has changed since it was packed is read, not taken from the snapshot") {
    const test::TempFolder folder;
    const fs::path data = folder.path() / "data";
    fs::create_directories(data / "ingredients");
    fs::create_directories(data / "profiles");
    fs::copy(test::source_folder() / "data" / "nutrients.json", data / "nutrients.json");
    const auto write = [&](const std::string& protein) {
        std::ofstream(data / "ingredients" / "meal.json")
            << R"({ "format": "feedwright-ingredient/1", "id": "meal", "name": "meal", "category": "oilcake",
                    "composition": [ { "source": "s", "basis": "as_fed", "nutrients": { "crude_protein": )"
            << protein << " } } ] }\n";
    };
    write("40");
    std::string bytes;
    {
        catalog::Library library(data.string());
        bytes = catalog::pack(library);
    }
    catalog::Ingredient carried;
    CHECK(catalog::Snapshot(bytes).load(data.string(), "ingredients/meal.json", carried));
    write("44.5");
    CHECK_FALSE(catalog::Snapshot(bytes).load(data.string(), "ingredients/meal.json", carried));
    catalog::Library library(data.string(), {}, catalog::Snapshot(bytes));
    CHECK(library.ingredient("meal")->stated.front().amount == 44.5);
    CHECK(library.ingredient("no-such-meal") == nullptr);
}
