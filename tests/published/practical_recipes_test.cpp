// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "base/json.hpp"
#include "base/number.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"
#include "limits/check.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <vector>

// Diets that were printed and fed, held against what the library says the animal needs. Animals did
// well on them, so none may be called unsafe, and a need that one misses by more than an analysis
// could tell must have its reason beside the diet: where many miss one need without a reason, the
// need is wrong and not the diets.

using namespace feedwright;
using base::JsonValue;

namespace {

using test::library;

const JsonValue& member(const JsonValue& object, const std::string& key) {
    const auto at = std::find(object.keys.begin(), object.keys.end(), key);
    REQUIRE(at != object.keys.end());
    return object.items[static_cast<std::size_t>(at - object.keys.begin())];
}

// The printed diet as a recipe, with the library's premix in place of its own.
std::string recipe_of(const JsonValue& diet) {
    std::map<std::string, double> amounts;
    double unknown = 0;
    for (const JsonValue& item : member(diet, "ingredients").items) {
        const JsonValue& id = member(item, "id");
        const double percent = member(item, "percent").number;
        if (id.kind == JsonValue::Kind::null) {
            unknown += percent;
        } else {
            amounts[id.string] += percent;
        }
    }
    const std::string premix = member(diet, "premix").string;
    amounts[premix] += *library().ingredient(premix)->rate_percent;
    std::string text;
    for (const auto& [id, percent] : amounts) {
        text += (text.empty() ? "" : ", ") + ("{ \"id\": \"" + id + "\", \"amount\": ") +
                base::significant(percent, 8) + " }";
    }
    if (unknown > 0) {
        text += R"(, { "id": "not-in-library", "nutrients": {}, "amount": )" +
                base::significant(unknown, 8) + " }";
    }
    return R"({ "format": "feedwright-recipe/1", "ingredients": [ )" + text + " ] }";
}

// Nutrients that are too little, or too much beside what the animal is said to do well on.
std::set<std::string> missed(const limits::Judgement& judgement) {
    std::set<std::string> nutrients;
    for (const limits::Finding& one : judgement.findings) {
        using limits::Found;
        const bool needs = one.found == Found::short_of || one.found == Found::unknown_supply ||
                           one.found == Found::nothing_known || one.found == Found::too_much;
        if (!needs || one.severity == limits::Severity::note) continue;
        const std::size_t colon = one.limit.find(':');
        const std::string nutrient = one.limit.substr(colon + 1);
        nutrients.insert(nutrient.substr(0, nutrient.find('@')));
    }
    return nutrients;
}

}  // namespace

TEST_CASE("published diets that were fed are not unsafe, and short of nothing without a reason") {
    const auto document = base::parse_json(
        base::read_file(
            (test::source_folder() / "tests/published/data/practical-diets.json").string()),
        "practical-diets.json");
    const test::TempFolder folder;
    std::size_t diets = 0;
    std::size_t complete = 0;
    for (const JsonValue& diet : member(document->root, "diets").items) {
        const std::string id = member(diet, "id").string;
        INFO(id);
        ++diets;
        CHECK(member(diet, "source").string.size() > 20);
        const std::string file = folder.write("recipe.json", recipe_of(diet));
        job::ReadOptions options;
        options.profile = member(diet, "profile").string;
        const limits::Check result = limits::check(job::read_recipe(file, library(), options));
        REQUIRE(result.judgement.verdict);
        CHECK(*result.judgement.verdict != limits::Verdict::unsafe);
        complete += *result.judgement.verdict == limits::Verdict::complete;
        const JsonValue& reasons = member(diet, "short");
        const std::set<std::string> given(reasons.keys.begin(), reasons.keys.end());
        // Each need that is missed has a reason, and no reason outlives what it was for.
        CHECK(missed(result.judgement) == given);
        for (const JsonValue& reason : reasons.items)
            CHECK(reason.string.size() > 15);
    }
    CHECK(diets >= 40);
    // Of broilers, layers and pigs on maize and soya at least, nothing is left to be said.
    CHECK(complete >= 10);
}
