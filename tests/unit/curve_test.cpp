// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/curve.hpp"

#include "report/mix/curve_report.hpp"
#include "search/cheapest.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <cmath>
#include <string>

using namespace feedwright;

namespace {

using test::library;

job::Job backyard() {
    return job::read_job((test::source_folder() / "examples/backyard-tilapia/job.json").string(),
                         library(), {});
}

job::Job job_of(const std::string& text) {
    const test::TempFolder folder;
    return job::read_job(folder.write("job.json", text), library(), {});
}

job::Choice& choice_of(job::Job& job, const std::string& id) {
    return *std::find_if(job.ingredients.begin(), job.ingredients.end(),
                         [&](const job::Choice& c) { return c.id == id; });
}

}  // namespace

TEST_CASE("every point of a curve is the least-cost mix with that share") {
    const job::Job job = backyard();
    const auto curve = search::inclusion_curve(job, "duckweed-dried");
    CHECK(curve.cap == Approx(30));
    // Twenty steps, and where mixes end within one the share at which they do.
    REQUIRE(curve.points.size() >= 21);
    CHECK(curve.points.front().inclusion == 0);
    CHECK(curve.points.back().inclusion == Approx(30));
    std::size_t feasible = 0;
    const double best = search::formulate(job).cost_per_kg;
    for (std::size_t k = 0; k < curve.points.size(); ++k) {
        const auto& point = curve.points[k];
        job::Job held = job;
        auto& choice = choice_of(held, "duckweed-dried");
        choice.min = choice.max = point.inclusion;
        const auto mix = search::formulate(held);
        if (!point.cost_per_kg) {
            CHECK(mix.status == lp::Status::infeasible);
            continue;
        }
        ++feasible;
        REQUIRE(mix.status == lp::Status::optimal);
        CHECK(*point.cost_per_kg == Approx(mix.cost_per_kg).margin(1e-6));
        CHECK(*point.cost_per_kg >= best - 1e-9);
        CHECK(point.tight > 0);
        CHECK(point.margin_percent == Approx(0));
        // The cost of the best mix is convex in a share that is held.
        if (k > 1) {
            const auto& p = curve.points;
            const double part =
                (p[k - 1].inclusion - p[k - 2].inclusion) / (p[k].inclusion - p[k - 2].inclusion);
            CHECK(*p[k - 1].cost_per_kg <=
                  (1 - part) * *p[k - 2].cost_per_kg + part * *p[k].cost_per_kg + 1e-9);
        }
    }
    CHECK(feasible >= 10);
}

TEST_CASE("the room of a point is how far every need can be tightened before no mix is left") {
    const job::Job job = backyard();
    const auto curve = search::inclusion_curve(job, "duckweed-dried", 4);
    std::size_t feasible = 0;
    for (const auto& point : curve.points) {
        if (!point.cost_per_kg) continue;
        ++feasible;
        REQUIRE(point.room_percent.has_value());
        for (const double side : {-0.01, 0.01}) {
            const double t = (*point.room_percent + side) / 100;
            job::Job tight = job;
            auto& choice = choice_of(tight, "duckweed-dried");
            choice.min = choice.max = point.inclusion;
            for (auto& limit : tight.limits) {
                if (limit.advisory) continue;
                if (limit.min) limit.min = *limit.min * (1 + t);
                if (limit.max) limit.max = *limit.max * (1 - t);
            }
            for (auto& ratio : tight.ratios) {
                if (ratio.advisory) continue;
                if (ratio.min) ratio.min = *ratio.min * (1 + t);
                if (ratio.max) ratio.max = *ratio.max * (1 - t);
            }
            const auto mix = search::formulate(tight);
            CHECK((mix.status == lp::Status::optimal) == (side < 0));
        }
    }
    CHECK(feasible >= 3);
}

