// SPDX-License-Identifier: GPL-3.0-or-later
// Jobs and recipes as people have them: with the library of the program.
#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "job/job.hpp"
#include "limits/limit.hpp"
#include "report/mix/compare.hpp"
#include "report/notes.hpp"
#include "report/results.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"
#include "tasks/compare.hpp"
#include "tasks/formulate.hpp"
#include "tasks/recipe.hpp"

#include <algorithm>
#include <string>
#include <vector>

using namespace feedwright;
using job::Note;

namespace {

using test::library;

job::Job job_of(const std::string& members) {
    const test::TempFolder folder;
    return job::read_job(
        folder.write("job.json", R"({"format":"feedwright-job/1",)" + members + "}"), library(),
        {});
}

job::Job recipe_of(const std::string& table, const job::ReadOptions& options = {}) {
    const test::TempFolder folder;
    return job::read_recipe(folder.write("recipe.csv", table), library(), options);
}

std::vector<Note> notes_of(const job::Job& job, Note::Kind kind) {
    std::vector<Note> notes;
    std::copy_if(job.notes.begin(), job.notes.end(), std::back_inserter(notes),
                 [&](const Note& note) { return note.kind == kind; });
    return notes;
}

}  // namespace

TEST_CASE("a price below zero is what one is paid, and is told") {
    const job::Job job = job_of(R"("ingredients":[{"id":"maize","price":0.3},
        {"id":"wheat-bran","price":-0.02},{"id":"rice-bran-full-fat","price":"-1 per 50 kg"}])");
    CHECK(job.find("wheat-bran")->price == Approx(-0.02));
    CHECK(job.find("rice-bran-full-fat")->price == Approx(-0.02));
    const std::vector<Note> notes = notes_of(job, Note::Kind::paid_to_take);
    REQUIRE(notes.size() == 2);
    CHECK(report::sentence(notes[1]) ==
          "wheat bran has a price below zero: the cost counts that you are paid 0.02 for each kg "
          "of it that you take.");
    const job::Job recipe =
        recipe_of("ingredient,amount,price\nmaize,50,0.3\nwheat-bran,50,-0.02\n");
    CHECK(recipe.find("wheat-bran")->price == Approx(-0.02));
    CHECK(tasks::check(recipe, library()).check.cost_per_kg == Approx(0.14));
}

TEST_CASE("the cheapest mix has as much as it may of what one is paid to take") {
    const test::TempFolder folder;
    const std::string file = folder.write(
        "job.json", R"({"format":"feedwright-job/1","ingredients":[{"id":"maize","price":0.3},
          {"id":"wheat-bran","price":-0.1,"max":40}]})");
    const tasks::Answer answer = tasks::formulate({{file, {}, false}, {}}, library());
    REQUIRE(answer.has_mix());
    CHECK(answer.mix.cost_per_kg == Approx(0.6 * 0.3 - 0.4 * 0.1));
}

TEST_CASE("a total of a recipe that is not 100 is told, whatever it is") {
    const auto told = [](const std::string& table) {
        return notes_of(recipe_of(table), Note::Kind::odd_total);
    };
    const std::vector<Note> parts = told("ingredient,amount\nmaize,3\nwheat-bran,1\n");
    REQUIRE(parts.size() == 1);
    CHECK(parts[0].value == 4);
    CHECK(told("ingredient,amount\nmaize,60\nwheat-bran,40\n").empty());
    CHECK(told("ingredient,amount\nmaize,6 kg\nwheat-bran,4 kg\n").empty());
    job::ReadOptions options;
    options.batch_kg = 25;
    CHECK(notes_of(recipe_of("ingredient,amount\nmaize,20\nwheat-bran,5\n", options),
                   Note::Kind::odd_total)
              .empty());
}

