// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/conflict.hpp"

#include "limits/check.hpp"
#include "report/mend/mend_report.hpp"
#include "report/results.hpp"
#include "search/cheapest.hpp"
#include "search/explain.hpp"
#include "search/mend.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <atomic>
#include <string>
#include <variant>
#include <vector>

// Conflicts small enough to be worked out by hand.

using namespace feedwright;
using search::Conflict;

namespace {

using test::library;

std::string meal(const std::string& id, double price, double protein, double fibre,
                 const std::string& more = "") {
    return R"({"id":")" + id + R"(","price":)" + std::to_string(price) +
           R"(,"nutrients":{"crude_protein":)" + std::to_string(protein) + R"(,"crude_fibre":)" +
           std::to_string(fibre) + "}" + more + "}";
}

job::Job job_of(const std::vector<std::string>& meals, const std::string& limits,
                const job::ReadOptions& options = {}) {
    std::string text = R"({"format":"feedwright-job/1","ingredients":[)";
    for (const std::string& one : meals)
        text += one + (one == meals.back() ? "" : ",");
    const test::TempFolder folder;
    return job::read_job(folder.write("job.json", text + R"(],"limits":[)" + limits + "]}"),
                         library(), options);
}

std::vector<std::string> ids(const Conflict& conflict) {
    std::vector<std::string> list;
    for (const search::Clash& clash : conflict.limits)
        list.push_back(to_text(clash.side));
    return list;
}

using Ids = std::vector<std::string>;

const std::string at_least_30 = R"({"nutrient":"crude_protein","min":30})";

}  // namespace

TEST_CASE("a need out of reach names the ingredients without a value for it") {
    const std::string unknown =
        R"({"id":"c","name":"the unknown","price":1,"nutrients":{"ash":5}})";
    const job::Job job = job_of({meal("a", 0.2, 10, 5), unknown}, at_least_30);
    const Conflict conflict = search::explain_conflict(job);
    REQUIRE(ids(conflict) == Ids{"nutrient:crude_protein:min"});
    CHECK(conflict.limits[0].unknown_in == Ids{"the unknown"});
    CHECK(conflict.limits[0].best == Approx(10));
}

TEST_CASE("one need out of reach: the most there can be, and the least it has to give way") {
    const job::Job job = job_of({meal("a", 0.2, 10, 5), meal("b", 0.4, 20, 5)}, at_least_30);
    REQUIRE(search::formulate(job).status == lp::Status::infeasible);
    const Conflict conflict = search::explain_conflict(job);
    CHECK(ids(conflict) == Ids{"nutrient:crude_protein:min"});
    CHECK(conflict.limits[0].best == Approx(20));
    REQUIRE(conflict.fixes.size() == 1);
    CHECK(conflict.fixes[0].to == Approx(20));
    CHECK(conflict.fixes[0].change_percent == Approx(100.0 / 3));
    CHECK(conflict.fixes[0].cost_per_kg == Approx(0.4));  // nothing but b
    REQUIRE(conflict.nearest);
    CHECK(conflict.nearest->amounts == std::vector<double>{0, 1});
    REQUIRE(conflict.nearest->misses.size() == 1);
    CHECK(conflict.nearest->misses[0].miss == Approx(10));
    CHECK(conflict.nearest->cost_per_kg == Approx(0.4));
}

TEST_CASE("a need and the amount that keeps it down come before two needs") {
    // 30 % protein takes two thirds of b: more than its max, and 7 % fibre.
    const job::Job job = job_of({meal("a", 0.2, 10, 1), meal("b", 0.4, 40, 10, R"(,"max":50)")},
                                at_least_30 + R"(,{"nutrient":"crude_fibre","max":3})");
    const Conflict conflict = search::explain_conflict(job);
    CHECK(ids(conflict) == Ids{"nutrient:crude_protein:min", "inclusion:b:max"});
    CHECK(conflict.limits[0].best == Approx(25));
    CHECK(conflict.limits[1].best == Approx(200.0 / 3));
    // With more of b the fibre is in the way. With less protein two ninths of b, 16.67 %, will do.
    REQUIRE(conflict.fixes.size() == 1);
    CHECK(to_text(conflict.fixes[0].side) == "nutrient:crude_protein:min");
    CHECK(conflict.fixes[0].to == Approx(16.66));  // to four digits, on the easier side
    CHECK(conflict.fixes[0].cost_per_kg == Approx(0.2 + 0.2 * (16.66 - 10) / 30));
    REQUIRE(conflict.nearest);
    CHECK(conflict.nearest->keeps_amounts);
}

