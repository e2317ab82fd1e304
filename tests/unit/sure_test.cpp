// SPDX-License-Identifier: GPL-3.0-or-later
// Limits that must hold although ingredients vary.
#include "base/diagnostics.hpp"
#include "limits/chance.hpp"
#include "search/cheapest.hpp"
#include "search/explain.hpp"
#include "search/sureness.hpp"
#include "search/weighing.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "tasks/sure_curve.hpp"

#include <algorithm>
#include <cmath>
#include <string>

using namespace feedwright;

namespace {

job::Job read(const std::string& inside) {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    return job::read_job(
        folder.write("job.json", R"({"format":"feedwright-job/1",)" + inside + "}"), library, {});
}

// Hock and Schittkowski 1981, problem 73, as a job; standard deviations are the roots of the
// printed variances 0.28, 0.19, 20.5 and 0.62. `more` is put into the limit on protein.
std::string cattle_feed(const std::string& more, const std::string& extra = "") {
    return extra + R"("ingredients": [
      {"id": "barley", "price": 24.55, "nutrients": {"crude_lipid": {"value": 2.3, "sd": 0},
        "crude_protein": {"value": 12.0, "sd": 0.529150262212918, "spread": "lots"}}},
      {"id": "oats", "price": 26.75, "nutrients": {"crude_lipid": {"value": 5.6, "sd": 0},
        "crude_protein": {"value": 11.9, "sd": 0.435889894354067, "spread": "lots"}}},
      {"id": "sesame", "price": 39.0, "nutrients": {"crude_lipid": {"value": 11.1, "sd": 0},
        "crude_protein": {"value": 41.8, "sd": 4.527692569068709, "spread": "lots"}}},
      {"id": "groundnut", "price": 40.5, "nutrients": {"crude_lipid": {"value": 1.3, "sd": 0},
        "crude_protein": {"value": 52.1, "sd": 0.787400787401181, "spread": "lots"}}}],
      "limits": [{"nutrient": "crude_lipid", "min": 5}, {"nutrient": "crude_protein", "min": 21)" +
           more + "}]";
}

const limits::LimitResult& limit_of(const search::Formulation& mix, const std::string& id) {
    const auto& list = mix.assessment.limits;
    return *std::find_if(list.begin(), list.end(),
                         [&](const limits::LimitResult& limit) { return limit.limit.id == id; });
}

}  // namespace

TEST_CASE("the published cattle feed whose protein is sure, as a job") {
    // z = 1.645, the source's round number, is the quantile of this percentage.
    for (const std::string& job_text :
         {cattle_feed(R"(, "sure_percent": 95.00150944608786)"),
          cattle_feed("", R"("sure_percent": 95.00150944608786, )")}) {
        const job::Job job = read(job_text);
        search::Formulation mix = search::formulate(job);
        REQUIRE(mix.status == lp::Status::optimal);
        CHECK(mix.cost_per_kg == Approx(29.894378).margin(1e-6).epsilon(0));
        // In order of id: barley, groundnut, oats, sesame.
        CHECK(mix.amounts[0] == Approx(0.6355216).margin(1e-5).epsilon(0));
        CHECK(mix.amounts[1] == Approx(0.05177655).margin(1e-5).epsilon(0));
        CHECK(mix.amounts[2] == Approx(0).margin(1e-9));
        CHECK(mix.amounts[3] == Approx(0.3127019).margin(1e-5).epsilon(0));
        REQUIRE(mix.sure);
        CHECK(mix.sure->shortfall <= lp::cone_tolerance);
        CHECK(mix.sure->gap <= lp::cone_tolerance);
        limits::add_chance(job, mix.amounts, mix.assessment);
        CHECK(*limit_of(mix, "nutrient:crude_protein").holds_percent ==
              Approx(95.00150944608786).epsilon(1e-8));
        CHECK(limit_of(mix, "nutrient:crude_protein").sure_binding);
        CHECK(mix.assessment.chance->all_percent == Approx(95).margin(1));
    }
    CHECK(search::formulate(read(cattle_feed(""))).cost_per_kg ==
          Approx(28.942648).margin(1e-6).epsilon(0));
}

