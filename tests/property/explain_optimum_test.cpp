// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/cheapest.hpp"
#include "search/explain.hpp"
#include "support/catch.hpp"
#include "support/random_job.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

// 2,000 random jobs with a mix, the same in every run. Everything that an answer claims to hold
// over is checked by solving anew, just inside and just outside of it, with programs written down
// afresh (support/random_job.hpp).

using namespace feedwright;
using namespace feedwright::limits;
using namespace feedwright::search;

namespace {

constexpr int wanted = 2'000;

struct Case {
    job::Job job;
    Formulation result;
    std::vector<Limit> limits;
    lp::LinearProgram program;
    double size = 1;  // the largest price

    double own_cost() const {
        double cost = 0;
        for (std::size_t i = 0; i < result.amounts.size(); ++i) {
            cost += program.columns()[i].cost * result.amounts[i];
        }
        return cost;
    }
    std::size_t place_of(const std::string& id) const {
        return static_cast<std::size_t>(job.find(id) - job.ingredients.data());
    }
};

template <class Body>
void for_each_case(Body body) {
    int done = 0;
    for (std::uint64_t seed = 1; done < wanted; ++seed) {
        test::Random random(31'000'000 + seed);
        Case one;
        one.job = test::random_job(random);
        const FeedProgram model = cheapest_program(one.job);
        one.result = search::formulate(one.job, model, {});
        if (one.result.status != lp::Status::optimal) continue;
        explain_optimum(one.job, model, one.result);
        one.limits = limits_of(one.job);
        one.program = test::plain_program(one.job, one.limits);
        one.size = 0;
        for (const auto& choice : one.job.ingredients)
            one.size = std::max(one.size, *choice.price);
        INFO("seed " << seed);
        body(one);
        ++done;
    }
}

// How much dearer than the cheapest mix the answer is when ingredient i costs `price`.
double lag(Case& one, std::size_t i, double price, double* amount = nullptr) {
    one.program.set_cost(i, price);
    const lp::Solution solution = lp::solve(one.program);
    REQUIRE(solution.status == lp::Status::optimal);
    const double result = one.own_cost() - solution.objective;
    if (amount != nullptr) *amount = solution.primal[i];
    one.program.set_cost(i, *one.job.ingredients[i].price);
    return result;
}

// Least cost with another number of a limit; nullopt when there is no mix.
std::optional<double> cost_with(const Case& one, std::size_t k, double number, bool is_min) {
    std::vector<Limit> limits = one.limits;
    Limit& limit = limits[k];
    const bool fixed = limit.min && limit.max && *limit.min == *limit.max;
    if (fixed || is_min) limit.min = number;
    if (fixed || !is_min) limit.max = number;
    if (limit.min && limit.max && *limit.min > *limit.max) return std::nullopt;
    const lp::Solution solution = lp::solve(test::plain_program(one.job, limits));
    if (solution.status == lp::Status::infeasible) return std::nullopt;
    REQUIRE(solution.status == lp::Status::optimal);
    return solution.objective;
}

}  // namespace

TEST_CASE("price ranges hold just inside and fail just outside") {
    int lows = 0;
    int highs = 0;
    int without_low = 0;
    int without_high = 0;
    for_each_case([&](Case& one) {
        const double step = 1e-4 * one.size;
        const double same = 1e-9 * one.size;
        for (const limits::MixItem& item : one.result.items) {
            INFO(item.id << " " << item.price_low.value_or(-1) << " " << *item.price << " "
                         << item.price_high.value_or(-1));
            const std::size_t i = one.place_of(item.id);
            if (item.price_low) {
                ++lows;
                REQUIRE(*item.price_low <= *item.price);
                CHECK(lag(one, i, std::min(*item.price, *item.price_low + step)) < same);
                double amount = 0;
                CHECK(lag(one, i, *item.price_low - step, &amount) > 0);
                CHECK(amount > item.amount);
            } else {
                ++without_low;
                CHECK(lag(one, i, 0) < same);
            }
            if (item.price_high) {
                ++highs;
                REQUIRE(*item.price_high >= *item.price);
                CHECK(lag(one, i, std::max(*item.price, *item.price_high - step)) < same);
                double amount = 0;
                CHECK(lag(one, i, *item.price_high + step, &amount) > 0);
                CHECK(amount < item.amount);
            } else {
                ++without_high;
                CHECK(lag(one, i, 1000 * one.size) < 1000 * same);
            }
        }
    });
    CHECK(std::min({lows, highs, without_low, without_high}) > 100);
}

