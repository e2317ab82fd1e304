// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/sampling.hpp"

#include "economics/make_or_buy.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

using namespace feedwright::economics;

namespace {

// Chance below x of a triangular number, from its density.
double below(const Triangular& r, double x) {
    if (x <= r.low) return 0;
    if (x >= r.high) return 1;
    if (x < r.likely) {
        return (x - r.low) * (x - r.low) / ((r.high - r.low) * (r.likely - r.low));
    }
    return 1 - (r.high - x) * (r.high - x) / ((r.high - r.low) * (r.high - r.likely));
}

std::vector<double> sorted_draws(const Triangular& range, int n) {
    UniformSource uniform(7);
    std::vector<double> draws;
    for (int i = 0; i < n; ++i)
        draws.push_back(triangular_quantile(range, uniform.next()));
    std::sort(draws.begin(), draws.end());
    return draws;
}

// One uncertain input, the bought price; making costs 1.2 a kg either way.
Venture coin(const Triangular& price) {
    return parse_venture(
        R"({ "format": "feedwright-venture/1", "make": { "materials_per_kg": 1.2, "batch_kg": 1, "fcr": 1 },
             "buy": { "pack_price": [)" +
            std::to_string(price.low) + "," + std::to_string(price.likely) + "," +
            std::to_string(price.high) +
            R"(], "pack_kg": 1, "fcr": 1 }, "gain_kg_per_year": 100 })",
        "coin.json", {});
}

}  // namespace

TEST_CASE("the triangular quantile inverts the distribution") {
    for (const Triangular& r : {Triangular{1, 2, 5}, Triangular{-3, 4, 4}, Triangular{0, 0, 1},
                                Triangular{10, 10.1, 30}}) {
        for (const double u : {0.0, 0.001, 0.05, 0.25, 0.5, 0.75, 0.95, 0.999}) {
            const double x = triangular_quantile(r, u);
            CHECK(x >= r.low);
            CHECK(x <= r.high);
            CHECK(below(r, x) == Approx(u).margin(1e-12));
        }
    }
    CHECK(triangular_quantile({3, 3, 3}, 0.4) == 3);
}

TEST_CASE("mean and quantiles of many draws agree with the closed forms") {
    const Triangular r{2, 3, 8};
    const int n = 200000;
    const auto draws = sorted_draws(r, n);
    double sum = 0;
    double squares = 0;
    for (const double x : draws) {
        sum += x;
        squares += x * x;
    }
    const double mean = sum / n;
    // Variance (a^2 + b^2 + c^2 - ab - ac - bc) / 18.
    const double variance = (4 + 64 + 9 - 16 - 6 - 24) / 18.0;
    CHECK(std::abs(mean - 13.0 / 3) < 4 * std::sqrt(variance / n));
    CHECK(squares / n - mean * mean == Approx(variance).epsilon(0.02));
    for (const double p : {0.05, 0.25, 0.5, 0.75, 0.95}) {
        const double at = draws[static_cast<std::size_t>(p * (n - 1))];
        CHECK(std::abs(below(r, at) - p) < 4 * std::sqrt(p * (1 - p) / n));
    }
}

TEST_CASE("the uniform source is the same on every machine") {
    // The standard fixes the 10000th output of a default mt19937_64 (seed 5489) as
    // 9981545732273789042.
    UniformSource uniform(5489);
    double last = 0;
    for (int i = 0; i < 10000; ++i)
        last = uniform.next();
    CHECK(last == static_cast<double>(9981545732273789042ULL >> 11) * std::ldexp(1.0, -53));
}

TEST_CASE("the chance that making wins is the chance the closed form gives") {
    const Triangular price{1, 1.25, 1.5};
    const Chance chance = chance_of(coin(price), 40000);
    CHECK(std::abs(chance.making_wins - (1 - below(price, 1.2))) < 0.01);
    CHECK(chance.low == Approx(100 * (triangular_quantile(price, 0.05) - 1.2)).margin(0.5));
    CHECK(chance.middle == Approx(100 * (triangular_quantile(price, 0.5) - 1.2)).margin(0.5));
    // The same seed gives the same answer to the last bit.
    CHECK(chance_of(coin(price), 40000).middle == chance.middle);
    CHECK(chance_of(coin({1.3, 1.4, 1.5})).making_wins == 1);
    CHECK(chance_of(coin({1.0, 1.1, 1.15})).making_wins == 0);
}

TEST_CASE("the tornado is ordered by how far each input moves the answer") {
    const Venture venture = parse_venture(
        R"({ "format": "feedwright-venture/1",
             "make": { "materials_per_kg": [0.4, 0.5, 0.7], "batch_kg": 20, "hours_per_batch": 2,
                       "value_of_hour": [4, 5, 6], "fcr": [1.8, 2.0, 2.6] },
             "buy": { "pack_price": [23, 25, 26], "pack_kg": 20, "fcr": 1.6 }, "gain_kg_per_year": 100 })",
        "v.json", {});
    const Chance chance = chance_of(venture);
    REQUIRE(chance.tornado.size() == 4);
    // Yearly difference 160 x 1.25 - 200 x (0.5 + 0.5) = 0 at the likely values.
    CHECK(chance.tornado[0].name == "FCR on the home feed");
    CHECK(chance.tornado[0].at_low == Approx(200 - 180));
    CHECK(chance.tornado[0].at_high == Approx(200 - 260));
    CHECK(chance.tornado[1].name == "cost of materials");
    CHECK(chance.tornado[1].at_low == Approx(200 - 200 * 0.9));
    CHECK(chance.tornado[2].name == "value of an hour");
    CHECK(chance.tornado[3].at_high == Approx(160 * 1.3 - 200));
    CHECK(chance.measure_first == "FCR on the home feed");
}

TEST_CASE("what can flip the answer is measured before what moves it further") {
    const Venture venture = parse_venture(
        R"({ "format": "feedwright-venture/1",
             "make": { "materials_per_kg": [0.1, 0.9, 1.0], "batch_kg": 20, "fcr": 1 },
             "buy": { "pack_price": [0.8, 1.1, 1.3], "pack_kg": 1, "fcr": 1 }, "gain_kg_per_year": 100 })",
        "v.json", {});
    const Chance chance = chance_of(venture);
    CHECK(chance.tornado[0].name == "cost of materials");
    CHECK_FALSE(chance.tornado[0].flips);
    CHECK(chance.measure_first == "price of a pack");
}
