// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "job/edit.hpp"
#include "report/weighing/weighing_report.hpp"
#include "search/cheapest.hpp"
#include "search/weighing_near.hpp"
#include "sheet/mixing_plan.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <atomic>
#include <random>
#include <sstream>
#include <string>
#include <vector>

using namespace feedwright;

namespace {

using test::library;

job::Job backyard(double batch_kg) {
    job::ReadOptions options;
    options.batch_kg = batch_kg;
    return job::read_job((test::source_folder() / "examples/backyard-tilapia/job.json").string(),
                         library(), options);
}

job::Job job_of(const std::string& text) {
    const test::TempFolder folder;
    return job::read_job(folder.write("job.json", text), library(), {});
}

double grams_of(const search::Weighing& weighing, const std::string& id) {
    for (const auto& item : weighing.mix) {
        if (item.id == id) return item.grams;
    }
    return 0;
}

search::Weighing weigh(const job::Job& job, const search::WeighingScale& scale,
                       const lp::SolveOptions& options = {}) {
    return search::weigh(job, search::formulate(job), scale, options);
}

const sheet::Practice& practice() {
    static const auto figures = sheet::load_practice(*library().files());
    return figures;
}

std::string sheet_of(const job::Job& job, const search::Weighing& weighing) {
    const auto plan = sheet::plan_mixing(job, weighing, practice());
    const auto cautions = limits::cautions_for(job, weighing.amounts, library().cautions());
    return document::render_text(report::sheet_document(job, weighing, plan, cautions));
}

}  // namespace

TEST_CASE("two meals weighed by hand: the cheapest whole steps that hold the protein") {
    // 20 % protein of 40 % and 10 %: exactly a third of the dear one, 333.3 g of 1000 g. In steps
    // of 10 g it takes 340 g of it, in steps of 0.1 g 333.4 g.
    const auto job = job_of(R"({"format":"feedwright-job/1","batch_kg":1,"ingredients":[
        {"id":"dear","price":2,"nutrients":{"crude_protein":40}},
        {"id":"plain","price":1,"nutrients":{"crude_protein":10}}],
        "limits":[{"nutrient":"crude_protein","min":20}]})");
    const auto coarse = weigh(job, {10, {}, 100});
    REQUIRE(coarse.status == lp::Status::optimal);
    CHECK(grams_of(coarse, "dear") == 340);
    CHECK(grams_of(coarse, "plain") == 660);
    CHECK(coarse.cost_per_kg == Approx(1.34));
    CHECK(coarse.exact_cost_per_kg == Approx(4.0 / 3));
    CHECK(coarse.gap_percent == Approx(0).margin(1e-6));
    const auto fine = weigh(job, {0.1, {}, 100});
    CHECK(grams_of(fine, "dear") == 333.4);
    CHECK(grams_of(fine, "plain") == 666.6);
}

TEST_CASE("a limit that the exact mix just meets is met to the last digit, not within rounding") {
    // 0.3 % of 25 kg is 75 g: allowed, although 100 * 75 / 25000 is above the double 0.3.
    const auto job = job_of(R"({"format":"feedwright-job/1","batch_kg":25,"ingredients":[
        {"id":"cheap","price":0.1,"max":0.3,"nutrients":{"crude_protein":1}},
        {"id":"rest","price":1,"nutrients":{"crude_protein":1}}]})");
    CHECK(grams_of(weigh(job, {5, {}, 100}), "cheap") == 75);
    CHECK(grams_of(weigh(job, {10, {}, 100}), "cheap") == 70);
}