TEST_CASE("an ingredient of the library with another dry matter is still that ingredient") {
    const job::Job job = job_of(R"("profile":"nile-tilapia/grow-out","finished_moisture":10,
        "ingredients":[{"id":"duckweed-fresh","price":0.02,"dry_matter":8},
        {"id":"premix-tilapia","price":3,"dry_matter":92}])");
    const job::Choice& duckweed = *job.find("duckweed-fresh");
    CHECK(duckweed.composition.find("dry_matter")->value == 8);
    CHECK(duckweed.composition.find("crude_protein") != nullptr);
    CHECK(duckweed.category == "aquatic-plant");
    const job::Choice& premix = *job.find("premix-tilapia");
    CHECK(premix.composition.find("zinc")->value == Approx(10500));
    CHECK(premix.at_label_rate);
}

TEST_CASE("bounds on a premix are of the finished feed, whatever is weighed in") {
    const job::Job job = job_of(R"("profile":"nile-tilapia/grow-out","finished_moisture":10,
        "ingredients":[{"id":"duckweed-fresh","price":0.02,"min":40},
        {"id":"soybean-meal-44","price":0.5},
        {"id":"premix-tilapia","price":3,"min":1,"max":1}])");
    for (const limits::Limit& limit : limits::limits_of(job)) {
        if (limit.id == "inclusion:premix-tilapia") CHECK(limit.per.empty());
        if (limit.id == "inclusion:duckweed-fresh") CHECK(limit.per.size() == 3);
    }
}

namespace {

const std::string own_premix = "ingredient,amount,price\nmaize,90,0.3\npremix-tilapia,10,3\n";

const limits::LimitResult* limit_of(const limits::Check& check, const std::string& id) {
    for (const limits::LimitResult& result : check.assessment.limits) {
        if (result.limit.id == id) return &result;
    }
    return nullptr;
}

bool has(const limits::Judgement& judgement, limits::Found found) {
    return std::any_of(judgement.findings.begin(), judgement.findings.end(),
                       [&](const limits::Finding& one) { return one.found == found; });
}

}  // namespace

TEST_CASE("a recipe as an ingredient holds and costs what its parts do") {
    const test::TempFolder folder;
    folder.write("own.csv", own_premix);
    const auto recipe = [&](const std::string& members) {
        return job::read_recipe(
            folder.write("recipe.json",
                         R"({"format":"feedwright-recipe/1","profile":"nile-tilapia/grow-out",
                         "ingredients":[)" +
                             members + "]}"),
            library(), {});
    };
    const job::Job nested = recipe(R"({"id":"my-premix","recipe":"own.csv","amount":10},
           {"id":"soybean-meal-44","amount":90,"price":0.5})");
    const job::Job flat = recipe(
        R"({"id":"maize","amount":9,"price":0.3},{"id":"premix-tilapia","amount":1,"price":3},
           {"id":"soybean-meal-44","amount":90,"price":0.5})");
    CHECK(*nested.find("my-premix")->price == Approx(0.9 * 0.3 + 0.1 * 3));
    const limits::Check one = tasks::check(nested, library()).check;
    const limits::Check other = tasks::check(flat, library()).check;
    CHECK(one.cost_per_kg == Approx(other.cost_per_kg));
    CHECK(one.passes == other.passes);
    for (const limits::LimitResult& expected : other.assessment.limits) {
        if (expected.limit.kind != limits::LimitKind::nutrient) continue;
        INFO(expected.limit.id);
        const limits::LimitResult* result = limit_of(one, expected.limit.id);
        REQUIRE(result != nullptr);
        REQUIRE(result->value.has_value() == expected.value.has_value());
        if (expected.value) CHECK(*result->value == Approx(*expected.value));
    }
    // The premix in it is at its label rate, and for this animal.
    CHECK_FALSE(has(one.judgement, limits::Found::no_premix));
    CHECK_FALSE(has(one.judgement, limits::Found::premix_under_rate));
    const job::Job strong = recipe(
        R"({"id":"my-premix","recipe":"own.csv","amount":20},{"id":"soybean-meal-44","amount":80})");
    CHECK(has(tasks::check(strong, library()).check.judgement, limits::Found::premix_over_rate));
}

