// SPDX-License-Identifier: GPL-3.0-or-later
// Prices say which mix is cheapest by how they stand to each other: neither the currency nor the
// price of an ingredient that is too dear to be used has a say in it.
#include "batch/batch.hpp"
#include "lp/repricer.hpp"
#include "search/cheapest.hpp"
#include "search/explain.hpp"
#include "search/mend.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "support/random_job.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

using namespace feedwright;
using search::Formulation;

namespace {

constexpr int random_jobs = 300;

job::Job backyard() {
    catalog::Library library((test::source_folder() / "data").string());
    return job::read_job((test::source_folder() / "examples/backyard-tilapia/job.json").string(),
                         library, {});
}

job::Job with_factor(job::Job job, double factor) {
    for (job::Choice& choice : job.ingredients)
        *choice.price *= factor;
    return job;
}

// Where several bases describe one mix, the last digits of its amounts depend on which was met.
bool same(const std::vector<double>& a, const std::vector<double>& b) {
    double total = 0;
    for (const double x : a)
        total += x;
    return a.size() == b.size() &&
           std::equal(a.begin(), a.end(), b.begin(),
                      [&](double x, double y) { return std::abs(x - y) <= 1e-9 * total; });
}

std::vector<std::size_t> unused(const Formulation& result) {
    std::vector<std::size_t> list;
    for (std::size_t i = 0; i < result.amounts.size(); ++i) {
        if (!(result.amounts[i] > 0)) list.push_back(i);
    }
    return list;
}

// The amounts that the batch's solver finds, none where it leaves the job to formulate().
std::vector<double> repriced(const search::FeedProgram& model, const std::vector<double>& costs,
                             std::optional<bool>* unique = nullptr) {
    lp::Repricer repricer(model.program());
    lp::Repriced priced;
    if (!repricer.solve(costs, priced)) return {};
    if (unique != nullptr) *unique = priced.unique;
    return {priced.primal.begin(), priced.primal.end()};
}

std::vector<double> costs_of(const job::Job& job) {
    std::vector<double> costs;
    for (const job::Choice& choice : job.ingredients)
        costs.push_back(*choice.price);
    return costs;
}

template <class Body>
void for_each_job(Body body) {
    int done = 0;
    for (std::uint64_t seed = 1; done < random_jobs; ++seed) {
        test::Random random(77'000'000 + seed);
        const job::Job job = test::random_job(random);
        const Formulation result = search::formulate(job);
        if (result.status != lp::Status::optimal || !(result.cost > 0)) continue;
        INFO("seed " << seed);
        body(job, result, random);
        ++done;
    }
}

}  // namespace

TEST_CASE("the price of an ingredient that is not used changes no byte of the backyard's mix") {
    const job::Job job = backyard();
    const Formulation before = search::formulate(job);
    REQUIRE(before.status == lp::Status::optimal);
    const search::FeedProgram model = search::cheapest_program(job);
    REQUIRE_FALSE(unused(before).empty());
    for (const std::size_t i : unused(before)) {
        for (const double price : {1e8, 1e9, 1e10, 1e12}) {
            INFO(job.ingredients[i].id << " at " << price);
            job::Job dear = job;
            dear.ingredients[i].price = price;
            Formulation after = search::formulate(dear);
            REQUIRE(after.status == lp::Status::optimal);
            CHECK(after.amounts == before.amounts);
            CHECK(after.cost_per_kg == before.cost_per_kg);
            CHECK(after.unique == before.unique);
            std::optional<bool> unique;
            CHECK(same(before.amounts, repriced(model, costs_of(dear), &unique)));
            CHECK(unique == before.unique);

            const search::FeedProgram dear_model = search::cheapest_program(dear);
            explain_optimum(dear, dear_model, after);
            Formulation plain = before;
            explain_optimum(job, model, plain);
            for (const search::UnusedItem& item : plain.unused) {
                const auto at =
                    std::find_if(after.unused.begin(), after.unused.end(),
                                 [&](const auto& other) { return other.id == item.id; });
                REQUIRE(at != after.unused.end());
                INFO(item.id);
                REQUIRE(item.enters_below.has_value() == at->enters_below.has_value());
                // Of the dear one it is a difference from its price, with the digits of that.
                const double margin = item.id == job.ingredients[i].id ? 1e-15 * price : 1e-9;
                if (item.enters_below)
                    CHECK(*at->enters_below == Approx(*item.enters_below).margin(margin));
            }
        }
    }
}

TEST_CASE("another currency gives the backyard the same mix") {
    const job::Job job = backyard();
    const Formulation before = search::formulate(job);
    const search::FeedProgram model = search::cheapest_program(job);
    for (const double factor : {1e-6, 1e6}) {
        const job::Job other = with_factor(job, factor);
        const Formulation after = search::formulate(other);
        REQUIRE(after.status == lp::Status::optimal);
        CHECK(after.amounts == before.amounts);
        CHECK(after.cost_per_kg == Approx(factor * before.cost_per_kg).epsilon(1e-12));
        CHECK(after.unique == before.unique);
        CHECK(same(before.amounts, repriced(model, costs_of(other))));
    }
}