TEST_CASE("an exact share that the scale cannot weigh is named with its weight") {
    // Only the premix has an exact share then.
    const auto plain = [](double batch_kg) {
        job::Job job = backyard(batch_kg);
        job::remove(job, "ascorbyl-phosphate-35");
        return job;
    };
    const auto weighing = weigh(plain(1.03), {5, {}, 100});
    CHECK(weighing.status == lp::Status::infeasible);
    CHECK(weighing.micrograms.empty());
    REQUIRE(weighing.obstacles.size() == 1);
    CHECK(weighing.obstacles[0].limit == "inclusion:premix-tilapia");
    CHECK(weighing.obstacles[0].min_g == Approx(10.3));
    CHECK(weighing.obstacles[0].max_g == Approx(10.3));
    const auto text =
        document::render_text(report::weighing_document(plain(1.03), weighing, nullptr, {}, {}));
    CHECK(text.find("exactly 10.3 g") != std::string::npos);
    // A batch of 1 kg makes it 10 g.
    CHECK(weigh(plain(1), {5, {}, 100}).status == lp::Status::optimal);
}

TEST_CASE("where the batch cannot be weighed, the nearest that can is given") {
    // 0.04 % of vitamin C in 10 kg is 4 g, and 1 % of premix 100 g: in steps of 5 g a batch of
    // 12.5 kg is the nearest that has whole steps of both.
    const job::Job job = backyard(10);
    const auto exact = search::formulate(job);
    const auto failed = search::weigh(job, exact, {5, {}, 100});
    REQUIRE(failed.amounts.empty());
    const auto near = search::weigh_near(job, exact, failed);
    REQUIRE(near.has_value());
    CHECK(near->other_batch);
    CHECK(near->batch_kg == Approx(12.5));
    CHECK(grams_of(near->weighing, "ascorbyl-phosphate-35") == 5);
    CHECK(grams_of(near->weighing, "premix-tilapia") == 125);
    for (const auto& limit : limits::limits_of(job))
        CHECK((limit.advisory || search::meets_exactly(job, limit, near->weighing.micrograms)));
}

TEST_CASE("a batch with a stock keeps its size, and what is in the way goes on a finer scale") {
    job::Job job = backyard(10);
    for (job::Choice& choice : job.ingredients)
        if (choice.id == "soybean-meal-44") choice.stock_kg = 9;
    const auto exact = search::formulate(job);
    const auto failed = search::weigh(job, exact, {5, {}, 100});
    REQUIRE(failed.amounts.empty());
    const auto near = search::weigh_near(job, exact, failed);
    REQUIRE(near.has_value());
    CHECK_FALSE(near->other_batch);
    CHECK(near->batch_kg == 10);
    CHECK(near->weighing.scale.fine_step_g == 0.5);
    CHECK(grams_of(near->weighing, "ascorbyl-phosphate-35") == 4);
}

TEST_CASE("20 lb are a whole number of quarter ounces") {
    job::Job job = backyard(20 * 0.45359237);
    job::remove(job, "ascorbyl-phosphate-35");
    job::set(job, "premix-tilapia.min=0.9");
    job::set(job, "premix-tilapia.max=1.1");
    const auto weighing = search::weigh(job, search::formulate(job), {7.087381, {}, 100, true});
    REQUIRE_FALSE(weighing.amounts.empty());
    // 20 lb of 16 ounces of 4 quarters.
    double steps = 0;
    for (const auto& item : weighing.mix)
        steps += item.grams / 7.087381;
    CHECK(steps == Approx(1280).epsilon(1e-9));
    const auto text =
        document::render_text(report::weighing_document(job, weighing, nullptr, {}, {}));
    CHECK(text.find("20 lb") != std::string::npos);
}

TEST_CASE("an exact nutrient limit that no whole steps hit is named with the nearest value") {
    const auto job = job_of(R"({"format":"feedwright-job/1","batch_kg":1,"ingredients":[
        {"id":"dear","price":2,"nutrients":{"crude_protein":40}},
        {"id":"plain","price":1,"nutrients":{"crude_protein":10}}],
        "limits":[{"nutrient":"crude_protein","min":20,"max":20}]})");
    const auto weighing = weigh(job, {10, {}, 100});
    CHECK(weighing.status == lp::Status::infeasible);
    REQUIRE(weighing.obstacles.size() == 1);
    CHECK(weighing.obstacles[0].limit == "nutrient:crude_protein");
    // 330 g give 19.9 %, 340 g give 20.2 %.
    REQUIRE(weighing.obstacles[0].nearest.has_value());
    CHECK(*weighing.obstacles[0].nearest == Approx(19.9));
}