TEST_CASE("the cattle feed at other chances, as a job") {
    // Worked out by sequential quadratic programming from the published data; the percentages are
    // those of z = 1.28 and z = 2.326.
    struct Expected {
        std::string sure;
        double cost, barley, groundnut, oats, sesame;
    };
    for (const Expected& expected : std::vector<Expected>{
             {"", 28.942648, 0.68524491, 0, 0.01269905, 0.30205604},
             {R"(, "sure_percent": 89.9727432045558)", 29.676979, 0.64928369, 0.03941872, 0,
              0.31129758},
             {R"(, "sure_percent": 98.99907246591323)", 30.237044, 0.23224707, 0.15549762,
              0.4604271, 0.1518282},
         }) {
        INFO(expected.sure);
        const search::Formulation mix = search::formulate(read(cattle_feed(expected.sure)));
        REQUIRE(mix.status == lp::Status::optimal);
        CHECK(mix.cost_per_kg == Approx(expected.cost).margin(1e-6).epsilon(0));
        CHECK(mix.amounts[0] == Approx(expected.barley).margin(1e-5).epsilon(0));
        CHECK(mix.amounts[1] == Approx(expected.groundnut).margin(1e-5).epsilon(0));
        CHECK(mix.amounts[2] == Approx(expected.oats).margin(1e-5).epsilon(0));
        CHECK(mix.amounts[3] == Approx(expected.sesame).margin(1e-5).epsilon(0));
    }
}

TEST_CASE("what a sure limit is worth is what the cost changes by") {
    const auto cost = [](const std::string& min) {
        std::string text = cattle_feed(R"(, "sure_percent": 95)");
        text.replace(text.find("\"min\": 21"), 9, "\"min\": " + min);
        return search::formulate(read(text)).cost_per_kg;
    };
    const job::Job job = read(cattle_feed(R"(, "sure_percent": 95)"));
    search::Formulation mix = search::formulate(job);
    search::explain_optimum(job, search::cheapest_program(job), mix);
    const double slope = (cost("21.001") - cost("20.999")) / 0.002;
    CHECK(*limit_of(mix, "nutrient:crude_protein").shadow_price == Approx(slope).epsilon(1e-4));
    // Fat is tight on average, beside it.
    CHECK(limit_of(mix, "nutrient:crude_lipid").binding);
}

TEST_CASE("a mix that cannot be so sure: how sure it can be, and what stands in the way") {
    const auto with = [](const std::string& sure) {
        return read(sure + R"("ingredients": [
          {"id": "aa", "price": 1, "nutrients": {"crude_protein": {"value": 40, "sd": 4},
                                                 "crude_fibre": {"value": 8, "sd": 1}}},
          {"id": "bb", "price": 2, "nutrients": {"crude_protein": {"value": 40, "sd": 4},
                                                 "crude_fibre": {"value": 8, "sd": 1}}}],
          "limits": [{"nutrient": "crude_protein", "min": 37}, {"nutrient": "crude_fibre", "max": 12}])");
    };
    const job::Job job = with(R"("sure_percent": 95, )");
    CHECK(search::formulate(job).status == lp::Status::infeasible);
    const auto conflict = search::explain_sure_conflict(job);
    REQUIRE(conflict);
    CHECK(conflict->asked_percent == 95);
    // Half of each spreads least: sd = 4 / sqrt(2), and 3 / 2.828 is the quantile of 85.56 %.
    CHECK(conflict->possible_percent == Approx(85.56).margin(0.02));
    CHECK(conflict->relax == std::vector<std::string>{"crude protein"});
    CHECK(conflict->tight == std::vector<std::string>{"crude protein"});
    CHECK_FALSE(search::explain_sure_conflict(with("")));
    CHECK_FALSE(search::explain_sure_conflict(with(R"("sure_percent": 80, )")));
    CHECK(search::formulate(with(R"("sure_percent": 85, )")).status == lp::Status::optimal);
}

