// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/solver.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <random>

using namespace feedwright::lp;

namespace {

constexpr std::nullopt_t none = std::nullopt;

// 0 or at least `least` of `x` (at most 1): a switch column holds it between.
void at_least_if_used(LinearProgram& program, std::size_t x, double least) {
    const std::string id = program.columns()[x].id;
    const std::size_t used = program.add_column({"use " + id, 0, 0.0, 1.0, true});
    program.add_row({"least " + id, 0.0, none, {{x, 1}, {used, -least}}});
    program.add_row({"most " + id, none, 0.0, {{x, 1}, {used, -1}}});
}

}  // namespace

TEST_CASE("a switch column: none or at least so much") {
    LinearProgram program;
    program.add_column({"maize", 0.3, 0.0, none, false});
    program.add_column({"meal", 0.7, 0.0, none, false});
    program.add_column({"fish", 1.2, 0.0, none, false});
    program.add_row({"balance", 1.0, 1.0, {{0, 1}, {1, 1}, {2, 1}}});
    program.add_row({"lysine", 0.9, none, {{0, 0.25}, {1, 2.5}, {2, 4.5}}});
    CHECK(solve(program).primal[2] == 0);
    program.set_column_limits(1, 0.0, 0.25);
    const double fish = solve(program).primal[2];
    CHECK(fish == Approx((0.65 - 0.25 * 2.25) / 4.25).epsilon(1e-12));

    at_least_if_used(program, 2, 0.1);
    const Solution solution = solve(program);
    REQUIRE(solution.status == Status::optimal);
    CHECK(solution.primal[3] == 1);
    CHECK(solution.primal[2] == Approx(0.1).epsilon(1e-12));
    CHECK(solution.primal[1] == Approx((0.65 - 0.425) / 2.25).epsilon(1e-12));
    REQUIRE(solution.bound);
    CHECK(*solution.bound == Approx(solution.objective).epsilon(1e-9));
    CHECK(*solution.bound <= solution.objective);
    CHECK(certify(program, solution).holds(1e-9));
    // With the switch held on, one unit of lysine costs meal for maize.
    CHECK(solution.row_dual[1] == Approx(0.4 / 2.25).epsilon(1e-12));
}

TEST_CASE("whole numbers are whole to the last bit, and exhaustive search agrees") {
    std::mt19937 random(7);
    std::uniform_int_distribution<int> number(1, 9);
    for (int round = 0; round < 60; ++round) {
        LinearProgram program;
        const std::size_t n = 4;
        std::vector<double> cost, weight, volume;
        for (std::size_t j = 0; j < n; ++j) {
            cost.push_back(number(random));
            weight.push_back(number(random));
            volume.push_back(number(random));
            program.add_column({"x" + std::to_string(j), cost[j], 0.0, 3.0, true});
        }
        const double need = number(random) * 2.5;
        const double room = number(random) * 4.5;
        program.add_row(
            {"need", need, none, {{0, weight[0]}, {1, weight[1]}, {2, weight[2]}, {3, weight[3]}}});
        program.add_row(
            {"room", none, room, {{0, volume[0]}, {1, volume[1]}, {2, volume[2]}, {3, volume[3]}}});
        double best = INFINITY;
        for (int code = 0; code < 256; ++code) {
            double c = 0, w = 0, v = 0;
            for (std::size_t j = 0; j < n; ++j) {
                const int x = (code >> (2 * j)) & 3;
                c += cost[j] * x;
                w += weight[j] * x;
                v += volume[j] * x;
            }
            if (w >= need && v <= room) best = std::min(best, c);
        }
        const Solution solution = solve(program);
        INFO(round);
        if (std::isinf(best)) {
            CHECK(solution.status == Status::infeasible);
            continue;
        }
        REQUIRE(solution.status == Status::optimal);
        CHECK(solution.objective == best);
        for (const double x : solution.primal)
            CHECK(x == std::round(x));
    }
}

