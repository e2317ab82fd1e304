// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "trial/data.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

// Growth indices. Weights W in g a fish, t in days. Definitions as in docs/method.md, "Trials";
// SGR, TGC and FCR are those of economics/growth.hpp.
namespace feedwright::trial {

/// (W2 - W1) / t, g a day.
double daily_gain(double weight_in, double weight_out, double days);
/// Protein efficiency ratio: wet gain / protein fed.
double per(double gain, double feed, double protein_percent);
/// Protein productive value 100 x protein gained / protein fed, %.
double ppv(double protein_gained, double feed, double protein_percent);
/// Fulton's condition factor 100 W / L^3 (g, cm).
double condition_factor(double weight, double length_cm);

enum class Better { higher, lower, neither };

/// One number a tank that is compared between diets.
struct Index {
    std::string_view id;
    std::string_view name;
    std::string_view unit;
    std::string_view short_name;  ///< for narrow columns
    Better better = Better::higher;
    int decimals = 2;      ///< that reports print
    bool of_feed = false;  ///< about the use of feed, not growth alone
};

/// Every index in the order of reports: final_weight, daily_gain, sgr, tgc, survival, feed_intake,
/// fcr, per, ppv, condition_factor, cost_per_kg_gain.
const std::vector<Index>& indices();
/// The index called `id`; throws Error when there is none.
const Index& index_of(std::string_view id);

/// The tank's value of an index; empty when the tank lacks what it is made of.
///
/// Fish that died: `fcr` and `per` count their gain where dead_weight_g says what they weighed;
/// where it does not, the gain is that of the survivors' biomass over all fish stocked, so the dead
/// count as lost. cost_per_kg_gain always does, because money comes from the fish that live. An
/// index over a gain of 0 or less does not exist.
std::optional<double> value_of(const Index& index, const Tank& tank);

}  // namespace feedwright::trial
