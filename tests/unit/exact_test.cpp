// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/exact.hpp"

#include "base/diagnostics.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <cstdint>
#include <limits>
#include <random>

using feedwright::base::ExactSum;

namespace {

ExactSum sum_of(std::initializer_list<std::initializer_list<double>> products) {
    ExactSum sum;
    for (const auto& factors : products)
        sum.add(factors);
    return sum;
}

}  // namespace

TEST_CASE("exact sums take doubles as the decimals they were typed as") {
    CHECK(ExactSum{}.sign() == 0);
    CHECK(sum_of({{0.1}, {0.2}, {-0.3}}).sign() == 0);  // in doubles it is 5.6e-17
    CHECK(sum_of({{100, 75}, {-0.3, 25'000}}).sign() == 0);
    CHECK(sum_of({{100, 75}, {-0.3, 25'000}, {1e-300}}).sign() == 1);
    CHECK(sum_of({{100, 75}, {-0.3, 25'000}, {-1e-300}}).sign() == -1);
    CHECK(sum_of({{1e300, 1e300}, {-1e300, 1e300}}).sign() == 0);
    CHECK(sum_of({{1e300, 1e300}, {-1e300, 1e300}, {-4.9e-324}}).sign() == -1);
    CHECK(sum_of({{0, 5}, {-0.0}}).sign() == 0);
}

TEST_CASE("exact sums refuse what is not a number") {
    ExactSum sum;
    CHECK_THROWS_AS(sum.add({1, std::nan("")}), feedwright::Error);
    CHECK_THROWS_AS(sum.add({std::numeric_limits<double>::infinity()}), feedwright::Error);
}

TEST_CASE("exact sums agree with whole-number arithmetic") {
    std::mt19937_64 random(7);
    std::uniform_int_distribution<std::int64_t> small(-30, 30);
    std::uniform_int_distribution<std::int64_t> any(-2'000'000'000, 2'000'000'000);
    for (int round = 0; round < 2000; ++round) {
        auto& pick = round % 2 == 0 ? small : any;
        ExactSum sum;
        std::int64_t whole = 0;
        for (int n = 0; n < 2; ++n) {
            const std::int64_t a = pick(random);
            const std::int64_t b = pick(random);
            whole += a * b;
            // Hundredths times tenths: the same in units of a thousandth.
            sum.add({static_cast<double>(a) / 100, static_cast<double>(b) / 10});
        }
        const int expected = whole < 0 ? -1 : whole > 0 ? 1 : 0;
        REQUIRE(sum.sign() == expected);
    }
}