TEST_CASE("sureness beside whole numbers: at most so many, at least so much, steps of a scale") {
    job::Job job = read(cattle_feed(R"(, "sure_percent": 95)", R"("batch_kg": 20, )"));
    const search::Formulation free = search::formulate(job);
    job.at_most = 2;
    const search::Formulation two = search::formulate(job);
    REQUIRE(two.status == lp::Status::optimal);
    CHECK(two.items.size() == 2);
    CHECK(two.cost_per_kg > free.cost_per_kg);
    CHECK(*two.bound == Approx(two.cost).epsilon(1e-7));
    job.at_most.reset();
    search::WeighingScale scale;
    scale.step_g = 500;
    search::Weighing weighed = search::weigh(job, free, scale);
    REQUIRE_FALSE(weighed.amounts.empty());
    limits::add_chance(job, weighed.amounts, weighed.assessment);
    for (const limits::LimitResult& limit : weighed.assessment.limits) {
        CHECK(limit.met);
        if (limit.limit.id == "nutrient:crude_protein") CHECK(*limit.holds_percent >= 95 - 1e-6);
    }
    CHECK(weighed.cost_per_kg >= free.cost_per_kg);
}

TEST_CASE("a limit that yields is held surely where that can be, and on average else") {
    catalog::Library library((test::source_folder() / "data").string());
    const std::string file =
        (test::source_folder() / "examples/backyard-tilapia/job.json").string();
    job::ReadOptions options;
    const search::Formulation plain =
        search::formulate(search::settle(job::read_job(file, library, options)));
    options.sure_percent = 90;
    const job::Job job = search::settle(job::read_job(file, library, options));
    search::Formulation sure = search::formulate(job);
    REQUIRE(sure.status == lp::Status::optimal);
    CHECK(sure.cost_per_kg > plain.cost_per_kg);
    limits::add_chance(job, sure.amounts, sure.assessment);
    for (const limits::LimitResult& limit : sure.assessment.limits) {
        if (limit.limit.advisory || limit.limit.sure_percent.value_or(0) <= 50) continue;
        INFO(limit.limit.id);
        const bool two_sided = limit.limit.min && limit.limit.max;
        CHECK(*limit.holds_percent >= (two_sided ? 80 : 90) - 1e-5);
    }
}

TEST_CASE("limits that yield are settled for sureness without thousands of rounds") {
    // Planes alone took 816 rounds, and a minute and a half, to see that no mix is so sure.
    catalog::Library library((test::source_folder() / "data").string());
    const std::string file =
        (test::source_folder() / "tests/bench/forty-ingredients.json").string();
    job::ReadOptions options;
    options.sure_percent = 90;
    const job::Job job = search::settle(job::read_job(file, library, options));
    CHECK(search::formulate(job).status == lp::Status::optimal);
}

TEST_CASE("first order is near the full model for a mix of the library") {
    catalog::Library library((test::source_folder() / "data").string());
    const std::string file =
        (test::source_folder() / "examples/backyard-tilapia/job.json").string();
    double largest = 0;
    for (const double percent : {0.0, 70.0, 80.0, 90.0, 95.0}) {
        job::ReadOptions options;
        if (percent > 0) options.sure_percent = percent;
        const job::Job job = search::settle(job::read_job(file, library, options));
        search::Formulation mix = search::formulate(job);
        REQUIRE(mix.status == lp::Status::optimal);
        limits::add_chance(job, mix.amounts, mix.assessment);
        const limits::Chance& chance = *mix.assessment.chance;
        REQUIRE(chance.weakest);
        const auto& weakest = mix.assessment.limits[*chance.weakest];
        INFO(percent << ": " << weakest.limit.id);
        const double difference = std::abs(*weakest.holds_percent - chance.weakest_percent);
        CHECK(difference < 1.5);
        largest = std::max(largest, difference);
    }
    // docs/method.md has the figure. The draws alone have a standard error of 0.5 points.
    INFO("largest difference, points of percent: " << largest);
    CHECK(largest < 1.5);
}

