// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/cheapest.hpp"
#include "search/conflict.hpp"
#include "support/catch.hpp"
#include "support/clp.hpp"
#include "support/random_job.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <optional>
#include <set>
#include <string>

// 2,000 random jobs without a mix, the same in every run. What their explanation claims is checked
// with programs written down afresh (support/random_job.hpp), by our solver and by Clp.

using namespace feedwright;
using namespace feedwright::limits;
using namespace feedwright::search;

namespace {

constexpr int wanted = 2'000;

template <class Body>
void for_each_conflict(Body body) {
    int done = 0;
    for (std::uint64_t seed = 1; done < wanted; ++seed) {
        test::Random random(52'000'000 + seed);
        test::RandomJobOptions options;
        options.out_of_reach = 0.12;
        options.shares = seed % 2 == 0;
        const job::Job job = test::random_job(random, options);
        if (lp::solve(cheapest_program(job).program()).status != lp::Status::infeasible) continue;
        INFO("seed " << seed);
        body(job, limits_of(job), explain_conflict(job));
        ++done;
    }
}

// The balance and the limits whose ids are named.
lp::LinearProgram only(const job::Job& job, const std::vector<Limit>& limits,
                       const std::set<std::string>& ids) {
    const lp::LinearProgram all = test::plain_program(job, limits);
    lp::LinearProgram some;
    for (lp::Column column : all.columns()) {
        column.cost = 0;
        some.add_column(std::move(column));
    }
    for (const lp::Row& row : all.rows()) {
        if (row.id.starts_with("balance:") || ids.contains(row.id)) some.add_row(row);
    }
    return some;
}

// The limits with another number on one side.
std::vector<Limit> with_number(std::vector<Limit> limits, const limits::AskedSide& side,
                               double number) {
    for (Limit& limit : limits) {
        if (limit.id != side.limit) continue;
        (side.is_min ? limit.min : limit.max) = number;
    }
    return limits;
}

bool has_mix(const lp::LinearProgram& program) {
    const lp::Status status = lp::solve(program).status;
    REQUIRE((status == lp::Status::optimal || status == lp::Status::infeasible));
    return status == lp::Status::optimal;
}

}  // namespace

TEST_CASE("the conflicting limits cannot all be met, and without any one of them they can") {
    std::size_t largest = 0;
    for_each_conflict([&](const job::Job& job, const std::vector<Limit>& limits,
                          const Conflict& conflict) {
        REQUIRE_FALSE(conflict.limits.empty());
        REQUIRE_FALSE(conflict.with_whole_numbers);
        largest = std::max(largest, conflict.limits.size());
        std::set<std::string> ids;
        for (const Clash& clash : conflict.limits)
            ids.insert(to_text(clash.side));
        REQUIRE(ids.size() == conflict.limits.size());
        const lp::LinearProgram together = only(job, limits, ids);
        REQUIRE(together.rows().size() == ids.size() + (job.free_total ? 0 : 2));
        CHECK_FALSE(has_mix(together));
        CHECK(test::solve_with_clp(together).status == lp::Status::infeasible);
        for (const Clash& clash : conflict.limits) {
            INFO(to_text(clash.side)
                 << " wanted " << clash.side.wanted << " best " << clash.best.value_or(-1));
            std::set<std::string> others = ids;
            others.erase(to_text(clash.side));
            const lp::LinearProgram without = only(job, limits, others);
            CHECK(has_mix(without));
            CHECK(test::solve_with_clp(without).status == lp::Status::optimal);
            if (!clash.best) continue;
            // As far as `best`, and no further.
            const auto limit = std::find_if(limits.begin(), limits.end(), [&](const Limit& one) {
                return one.id == clash.side.limit;
            });
            const double size = std::max(0.1 * test::largest_value(*limit), std::abs(*clash.best));
            const double inward = (clash.side.is_min ? -1e-6 : 1e-6) * size;
            CHECK(has_mix(only(job, with_number(limits, clash.side, *clash.best + inward), ids)));
            CHECK_FALSE(has_mix(
                only(job, with_number(limits, clash.side, *clash.best - 100 * inward), ids)));
        }
    });
    CHECK(largest >= 4);
}

