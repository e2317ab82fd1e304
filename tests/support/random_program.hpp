// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/linear_program.hpp"

#include <cstdint>

namespace feedwright::test {

/// Pseudo-random numbers that are the same with every standard library (splitmix64, public domain,
/// S. Vigna): the distributions of <random> are not.
class Random {
  public:
    explicit Random(std::uint64_t seed) : state_(seed) {}
    std::uint64_t next();
    double uniform(double low, double high);
    /// 0 to count - 1.
    std::size_t below(std::size_t count);
    bool chance(double probability) { return uniform(0, 1) < probability; }

  private:
    std::uint64_t state_;
};

/// A program such as feeds make: 5 to 40 columns with prices and some limits; a balance row (or,
/// one time in ten, none); nutrient rows of very different units, with minimum, maximum, both or a
/// fixed value, most of them around what some mix reaches; groups and ratios. About one in ten is
/// infeasible, a few are unbounded, many are degenerate.
lp::LinearProgram random_program(Random& random);

}  // namespace feedwright::test