TEST_CASE("ingredients of the exact mix are kept, unless they cannot be weighed") {
    // Only `bridge` can bring the sum to whole steps: the two others must be in exact thirds.
    const std::string two = R"({"format":"feedwright-job/1","batch_kg":1,"ingredients":[
        {"id":"dear","price":2,"nutrients":{"crude_protein":40}},
        {"id":"plain","price":1,"nutrients":{"crude_protein":10}},
        {"id":"bridge","price":9,"nutrients":{"crude_protein":20}}],
        "limits":[{"nutrient":"crude_protein","min":20,"max":20}]})";
    const auto weighing = weigh(job_of(two), {10, {}, 100});
    REQUIRE(weighing.status == lp::Status::optimal);
    CHECK_FALSE(weighing.same_ingredients);
    CHECK(grams_of(weighing, "bridge") == 10);
    CHECK(grams_of(weighing, "dear") == 330);
    CHECK(weigh(backyard(25), {5, {}, 100}).same_ingredients);
}

TEST_CASE("small amounts go on the fine scale, and the batch is then met within a step") {
    const auto weighing = weigh(backyard(1), {1, 0.1, 100});
    REQUIRE(weighing.status == lp::Status::optimal);
    bool any_fine = false;
    for (const auto& item : weighing.mix) {
        any_fine = any_fine || item.fine;
        CHECK(item.fine == (item.exact_grams < 100));
    }
    CHECK(any_fine);
    CHECK(weighing.weighed_kg == Approx(1).margin(0.001));
}

TEST_CASE("scales and batches that make no sense are refused with what was found") {
    CHECK_THROWS_WITH(weigh(backyard(1.033), {5, {}, 100}), Catch::Contains("a batch of 1033 g"));
    CHECK_THROWS_WITH(weigh(backyard(1), {5, 2.0, 100}), Catch::Contains("steps of 5 g and 2 g"));
    auto job = backyard(1);
    job.batch_kg.reset();
    CHECK_THROWS_WITH(weigh(job, {5, {}, 100}), Catch::Contains("no weight of the batch"));
}

TEST_CASE("a search that is interrupted, or out of time or steps, says so and proves nothing") {
    const auto job = backyard(25);
    const auto exact = search::formulate(job);
    const std::atomic<bool> stop{true};
    lp::SolveOptions options;
    options.interrupt = &stop;
    const auto stopped = search::weigh(job, exact, {5, {}, 100}, options);
    CHECK(stopped.status == lp::Status::limit);
    CHECK(stopped.message == "interrupted");
    lp::SolveOptions few;
    few.iteration_limit = 5;
    const auto limited = search::weigh(job, exact, {5, {}, 100}, few);
    CHECK(limited.status == lp::Status::limit);
    CHECK(limited.message == "the iteration limit was reached");
}

TEST_CASE("a ration of free total is weighed in kilograms of its own") {
    const auto job = job_of(R"({"format":"feedwright-job/1","total":"free","ingredients":[
        {"id":"hay","price":0.2,"max":9,"nutrients":{"crude_protein":7}},
        {"id":"meal","price":0.6,"max":3,"nutrients":{"crude_protein":40}}],
        "limits":[{"nutrient":"crude_protein","min":0.9}]})");
    const auto weighing = weigh(job, {100, {}, 100});
    REQUIRE(weighing.status == lp::Status::optimal);
    // 0.9 kg of protein are 2.25 kg of meal.
    CHECK(grams_of(weighing, "meal") == 2300);
    CHECK(grams_of(weighing, "hay") == 0);
    CHECK(weighing.cost == Approx(1.38));
    CHECK(weighing.exact_cost_per_kg == Approx(0.6));
}

