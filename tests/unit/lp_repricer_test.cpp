// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "lp/repricer.hpp"
#include "lp/solver.hpp"
#include "lp/ties.hpp"
#include "support/catch.hpp"
#include "support/random_program.hpp"

#include <cmath>
#include <thread>
#include <vector>

using namespace feedwright::lp;
using feedwright::test::Random;

namespace {

// x0 + x1 + x2 = 1, nutrient 10 x0 + 20 x1 + 30 x2 at least `wanted`, x2 at most 0.6.
LinearProgram three_ingredients(double wanted) {
    LinearProgram program;
    program.add_column({"x0", 1, 0.0, {}});
    program.add_column({"x1", 2, 0.0, {}});
    program.add_column({"x2", 3.5, 0.0, 0.6});
    program.add_row({"total", 1.0, 1.0, {{0, 1.0}, {1, 1.0}, {2, 1.0}}});
    program.add_row({"nutrient", wanted, {}, {{0, 10.0}, {1, 20.0}, {2, 30.0}}});
    return program;
}

std::vector<double> costs_of(const LinearProgram& program) {
    std::vector<double> costs;
    for (const Column& column : program.columns())
        costs.push_back(column.cost);
    return costs;
}

LinearProgram with_costs(LinearProgram program, const std::vector<double>& costs) {
    for (std::size_t c = 0; c < costs.size(); ++c)
        program.set_cost(c, costs[c]);
    return program;
}

std::vector<double> moved(const std::vector<double>& costs, Random& random, double by) {
    std::vector<double> result;
    for (const double cost : costs)
        result.push_back(cost * random.uniform(1 - by, 1 + by));
    return result;
}

// Everything that a line of output could be made of, to be compared bit by bit.
std::vector<double> numbers(const Repriced& priced) {
    std::vector<double> all(priced.primal.begin(), priced.primal.end());
    all.insert(all.end(), priced.row_dual.begin(), priced.row_dual.end());
    all.insert(all.end(), priced.reduced_cost.begin(), priced.reduced_cost.end());
    all.push_back(priced.objective);
    all.push_back(priced.certificate.primal_residual);
    all.push_back(priced.certificate.dual_residual);
    all.push_back(priced.certificate.duality_gap);
    return all;
}

}  // namespace

TEST_CASE("new costs on a program solved by hand") {
    Repricer repricer(three_ingredients(20));
    REQUIRE(repricer.status() == Status::optimal);
    Repriced priced;

    // x1 alone costs 2; x0 and x2 in halves 2.25.
    REQUIRE(repricer.solve(std::vector<double>{1, 2, 3.5}, priced));
    CHECK(priced.objective == Approx(2).epsilon(1e-14));
    CHECK(priced.unique);

    // x1 at 2.4: now the halves.
    REQUIRE(repricer.solve(std::vector<double>{1, 2.4, 3.5}, priced));
    CHECK(priced.objective == Approx(2.25).epsilon(1e-14));
    CHECK(priced.primal[0] == Approx(0.5).epsilon(1e-14));
    CHECK(priced.primal[2] == Approx(0.5).epsilon(1e-14));
    CHECK(priced.reduced_cost[1] == Approx(0.15).epsilon(1e-12));
    // One unit of the nutrient is a twentieth of x0 changed for x2: (3.5 - 1) / 20.
    CHECK(priced.row_dual[1] == Approx(0.125).epsilon(1e-12));
    CHECK(priced.row_dual[0] == Approx(-0.25).epsilon(1e-12));

    // Where x2 is the cheapest, its limit of 0.6 holds it.
    REQUIRE(repricer.solve(std::vector<double>{1, 3, 0.1}, priced));
    CHECK(priced.primal[2] == Approx(0.6).epsilon(1e-14));
    CHECK(priced.primal[0] == Approx(0.4).epsilon(1e-14));
    CHECK(priced.reduced_cost[2] == Approx(-0.9).epsilon(1e-12));
}