TEST_CASE("amounts that exclude each other come before all needs") {
    const job::Job job =
        job_of({meal("a", 0.2, 10, 1, R"(,"min":60)"), meal("b", 0.4, 20, 1, R"(,"min":50)")},
               at_least_30);
    const Conflict conflict = search::explain_conflict(job);
    CHECK(ids(conflict) == Ids{"inclusion:a:min", "inclusion:b:min"});
    CHECK(conflict.limits[0].best == Approx(50));
    CHECK(conflict.limits[1].best == Approx(40));
    REQUIRE(conflict.nearest);
    CHECK_FALSE(conflict.nearest->keeps_amounts);
}

TEST_CASE("two needs that exclude each other, and either can be the one to give way") {
    // Protein p takes (p - 10) / 30 of b, and so 1 + 9 (p - 10) / 30 % of fibre.
    const job::Job job = job_of({meal("a", 0.2, 10, 1), meal("b", 0.4, 40, 10)},
                                at_least_30 + R"(,{"nutrient":"crude_fibre","max":4})");
    const Conflict conflict = search::explain_conflict(job);
    CHECK(conflict.limits.size() == 2);
    REQUIRE(conflict.fixes.size() == 2);
    for (const search::Fix& fix : conflict.fixes) {
        if (fix.side.is_min) {
            CHECK(fix.to == Approx(20));
            CHECK(fix.cost_per_kg == Approx(0.2 + 0.2 / 3));
        } else {
            CHECK(fix.to == Approx(7));
            CHECK(fix.cost_per_kg == Approx(0.2 + 0.4 / 3));
        }
    }
    CHECK(conflict.fixes[0].change_percent <= conflict.fixes[1].change_percent);
}

TEST_CASE("a conflict that only the number of ingredients makes") {
    job::ReadOptions one;
    one.at_most = 1;
    const job::Job job = job_of({meal("a", 0.2, 10, 1), meal("b", 0.4, 30, 1)},
                                R"({"nutrient":"crude_protein","min":18,"max":22})", one);
    const Conflict conflict = search::explain_conflict(job);
    CHECK(conflict.with_whole_numbers);
    CHECK_FALSE(conflict.unfinished);
    CHECK(conflict.limits.size() == 2);
    for (const search::Clash& clash : conflict.limits) {
        CHECK(clash.best == Approx(clash.side.is_min ? 10 : 30));
    }
    REQUIRE(conflict.fixes.size() == 2);
    CHECK(conflict.fixes[0].to == Approx(30));  // 36 % more; 10 would be 44 % less
    CHECK(conflict.fixes[1].to == Approx(10));
}

TEST_CASE("what would mend a conflict keeps to the number of ingredients, and to shares") {
    // Protein 30 is out of reach with any number of ingredients: 25 % at most with half of b. With
    // one ingredient only, a is left, and 10 %.
    job::ReadOptions one;
    one.at_most = 1;
    const std::vector<std::string> meals{meal("a", 0.2, 10, 2),
                                         meal("b", 0.4, 40, 10, R"(,"max":50)")};
    const Conflict plain = search::explain_conflict(job_of(meals, at_least_30, one));
    CHECK_FALSE(plain.with_whole_numbers);
    CHECK(ids(plain) == Ids{"nutrient:crude_protein:min", "inclusion:b:max"});
    CHECK(plain.limits[0].best == Approx(25));
    CHECK_FALSE(plain.fewest);
    REQUIRE(plain.nearest);
    CHECK(plain.nearest->amounts == std::vector<double>{1, 0});
    REQUIRE(plain.fixes.size() == 2);
    CHECK(plain.fixes[0].to == Approx(10));  // 67 % less
    CHECK(plain.fixes[1].to == Approx(100));
    CHECK(to_text(plain.fixes[1].side) == "inclusion:b:max");

    // Fibre is 20 % of the protein of a and 25 % of that of b: 22 to 24 % takes both.
    const std::string text = R"({"format":"feedwright-job/1","ingredients":[)" +
                             meal("a", 0.2, 10, 2) + "," + meal("b", 0.4, 40, 10) +
                             R"(],"ratios":[{"of":"crude_fibre","to":"crude_protein",
                                "min":0.22,"max":0.24}]})";
    const test::TempFolder folder;
    const Conflict share =
        search::explain_conflict(job::read_job(folder.write("job.json", text), library(), one));
    CHECK(share.with_whole_numbers);
    CHECK(share.fewest == 2);
    REQUIRE(share.fixes.size() == 2);
    CHECK(share.fixes[0].to == Approx(0.25));
    CHECK(share.fixes[0].cost_per_kg == Approx(0.4));
    CHECK(share.fixes[1].to == Approx(0.2));
    CHECK(share.fixes[1].cost_per_kg == Approx(0.2));
}

