// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/dense.hpp"

#include "support/catch.hpp"

#include <cmath>
#include <cstddef>
#include <random>
#include <vector>

using feedwright::base::inverse;

TEST_CASE("a matrix times its inverse is one, also where rows must be exchanged") {
    // Its first pivot is 0; by hand.
    const auto small = inverse(std::vector<double>{0, 2, 4, 0}, 2, 1e-9);
    REQUIRE(small);
    CHECK(*small == std::vector<double>{0, 0.25, 0.5, 0});
    std::mt19937 random(5);
    std::uniform_real_distribution<double> any(-1, 1);
    for (std::size_t n = 1; n < 12; ++n) {
        std::vector<double> matrix(n * n);
        for (double& value : matrix)
            value = any(random);
        const auto made = inverse(matrix, n, 1e-9);
        INFO(n);
        REQUIRE(made);
        for (std::size_t i = 0; i < n; ++i) {
            for (std::size_t j = 0; j < n; ++j) {
                double sum = 0;
                for (std::size_t k = 0; k < n; ++k)
                    sum += matrix[i * n + k] * (*made)[k * n + j];
                // Condition numbers of these are below 1e4.
                CHECK(std::abs(sum - (i == j ? 1 : 0)) < 1e-11);
            }
        }
    }
}

TEST_CASE("a matrix without an inverse has none") {
    CHECK_FALSE(inverse(std::vector<double>{1, 2, 2, 4}, 2, 1e-9));
    CHECK_FALSE(inverse(std::vector<double>{0}, 1, 1e-9));
    CHECK_FALSE(inverse(std::vector<double>{1, 1, 1, 1 + 1e-10}, 2, 1e-9));
    CHECK(inverse(std::vector<long double>{}, 0, 1e-9L));
}
