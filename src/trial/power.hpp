// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <vector>

// How many tanks a diet a trial needs.
namespace feedwright::trial {

/// What is to be seen and against what noise. `difference` and `sd` are in the same unit: the units
/// of the response, or both percent of the control's mean (then `sd` is the coefficient of
/// variation among tanks on the same diet, from a pilot or a published trial).
struct PowerQuestion {
    int diets = 2;
    double difference = 0;  ///< between the best and the poorest diet; above 0
    double sd = 0;          ///< among tanks on one diet; above 0
    double alpha = 0.05;
    bool blocked = false;  ///< one tank of every diet in each block
};

/// Chance that the F test finds a difference. The worst case of that difference is taken: two diets
/// at its ends and the others midway, so lambda = n difference^2 / (2 sd^2) (Cohen 1988, ch. 8,
/// pattern 1); error degrees of freedom diets (n - 1), or (diets - 1)(n - 1) with blocks. n at
/// least 2. Throws Error for a question that makes no sense.
double power(const PowerQuestion& question, int tanks_per_diet);

/// The least number of tanks a diet with at least `wanted` power; empty when more than 1000 are
/// needed.
std::optional<int> tanks_needed(const PowerQuestion& question, double wanted);

/// Tanks a diet needed for each of several differences, at 80 and 90 % power, and what 3 to 6 tanks
/// give.
struct PowerRow {
    double difference = 0;
    std::optional<int> tanks_80;
    std::optional<int> tanks_90;
    std::vector<double> power_at;  ///< with 3, 4, 5 and 6 tanks a diet
};
std::vector<PowerRow> power_table(PowerQuestion question, const std::vector<double>& differences);

}  // namespace feedwright::trial
