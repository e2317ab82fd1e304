// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "lp/solver.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <vector>

using namespace feedwright;
using namespace feedwright::lp;

namespace {

constexpr std::nullopt_t none = std::nullopt;

LinearProgram square() {
    LinearProgram program;
    program.add_column({"maize", 0.3, 0.0, none, false});
    program.add_column({"meal", 0.7, 0.0, none, false});
    program.add_column({"fish", 1.4, 0.0, none, false});
    program.add_row({"balance", 1.0, 1.0, {{0, 1}, {1, 1}, {2, 1}}});
    program.add_row({"protein", 20.0, none, {{0, 8}, {1, 40}, {2, 60}}});
    program.add_row({"fibre", none, 8.0, {{0, 2}, {1, 7}}});
    return program;
}

// The optimum worked by hand; no solver in it.
Solution by_hand() {
    Solution solution;
    solution.status = Status::optimal;
    solution.primal = {0.625, 0.375, 0};
    solution.row_activity = {1, 20, 3.875};
    solution.row_dual = {0.2, 0.0125, 0};
    solution.reduced_cost = {0, 0, 1.4 - 0.2 - 60 * 0.0125};
    solution.objective = 0.45;
    return solution;
}

}  // namespace

TEST_CASE("the certificate of a perfect answer is zero but for rounding") {
    const Certificate c = certify(square(), by_hand());
    CHECK(c.primal_residual <= 1e-15);
    CHECK(c.dual_residual <= 1e-15);
    CHECK(c.duality_gap <= 1e-15);
    CHECK(c.holds());
    CHECK(c.holds(1e-14));
}

TEST_CASE("each kind of error is seen") {
    const LinearProgram program = square();
    Solution solution = by_hand();
    const auto certificate = [&] { return certify(program, solution); };
    SECTION("a row limit missed") {
        solution.primal = {0.635, 0.365, 0};
        CHECK(certificate().primal_residual == Approx(0.32 / (60 + 20)));
    }
    SECTION("a column below its limit") {
        solution.primal = {0.62, 0.4, -0.02};
        CHECK(certificate().primal_residual == Approx(0.02));
    }
    SECTION("the balance missed") {
        solution.primal[2] = 1e-3;
        CHECK(certificate().primal_residual == Approx(1e-3 / 2));
    }
    SECTION("a mix that is not the cheapest") {
        solution.primal = {0.5, 0.5, 0};
        CHECK(certificate().primal_residual == 0);
        // The dearest of what the mix is made of costs 0.7.
        CHECK(certificate().duality_gap == Approx(0.05 / (0.7 + 0.5)));
        CHECK(certificate().dual_residual > 1e-2);
    }
    SECTION("a dual of the wrong sign") {
        solution.row_dual[2] = 0.01;
        solution.reduced_cost = {-0.02, -0.07, solution.reduced_cost[2]};
        CHECK(certificate().dual_residual >= 0.07 / 1.4 - 1e-12);
    }
    SECTION("a dual on a limit that is not reached") {
        solution.row_dual[2] = -0.01;
        solution.reduced_cost = {0.02, 0.07, solution.reduced_cost[2]};
        CHECK(certificate().dual_residual >= 0.01);
    }
    SECTION("reduced costs that do not follow from the duals") {
        solution.reduced_cost[2] += 0.1;
        CHECK(certificate().dual_residual == Approx(0.1 / 1.4));
    }
    SECTION("a negative reduced cost") {
        solution.row_dual[1] = 0.03;
        solution.reduced_cost = {0.3 - 0.2 - 0.24, 0.7 - 0.2 - 1.2, 1.4 - 0.2 - 1.8};
        CHECK(certificate().dual_residual > 0.1);
    }
    SECTION("not a number") {
        const auto where = GENERATE(0, 1, 2);
        if (where == 0) solution.primal[1] = std::nan("");
        if (where == 1) solution.row_dual[1] = std::nan("");
        if (where == 2) solution.reduced_cost[1] = std::nan("");
    }
    SECTION("infinite") {
        const auto where = GENERATE(0, 1);
        if (where == 0) solution.primal[0] = INFINITY;
        if (where == 1) solution.row_dual[0] = -INFINITY;
    }
    CHECK_FALSE(certificate().holds());
    CHECK_FALSE(certificate().holds(1e-6));
}

