// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/library_files.hpp"

#include "base/file.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <filesystem>
#include <string>

using namespace feedwright;

namespace fs = std::filesystem;

TEST_CASE("the program carries every file of the library as it is") {
    const fs::path data = test::source_folder() / "data";
    const auto carried = catalog::carried_files();
    std::size_t files = 0;
    for (const auto& entry : fs::recursive_directory_iterator(data)) {
        if (entry.path().extension() != ".json") continue;
        const std::string name = entry.path().lexically_relative(data).generic_string();
        INFO(name);
        const bool wanted = !name.starts_with("schema/");
        CHECK(carried->has(name) == wanted);
        if (wanted) CHECK(carried->read(name) == base::read_file(entry.path().string()));
        ++files;
    }
    CHECK(files > 100);
    const auto folder = catalog::files_in(data.string());
    for (const char* inside : {"ingredients", "profiles"}) {
        REQUIRE(folder->names_in(inside).size() > 10);
        CHECK(carried->names_in(inside) == folder->names_in(inside));
    }
}

TEST_CASE("a message names a file of the library so that it can be found") {
    const auto carried = catalog::carried_files();
    CHECK(carried->shown("ingredients/maize.json") ==
          "the carried library: ingredients/maize.json");
    CHECK_FALSE(carried->has("ingredients/none.json"));
    CHECK_THROWS_WITH(carried->read("none.json"), "the carried library: none.json: no such file");
    const test::TempFolder folder;
    const auto files = catalog::files_in(folder.path().string());
    CHECK_FALSE(files->has("nutrients.json"));
    CHECK_THROWS_WITH(files->read("nutrients.json"),
                      Catch::StartsWith(folder.file("nutrients.json") + ": cannot open"));
    CHECK_THROWS_AS(files->names_in("ingredients"), IoError);
}
