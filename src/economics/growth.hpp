// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/profile.hpp"

#include <optional>
#include <string>
#include <vector>

// How animals grow and what feed that takes. Weights in g an animal, t in days, temperatures in
// degrees Celsius. Formulas and sources: docs/method.md, "Plans" and "Trials".
namespace feedwright::economics {

/// Specific growth rate 100 (ln W2 - ln W1) / t, % a day.
double sgr_of(double start_g, double end_g, double days);
/// Weight after a day at that rate.
double grow_sgr(double weight_g, double sgr);

/// Thermal growth coefficient 1000 (W2^(1/3) - W1^(1/3)) / degree-days. Some authors use the factor
/// 100.
double tgc_of(double start_g, double end_g, double degree_days);
/// Weight after a day; below freezing nothing grows.
double grow_tgc(double weight_g, double tgc, double temperature_c);

/// Feed conversion ratio: feed as fed / wet gain, both in the same unit.
double fcr_of(double feed, double gain);

/// The widest span of published FCRs.
struct PublishedFcr {
    catalog::Range range;
    std::vector<std::string> sources;  ///< each once
};

/// Of the rates whose weights meet [from_g, to_g]; empty when none of them has an FCR.
std::optional<PublishedFcr> published_fcr(const catalog::Profile& profile, double from_g,
                                          double to_g);
/// Of all rates of a stage.
std::optional<PublishedFcr> published_fcr(const catalog::Stage& stage);

}  // namespace feedwright::economics