TEST_CASE("an explanation that is interrupted claims no conflicting set") {
    const job::Job job = job_of({meal("a", 0.2, 10, 5), meal("b", 0.4, 20, 5)}, at_least_30);
    const std::atomic<bool> interrupt{true};
    lp::SolveOptions options;
    options.interrupt = &interrupt;
    search::Formulation result = search::formulate(job);
    result.conflict = search::explain_conflict(job, options);
    CHECK(result.conflict->unfinished);
    CHECK(result.conflict->limits.empty());
    CHECK(result.conflict->fixes.empty());
    const std::string text = document::render_text(
        report::mix_document(job, result, {}, report::Run{"feedwright", {}, {}, false}));
    CHECK_THAT(text, Catch::Contains("was not found in the time given"));
    CHECK_THAT(text, !Catch::Contains("What would help"));
}

TEST_CASE(
    "ingredients that mend a conflict: the least of them, the rest's cost, and when they pay") {
    const std::vector<std::string> own{meal("a", 0.2, 10, 5), meal("b", 0.4, 20, 5)};
    const auto with = [&](const std::vector<std::string>& more) {
        std::vector<std::string> all = own;
        all.insert(all.end(), more.begin(), more.end());
        return job_of(all, at_least_30);
    };
    const std::string rich = meal("rich", 9, 50, 5);
    const std::string capped = meal("capped", 9, 80, 5, R"(,"max":10)");
    const std::string poor = meal("poor", 9, 25, 5);
    const job::Job job = with({});
    Conflict conflict = search::explain_conflict(job);
    search::find_ingredients(
        job, with({rich, capped, poor}),
        [&](const std::vector<std::string>& ids) {
            const std::string& id = ids.front();
            return with({id == "rich" ? rich : id == "poor" ? poor : capped});
        },
        conflict);
    // A tenth of the capped one brings 26 % at most, and the poor one 25 %.
    REQUIRE(conflict.ingredients.size() == 1);
    const search::IngredientFix& fix = conflict.ingredients[0];
    CHECK(fix.id == "rich");
    CHECK(fix.least_percent == Approx(100.0 / 3));  // beside b: 20 x 2/3 + 50 x 1/3 = 30
    CHECK(fix.rest_cost_per_kg == Approx(0.4 * 2 / 3));
    // Giving way to 20 % costs 0.4. Half and half with a costs 0.1 + price / 2: as much at 0.6.
    CHECK(fix.pays_below == Approx(0.6));
}

TEST_CASE("what would help is told in words with numbers") {
    const job::Job job = job_of({meal("a", 0.2, 10, 5), meal("b", 0.4, 20, 5)}, at_least_30);
    search::Formulation result = search::formulate(job);
    result.conflict = search::explain_conflict(job);
    result.conflict->ingredients.push_back({"rich", "rich meal", 100.0 / 3, 0.8 / 3, 0.6});
    const std::string text = document::render_text(
        report::mix_document(job, result, {}, report::Run{"feedwright", {}, {}, false}), {200});
    CHECK_THAT(text,
               Catch::Contains("crude protein, at least 30 %: the highest possible with these"));
    CHECK_THAT(text, Catch::Contains("lower crude protein from 30 to 20 % (33.3 %)"));
    CHECK_THAT(text, Catch::Contains("then costs 0.4000 per kg"));
    CHECK_THAT(text, !Catch::Contains("Out of reach"));  // it would say the same again
    // Shares are rounded up: 33 % would not quite do.
    CHECK_THAT(text, Catch::Matches("(.|\n)*rich meal \\(rich\\) +34 +0.2667 +0.6000(.|\n)*"));
}

