// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/normal.hpp"

#include <cmath>

namespace feedwright::base {

double normal_chance(double z) {
    static const double root_half = std::sqrt(0.5);
    return 0.5 * std::erfc(-z * root_half);
}

double normal_quantile(double p) {
    if (p > 0.5) return -normal_quantile(1 - p);
    // Newton's method on the logarithm of the chance, which is concave: no step goes too far.
    constexpr double root_two_pi = 2.5066282746310002;
    double z = 0;
    for (int step = 0; step < 100; ++step) {
        const double chance = normal_chance(z);
        const double density = std::exp(-z * z / 2) / root_two_pi;
        const double change = std::log(p / chance) * chance / density;
        z += change;
        if (std::abs(change) <= 1e-15 * (1 + std::abs(z))) break;
    }
    return z;
}

}  // namespace feedwright::base