TEST_CASE("an unused ingredient comes in just below its price and not above it") {
    int enters = 0;
    int never = 0;
    for_each_case([&](Case& one) {
        const double step = 1e-5 * one.size;
        const double same = 1e-9 * one.size;
        for (const UnusedItem& item : one.result.unused) {
            INFO(item.id << " " << item.price << " " << item.enters_below.value_or(-1));
            const std::size_t i = one.place_of(item.id);
            if (!item.enters_below) {
                ++never;
                CHECK(lag(one, i, 0) < same);
                continue;
            }
            ++enters;
            REQUIRE(*item.enters_below <= item.price);
            CHECK(lag(one, i, std::min(item.price, *item.enters_below + step)) < same);
            double amount = 0;
            CHECK(lag(one, i, *item.enters_below - step, &amount) > 0);
            CHECK(amount > 0);
            REQUIRE(item.enters_percent);
            // Of a mix of 1 kg it can only be more at a lower price.
            if (!one.job.free_total && !one.job.finished_moisture) {
                CHECK(100 * amount >= *item.enters_percent * (1 - 1e-6));
            }
        }
    });
    CHECK(std::min(enters, never) > 100);
}

TEST_CASE("shadow prices hold up to the numbers they are given for, and no further") {
    int kinks = 0;
    int ends = 0;
    int no_mix = 0;
    int endless = 0;
    int drifting = 0;
    for_each_case([&](Case& one) {
        for (std::size_t k = 0; k < one.limits.size(); ++k) {
            const LimitResult& found = one.result.assessment.limits[k];
            if (!found.rise && !found.fall) continue;
            const Limit& limit = one.limits[k];
            const bool is_min = limit.min && std::abs(*found.value - *limit.min) <=
                                                 1e-7 * std::max(1.0, std::abs(*limit.min));
            const double number = is_min ? *limit.min : *limit.max;
            const double size = std::max(std::abs(number), 0.1 * test::largest_value(limit));
            if (size == 0) continue;  // nothing has any of it
            if (found.rise && found.fall && found.rise->per_unit != found.fall->per_unit) ++kinks;
            for (const double sign : {1.0, -1.0}) {
                if (sign > 0 ? !found.rise : !found.fall) continue;
                const Response& response = sign > 0 ? *found.rise : *found.fall;
                INFO(limit.id << (is_min ? " min " : " max ") << number << " sign " << sign
                              << " rate " << response.per_unit.value_or(-999) << " until "
                              << response.until.value_or(-999));
                if (!response.per_unit) {
                    ++no_mix;
                    CHECK_FALSE(cost_with(one, k, number + sign * 1e-4 * size, is_min));
                    continue;
                }
                const auto line = [&](double at) {
                    return one.result.cost + *response.per_unit * (at - number);
                };
                if (found.drifts) {
                    ++drifting;
                    const double h = 1e-5 * size;
                    const auto cost = cost_with(one, k, number + sign * h, is_min);
                    REQUIRE(cost);
                    CHECK(std::abs(*cost - line(number + sign * h)) <
                          2e-3 * std::abs(*response.per_unit) * h + 1e-9 * one.size);
                    continue;
                }
                if (!response.until) {
                    ++endless;
                    const auto cost = cost_with(one, k, number + sign * 10 * size, is_min);
                    REQUIRE(cost);
                    CHECK(std::abs(*cost - line(number + sign * 10 * size)) < 1e-7 * one.size);
                    continue;
                }
                ++ends;
                const double range = sign * (*response.until - number);
                REQUIRE(range >= -1e-9 * size);
                const double inside = number + sign * 0.999 * std::max(0.0, range);
                const auto cost = cost_with(one, k, inside, is_min);
                REQUIRE(cost);
                CHECK(std::abs(*cost - line(inside)) <
                      1e-8 * one.size * std::max(1.0, range / size));
                const double outside = *response.until + sign * std::max(0.2 * range, 1e-3 * size);
                const auto beyond = cost_with(one, k, outside, is_min);
                if (beyond) CHECK(*beyond - line(outside) > 1e-12 * one.size);
            }
        }
    });
    CHECK(std::min({kinks, ends, no_mix, endless, drifting}) > 100);
}
