// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/sections.hpp"
#include "support/catch.hpp"

#include <string>
#include <variant>
#include <vector>

// What stands under the verdict, from limits made up for it.

using namespace feedwright;
using formulate::LimitResult;

namespace {

LimitResult advisory(const std::string& name, std::optional<double> min, std::optional<double> max,
                     double value, double known_percent) {
    LimitResult result;
    result.limit.advisory = true;
    result.limit.name = name;
    result.limit.unit = "mg/kg";
    result.limit.min = min;
    result.limit.max = max;
    result.value = value;
    result.met = (!min || value >= *min) && (!max || value <= *max);
    result.known_percent = known_percent;
    return result;
}

job::Job job_of(const std::string& role) {
    job::Job job;
    job.profile.emplace();
    for (const char* id : {"bran", "meal", "mix"}) {
        job.ingredients.emplace_back();
        job.ingredients.back().id = id;
        job.ingredients.back().name = std::string("the ") + id;
    }
    job.ingredients[2].role = role;
    return job;
}

const std::vector<double> amounts{60, 30, 10};

std::vector<std::string> told(const job::Job& job, const std::vector<LimitResult>& limits,
                              const std::vector<double>& of = amounts) {
    report::Document document;
    report::add_reservations(document, job, of, limits);
    if (document.blocks.empty()) return {};
    REQUIRE(document.blocks.size() == 2);
    std::vector<std::string> texts;
    for (const auto& item : std::get<report::Bullets>(document.blocks[1]).items)
        texts.push_back(item.text);
    return texts;
}

}  // namespace

TEST_CASE("a mix that nothing is to be said of has nothing under its verdict") {
    const std::vector<LimitResult> met{advisory("zinc", 30, {}, 40, 99),
                                       advisory("vitamin A", 1, 5, 4, 99)};
    CHECK(told(job_of("premix"), met).empty());
    // Without a profile there is no animal to need a premix.
    job::Job own = job_of("");
    own.profile.reset();
    CHECK(told(own, met).empty());
}

TEST_CASE("needs that are certainly missed, excesses and what nothing is known to supply") {
    const auto texts = told(job_of("premix"), {advisory("zinc", 50, {}, 40, 99),
                                               advisory("copper", 50, {}, 40, 60),
                                               advisory("vitamin A", 1000, 10000, 25000, 2),
                                               advisory("vitamin C", 50, {}, 1, 1)});
    REQUIRE(texts.size() == 3);
    CHECK_THAT(texts[0], Catch::StartsWith("It is short of needs that did not shape it: zinc (40.0 "
                                           "of 50 mg/kg)."));
    CHECK_THAT(texts[1], Catch::Contains("vitamin A (25000 mg/kg, at most 10000)"));
    CHECK_THAT(texts[2], Catch::Contains("supply vitamin C:"));
}

TEST_CASE("a mix for an animal without a premix says so") {
    const auto texts = told(job_of(""), {});
    REQUIRE(texts.size() == 1);
    CHECK_THAT(texts[0], Catch::StartsWith("No vitamin and mineral premix is in it."));
    // It stands in the job, but not in the mix.
    CHECK(told(job_of("premix"), {}, {60, 40, 0}).size() == 1);
}

TEST_CASE("amounts beyond every trial are named, sums of a category too") {
    job::Job job = job_of("premix");
    job.tried.push_back({"bran", {"bran"}, 40, catalog::Cap::Kind::highest_tested, "", ""});
    job.tried.push_back(
        {"category:meals", {"bran", "meal"}, 90, catalog::Cap::Kind::highest_tested, "", ""});
    const auto texts = told(job, {});
    REQUIRE(texts.size() == 1);
    CHECK_THAT(texts[0], Catch::Contains("the bran (60.0 %, tried up to 40 %)."));
    CHECK_THAT(texts[0], !Catch::Contains("meals"));
    // 100 parts in all or 1: it is shares that count.
    CHECK(told(job, {}, {0.6, 0.3, 0.1}) == texts);
    job.finished_moisture = 30;
    CHECK(told(job, {}).empty());
}

TEST_CASE("far more protein, calcium or sodium than is asked is named") {
    const auto asked = [](const std::string& id, double min, double value) {
        LimitResult result;
        result.limit.id = "nutrient:" + id;
        result.limit.name = id;
        result.limit.unit = "%";
        result.limit.min = min;
        result.value = value;
        return result;
    };
    const auto texts = told(job_of("premix"), {asked("crude_protein", 30, 66), asked("calcium", 1, 2),
                                               asked("sodium", 0.2, 0.8), asked("lysine", 1, 5)});
    REQUIRE(texts.size() == 1);
    CHECK_THAT(texts[0], Catch::Contains("crude_protein (66.0 %, 2.2 times what is needed) and "
                                         "sodium (0.800 %, 4.0 times what is needed)"));
}