TEST_CASE("the nearest mix misses what its analysis says, and no mix misses less") {
    int keeping = 0;
    int breaking = 0;
    int compared = 0;
    for_each_conflict([&](const job::Job& job, const std::vector<Limit>& limits,
                          const Conflict& conflict) {
        REQUIRE(conflict.nearest);
        const NearestMix& nearest = *conflict.nearest;
        (nearest.keeps_amounts ? keeping : breaking) += 1;
        REQUIRE_FALSE(nearest.misses.empty());
        std::size_t missed = 0;
        bool varying_shares = false;
        double all = 0;
        for (const Limit& limit : limits) {
            if (limit.advisory) continue;
            varying_shares = varying_shares || !limit.per.empty();
            const auto value = value_of(limit, nearest.amounts);
            if (!value) continue;
            for (const bool is_min : {true, false}) {
                const auto& number = is_min ? limit.min : limit.max;
                if (!number) continue;
                const double short_by = is_min ? *number - *value : *value - *number;
                if (short_by <= binding_margin * size_of_side(limit, *number)) continue;
                ++missed;
                const std::string id = limit.id + (is_min ? ":min" : ":max");
                INFO(id);
                CHECK(limit.kind != LimitKind::balance);
                const bool of_amounts =
                    limit.kind == LimitKind::inclusion || limit.kind == LimitKind::group;
                CHECK_FALSE((nearest.keeps_amounts && of_amounts));
                const auto found =
                    std::find_if(nearest.misses.begin(), nearest.misses.end(),
                                 [&](const Miss& miss) { return to_text(miss.side) == id; });
                REQUIRE(found != nearest.misses.end());
                CHECK(found->value == *value);
                CHECK(found->miss == Approx(short_by).epsilon(1e-9));
                if (*number != 0) all += short_by / std::abs(*number);
            }
        }
        CHECK(missed == nearest.misses.size());
        const auto zero_asked = [](const Limit& limit) {
            return limit.min == 0.0 || limit.max == 0.0;
        };
        if (varying_shares || std::any_of(limits.begin(), limits.end(), zero_asked)) return;

        // The least sum of misses, each as a share of its number.
        lp::LinearProgram least = test::plain_program(job, limits);
        lp::LinearProgram elastic;
        for (lp::Column column : least.columns()) {
            column.cost = 0;
            elastic.add_column(std::move(column));
        }
        for (const lp::Row& row : least.rows()) {
            elastic.add_column({"miss " + row.id, 1, 0.0, {}, false});
        }
        std::size_t miss = least.columns().size();
        for (lp::Row row : least.rows()) {
            const bool firm = row.id.starts_with("balance:") ||
                              (nearest.keeps_amounts &&
                               (row.id.starts_with("inclusion:") || row.id.starts_with("group:")));
            const double number = row.lower ? *row.lower : *row.upper;
            if (!firm) row.entries.push_back({miss, row.lower ? number : -number});
            ++miss;
            elastic.add_row(std::move(row));
        }
        ++compared;
        CHECK(all == Approx(test::solve_with_clp(elastic).objective).epsilon(1e-6));
    });
    CHECK(keeping > 500);
    CHECK(breaking > 5);
    CHECK(compared > 500);
}

TEST_CASE("each fix makes a mix possible, at the cost stated, and a little less does not") {
    int fixes = 0;
    int without = 0;
    for_each_conflict([&](const job::Job& job, const std::vector<Limit>& limits,
                          const Conflict& conflict) {
        if (conflict.fixes.empty()) ++without;
        double last = 0;
        for (const Fix& fix : conflict.fixes) {
            ++fixes;
            INFO(to_text(fix.side) << " from " << fix.side.wanted << " to " << fix.to);
            CHECK(fix.change_percent >= last);
            last = fix.change_percent;
            CHECK((fix.side.is_min ? fix.to < fix.side.wanted : fix.to > fix.side.wanted));
            const lp::Solution fixed =
                lp::solve(test::plain_program(job, with_number(limits, fix.side, fix.to)));
            REQUIRE(fixed.status == lp::Status::optimal);
            double total = 0;
            for (const double x : fixed.primal)
                total += x;
            const double cost = job.free_total ? fixed.objective / total : fixed.objective;
            CHECK(fix.cost_per_kg == Approx(cost).epsilon(1e-6));
            // `to` has four digits.
            const double less = (fix.side.is_min ? 2e-3 : -2e-3) * std::max(std::abs(fix.to), 1e-6);
            CHECK_FALSE(
                has_mix(test::plain_program(job, with_number(limits, fix.side, fix.to + less))));
        }
    });
    CHECK(fixes > 1000);
    CHECK(without > 50);
}

