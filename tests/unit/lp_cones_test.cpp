// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "lp/cones.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <vector>

using namespace feedwright;
using namespace feedwright::lp;

namespace {

constexpr std::nullopt_t none = std::nullopt;

// Cattle feed whose protein must reach 21 % with a chance: Hock and Schittkowski 1981, Test
// Examples for Nonlinear Programming Codes, problem 73, after Bracken and McCormick 1968. Columns
// barley, oats, sesame flakes, groundnut meal; variances of protein 0.28, 0.19, 20.5, 0.62.
struct CattleFeed {
    LinearProgram program;
    std::vector<Cone> cones;
    explicit CattleFeed(double z) {
        program.add_column({"barley", 24.55, 0.0, none, false});
        program.add_column({"oats", 26.75, 0.0, none, false});
        program.add_column({"sesame", 39, 0.0, none, false});
        program.add_column({"groundnut", 40.5, 0.0, none, false});
        program.add_row({"total", 1.0, 1.0, {{0, 1}, {1, 1}, {2, 1}, {3, 1}}});
        program.add_row({"fat", 5.0, none, {{0, 2.3}, {1, 5.6}, {2, 11.1}, {3, 1.3}}});
        Cone protein{"protein", {{0, 12}, {1, 11.9}, {2, 41.8}, {3, 52.1}}, {}, z, 21};
        const std::vector<double> variances{0.28, 0.19, 20.5, 0.62};
        for (std::size_t i = 0; i < variances.size(); ++i)
            protein.forms.push_back({{{i, std::sqrt(variances[i])}}, 0});
        cones.push_back(std::move(protein));
    }
};

}  // namespace

TEST_CASE("the published mix whose protein is sure") {
    struct Published {
        double z;
        double cost;
        std::vector<double> mix;
    };
    // z = 1.645 is printed; the others were worked out by sequential quadratic programming.
    for (const Published& published : std::vector<Published>{
             {0, 28.942648, {0.68524491, 0.01269905, 0.30205604, 0}},
             {1.28, 29.676979, {0.64928369, 0, 0.31129758, 0.03941872}},
             {1.645, 29.894378, {0.6355216, 0, 0.3127019, 0.05177655}},
             {2.326, 30.237044, {0.23224707, 0.4604271, 0.1518282, 0.15549762}},
         }) {
        INFO("z = " << published.z);
        const CattleFeed feed(published.z);
        const ConeSolution found = solve(feed.program, feed.cones);
        REQUIRE(found.solution.status == Status::optimal);
        CHECK(found.solution.objective == Approx(published.cost).margin(1e-6).epsilon(0));
        for (std::size_t i = 0; i < published.mix.size(); ++i)
            CHECK(found.solution.primal[i] == Approx(published.mix[i]).margin(1e-5).epsilon(0));
        CHECK(found.shortfall <= cone_tolerance);
        CHECK(found.gap <= cone_tolerance);
        CHECK(certify(found.program, found.solution).holds(cone_tolerance));
        CHECK(found.rounds < 30);
    }
}

TEST_CASE("planes of a cone hold at other costs, and a solve that starts with them is short") {
    CattleFeed feed(1.645);
    const ConeSolution first = solve(feed.program, feed.cones);
    const ConeSolution again = solve(feed.program, feed.cones, {}, first.planes);
    CHECK(again.rounds <= 3);
    CHECK(again.solution.objective == Approx(first.solution.objective).epsilon(1e-12));
    feed.program.set_cost(3, 60);
    const ConeSolution fresh = solve(feed.program, feed.cones);
    const ConeSolution kept = solve(feed.program, feed.cones, {}, first.planes);
    CHECK(kept.solution.objective == Approx(fresh.solution.objective).epsilon(1e-9));
}

TEST_CASE("the multiplier of a cone is the change of cost when its number rises") {
    CattleFeed feed(1.645);
    const ConeSolution found = solve(feed.program, feed.cones);
    constexpr double step = 1e-4;
    feed.cones[0].lower = 21 + step;
    const double up = solve(feed.program, feed.cones).solution.objective;
    feed.cones[0].lower = 21 - step;
    const double down = solve(feed.program, feed.cones).solution.objective;
    CHECK(found.cone_dual[0] == Approx((up - down) / (2 * step)).epsilon(1e-5));
}

