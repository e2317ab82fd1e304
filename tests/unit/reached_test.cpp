// SPDX-License-Identifier: GPL-3.0-or-later
// A limit is reached, met or missed by shares of its own number: what is said of a vitamin kept in
// percent is what is said of it in mg/kg, and of the protein beside it.
#include "search/cheapest.hpp"
#include "search/conflict.hpp"
#include "search/explain.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

using namespace feedwright;
using namespace feedwright::limits;
using namespace feedwright::search;

namespace {

job::Job read(const std::string& inside) {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    return job::read_job(
        folder.write("job.json", R"({"format":"feedwright-job/1",)" + inside + "}"), library, {});
}

Formulation explained(const job::Job& job) {
    const FeedProgram model = cheapest_program(job);
    Formulation result = search::formulate(job, model, {});
    explain_optimum(job, model, result);
    return result;
}

const LimitResult& limit(const Formulation& result, const std::string& id) {
    const auto at = std::find_if(result.assessment.limits.begin(), result.assessment.limits.end(),
                                 [&](const LimitResult& one) { return one.limit.id == id; });
    REQUIRE(at != result.assessment.limits.end());
    return *at;
}

// Maize and soybean meal, and a premix of exactly one percent that brings the vitamin: `content` of
// it, of which the feed needs `need`.
job::Job with_vitamin(double content, double need, const std::string& unit) {
    return read(fmt::format(R"("ingredients":[
        {{"id":"corn","price":0.3,"nutrients":{{"crude_protein":8.5,"v":0}}}},
        {{"id":"soy","price":0.6,"nutrients":{{"crude_protein":44,"v":0}}}},
        {{"id":"pmx","price":3,"min":1,"max":1,"nutrients":{{"crude_protein":0,"v":{}}}}}],
        "nutrients":[{{"id":"v","name":"vitamin","unit":"{}"}}],
        "limits":[{{"nutrient":"crude_protein","min":18}},{{"nutrient":"v","min":{}}}])",
                            content, unit, need));
}

// Feed and a pure substance of which it needs `share` of the mix.
job::Job with_pure(double share) {
    return read(fmt::format(R"("ingredients":[
        {{"id":"corn","price":0.3,"nutrients":{{"v":0}}}},
        {{"id":"pure","price":9500,"nutrients":{{"v":1000000}}}}],
        "nutrients":[{{"id":"v","name":"vitamin","unit":"mg/kg"}}],
        "limits":[{{"nutrient":"v","min":{}}}])",
                            share * 1e6));
}

}  // namespace

TEST_CASE("five percent above a small minimum is something to spare, in every unit") {
    for (const auto& [factor, unit] : {std::pair(1.0, "%"), std::pair(1e4, "mg/kg")}) {
        INFO(unit);
        const Formulation result = explained(with_vitamin(1.05e-4 * factor, 1e-6 * factor, unit));
        REQUIRE(result.status == lp::Status::optimal);
        const LimitResult& vitamin = limit(result, "nutrient:v");
        CHECK_FALSE(vitamin.binding);
        CHECK(vitamin.met);
        CHECK(vitamin.margin_percent.value() == Approx(5));
        CHECK_FALSE(vitamin.shadow_price);
    }
}

TEST_CASE("five percent below a small minimum is a miss, in every unit") {
    for (const auto& [factor, unit] : {std::pair(1.0, "%"), std::pair(1e4, "mg/kg")}) {
        INFO(unit);
        const job::Job job = with_vitamin(0.95e-4 * factor, 1e-6 * factor, unit);
        const std::vector<double> amounts{0.7, 0.01, 0.29};  // corn, pmx, soy
        for (const LimitResult& one : assess(job, limits_of(job), amounts).limits) {
            if (one.limit.id != "nutrient:v") continue;
            CHECK_FALSE(one.met);
            CHECK_FALSE(one.binding);
        }
        const Formulation result = search::formulate(job);
        CHECK(result.status == lp::Status::infeasible);
        for (const Reachable& reachable : result.reachable)
            CHECK(reachable.possible == (to_text(reachable.side) != "nutrient:v:min"));
    }
}

TEST_CASE("of a limit of zero only what no ingredient in the mix brings is at it") {
    Limit limit;
    limit.amount = {0, 1e6};
    limit.max = 0;
    CHECK(margin_of(limit, 0)->binds());
    CHECK(margin_of(limit, 1e-9)->met());
    CHECK_FALSE(margin_of(limit, 0.01)->met());
    limit.max.reset();
    limit.min = 0;
    CHECK_FALSE(margin_of(limit, 0.01)->binds());
}

TEST_CASE("a limit that the mix comes near but does not reach has no price") {
    const Formulation result = explained(read(R"("ingredients":[
        {"id":"corn","price":0.3,"dry_matter":88,"nutrients":{"crude_protein":8.5,"z":0.0026}},
        {"id":"soy","price":0.6,"dry_matter":88,"nutrients":{"crude_protein":44,"z":0.028}}],
        "nutrients":[{"id":"z","name":"z","unit":"mg/kg"}],
        "limits":[{"nutrient":"crude_protein","min":18},{"nutrient":"z","min":0.00939712}])"));
    REQUIRE(result.status == lp::Status::optimal);
    const LimitResult& z = limit(result, "nutrient:z");
    CHECK_FALSE(z.binding);
    CHECK(z.met);
    CHECK_FALSE(z.shadow_price);
    CHECK_FALSE(z.rise);
    CHECK(limit(result, "nutrient:crude_protein").binding);
}

