// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/random_program.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::test {

std::uint64_t Random::next() {
    std::uint64_t z = (state_ += 0x9E3779B97F4A7C15U);
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31U);
}

double Random::uniform(double low, double high) {
    const double unit = static_cast<double>(next() >> 11U) * 0x1p-53;
    return low + (high - low) * unit;
}

std::size_t Random::below(std::size_t count) {
    return static_cast<std::size_t>(next() % count);
}

lp::LinearProgram random_program(Random& random) {
    lp::LinearProgram program;
    const std::size_t n = 5 + random.below(36);

    // A mix that the limits are laid around, so that most programs have a point.
    std::vector<double> mix(n);
    double total = 0;
    for (double& x : mix) {
        x = random.chance(0.4) ? random.uniform(0, 1) : 0;
        total += x;
    }
    if (total == 0) total = mix[0] = 1;
    for (double& x : mix)
        x /= total;

    const bool balanced = random.chance(0.9);
    const bool round_prices = random.chance(0.2);  // ties between vertices
    for (std::size_t j = 0; j < n; ++j) {
        double cost = random.uniform(0.05, 2);
        if (round_prices) cost = std::round(cost * 4) / 4;
        if (random.chance(0.01)) cost = -cost;
        lp::Column column{"c" + std::to_string(j), cost, 0.0, std::nullopt, false};
        if (random.chance(0.2)) column.upper = std::max(mix[j], random.uniform(0.05, 0.5));
        if (random.chance(0.05)) column.lower = 0.5 * mix[j];
        if (random.chance(0.01)) column.lower.reset();
        if (random.chance(0.02)) column.lower = column.upper = mix[j];
        program.add_column(column);
    }
    if (balanced) {
        lp::Row row{"balance", 1.0, 1.0, {}};
        for (std::size_t j = 0; j < n; ++j)
            row.entries.push_back({j, 1});
        program.add_row(row);
    }
    const std::size_t nutrients = 1 + random.below(25);
    for (std::size_t i = 0; i < nutrients; ++i) {
        lp::Row row{"n" + std::to_string(i), {}, {}, {}};
        const double unit = std::pow(10.0, std::floor(random.uniform(-2, 5)));
        const double known = random.uniform(0.3, 1);
        const bool rounded = random.chance(0.3);
        double reached = 0;
        for (std::size_t j = 0; j < n; ++j) {
            if (!random.chance(known)) continue;
            double value = random.uniform(0, 1);
            if (rounded) value = std::round(value * 10) / 10;
            value *= unit;
            if (value == 0) continue;
            row.entries.push_back({j, value});
            reached += value * mix[j];
        }
        // Seldom asks for more than the mix has; that may be out of reach.
        const double slack = random.chance(0.02) ? -random.uniform(0, 0.5) : random.uniform(0, 0.2);
        const double kind = random.uniform(0, 1);
        if (kind < 0.5) {
            row.lower = reached * (1 - slack);
        } else if (kind < 0.8) {
            row.upper = reached * (1 + slack);
        } else if (kind < 0.95) {
            row.lower = reached * (1 - std::abs(slack));
            row.upper = reached * (1 + std::abs(slack));
        } else if (kind < 0.98) {
            row.lower = row.upper = reached;
        }
        program.add_row(std::move(row));
    }
    if (random.chance(0.3)) {
        lp::Row group{"group", {}, 0.0, {}};
        for (std::size_t j = 0; j < n; j += 3) {
            group.entries.push_back({j, 1});
            *group.upper += mix[j];
        }
        program.add_row(std::move(group));
    }
    if (random.chance(0.3)) {
        // a : b at least what the mix has, less a little, as sum((a - ratio * b) x) >= 0.
        lp::Row ratio{"ratio", 0.0, {}, {}};
        std::vector<double> a(n), b(n);
        double of = 0, to = 0;
        for (std::size_t j = 0; j < n; ++j) {
            a[j] = random.uniform(0, 3);
            b[j] = random.uniform(0.1, 2);
            of += a[j] * mix[j];
            to += b[j] * mix[j];
        }
        for (std::size_t j = 0; j < n; ++j) {
            ratio.entries.push_back({j, a[j] - 0.95 * of / to * b[j]});
        }
        program.add_row(std::move(ratio));
    }
    return program;
}

}  // namespace feedwright::test