TEST_CASE("a minimum that would have to go to nothing is given up") {
    const job::Job job = job_of({meal("a", 0.2, 10, 5, R"(,"min":60)"), meal("b", 0.4, 20, 5)},
                                R"({"nutrient":"crude_protein","min":20})");
    search::Formulation result = search::formulate(job);
    result.conflict = search::explain_conflict(job);
    const std::string text = document::render_text(
        report::mix_document(job, result, {}, report::Run{"feedwright", {}, {}, false}), {200});
    CHECK_THAT(text, Catch::Contains("lower crude protein from 20 to 14 % (30.0 %)"));
    CHECK_THAT(text,
               Catch::Contains("remove a, at least 60 %; the cheapest mix then costs 0.4000"));
}

TEST_CASE("a recipe with less of an ingredient than is worth weighing falls short") {
    const auto recipe = [](double amount, const std::string& unit) {
        const test::TempFolder folder;
        return job::read_recipe(folder.write(
                                    "recipe.json", R"({"format":"feedwright-recipe/1",)" + unit +
                                                       R"("ingredients":[
              {"id":"a","amount":)" + std::to_string(100 - amount) +
                                                       R"(,"nutrients":{"crude_protein":10}},
              {"id":"b","min_if_used":3,"amount":)" + std::to_string(amount) +
                                                       R"(,"nutrients":{"crude_protein":30}}]})"),
                                library(), {});
    };
    const limits::Check little = limits::check(recipe(2, ""));
    CHECK_FALSE(little.passes);
    const auto& limits = little.assessment.limits;
    const auto at = std::find_if(limits.begin(), limits.end(), [](const auto& limit) {
        return limit.limit.id == "inclusion:b@if_used";
    });
    REQUIRE(at != limits.end());
    CHECK(at->value == Approx(2));
    CHECK(at->margin == Approx(-1));
    CHECK_FALSE(at->met);
    CHECK(limits::check(recipe(3, "")).passes);
    CHECK(limits::check(recipe(0, "")).passes);
    CHECK_FALSE(limits::check(recipe(2, R"("total":"free",)")).passes);  // kg then

    const search::Mending mending = search::mend(recipe(2, ""), {});
    REQUIRE(mending.smallest);
    // One part more costs less moving than two parts less.
    CHECK(mending.smallest->amounts[1] == Approx(0.03));
    CHECK(mending.smallest->moved == Approx(0.01));
    for (const auto& limit : mending.smallest->assessment.limits)
        CHECK(limit.met);
}

TEST_CASE("a mended recipe is set beside the old one where a least amount came or went") {
    // c is left out and b comes in, so that the two have different limits in different places.
    const test::TempFolder folder;
    const job::Job recipe = job::read_recipe(
        folder.write("recipe.json", R"({"format":"feedwright-recipe/1","ingredients":[
          {"id":"a","amount":99,"nutrients":{"crude_protein":10}},
          {"id":"b","min_if_used":10,"amount":0,"nutrients":{"crude_protein":30}},
          {"id":"c","min_if_used":50,"amount":1,"nutrients":{"crude_protein":0}}],
          "limits":[{"nutrient":"crude_protein","min":12}]})"),
        library(), {});
    const search::Mending mending = search::mend(recipe, {});
    REQUIRE(mending.smallest);
    CHECK(mending.smallest->amounts[1] == Approx(0.1));
    CHECK(mending.smallest->amounts[2] == 0);
    const document::Document document =
        report::mend_document(recipe, mending, {}, {"feedwright", {}, {}, false});
    const document::Table* limits = nullptr;
    for (const document::Block& block : document.blocks) {
        const auto* table = std::get_if<document::Table>(&block);
        if (table != nullptr && table->key == "mended_limits") limits = table;
    }
    REQUIRE(limits != nullptr);
    REQUIRE(limits->rows.size() == 2);
    CHECK(limits->rows[0][0].text == "c, if used, %");
    CHECK(limits->rows[0][4].number == 0.0);
    CHECK(limits->rows[0][4].tone == document::Tone::good);
    CHECK(limits->rows[1][0].text == "crude protein, %");
    CHECK(limits->rows[1][4].number == Approx(12));
}

