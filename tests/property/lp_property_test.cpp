// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/solver.hpp"
#include "support/catch.hpp"
#include "support/clp.hpp"
#include "support/random_program.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>
#include <vector>

// 10,000 random programs, the same in every run. Every test walks through all of them.

using namespace feedwright;
using namespace feedwright::lp;

namespace {

constexpr int programs = 10'000;
constexpr std::uint64_t seed = 20'240'601;

template <class Body>
void for_each_program(Body body) {
    for (int i = 0; i < programs; ++i) {
        test::Random random(seed + static_cast<std::uint64_t>(i));
        const LinearProgram program = test::random_program(random);
        INFO("program " << i);
        body(program, random);
    }
}

bool near(double a, double b, double relative = 1e-9) {
    return std::abs(a - b) <= relative * std::max({1e-3, std::abs(a), std::abs(b)});
}

}  // namespace

TEST_CASE("every answer has its certificate, and Clp gives the same") {
    int optimal = 0;
    int infeasible = 0;
    int unbounded = 0;
    for_each_program([&](const LinearProgram& program, test::Random&) {
        const Solution solution = solve(program);
        const test::ClpAnswer other = test::solve_with_clp(program);
        REQUIRE(solution.status == other.status);
        if (solution.status == Status::infeasible) ++infeasible;
        if (solution.status == Status::unbounded) ++unbounded;
        if (solution.status != Status::optimal) return;
        ++optimal;
        REQUIRE(certify(program, solution).holds(1e-9));
        CHECK(near(solution.objective, other.objective));
    });
    // All kinds are there, so that none of the checks is empty.
    CHECK(optimal > programs * 0.8);
    CHECK(infeasible > programs * 0.01);
    CHECK(unbounded > programs * 0.001);
}

// The least cost as a function of one limit is convex, and the dual is a slope of it there. So
// whatever the step, the cost of a re-solve lies on or above that line; on it, when the basis
// stays.
TEST_CASE("every row dual and reduced cost agrees with a re-solve") {
    int checked = 0;
    int on_the_line = 0;
    for_each_program([&](const LinearProgram& program, test::Random& random) {
        Session session(program);
        const Solution solution = session.solve();
        if (solution.status != Status::optimal) return;
        SolveOptions from_here;
        from_here.start = &solution.basis;

        const auto compare = [&](double slope, double step) {
            const Solution moved = session.solve(from_here);
            if (moved.status == Status::infeasible) return;  // infinitely dear: above the line
            REQUIRE(moved.status == Status::optimal);
            const double line = solution.objective + slope * step;
            const double rounding = 1e-10 * (1 + std::abs(line));
            CHECK(moved.objective >= line - rounding);
            ++checked;
            if (moved.basis == solution.basis) {
                ++on_the_line;
                CHECK(std::abs(moved.objective - line) <= rounding);
            }
        };
        const auto moved_limits = [](const std::optional<double>& lower,
                                     const std::optional<double>& upper, double slope,
                                     double step) {
            std::pair<std::optional<double>, std::optional<double>> result{lower, upper};
            const bool fixed = lower && upper && *lower == *upper;
            if (lower && (fixed || slope > 0)) *result.first += step;
            if (upper && (fixed || slope <= 0)) *result.second += step;
            return result;
        };

        for (std::size_t r = 0; r < program.rows().size(); ++r) {
            const Row& row = program.rows()[r];
            const double dual = solution.row_dual[r];
            // A limit that costs nothing is looked at now and then.
            if (dual == 0 && !random.chance(0.05)) continue;
            double size = 0;
            for (const Entry& entry : row.entries)
                size = std::max(size, std::abs(entry.value));
            for (const double step : {1e-4 * size, -1e-4 * size}) {
                const auto limits = moved_limits(row.lower, row.upper, dual, step);
                if (limits.first && limits.second && *limits.first > *limits.second) continue;
                session.set_row_limits(r, limits.first, limits.second);
                compare(dual, step);
            }
            session.set_row_limits(r, row.lower, row.upper);
        }
        for (std::size_t c = 0; c < program.columns().size(); ++c) {
            const Column& column = program.columns()[c];
            const double slope = solution.reduced_cost[c];
            if (slope == 0 || !random.chance(0.3)) continue;
            for (const double step : {1e-4, -1e-4}) {
                const auto limits = moved_limits(column.lower, column.upper, slope, step);
                if (limits.first && limits.second && *limits.first > *limits.second) continue;
                session.set_column_limits(c, limits.first, limits.second);
                compare(slope, step);
            }
            session.set_column_limits(c, column.lower, column.upper);
            // At 0, the reduced cost is what the price must fall by before it can come in.
            if (slope > 0 && solution.primal[c] == 0) {
                session.set_cost(c, column.cost - 0.999 * slope);
                CHECK(near(session.solve(from_here).objective, solution.objective));
                session.set_cost(c, column.cost);
            }
        }
    });
    CHECK(checked > 20 * programs / 10);
    CHECK(on_the_line > 0.6 * checked);
}

