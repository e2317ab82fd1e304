// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <random>

namespace feedwright::economics {

/// A number known only within limits: the lowest and highest it can be, and the likeliest.
/// low <= likely <= high.
struct Triangular {
    double low = 0;
    double likely = 0;
    double high = 0;
};

/// Uniform numbers in [0, 1) that are the same on every machine: the standard fixes the bits of
/// mt19937_64 but not what std::uniform_real_distribution makes of them, so the 53 high bits are
/// used.
class UniformSource {
  public:
    explicit UniformSource(std::uint64_t seed) : engine_(seed) {}
    double next() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; }

  private:
    std::mt19937_64 engine_;
};

/// The value below which a triangular number falls with probability `u` (0 to 1): the inverse of
/// F(x) = (x-a)^2 / ((b-a)(c-a)) up to the likeliest c and 1 - (b-x)^2 / ((b-a)(b-c)) above it.
/// A range of no width gives its one value.
double triangular_quantile(const Triangular& range, double u);

}  // namespace feedwright::economics