TEST_CASE("caps look into a recipe that is an ingredient") {
    const test::TempFolder folder;
    folder.write("own.csv", "ingredient,amount\nrice-bran-full-fat,60\nmaize,40\n");
    const job::Job job = job::read_job(
        folder.write("job.json", R"({"format":"feedwright-job/1","profile":"nile-tilapia/grow-out",
          "ingredients":[{"id":"mine","recipe":"own.csv","price":0.2},
            {"id":"rice-bran-full-fat","price":0.2},{"id":"soybean-meal-44","price":0.5}]})"),
        library(), {});
    bool found = false;
    for (const limits::Limit& limit : limits::limits_of(job)) {
        if (limit.id != "inclusion:rice-bran-full-fat") continue;
        found = true;
        CHECK(limit.amount[0] == Approx(60));   // mine
        CHECK(limit.amount[1] == Approx(100));  // rice-bran-full-fat
        CHECK(limit.amount[2] == 0);
    }
    CHECK(found);
}

TEST_CASE("a recipe that is an ingredient of itself is refused") {
    const test::TempFolder folder;
    folder.write("a.json", R"({"format":"feedwright-recipe/1","ingredients":[
        {"id":"b","recipe":"b.json","amount":1}]})");
    folder.write("b.json", R"({"format":"feedwright-recipe/1","ingredients":[
        {"id":"a","recipe":"a.json","amount":1}]})");
    CHECK_THROWS_AS(job::read_recipe(folder.file("a.json"), library(), {}), base::DataError);
}

TEST_CASE("ingredients in a proportion keep to it, or are not there") {
    const test::TempFolder folder;
    const auto answer = [&](const std::string& price) {
        return tasks::formulate({{folder.write("job.json",
                                               R"({"format":"feedwright-job/1","ingredients":[
                {"id":"maize","price":)" + price + R"(},{"id":"wheat-bran","price":0.2},
                {"id":"soybean-meal-44","price":0.5}],
                "limits":[{"nutrient":"crude_protein","min":30}],
                "proportions":[{"parts":{"wheat-bran":1,"maize":3}}]})"),
                                  {},
                                  false},
                                 {}},
                                library());
    };
    const tasks::Answer some = answer("0.1");
    REQUIRE(some.has_mix());
    CHECK(some.mix.amounts[0] > 0.01);
    CHECK(some.mix.amounts[0] == Approx(3 * some.mix.amounts[2]));
    const tasks::Answer none = answer("5");
    REQUIRE(none.has_mix());
    CHECK(none.mix.amounts[0] == Approx(0).margin(1e-9));
    CHECK(none.mix.amounts[2] == Approx(0).margin(1e-9));
    CHECK_THROWS_AS(
        job_of(R"("ingredients":[{"id":"maize"}],"proportions":[{"parts":{"maize":1}}])"),
        base::DataError);
}

TEST_CASE("a mix that formulate wrote is a recipe, the same by every door") {
    const test::TempFolder folder;
    const std::string job =
        folder.write("job.json", R"({"format":"feedwright-job/1","profile":"nile-tilapia/grow-out",
          "ingredients":[{"id":"soybean-meal-44","price":0.5},
            {"id":"rice-bran-full-fat","price":0.2},
            {"id":"fish-meal-63","price":1.5},{"id":"maize","price":0.3},
            {"id":"dicalcium-phosphate-dihydrate","price":0.9},{"id":"premix-tilapia","price":3}]})");
    const tasks::Answer answer = tasks::formulate({{job, {}, false}, {}}, library());
    REQUIRE(answer.has_mix());
    const report::Run run{"feedwright test", {}, {}, false};
    const std::string mix =
        folder.write("mix.json", report::mix_json(answer.job, answer.mix, answer.cautions, run));
    std::string csv = "ingredient,amount,price\n";
    std::string json;
    for (const limits::MixItem& item : answer.mix.items) {
        const std::string percent = base::shortest(item.percent);
        const std::string price = base::shortest(*item.price);
        csv += item.id + ',' + percent + ',' + price + '\n';
        json += (json.empty() ? "" : ",") + (R"({"id":")" + item.id + R"(","amount":)" + percent) +
                R"(,"price":)" + price + "}";
    }
    job::ReadOptions for_tilapia;
    for_tilapia.profile = "nile-tilapia/grow-out";
    const auto checked = [&](const std::string& file) {
        const tasks::Checked result = tasks::check({file, for_tilapia, false}, library());
        return report::check_json(result.recipe, result.check, result.cautions, run);
    };
    const std::string by_result = checked(mix);
    CHECK(by_result == checked(folder.write("recipe.csv", csv)));
    CHECK(by_result ==
          checked(folder.write(
              "recipe.json", R"({"format":"feedwright-recipe/1","ingredients":[)" + json + "]}")));
    CHECK(by_result.find("\"passes\": true") != std::string::npos);
    // As a job it is one of what is in the mix.
    const job::Job as_job = job::read_job(mix, library(), {});
    CHECK(as_job.ingredients.size() == answer.mix.items.size());
    CHECK(as_job.find("maize")->price == 0.3);
}