TEST_CASE("how sure is asked between 50 and 100, and of no limit that asks for one number") {
    const auto refuses = [](const std::string& text) {
        try {
            read(text);
        } catch (const base::DataError&) {
            return true;
        }
        return false;
    };
    CHECK(refuses(cattle_feed("", R"("sure_percent": 50, )")));
    CHECK(refuses(cattle_feed("", R"("sure_percent": 100, )")));
    CHECK(refuses(cattle_feed("", R"("sure_percent": "95", )")));
    CHECK(refuses(cattle_feed(R"(, "sure_percent": 40)")));
    CHECK(refuses(cattle_feed(R"(, "max": 21, "sure_percent": 90)")));
    CHECK_FALSE(refuses(cattle_feed(R"(, "max": 21)", R"("sure_percent": 90, )")));
}

TEST_CASE("the knee of a curve is where it bends most") {
    std::vector<tasks::SurePoint> points;
    const auto add = [&](double percent, std::optional<double> cost, std::size_t on_average = 0) {
        points.push_back({percent, lp::Status::optimal, cost, {}, {}, "", on_average});
    };
    add(50, 1.0);
    add(80, 1.1);
    add(90, 1.2);
    add(99.9, 3.0);
    CHECK(tasks::knee_of(points) == 2U);
    // One that holds fewer limits surely is another question, however cheap.
    points.back().on_average = 3;
    add(99.95, 1.1, 3);
    CHECK(tasks::knee_of(points) == 1U);
    points.clear();
    add(50, 1.0);
    add(80, 1.0);
    add(90, 1.0);
    CHECK_FALSE(tasks::knee_of(points));
    points[1].cost_per_kg.reset();
    CHECK_FALSE(tasks::knee_of(points));
}

TEST_CASE("the curve of sureness costs what each job with such a sureness does") {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    const auto file = [&](const std::string& name, const std::string& text) {
        return folder.write(name, R"({"format":"feedwright-job/1",)" + text + "}");
    };
    tasks::FormulateRequest request;
    request.job.file = file("job.json", cattle_feed(""));
    const tasks::SureCurve curve = tasks::sure_curve(request, library);
    REQUIRE(curve.points.size() > 10);
    CHECK(curve.points.front().sure_percent == 50);
    CHECK(curve.points.back().sure_percent == 99.9);
    for (const tasks::SurePoint& point : curve.points) {
        INFO(point.sure_percent);
        const std::string sure = point.sure_percent > 50
                                     ? ", \"sure_percent\": " + std::to_string(point.sure_percent)
                                     : "";
        const search::Formulation mix = search::formulate(read(cattle_feed(sure)));
        REQUIRE(point.cost_per_kg.has_value() == (mix.status == lp::Status::optimal));
        if (!point.cost_per_kg) continue;
        CHECK(*point.cost_per_kg == Approx(mix.cost_per_kg).epsilon(1e-9));
        CHECK(point.on_average == 0);
    }
    const auto& first = curve.points.front();
    CHECK(*first.further_percent_costs ==
          Approx((*curve.points[1].cost_per_kg - *first.cost_per_kg) / 5).epsilon(1e-9));
    REQUIRE(curve.knee);
    CHECK(curve.analysed_percent == curve.points[*curve.knee].sure_percent);
    // What an analysis saves is what a job without that spread does.
    REQUIRE_FALSE(curve.analyses.empty());
    CHECK(curve.analyses.front().id == "sesame");
    std::string known =
        cattle_feed(", \"sure_percent\": " + std::to_string(*curve.analysed_percent));
    known.replace(known.find("4.527692569068709"), 17, "0");
    const double cost = search::formulate(read(known)).cost_per_kg;
    CHECK(curve.analyses.front().cost_per_kg == Approx(cost).epsilon(1e-9));
    CHECK(curve.analyses.front().saves_per_kg ==
          Approx(*curve.analysed_cost_per_kg - cost).epsilon(1e-6));
    for (std::size_t i = 1; i < curve.analyses.size(); ++i)
        CHECK(curve.analyses[i].saves_per_kg <= curve.analyses[i - 1].saves_per_kg);
}
