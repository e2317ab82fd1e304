// SPDX-License-Identifier: GPL-3.0-or-later
#include "trial/power.hpp"

#include "base/diagnostics.hpp"
#include "trial/distributions.hpp"

#include <cmath>

namespace feedwright::trial {

double power(const PowerQuestion& question, int tanks_per_diet) {
    const bool sensible = question.diets >= 2 && tanks_per_diet >= 2 && question.difference > 0 &&
                          std::isfinite(question.difference) && question.sd > 0 &&
                          std::isfinite(question.sd) && question.alpha > 0 && question.alpha < 1;
    if (!sensible)
        throw Error("power needs two diets and tanks, a difference and a variation above 0");
    const double ratio = question.difference / question.sd;
    const double lambda = tanks_per_diet * ratio * ratio / 2;
    const double df_between = question.diets - 1;
    const double df_within = static_cast<double>(tanks_per_diet - 1) *
                             (question.blocked ? question.diets - 1 : question.diets);
    // Beyond this the power is 1 to every digit, and the series of the distribution grows long.
    if (lambda > 1e4) return 1;
    return f_test_power(question.alpha, df_between, df_within, lambda);
}

std::optional<int> tanks_needed(const PowerQuestion& question, double wanted) {
    constexpr int most = 1000;
    if (power(question, most) < wanted) return std::nullopt;
    int low = 1;  // too few
    int high = most;
    while (high - low > 1) {
        const int middle = (low + high) / 2;
        (power(question, middle) < wanted ? low : high) = middle;
    }
    return high;
}

std::vector<PowerRow> power_table(PowerQuestion question, const std::vector<double>& differences) {
    std::vector<PowerRow> rows;
    for (const double difference : differences) {
        question.difference = difference;
        PowerRow row;
        row.difference = difference;
        row.tanks_80 = tanks_needed(question, 0.8);
        row.tanks_90 = tanks_needed(question, 0.9);
        for (int n = 3; n <= 6; ++n)
            row.power_at.push_back(power(question, n));
        rows.push_back(std::move(row));
    }
    return rows;
}

}  // namespace feedwright::trial