TEST_CASE("units of rows and money do not matter") {
    Solution wrong = by_hand();
    wrong.primal = {0.6, 0.4, 0.001};
    const Certificate plain = certify(square(), wrong);
    LinearProgram program;
    program.add_column({"maize", 300, 0.0, none, false});
    program.add_column({"meal", 700, 0.0, none, false});
    program.add_column({"fish", 1400, 0.0, none, false});
    program.add_row({"balance", 1.0, 1.0, {{0, 1}, {1, 1}, {2, 1}}});
    program.add_row({"protein", 20e4, none, {{0, 8e4}, {1, 40e4}, {2, 60e4}}});
    program.add_row({"fibre", none, 8.0, {{0, 2}, {1, 7}}});
    for (double& d : wrong.row_dual)
        d *= 1000;
    wrong.row_dual[1] /= 1e4;
    for (double& d : wrong.reduced_cost)
        d *= 1000;
    const Certificate scaled = certify(program, wrong);
    CHECK(scaled.primal_residual == Approx(plain.primal_residual).epsilon(1e-9));
    CHECK(scaled.dual_residual == Approx(plain.dual_residual).epsilon(1e-9));
    CHECK(scaled.duality_gap == Approx(plain.duality_gap).epsilon(1e-9));
    CHECK_FALSE(scaled.holds());
}

TEST_CASE("the price of what is not used hides no error") {
    LinearProgram program = square();
    program.set_cost(2, 1e12);
    Solution solution = by_hand();
    solution.reduced_cost[2] = 1e12 - 0.2 - 60 * 0.0125;
    CHECK(certify(program, solution).holds(1e-14));
    solution.primal = {0.5, 0.5, 0};
    CHECK(certify(program, solution).duality_gap == Approx(0.05 / (0.7 + 0.5)));
    CHECK_FALSE(certify(program, solution).holds(1e-2));
}

TEST_CASE("costs are measured by those of what is used, or by a usual one") {
    const std::vector<double> costs{0.3, -0.7, 1e12, 0, 5};
    CHECK(cost_size(costs, {0.5, 0.5, 0, 0, 0}) == 0.7);
    CHECK(cost_size(costs, {0.5, 0.5, 1e-16, 0, 0}) == 0.7);
    CHECK(cost_size(costs, {0.5, 0, 1e-9, 0, 0}) == 1e12);
    CHECK(cost_size(costs, {0, 0, 0, 1, 0}) == 0.7);
    CHECK(cost_size(costs, {0, 0, 0, 0, 0}) == 0.7);
    CHECK(cost_size(std::vector<double>{0, 0}, {1, 1}) == 1);
}

TEST_CASE("an integer answer must be whole and near its bound") {
    LinearProgram program;
    program.add_column({"x", 2, 0.0, 9.0, true});
    program.add_row({"need", 2.5, none, {{0, 1}}});
    Solution solution;
    solution.status = Status::optimal;
    solution.primal = {3};
    solution.row_activity = {3};
    CHECK_THROWS_AS(certify(program, solution), Error);
    solution.bound = 6;
    CHECK(certify(program, solution).holds(0));
    solution.bound = 5;
    CHECK(certify(program, solution).duality_gap == Approx(1.0 / 8));
    solution.primal = {2.6};
    CHECK(certify(program, solution).primal_residual == Approx(0.4 / 3.6));
}

TEST_CASE("a solution of another program is refused") {
    Solution solution = by_hand();
    solution.primal.pop_back();
    CHECK_THROWS_AS(certify(square(), solution), Error);
    solution = by_hand();
    solution.row_dual.clear();
    CHECK_THROWS_AS(certify(square(), solution), Error);
}