TEST_CASE("a sum that is sure spreads over what varies apart") {
    // Least x + y with x + y - 2 sqrt(x^2 + y^2 + (x - y)^2) >= -1: by symmetry x = y, where
    // 2 x - 2 sqrt(2) x >= -1 always holds up to x = 1 / (2 sqrt(2) - 2). Most of x + y is wanted.
    LinearProgram program;
    program.add_column({"x", -1, 0.0, none, false});
    program.add_column({"y", -1, 0.0, none, false});
    const std::vector<Cone> cones{
        {"sum", {{0, 1}, {1, 1}}, {{{{0, 1}}, 0}, {{{1, 1}}, 0}, {{{0, 1}, {1, -1}}, 0}}, 2, -1}};
    program.set_column_limits(0, 0.0, 10);
    program.set_column_limits(1, 0.0, 10);
    const ConeSolution found = solve(program, cones);
    REQUIRE(found.solution.status == Status::optimal);
    const double best = 1 / (2 * std::sqrt(2) - 2);
    CHECK(found.solution.primal[0] == Approx(best).epsilon(1e-7));
    CHECK(found.solution.objective == Approx(-2 * best).epsilon(1e-9));
}

TEST_CASE("a form may have a constant part") {
    // x - sqrt((x - 3)^2 + 1) >= 1: (x - 1)^2 >= (x - 3)^2 + 1, so x >= 9 / 4.
    LinearProgram program;
    program.add_column({"x", 1, 0.0, none, false});
    const std::vector<Cone> cones{{"c", {{0, 1}}, {{{{0, 1}}, -3}, {{}, 1}}, 1, 1}};
    const ConeSolution found = solve(program, cones);
    REQUIRE(found.solution.status == Status::optimal);
    CHECK(found.solution.primal[0] == Approx(2.25).epsilon(1e-9));
}

TEST_CASE("what no mix can be sure of is infeasible, and proven to be") {
    CattleFeed feed(1.645);
    feed.cones[0].lower = 51;  // groundnut meal alone reaches 50.8, but has no fat
    CHECK(solve(feed.program, feed.cones).solution.status == Status::infeasible);
    feed.program.set_integer(0, true);
    CHECK(solve(feed.program, feed.cones).solution.status == Status::infeasible);
}

TEST_CASE("a cone of another program is refused") {
    CattleFeed feed(1);
    feed.cones[0].entries.push_back({9, 1});
    CHECK_THROWS_AS(solve(feed.program, feed.cones), Error);
}

TEST_CASE("whole numbers beside a cone") {
    CattleFeed feed(1.645);
    // At most two of the four, each a fifth at least if used.
    Row count{"count", none, 2.0, {}};
    for (std::size_t i = 0; i < 4; ++i) {
        const std::string id = feed.program.columns()[i].id;
        const std::size_t used = feed.program.add_column({"use " + id, 0, 0.0, 1.0, true});
        feed.program.add_row({"least " + id, 0.0, none, {{i, 1}, {used, -0.2}}});
        feed.program.add_row({"most " + id, none, 0.0, {{i, 1}, {used, -1}}});
        count.entries.push_back({used, 1});
    }
    feed.program.add_row(count);
    const ConeSolution found = solve(feed.program, feed.cones);
    REQUIRE(found.solution.status == Status::optimal);
    // Of the six pairs, by hand: barley with enough sesame flakes is the cheapest.
    const double s = found.solution.primal[2];
    CHECK(found.solution.primal[0] == Approx(1 - s).epsilon(1e-9));
    CHECK(12 * (1 - s) + 41.8 * s - 1.645 * std::sqrt(0.28 * (1 - s) * (1 - s) + 20.5 * s * s) ==
          Approx(21).epsilon(1e-8));
    CHECK(*found.solution.bound == Approx(found.solution.objective).epsilon(1e-8));
}
