// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/ties.hpp"
#include "support/catch.hpp"
#include "support/random_program.hpp"

#include <algorithm>
#include <cmath>

using namespace feedwright;
using namespace feedwright::lp;

namespace {

constexpr std::nullopt_t none = std::nullopt;

// Three feeds at one price for 1 kg; protein at least 20.
LinearProgram three_alike() {
    LinearProgram program;
    program.add_column({"a", 0.5, 0.0, none, false});
    program.add_column({"b", 0.5, 0.0, none, false});
    program.add_column({"c", 0.5, 0.0, none, false});
    program.add_row({"balance", 1.0, 1.0, {{0, 1}, {1, 1}, {2, 1}}});
    program.add_row({"protein", 20.0, none, {{0, 10}, {1, 30}, {2, 50}}});
    return program;
}

bool same_point(const Solution& a, const Solution& b) {
    for (std::size_t c = 0; c < a.primal.size(); ++c) {
        if (std::abs(a.primal[c] - b.primal[c]) > 1e-6) return false;
    }
    return true;
}

}  // namespace

TEST_CASE("of equally cheap points the one with least of the last column, then of the one before") {
    const LinearProgram program = three_alike();
    // Without c, protein needs b >= 0.5; the least of b comes next.
    const Settled settled = settle_tie(program, solve(program), 3);
    REQUIRE(settled.unique.has_value());
    CHECK_FALSE(*settled.unique);
    CHECK(settled.solution.primal[0] == Approx(0.5));
    CHECK(settled.solution.primal[1] == Approx(0.5));
    CHECK(settled.solution.primal[2] == 0);
    CHECK(certify(program, settled.solution).holds(1e-12));
}

TEST_CASE("every start leads to the same point") {
    LinearProgram program = three_alike();
    const Solution expected = settle_tie(program, solve(program), 3).solution;
    int others = 0;
    for (std::size_t favoured = 0; favoured < 3; ++favoured) {
        LinearProgram tilted = program;
        tilted.set_cost(favoured, 0.4);
        const Solution there = solve(tilted);
        SolveOptions options;
        options.start = &there.basis;
        const Solution found = solve(program, options);
        if (found.primal != expected.primal) ++others;
        CHECK(settle_tie(program, found, 3).solution.primal == expected.primal);
    }
    CHECK(others > 0);  // else the starts proved nothing
}

TEST_CASE("only the first columns rule") {
    LinearProgram program;
    program.add_column({"a", 0, 0.0, none, false});
    program.add_column({"b", 0, 0.0, none, false});
    program.add_row({"balance", 1.0, 1.0, {{0, 1}, {1, 1}}});
    CHECK(settle_tie(program, solve(program), 2).solution.primal == std::vector<double>{1, 0});
    CHECK(settle_tie(program, solve(program), 1).solution.primal == std::vector<double>{0, 1});
}

TEST_CASE("an only optimum is left as it is, also where a multiplier of zero hides it") {
    LinearProgram program;
    program.add_column({"a", 1, 0.0, none, false});
    program.add_column({"b", 2, 0.0, none, false});
    program.add_row({"balance", 1.0, 1.0, {{0, 1}, {1, 1}}});
    // Holds with equality at a = 1, and costs nothing.
    program.add_row({"touching", none, 5.0, {{0, 5}, {1, 5}}});
    program.add_row({"touching too", 3.0, none, {{0, 3}, {1, 3}}});
    const Solution solution = solve(program);
    const Settled settled = settle_tie(program, solution, 2);
    CHECK(settled.unique == std::optional<bool>(true));
    CHECK_FALSE(settled.moved);
    CHECK(settled.solution.primal == solution.primal);
}

TEST_CASE("a tie that goes on without end still has a least point") {
    LinearProgram program;
    program.add_column({"a", 0, 0.0, none, false});
    program.add_column({"b", 1, 0.0, none, false});
    program.add_row({"need", 2.0, none, {{0, 1}, {1, 1}}});
    const Settled settled = settle_tie(program, solve(program), 2);
    CHECK(settled.unique == std::optional<bool>(false));
    CHECK(settled.solution.primal == std::vector<double>{2, 0});
}

// Prices on a grid of a quarter make ties common.
TEST_CASE("on random programs: an optimum, the same from other starts and in another row order") {
    int tied = 0;
    int moved = 0;
    int from_elsewhere = 0;
    for (std::uint64_t i = 0; i < 1500; ++i) {
        INFO("program " << i);
        test::Random random(77'000 + i);
        LinearProgram program = test::random_program(random);
        const std::size_t n = program.columns().size();
        for (std::size_t c = 0; c < n; ++c) {
            program.set_cost(c, std::ceil(std::abs(program.columns()[c].cost) * 2) / 4);
        }
        const Solution solution = solve(program);
        if (solution.status != Status::optimal) continue;
        const Settled settled = settle_tie(program, solution, n);
        REQUIRE(settled.unique.has_value());
        REQUIRE(certify(program, settled.solution).holds(1e-8));
        const bool bounded =
            std::all_of(program.columns().begin(), program.columns().end(),
                        [](const Column& column) { return column.lower.has_value(); });
        if (!bounded && !*settled.unique) continue;
        if (!*settled.unique) ++tied;
        if (settled.moved) ++moved;

        LinearProgram tilted = program;
        for (std::size_t c = 0; c < n; ++c)
            tilted.set_cost(c, random.uniform(0.05, 2));
        const Solution elsewhere = solve(tilted);
        if (elsewhere.status == Status::optimal) {
            SolveOptions options;
            options.start = &elsewhere.basis;
            const Solution other = solve(program, options);
            REQUIRE(other.status == Status::optimal);
            if (!same_point(solution, other)) ++from_elsewhere;
            const Settled again = settle_tie(program, other, n);
            CHECK(again.unique == settled.unique);
            CHECK(same_point(again.solution, settled.solution));
            if (*settled.unique) CHECK(same_point(solution, other));
        }

        LinearProgram reordered;
        for (const Column& column : program.columns())
            reordered.add_column(column);
        for (std::size_t r = program.rows().size(); r-- > 0;)
            reordered.add_row(program.rows()[r]);
        const Settled turned = settle_tie(reordered, solve(reordered), n);
        CHECK(turned.unique == settled.unique);
        CHECK(same_point(turned.solution, settled.solution));
    }
    CHECK(tied > 50);
    CHECK(moved > 10);
    CHECK(from_elsewhere > 10);
}