TEST_CASE("the plan puts everything in the mixer once, and dilutes what is small") {
    const auto job = backyard(25);
    lp::SolveOptions near;
    near.cost_gap = 0.005;  // USD a batch; to the cheapest weights of all takes a minute
    const auto weighing = weigh(job, {5, 0.1, 100}, near);
    CHECK(weighing.status == lp::Status::optimal);
    CHECK(weighing.gap_percent < 0.05);
    const auto plan = sheet::plan_mixing(job, weighing, practice());
    double sum = 0;
    for (const auto* shelf : {&plan.bulk, &plan.micro, &plan.moist, &plan.oils, &plan.liquids}) {
        for (const auto& item : *shelf)
            sum += item.grams;
    }
    CHECK(sum == Approx(25000));
    REQUIRE(plan.rounds.size() == 3);
    REQUIRE(plan.carrier.has_value());
    double bowl = 0;
    for (const auto& item : plan.micro)
        bowl += item.grams;
    for (const auto& round : plan.rounds) {
        CHECK(round.bowl_g == Approx(bowl));
        CHECK(round.total_g == Approx(round.bowl_g + round.carrier_g));
        bowl = round.total_g;
    }
    const double ratio = plan.carrier->grams / plan.rounds[0].bowl_g;
    CHECK(ratio >= practice().carrier_ratio.low);
    CHECK(ratio <= practice().carrier_ratio.high);
    // Water and drying keep the dry matter: 25 % moisture before, 10 % after.
    REQUIRE(plan.finished_g.has_value());
    // One dry matter in the mash and in the finished feed.
    CHECK((plan.batch_g + *plan.water_g) * 0.75 == Approx(*plan.finished_g * 0.9));
    CHECK(*plan.sample_g == Approx(1000 * 0.75 / 0.9));
}

TEST_CASE("every figure of practice rests on a source of the library") {
    for (const std::string& source : sheet::sources_of(practice())) {
        CHECK(library().source(source) != nullptr);
    }
    const test::TempFolder folder;
    folder.write("practice.json", R"({"format":"feedwright-practice/1","figures":[]})");
    CHECK_THROWS_WITH(sheet::load_practice(*catalog::files_in(folder.path().string())),
                      Catch::Contains("no figure \"mash_moisture\""));
}

TEST_CASE("a mixing sheet is one page for any mix of up to 20 ingredients") {
    std::mt19937 random(11);
    const auto ids = library().ingredient_ids();
    std::size_t longest = 0;
    std::size_t most = 0;
    for (int round = 0; round < 40; ++round) {
        std::string text;
        std::vector<std::string> chosen = ids;
        std::shuffle(chosen.begin(), chosen.end(), random);
        const std::size_t count = 5 + static_cast<std::size_t>(round) % 16;
        for (std::size_t i = 0; i < count; ++i) {
            // Some of everything, so that no ingredient is left out.
            text += (i == 0 ? "" : ",") + (R"({"id":")" + chosen[i] + R"(","price":1,"min":)" +
                                           (i % 4 == 0 ? "0.2" : "1") + "}");
        }
        const auto job = job_of(R"({"format":"feedwright-job/1","batch_kg":20,"species":")" +
                                std::string(round % 2 == 0 ? "nile-tilapia" : "laying-hen") +
                                R"(","ingredients":[)" + text + "]}");
        const auto weighing = weigh(job, {1, {}, 100});
        REQUIRE(weighing.mix.size() == count);
        const std::string sheet = sheet_of(job, weighing);
        std::istringstream in(sheet);
        std::size_t lines = 0;
        for (std::string line; std::getline(in, line); ++lines)
            longest = std::max(longest, line.size());
        most = std::max(most, lines);
        INFO(sheet);
        REQUIRE(lines <= report::sheet_lines);
        for (const auto& item : weighing.mix)
            REQUIRE(sheet.find(item.name.substr(0, 20)) != std::string::npos);
    }
    CHECK(longest <= 80);
    CHECK(most > 55);
}