TEST_CASE("conflicts that the number of ingredients makes, held against every choice of them") {
    constexpr int jobs = 100;
    int done = 0;
    int fixes = 0;
    int largest = 0;
    for (std::uint64_t seed = 1; done < jobs; ++seed) {
        REQUIRE(seed < 5'000);
        test::Random random(61'000'000 + seed);
        test::RandomJobOptions options;
        options.most_ingredients = 8;
        options.shares = seed % 2 == 0;
        job::Job job = test::random_job(random, options);
        if (job.free_total || search::formulate(job).status != lp::Status::optimal) continue;
        job.at_most = 1 + static_cast<int>(random.below(3));
        if (search::formulate(job).status != lp::Status::infeasible) continue;
        INFO("seed " << seed << ", at most " << *job.at_most);
        const std::vector<Limit> limits = limits_of(job);
        const Conflict conflict = explain_conflict(job);
        REQUIRE_FALSE(conflict.unfinished);
        ++done;
        const std::size_t n = job.ingredients.size();
        // The least cost with at most so many ingredients, by trying all choices of them.
        const auto best_choice = [&](const lp::LinearProgram& program, int most) {
            std::optional<double> best;
            for (unsigned chosen = 1; chosen < 1U << n; ++chosen) {
                if (std::popcount(chosen) != most) continue;
                lp::LinearProgram held = program;
                for (std::size_t i = 0; i < n; ++i) {
                    if ((chosen >> i & 1U) == 0) held.set_column_limits(i, 0.0, 0.0);
                }
                const lp::Solution solution = lp::solve(held);
                if (solution.status != lp::Status::optimal) continue;
                best = std::min(best.value_or(solution.objective), solution.objective);
            }
            return best;
        };
        CHECK(conflict.with_whole_numbers);
        std::set<std::string> ids;
        for (const Clash& clash : conflict.limits)
            ids.insert(to_text(clash.side));
        REQUIRE_FALSE(ids.empty());
        CHECK_FALSE(best_choice(only(job, limits, ids), *job.at_most));
        for (const std::string& id : ids) {
            INFO("without " << id);
            std::set<std::string> others = ids;
            others.erase(id);
            CHECK(best_choice(only(job, limits, others), *job.at_most));
        }
        const lp::LinearProgram all = test::plain_program(job, limits);
        REQUIRE(conflict.fewest);
        CHECK(*conflict.fewest > *job.at_most);
        CHECK(best_choice(all, *conflict.fewest));
        CHECK_FALSE(best_choice(all, *conflict.fewest - 1));
        largest = std::max(largest, *conflict.fewest);
        // What is not among the fixes is not enough, what is among them is, and less is not.
        for (const Clash& clash : conflict.limits) {
            const auto fix = std::find_if(
                conflict.fixes.begin(), conflict.fixes.end(),
                [&](const Fix& one) { return to_text(one.side) == to_text(clash.side); });
            INFO("fix of " << to_text(clash.side) << " from " << clash.side.wanted << " to "
                           << (fix == conflict.fixes.end() ? -1 : fix->to));
            if (fix == conflict.fixes.end()) {
                std::vector<Limit> without = limits;
                for (Limit& limit : without) {
                    if (limit.id != clash.side.limit) continue;
                    (clash.side.is_min ? limit.min : limit.max).reset();
                }
                CHECK_FALSE(best_choice(test::plain_program(job, without), *job.at_most));
                continue;
            }
            ++fixes;
            const auto cost_at = [&](double number) {
                return best_choice(
                    test::plain_program(job, with_number(limits, clash.side, number)),
                    *job.at_most);
            };
            const auto cost = cost_at(fix->to);
            REQUIRE(cost);
            CHECK(fix->cost_per_kg == Approx(*cost).epsilon(1e-6));
            // `to` has four digits, and is zero where nothing but giving the limit up will do.
            const double size = fix->to == 0 ? 0.01 * clash.side.wanted : std::abs(fix->to);
            CHECK_FALSE(cost_at(fix->to + (clash.side.is_min ? 2e-3 : -2e-3) * size));
        }
    }
    CHECK(fixes > jobs / 2);
    CHECK(largest >= 4);
}