TEST_CASE("a band of limits far below one is explained, one side at a time") {
    const Formulation result = explained(read(R"("ingredients":[
        {"id":"i0","price":1.1,"dry_matter":93,"nutrients":{"n3":0}},
        {"id":"i1","price":1,"dry_matter":93,"nutrients":{"n3":0.0088}}],
        "nutrients":[{"id":"n3","name":"n3","unit":"mg/kg"}],
        "limits":[{"nutrient":"n3","basis":"dry_matter","min":1.3e-6,"max":1.4e-6}])"));
    REQUIRE(result.status == lp::Status::optimal);
    // i1 is the cheaper one, so the mix rests on the maximum.
    const LimitResult& n3 = limit(result, "nutrient:n3");
    CHECK(n3.binding);
    REQUIRE(n3.value);
    CHECK(*n3.value == Approx(1.4e-6).epsilon(1e-9));
    // 0.1 less for every kg of i1, which brings 0.0088 / 0.93 per kg of dry matter.
    CHECK(n3.shadow_price.value() == Approx(-0.1 * 0.93 / 0.0088).epsilon(1e-6));
    REQUIRE(n3.rise);
    CHECK(n3.rise->per_unit.value() == Approx(-0.1 * 0.93 / 0.0088).epsilon(1e-6));
}

TEST_CASE("an ingredient without dry matter in a narrow band on dry matter is no trap") {
    const Formulation result = explained(read(R"("ingredients":[
        {"id":"i0","price":1.1,"dry_matter":93},{"id":"i1","price":1,"nutrients":{"n3":0.0088}}],
        "nutrients":[{"id":"n3","name":"n3","unit":"mg/kg"}],
        "limits":[{"nutrient":"n3","basis":"dry_matter","min":1.3e-6,"max":1.4e-6}])"));
    REQUIRE(result.status == lp::Status::optimal);
    const LimitResult& n3 = limit(result, "nutrient:n3");
    CHECK(n3.met);
    CHECK(n3.binding);
    // The price of the maximum, not of the minimum beside it, which is not reached: a kg of i1 is
    // 0.1 cheaper, and the whole is 0.93 of what is left for i0.
    const double price = -0.1 * 0.93 / 0.0088;
    CHECK(n3.shadow_price.value() == Approx(price).epsilon(1e-3));
    REQUIRE(n3.rise);
    REQUIRE(n3.fall);
    CHECK(n3.rise->per_unit.value() == Approx(price).epsilon(1e-3));
    CHECK(n3.fall->per_unit.value() == Approx(price).epsilon(1e-3));
}

TEST_CASE("a trace that a limit asks for is in the mix, however small") {
    for (const double share : {1e-7, 3e-9, 1e-9, 1e-10}) {
        INFO(share);
        const job::Job job = with_pure(share);
        const Formulation result = explained(job);
        REQUIRE(result.status == lp::Status::optimal);
        const LimitResult& vitamin = limit(result, "nutrient:v");
        CHECK(vitamin.met);
        CHECK(vitamin.binding);
        REQUIRE(vitamin.value);
        CHECK(*vitamin.value == Approx(share * 1e6).epsilon(1e-6));
        // What one mg/kg more or less costs is the same both ways.
        const double price = (9500 - 0.3) / 1e6;
        CHECK(vitamin.shadow_price.value() == Approx(price));
        REQUIRE(vitamin.rise);
        REQUIRE(vitamin.fall);
        CHECK(vitamin.rise->per_unit.value() == Approx(price));
        CHECK(vitamin.fall->per_unit.value() == Approx(price));
    }
}

TEST_CASE("where there is no mix some limit is named as missed, be it by a hair") {
    const job::Job job = read(R"("total":"free","ingredients":[
        {"id":"i0","price":0.08,"min":0.1,"nutrients":{"crude_protein":8.43,"phosphorus":0.075,
         "lysine":0.372,"n0":285.3218831519979,"n2":548.3515474906243}},
        {"id":"i1","price":0,"nutrients":{"crude_protein":26.74,"phosphorus":0.623,
         "lysine":0.743,"n0":869.6754659837554,"n2":435.75549104463835}}],
        "nutrients":[{"id":"n0","name":"n0","unit":"g/kg"},{"id":"n2","name":"n2","unit":"g/kg"}],
        "limits":[{"nutrient":"crude_protein","max":0.1},{"nutrient":"phosphorus","min":0.00075},
         {"nutrient":"lysine","basis":"of_protein","min":4.41281139},
         {"nutrient":"n0","max":370.92},{"nutrient":"n2","min":493.5,"max":603.2}])");
    const Formulation result = search::formulate(job);
    if (result.status == lp::Status::optimal) {
        CHECK(limit(result, "nutrient:lysine").met);
        return;
    }
    REQUIRE(result.status == lp::Status::infeasible);
    const Conflict conflict = explain_conflict(job);
    REQUIRE(conflict.nearest);
    REQUIRE_FALSE(conflict.nearest->misses.empty());
    CHECK(to_text(conflict.nearest->misses.front().side) == "nutrient:lysine:min");
}