TEST_CASE("all costs doubled doubles the cost, and one more column never costs more") {
    for_each_program([&](const LinearProgram& program, test::Random& random) {
        const Solution solution = solve(program);
        if (solution.status != Status::optimal) return;

        LinearProgram doubled = program;
        for (std::size_t c = 0; c < program.columns().size(); ++c) {
            doubled.set_cost(c, 2 * program.columns()[c].cost);
        }
        CHECK(near(solve(doubled).objective, 2 * solution.objective, 1e-12));

        LinearProgram more;
        for (const Column& column : program.columns())
            more.add_column(column);
        const std::size_t added =
            more.add_column({"more", random.uniform(0.05, 2), 0.0, std::nullopt, false});
        for (Row row : program.rows()) {
            if (row.id == "balance") {
                row.entries.push_back({added, 1});
            } else if (!row.entries.empty()) {
                row.entries.push_back({added, row.entries[0].value * random.uniform(0, 2)});
            }
            more.add_row(std::move(row));
        }
        const Solution with_more = solve(more);
        if (with_more.status == Status::unbounded) return;
        REQUIRE(with_more.status == Status::optimal);
        CHECK(with_more.objective <=
              solution.objective + 1e-10 * (1 + std::abs(solution.objective)));
    });
}

TEST_CASE("the order of columns and rows changes nothing") {
    for_each_program([&](const LinearProgram& program, test::Random& random) {
        const auto shuffled = [&](std::size_t count) {
            std::vector<std::size_t> order(count);
            std::iota(order.begin(), order.end(), std::size_t{0});
            for (std::size_t i = count; i > 1; --i)
                std::swap(order[i - 1], order[random.below(i)]);
            return order;
        };
        const auto columns = shuffled(program.columns().size());
        const auto rows = shuffled(program.rows().size());
        LinearProgram other;
        std::vector<std::size_t> new_index(columns.size());
        for (const std::size_t c : columns)
            new_index[c] = other.add_column(program.columns()[c]);
        for (const std::size_t r : rows) {
            Row row = program.rows()[r];
            for (Entry& entry : row.entries)
                entry.column = new_index[entry.column];
            std::sort(row.entries.begin(), row.entries.end(),
                      [](const Entry& a, const Entry& b) { return a.column < b.column; });
            other.add_row(std::move(row));
        }
        const Solution a = solve(program);
        const Solution b = solve(other);
        REQUIRE(a.status == b.status);
        CHECK(near(a.objective, b.objective));
    });
}

TEST_CASE("the same program and start give the same bytes, whatever was solved before") {
    int same_basis = 0;
    for_each_program([&](const LinearProgram& program, test::Random& random) {
        if (!random.chance(0.3)) return;
        const Solution fresh = solve(program);
        if (fresh.status != Status::optimal) return;
        const auto same = [](const Solution& a, const Solution& b) {
            return a.primal == b.primal && a.row_activity == b.row_activity &&
                   a.row_dual == b.row_dual && a.reduced_cost == b.reduced_cost &&
                   a.objective == b.objective;
        };
        CHECK(same(solve(program), fresh));

        Session session(program);
        const Basis start = session.solve().basis;
        for (int i = 0; i < 3; ++i) {
            for (std::size_t c = 0; c < program.columns().size(); ++c) {
                session.set_cost(c, program.columns()[c].cost * random.uniform(0.7, 1.4));
            }
            session.solve();
        }
        // Other costs from the start basis, in the session with a past and in one without.
        Session without_past(program);
        for (std::size_t c = 0; c < program.columns().size(); ++c) {
            const double cost = program.columns()[c].cost * random.uniform(0.8, 1.2);
            session.set_cost(c, cost);
            without_past.set_cost(c, cost);
        }
        SolveOptions options;
        options.start = &start;
        const Solution a = session.solve(options);
        const Solution b = without_past.solve(options);
        REQUIRE(a.status == b.status);
        CHECK(a.basis == b.basis);
        CHECK(a.iterations == b.iterations);
        CHECK(same(a, b));
        // From elsewhere, the same last basis gives the same numbers.
        const Solution c = solve(session.program());
        CHECK(c.status == a.status);
        if (c.status == Status::optimal) {
            CHECK(near(c.objective, a.objective));
            if (c.basis == a.basis) {
                ++same_basis;
                CHECK(same(c, a));
            }
        }
    });
    CHECK(same_basis > 1000);
}

TEST_CASE("an integer switch never makes a program cheaper, and its answer holds") {
    int stricter = 0;
    for (int i = 0; i < 300; ++i) {
        INFO("program " << i);
        test::Random random(seed + static_cast<std::uint64_t>(i));
        LinearProgram program = test::random_program(random);
        const Solution relaxed = solve(program);
        if (relaxed.status != Status::optimal) continue;
        // Five columns: nothing, or at least a tenth.
        for (std::size_t c = 0; c < 5; ++c) {
            const Column column = program.columns()[c];
            if (!column.lower || *column.lower > 0) continue;
            const std::size_t used = program.add_column({"use " + column.id, 0, 0.0, 1.0, true});
            program.add_row({"least " + column.id, 0.0, std::nullopt, {{c, 1}, {used, -0.1}}});
            program.add_row({"most " + column.id, std::nullopt, 0.0, {{c, 1}, {used, -10}}});
        }
        const Solution solution = solve(program);
        if (solution.status == Status::infeasible) continue;
        REQUIRE(solution.status == Status::optimal);
        CHECK(certify(program, solution).holds());
        CHECK(solution.objective >= relaxed.objective - 1e-9);
        stricter += solution.objective > relaxed.objective + 1e-6;
        for (std::size_t c = 0; c < 5; ++c) {
            const double x = solution.primal[c];
            const Column& column = program.columns()[c];
            if (!column.lower || *column.lower > 0) continue;
            CHECK((std::abs(x) <= 1e-9 || x >= 0.1 - 1e-9));
        }
    }
    CHECK(stricter > 20);
}