TEST_CASE("a mix of the job's own ingredients carries them, and its limits") {
    const test::TempFolder folder;
    const std::string job =
        folder.write("job.json", R"({"format":"feedwright-job/1","finished_moisture":12,
          "ingredients":[{"id":"mine","dry_matter":50,"nutrients":{"crude_protein":20},"price":1,
             "max":40},{"id":"maize","price":0.3},{"id":"soybean-meal-44","price":0.9}],
          "limits":[{"nutrient":"crude_protein","min":14}],
          "groups":[{"name":"meals","ingredients":["mine","soybean-meal-44"],"max":60}]})");
    const tasks::Answer answer = tasks::formulate({{job, {}, false}, {}}, library());
    REQUIRE(answer.has_mix());
    const std::string mix = folder.write(
        "mix.json",
        report::mix_json(answer.job, answer.mix, {}, {"feedwright test", {}, {}, false}));
    const limits::Check check = tasks::check({mix, {}, false}, library()).check;
    CHECK(check.passes);
    CHECK(check.cost_per_kg == Approx(answer.mix.cost_per_kg));
    REQUIRE(limit_of(check, "nutrient:crude_protein") != nullptr);
    CHECK(*limit_of(check, "nutrient:crude_protein")->value == Approx(14));
}

TEST_CASE("recipes side by side: what differs from the first, and what it replaces") {
    const test::TempFolder folder;
    const std::string a =
        folder.write("a.csv", "ingredient,amount,price\nfish-meal-63,40,1.5\nmaize,60,0.3\n");
    const std::string b = folder.write(
        "b.csv",
        "ingredient,amount,price\nfish-meal-63,30,1.5\nsoybean-meal-44,10,0.5\nmaize,60,0.3\n");
    job::ReadOptions options;
    options.profile = "nile-tilapia/grow-out";
    const auto recipes = tasks::compare({"", options, false}, {a, b}, library());
    REQUIRE(recipes.size() == 2);
    CHECK(recipes[0].ingredients.empty());
    CHECK(*recipes[1].cost_change == Approx(-0.1));
    REQUIRE(recipes[1].ingredients.size() == 2);
    for (const tasks::ChangedIngredient& changed : recipes[1].ingredients) {
        if (changed.id == "fish-meal-63") {
            CHECK(*changed.replaced_percent == Approx(25));
        } else {
            CHECK(changed.change == Approx(10));
            CHECK_FALSE(changed.replaced_percent);
        }
    }
    CHECK_FALSE(recipes[1].needs.empty());
    const report::Run run{"feedwright test", {}, {}, false};
    const std::string csv = document::render_csv(report::comparison_document(recipes));
    CHECK(csv.find("# mix\ningredient,a.csv,b.csv\n") != std::string::npos);
    CHECK(report::comparison_json(recipes, run).find("feedwright-comparison/1") !=
          std::string::npos);
}