TEST_CASE("no whole number between the limits is infeasible") {
    LinearProgram program;
    program.add_column({"x", 1, 0.2, 0.8, true});
    CHECK(solve(program).status == Status::infeasible);
    program.set_column_limits(0, 0.2, 1.8);
    CHECK(solve(program).primal == std::vector<double>{1});
    // A limit a rounding error off a whole number is that number.
    program.set_column_limits(0, 1 + 1e-13, 1.8);
    CHECK(solve(program).primal == std::vector<double>{1});
}

TEST_CASE("continuous points but no whole ones is infeasible") {
    LinearProgram program;
    program.add_column({"x", 1, 0.0, 10.0, true});
    program.add_column({"y", 1, 0.0, 10.0, true});
    program.add_row({"odd", 5.0, 5.0, {{0, 2}, {1, 2}}});
    CHECK(solve(program).status == Status::infeasible);
    // Without a bound it is infeasible too, not unbounded.
    program.add_column({"z", -1, 0.0, none, false});
    CHECK(solve(program).status == Status::infeasible);
    program.set_row_limits(0, 4.0, 4.0);
    CHECK(solve(program).status == Status::unbounded);
}

TEST_CASE("an integer search that is stopped says so and gives what it has") {
    // An equality knapsack of even weights and an odd total cannot end before every branch is seen.
    LinearProgram program;
    Row row{"odd", 10001.0, 10001.0, {}};
    for (std::size_t j = 0; j < 40; ++j) {
        program.add_column(
            {"x" + std::to_string(j), 1.0 + 0.01 * static_cast<double>(j), 0.0, 50.0, true});
        row.entries.push_back({j, 2.0 * static_cast<double>(17 + 5 * j % 31)});
    }
    program.add_row(row);
    SolveOptions options;
    options.time_limit_seconds = 0.05;
    const Solution nothing = solve(program, options);
    CHECK(nothing.status == Status::limit);
    CHECK(nothing.message == "the time limit was reached");
    CHECK(nothing.primal.empty());
    CHECK(nothing.bound);

    const std::atomic<bool> stop = true;
    options.interrupt = &stop;
    CHECK(solve(program, options).message == "interrupted");

    // With a slack to buy there is a point at once.
    program.add_column({"slack", 1000, 0.0, none, false});
    Row with_slack = row;
    with_slack.id = "with slack";
    with_slack.entries.push_back({40, 1});
    program.set_row_limits(0, none, none);
    program.add_row(with_slack);
    SolveOptions brief;
    brief.time_limit_seconds = 0.3;
    const Solution some = solve(program, brief);
    CHECK(some.status == Status::limit);
    REQUIRE(some.primal.size() == 41);
    REQUIRE(some.bound);
    CHECK(*some.bound <= some.objective);
    CHECK(some.row_activity[1] == Approx(10001));
}

TEST_CASE("a wide gap ends the search early but keeps the bound honest") {
    LinearProgram program;
    Row row{"need", 1000.5, none, {}};
    for (std::size_t j = 0; j < 12; ++j) {
        program.add_column(
            {"x" + std::to_string(j), 3.0 + 0.7 * static_cast<double>(j), 0.0, 20.0, true});
        row.entries.push_back({j, 7.0 + 1.9 * static_cast<double>(j)});
    }
    program.add_row(row);
    const Solution exact = solve(program);
    SolveOptions options;
    options.integer_gap = 0.05;
    const Solution near = solve(program, options);
    REQUIRE(exact.status == Status::optimal);
    REQUIRE(near.status == Status::optimal);
    CHECK(near.objective >= exact.objective * (1 - 1e-9));
    CHECK(near.objective <= exact.objective * 1.06);
    CHECK(*near.bound <= exact.objective * (1 + 1e-9));

    // The same in units of cost.
    SolveOptions in_cost;
    in_cost.cost_gap = 20;
    const Solution within = solve(program, in_cost);
    REQUIRE(within.status == Status::optimal);
    CHECK(within.objective >= exact.objective * (1 - 1e-9));
    CHECK(within.objective <= exact.objective + 20 * (1 + 1e-9));
    CHECK(within.objective - *within.bound <= 20 * (1 + 1e-9));
    CHECK(*within.bound <= exact.objective * (1 + 1e-9));
}
