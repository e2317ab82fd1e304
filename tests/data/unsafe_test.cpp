// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "base/json.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "support/run_program.hpp"

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

// Recipes that harm, each of a kind that farms have met. The heading of each file says for whom it
// was mixed and what is wrong with it; the program must say the same, and end as it does for a
// recipe that must not be fed.

namespace fs = std::filesystem;
using namespace feedwright;

namespace {

struct Case {
    fs::path file;
    std::string profile;
    std::string verdict;
    std::string subject;  ///< the substance, or "premix"
};

std::vector<Case> cases() {
    std::vector<Case> list;
    for (const auto& item : fs::directory_iterator(test::source_folder() / "tests/data/unsafe")) {
        if (item.path().extension() != ".csv") continue;
        Case one;
        one.file = item.path();
        for (const std::string& line : test::lines_of(base::read_file(item.path().string()))) {
            for (const char* key : {"# for: ", "# unsafe: ", "# incomplete: "}) {
                if (!line.starts_with(key)) continue;
                const std::string rest = line.substr(std::string(key).size());
                if (key[2] == 'f') {
                    one.profile = rest;
                } else {
                    one.verdict = key[2] == 'u' ? "unsafe" : "incomplete";
                    one.subject = rest;
                }
            }
        }
        list.push_back(one);
    }
    std::sort(list.begin(), list.end(),
              [](const Case& a, const Case& b) { return a.file < b.file; });
    return list;
}

const base::JsonValue* find(const base::JsonValue& object, const std::string& key) {
    const auto at = std::find(object.keys.begin(), object.keys.end(), key);
    return at == object.keys.end()
               ? nullptr
               : &object.items[static_cast<std::size_t>(at - object.keys.begin())];
}

std::string text_of(const base::JsonValue& object, const char* key) {
    const base::JsonValue* found = find(object, key);
    return found == nullptr ? "" : found->string;
}

test::ProgramResult check(const std::string& file, const std::string& profile, bool as_json) {
    test::ProgramRun run;
    run.arguments = {"check", file, "--for", profile};
    if (as_json) run.arguments.insert(run.arguments.end(), {"--as", "json"});
    return test::run_program(run);
}

bool has_digit(const std::string& text) {
    return std::any_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

}  // namespace

TEST_CASE(
    "recipes that harm are told so, with the substance, the amount, the limit and its source") {
    std::size_t unsafe = 0;
    for (const Case& one : cases()) {
        INFO(one.file.filename().string());
        REQUIRE(one.profile != "");
        REQUIRE(one.subject != "");
        const auto run = check(one.file.string(), one.profile, true);
        CHECK(run.exit_code == 4);
        const auto document = base::parse_json(run.output, "the result");
        const base::JsonValue& result = document->root;
        CHECK(text_of(result, "verdict") == one.verdict);
        unsafe += one.verdict == "unsafe";
        const base::JsonValue* findings = find(result, "findings");
        REQUIRE(findings != nullptr);
        const bool said = std::any_of(
            findings->items.begin(), findings->items.end(), [&](const base::JsonValue& finding) {
                const bool premix = one.subject == "premix";
                return text_of(finding, "severity") ==
                           (one.verdict == "unsafe" ? "stop" : "warn") &&
                       text_of(finding, "kind") == (premix ? "premix" : "toxic") &&
                       (premix || text_of(finding, "limit") == "nutrient:" + one.subject) &&
                       has_digit(text_of(finding, "text")) &&
                       (premix || text_of(finding, "source") != "") &&
                       text_of(finding, "ingredient") != "";
            });
        CHECK(said);
        // The page that people read says it first.
        const auto page = check(one.file.string(), one.profile, false);
        CHECK(page.exit_code == 4);
        if (one.verdict == "unsafe")
            CHECK(page.output.find("Do not feed this recipe.") != std::string::npos);
    }
    CHECK(unsafe >= 20);
}

TEST_CASE("the same recipes without what harms are not unsafe") {
    // What shows that the verdicts above come from the fault and from nothing else in those
    // recipes.
    const test::TempFolder folder;
    const struct {
        const char* profile;
        const char* recipe;
    } sound[] = {
        {"laying-hen/pullet-grower",
         "maize,63\nwheat-bran,15\nsoybean-meal-44,18.5\nlimestone,1.2\ndicalcium-phosphate-"
         "dihydrate,1\n"
         "premix-pullet,1\nsalt,0.3\n"},
        {"laying-hen/lay",
         "maize,58\nsoybean-meal-44,27\nwheat-bran,4\nlimestone,8.5\ndicalcium-phosphate-dihydrate,"
         "1.2\nsalt,0.3\n"
         "premix-layer,1\n"},
        {"broiler/starter",
         "maize,55\nsoybean-meal-48,38\nsoybean-oil,2.2\ndicalcium-phosphate-dihydrate,1."
         "8\nlimestone,1.2\n"
         "premix-broiler,1\ndl-methionine,0.3\nsalt,0.4\n"},
        {"growing-pig/grower",
         "maize,74\nsoybean-meal-44,22.5\nlimestone,1\ndicalcium-phosphate-dihydrate,0.8\nsalt,0."
         "4\npremix-pig,1\n"},
        {"nile-tilapia/grow-out",
         "soybean-meal-44,45\nmaize,25\nwheat-bran,15\nfish-meal-65,10\nsoybean-oil,2\n"
         "dicalcium-phosphate-dihydrate,1\npremix-tilapia,1\n"},
        {"rainbow-trout/grow-out",
         "fish-meal-65,48\nwheat-flour,25\nsoybean-meal-48,14\nfish-oil-anchovy,12\npremix-trout,"
         "1\n"},
    };
    for (const auto& one : sound) {
        INFO(one.profile);
        const std::string file =
            folder.write("recipe.csv", std::string("ingredient,amount\n") + one.recipe);
        const auto run = check(file, one.profile, true);
        CHECK(text_of(base::parse_json(run.output, "the result")->root, "verdict") != "unsafe");
    }
}