TEST_CASE("among equal optima the one with the least of the last columns is chosen") {
    // At 2.25 x1 alone and the halves of x0 and x2 cost the same.
    Repricer repricer(three_ingredients(20));
    Repriced priced;
    REQUIRE(repricer.solve(std::vector<double>{1, 2.25, 3.5}, priced));
    CHECK_FALSE(priced.unique);
    CHECK(priced.primal[1] == Approx(1).epsilon(1e-14));

    // The same from a first vertex that is the other one.
    LinearProgram other = three_ingredients(20);
    other.set_cost(1, 4);
    Repricer again(other);
    REQUIRE(again.solve(std::vector<double>{1, 2.25, 3.5}, priced));
    CHECK_FALSE(priced.unique);
    CHECK(priced.primal[1] == Approx(1).epsilon(1e-14));

    // Nothing costs anything: first the least of x2, then of x1.
    Repricer free_of_cost(three_ingredients(12));
    REQUIRE(free_of_cost.solve(std::vector<double>{0, 0, 0}, priced));
    CHECK(priced.primal[0] == Approx(0.8).epsilon(1e-14));
    CHECK(priced.primal[1] == Approx(0.2).epsilon(1e-14));
}

TEST_CASE("random programs: new costs give what solving anew gives") {
    Random random(20'001);
    std::size_t solved = 0;
    std::size_t tied = 0;
    std::size_t given_up = 0;
    for (int p = 0; p < 300; ++p) {
        const LinearProgram program = feedwright::test::random_program(random);
        Repricer repricer(program);
        Repriced priced;
        const auto base = costs_of(program);
        for (int k = 0; k < 20; ++k) {
            auto costs = moved(base, random, k < 10 ? 0.1 : 1);
            // Equal prices make ties.
            if (k % 5 == 4) {
                for (double& cost : costs)
                    cost = std::round(cost);
            }
            const LinearProgram own = with_costs(program, costs);
            if (repricer.status() != Status::optimal) {
                CHECK_FALSE(repricer.solve(costs, priced));
                continue;
            }
            const Solution first = solve(own);
            if (!repricer.solve(costs, priced)) {
                // Allowed where the caller's other way has no answer either, or rarely.
                if (first.status == Status::optimal) ++given_up;
                continue;
            }
            REQUIRE(first.status == Status::optimal);
            const Settled settled = settle_tie(own, first, costs.size());
            ++solved;
            if (!priced.unique) ++tied;
            INFO("program " << p << ", costs " << k);
            const double size = std::max(1e-6, std::abs(settled.solution.objective));
            CHECK(std::abs(priced.objective - settled.solution.objective) <= 1e-9 * size);
            REQUIRE(settled.unique);
            for (std::size_t c = 0; c < costs.size(); ++c) {
                const double x = settled.solution.primal[c];
                CHECK(std::abs(priced.primal[c] - x) <= 1e-6 * std::max(1.0, x));
            }
            // The quick certificate is the slow one.
            Solution claimed = first;
            claimed.primal.assign(priced.primal.begin(), priced.primal.end());
            claimed.row_activity.assign(priced.row_activity.begin(), priced.row_activity.end());
            claimed.row_dual = priced.row_dual;
            claimed.reduced_cost = priced.reduced_cost;
            const Certificate slow = certify(own, claimed);
            CHECK(slow.holds());
            CHECK(std::abs(slow.primal_residual - priced.certificate.primal_residual) < 1e-12);
            CHECK(std::abs(slow.duality_gap - priced.certificate.duality_gap) < 1e-12);
        }
    }
    CHECK(solved > 4000);
    CHECK(tied > 100);
    CHECK(given_up < solved / 200);
}

TEST_CASE("amounts of many tons are walked as amounts of a kilogram are") {
    // Rooms this large have more rounding than the slack of a ratio.
    Random random(414);
    std::size_t asked = 0;
    std::size_t given_up = 0;
    for (int p = 0; p < 100; ++p) {
        const std::size_t columns = 4 + random.below(12);
        const double total = random.uniform(1e4, 1e7);
        LinearProgram program;
        Row all{"total", total, total, {}};
        for (std::size_t c = 0; c < columns; ++c) {
            program.add_column(
                {std::to_string(c), random.uniform(1, 3), 0.0, total * random.uniform(0.3, 0.9)});
            all.entries.push_back({c, 1.0});
        }
        program.add_row(all);
        for (std::size_t r = 0; r < 6; ++r) {
            Row row{"row " + std::to_string(r), {}, {}, {}};
            double sum = 0;
            for (std::size_t c = 0; c < columns; ++c) {
                const double content = random.uniform(0, 40);
                sum += content;
                row.entries.push_back({c, content});
            }
            const double mean = sum / static_cast<double>(columns);
            row.lower = total * mean * 0.9;
            row.upper = total * mean * 1.1;
            program.add_row(row);
        }
        Repricer repricer(program);
        REQUIRE(repricer.status() == Status::optimal);
        Repriced priced;
        for (int k = 0; k < 50; ++k) {
            ++asked;
            if (!repricer.solve(moved(costs_of(program), random, 0.8), priced)) ++given_up;
        }
    }
    CHECK(asked == 5000);
    CHECK(given_up == 0);
}

TEST_CASE("an answer depends on its costs alone, not on what was asked before") {
    Random random(77);
    std::size_t compared = 0;
    for (int p = 0; p < 60; ++p) {
        const LinearProgram program = feedwright::test::random_program(random);
        Repricer first(program);
        if (first.status() != Status::optimal) continue;
        std::vector<std::vector<double>> lists;
        for (int k = 0; k < 30; ++k)
            lists.push_back(moved(costs_of(program), random, 0.5));
        std::vector<std::vector<double>> forward;
        // One that remembers all, and one whose memory is full after every vertex.
        Repriced priced;
        for (const auto& costs : lists) {
            forward.push_back(first.solve(costs, priced) ? numbers(priced) : std::vector<double>{});
        }
        Repricer second(program, 1);
        for (std::size_t k = lists.size(); k-- > 0;) {
            INFO("program " << p << ", list " << k);
            const bool found = second.solve(lists[k], priced);
            CHECK(found == !forward[k].empty());
            if (found) CHECK(numbers(priced) == forward[k]);
            ++compared;
        }
    }
    CHECK(compared > 1000);
}

TEST_CASE("threads that share a program get the answers of one thread") {
    Random random(5);
    LinearProgram program = feedwright::test::random_program(random);
    while (solve(program).status != Status::optimal) {
        program = feedwright::test::random_program(random);
    }
    std::vector<std::vector<double>> lists;
    for (int k = 0; k < 400; ++k)
        lists.push_back(moved(costs_of(program), random, 0.8));
    const Repricer large(program);
    const Repricer small(program, 20'000);
    const auto answers = [&](const Repricer& shared) {
        std::vector<std::vector<double>> all;
        Repricer repricer = shared.another();
        Repriced priced;
        for (const auto& costs : lists) {
            all.push_back(repricer.solve(costs, priced) ? numbers(priced) : std::vector<double>{});
        }
        return all;
    };
    const auto expected = answers(large);
    std::vector<std::vector<std::vector<double>>> found(4);
    {
        std::vector<std::jthread> threads;
        for (auto& result : found) {
            threads.emplace_back([&] { result = answers(small); });
        }
    }
    for (const auto& result : found)
        CHECK(result == expected);
}

TEST_CASE("a vertex keeps its note") {
    Repricer repricer(three_ingredients(20));
    Repriced priced;
    int made = 0;
    const auto note = [&] {
        REQUIRE(repricer.solve(std::vector<double>{1, 2, 3.5}, priced));
        if (!*priced.note) *priced.note = std::make_shared<int>(++made);
        return *static_cast<const int*>(priced.note->get());
    };
    CHECK(note() == 1);
    CHECK(note() == 1);
    CHECK(made == 1);
}

TEST_CASE("programs that have no vertex to start from") {
    LinearProgram impossible = three_ingredients(40);
    Repricer repricer(impossible);
    CHECK(repricer.status() == Status::infeasible);
    Repriced priced;
    CHECK_FALSE(repricer.solve(std::vector<double>{1, 2, 3}, priced));

    LinearProgram whole = three_ingredients(20);
    whole.set_integer(0, true);
    CHECK_THROWS_AS(Repricer(whole), feedwright::Error);

    // Bounded at its own costs, not at others.
    LinearProgram open;
    open.add_column({"x", 1, 0.0, {}});
    open.add_row({"least", 1.0, {}, {{0, 1.0}}});
    Repricer other(open);
    REQUIRE(other.solve(std::vector<double>{2}, priced));
    CHECK(priced.objective == 2);
    CHECK_FALSE(other.solve(std::vector<double>{-1}, priced));
}