TEST_CASE("with whole numbers in a job neither of them changes the mix") {
    job::Job job = backyard();
    const Formulation any = search::formulate(job);
    job.at_most = static_cast<int>(any.items.size());
    const Formulation before = search::formulate(job);
    REQUIRE(before.status == lp::Status::optimal);
    for (const std::size_t i : unused(before)) {
        for (const double price : {1e9, 1e12}) {
            INFO(job.ingredients[i].id << " at " << price);
            job::Job dear = job;
            dear.ingredients[i].price = price;
            const Formulation after = search::formulate(dear);
            REQUIRE(after.status == lp::Status::optimal);
            CHECK(same(after.amounts, before.amounts));
            CHECK(after.cost == Approx(before.cost).epsilon(1e-12));
            REQUIRE(after.bound);
            CHECK(*after.bound == Approx(before.cost).epsilon(1e-6));
        }
    }
    for (const double factor : {1e-6, 1e6}) {
        const Formulation after = search::formulate(with_factor(job, factor));
        REQUIRE(after.status == lp::Status::optimal);
        CHECK(same(after.amounts, before.amounts));
    }
}

TEST_CASE("the price of an ingredient that is not used changes no mix of random jobs") {
    int asked = 0;
    int left = 0;
    for_each_job([&](const job::Job& job, const Formulation& before, test::Random& random) {
        const auto candidates = unused(before);
        if (candidates.empty()) return;
        const std::size_t i = candidates[random.below(candidates.size())];
        const search::FeedProgram model = search::cheapest_program(job);
        for (const double price : {1e9, 1e12}) {
            job::Job dear = job;
            dear.ingredients[i].price = price;
            const Formulation after = search::formulate(dear);
            REQUIRE(after.status == lp::Status::optimal);
            CHECK(same(before.amounts, after.amounts));
            CHECK(after.cost == Approx(before.cost).epsilon(1e-9));
            ++asked;
            const auto batch = repriced(model, costs_of(dear));
            if (batch.empty())
                ++left;
            else
                CHECK(same(before.amounts, batch));
        }
    });
    CHECK(asked > random_jobs);
    CHECK(left * 50 < asked);
}

TEST_CASE("another currency changes no mix of random jobs") {
    int left = 0;
    for_each_job([&](const job::Job& job, const Formulation& before, test::Random&) {
        const search::FeedProgram model = search::cheapest_program(job);
        for (const double factor : {1e-6, 1e6}) {
            const job::Job other = with_factor(job, factor);
            const Formulation after = search::formulate(other);
            REQUIRE(after.status == lp::Status::optimal);
            CHECK(same(before.amounts, after.amounts));
            CHECK(after.cost == Approx(factor * before.cost).epsilon(1e-9));
            const auto batch = repriced(model, costs_of(other));
            if (batch.empty())
                ++left;
            else
                CHECK(same(before.amounts, batch));
        }
    });
    CHECK(left * 50 < 2 * random_jobs);
}

TEST_CASE("the price of what a change does not bring in changes no mended recipe") {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    job::Job recipe = job::read_recipe(
        folder.write("recipe.json", R"({"format":"feedwright-recipe/1","ingredients":[
            {"id":"a","price":0.2,"amount":80,"nutrients":{"crude_protein":10,"crude_lipid":3}},
            {"id":"b","price":0.6,"amount":20,"nutrients":{"crude_protein":40,"crude_lipid":2}},
            {"id":"c","price":0.5,"amount":0,"nutrients":{"crude_protein":36,"crude_lipid":8}},
            {"id":"d","price":0.9,"amount":0,"nutrients":{"crude_protein":60,"crude_lipid":9}},
            {"id":"e","price":0.7,"amount":0,"nutrients":{"crude_protein":12,"crude_lipid":1}}],
            "limits":[{"nutrient":"crude_protein","min":20},{"nutrient":"crude_lipid","max":6}]})"),
        library, {});
    const search::Mending before = search::mend(recipe, {});
    REQUIRE(before.smallest);
    REQUIRE(before.cheapest);
    REQUIRE(before.smallest->amounts[4] == 0);
    REQUIRE(before.cheapest->amounts[4] == 0);
    for (const double price : {1e9, 1e12}) {
        recipe.ingredients[4].price = price;
        const search::Mending after = search::mend(recipe, {});
        REQUIRE(after.smallest);
        REQUIRE(after.cheapest);
        CHECK(same(after.smallest->amounts, before.smallest->amounts));
        CHECK(same(after.cheapest->amounts, before.cheapest->amounts));
    }
    recipe.ingredients[4].price = 0.7;
    for (const double factor : {1e-6, 1e6}) {
        const search::Mending after = search::mend(with_factor(recipe, factor), {});
        REQUIRE(after.smallest);
        REQUIRE(after.cheapest);
        CHECK(same(after.smallest->amounts, before.smallest->amounts));
        CHECK(same(after.cheapest->amounts, before.cheapest->amounts));
    }
}