TEST_CASE("shares for which no mix exists are points of the curve too, and marked") {
    // Between 20 % and 24 % protein, of 40 % and 10 %: the meal is between 33.3 % and 46.7 %.
    const std::string text = R"({"format":"feedwright-job/1","ingredients":[
        {"id":"meal","price":2,"max":60,"min":40,"nutrients":{"crude_protein":40}},
        {"id":"bran","price":1,"nutrients":{"crude_protein":10}}],
        "limits":[{"nutrient":"crude_protein","min":20,"max":24}]})";
    const job::Job job = job_of(text);
    const auto curve = search::inclusion_curve(job, "meal");
    CHECK(curve.own_minimum_left_out);
    CHECK(curve.cap == Approx(60));
    CHECK(curve.lowest == Approx(100.0 / 3));
    CHECK(curve.highest == Approx(140.0 / 3));
    REQUIRE(curve.points.size() == 23);  // 21 even ones, and the two ends
    for (const auto& point : curve.points) {
        const bool inside =
            point.inclusion > 100.0 / 3 - 1e-6 && point.inclusion < 140.0 / 3 + 1e-6;
        CHECK(point.cost_per_kg.has_value() == inside);
        if (!inside) {
            CHECK(point.status == lp::Status::infeasible);
            continue;
        }
        CHECK(*point.cost_per_kg == Approx(1 + point.inclusion / 100).margin(1e-6));
        const double protein = 10 + 0.3 * point.inclusion;
        CHECK(*point.cost_per_kg_protein ==
              Approx(100 * *point.cost_per_kg / protein).margin(1e-5));
    }
    std::string shown = document::render_text(report::curve_document(job, curve));
    std::replace(shown.begin(), shown.end(), '\n', ' ');
    CHECK(shown.find("Below 33.3 % no mix meets all limits") != std::string::npos);
    CHECK(shown.find("above 46.7 % no mix meets all limits") != std::string::npos);
    CHECK(shown.find("x no mix") != std::string::npos);
    // Without a limit of its own the curve ends where a mix does.
    const auto open = search::inclusion_curve(job, "bran");
    CHECK_FALSE(open.cap.has_value());
    CHECK(open.points.back().inclusion == Approx(60));  // the meal's own minimum
}

TEST_CASE("a replacement limit is the cap of a curve") {
    // The new meal gives at most half of the protein that it and the old one give together; both
    // hold 40 %, and nothing else is in, so its share is at most 50 %.
    const job::Job job = job_of(R"({"format":"feedwright-job/1","ingredients":[
        {"id":"new","price":1,"nutrients":{"crude_protein":40}},
        {"id":"old","price":2,"nutrients":{"crude_protein":40}}],
        "replacements":[{"ingredient":"new","of":"old","max":50}]})");
    const auto curve = search::inclusion_curve(job, "new", 10);
    CHECK(curve.cap == Approx(50));
    CHECK(curve.points.back().cost_per_kg == Approx(1.5).margin(1e-6));
}

TEST_CASE("with none-or-at-least amounts each point of a curve stands for itself") {
    const job::Job job = job_of(R"({"format":"feedwright-job/1","ingredients":[
        {"id":"a","price":1,"max":50,"nutrients":{"crude_protein":40}},
        {"id":"b","price":2,"nutrients":{"crude_protein":40}},
        {"id":"c","price":0.5,"min_if_used":70,"nutrients":{"crude_protein":40}}]})");
    const auto curve = search::inclusion_curve(job, "a", 5);
    REQUIRE(curve.points.size() == 6);
    CHECK_FALSE(curve.lowest.has_value());
    // c fills the rest as long as that is 70 % or more; beyond, b does.
    CHECK(curve.points[3].inclusion == Approx(30));
    CHECK(curve.points[3].cost_per_kg == Approx(0.65));
    CHECK(curve.points[4].cost_per_kg == Approx(1.6));
    CHECK_FALSE(curve.points[4].room_percent.has_value());
}