TEST_CASE("no entering price is claimed where whole numbers decide what is used") {
    job::ReadOptions one;
    one.at_most = 1;
    const std::vector<std::string> meals{meal("a", 0.2, 10, 5), meal("b", 0.4, 20, 5),
                                         meal("c", 0.5, 20, 5, R"(,"max":0)")};
    const std::string limit = R"({"nutrient":"crude_protein","min":10})";
    const auto unused = [&](const job::ReadOptions& options) {
        const job::Job job = job_of(meals, limit, options);
        search::Formulation result = search::formulate(job);
        search::explain_optimum(job, search::cheapest_program(job), result);
        return result.unused;
    };
    const auto counted = unused(one);
    REQUIRE(counted.size() == 2);
    CHECK(counted[0].id == "b");
    CHECK(counted[0].enters_unknown);
    CHECK_FALSE(counted[0].enters_below);
    CHECK_FALSE(counted[1].enters_unknown);  // it may never enter
    const auto free = unused({});
    REQUIRE(free.size() == 2);
    CHECK_FALSE(free[0].enters_unknown);
    CHECK(free[0].enters_below == Approx(0.2));
}

TEST_CASE("where no ingredient alone makes a mix possible, pairs do, each within its cap") {
    const auto meal2 = [](const std::string& id, double protein, double lipid,
                          const std::string& more = "") {
        return R"({"id":")" + id + R"(","price":1)" + more + R"(,"nutrients":{"crude_protein":)" +
               std::to_string(protein) + R"(,"crude_lipid":)" + std::to_string(lipid) + "}}";
    };
    const std::vector<std::string> own{meal2("a", 10, 1), meal2("b", 20, 1)};
    const std::string limits =
        R"({"nutrient":"crude_protein","min":30},{"nutrient":"crude_lipid","min":8})";
    const std::vector<std::string> more{meal2("rich", 50, 0), meal2("oil", 0, 100),
                                        meal2("little-oil", 0, 100, R"(,"max":2)"),
                                        meal2("poor", 25, 2)};
    const auto with = [&](const std::vector<std::string>& ids) {
        std::vector<std::string> all = own;
        for (const std::string& one : more) {
            for (const std::string& id : ids) {
                if (one.find('"' + id + '"') != std::string::npos) all.push_back(one);
            }
        }
        return job_of(all, limits);
    };
    const job::Job job = with({});
    Conflict conflict = search::explain_conflict(job);
    search::find_ingredients(job, with({"rich", "oil", "little-oil", "poor"}), with, conflict);
    CHECK(conflict.ingredients.empty());
    REQUIRE(conflict.sets.size() == 1);
    const search::IngredientSet& set = conflict.sets[0];
    REQUIRE(set.parts.size() == 2);
    std::vector<std::string> ids;
    for (const search::IngredientFix& part : set.parts)
        ids.push_back(part.id);
    std::sort(ids.begin(), ids.end());
    CHECK(ids == std::vector<std::string>{"oil", "rich"});
    // They are enough, and less of them is not.
    double together = 0;
    for (const search::IngredientFix& part : set.parts)
        together += part.least_percent;
    // With b: 20 b + 50 rich = 30 and b + 100 oil = 8 (percent), so that b is 0.32 / 0.59.
    CHECK(together == Approx(100 * (1 - 0.32 / 0.59)));
    search::Formulation result = search::formulate(job);
    result.conflict = conflict;
    const report::Run run{"feedwright", {}, {}, false};
    const std::string text =
        document::render_text(report::mix_document(job, result, {}, run), {200});
    CHECK_THAT(text, Catch::Contains("No common ingredient is enough alone."));
    CHECK_THAT(report::mix_json(job, result, {}, run), Catch::Contains("\"ingredients\": ["));
}
