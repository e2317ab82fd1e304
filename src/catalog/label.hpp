// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace feedwright::catalog {

/// One content that a label states, as fed in the nutrient's canonical unit.
struct LabelContent {
    std::string nutrient;
    double value = 0;           ///< what it is taken to hold: the number, or else the least, or
                                ///< else the most that the label promises
    std::optional<double> max;  ///< "at most", where the label says so
    bool only_max = false;      ///< the label promises no least amount
    bool operator==(const LabelContent&) const = default;
};

/// The label of a bought feed: a complete feed, or a concentrate with the share of the feed that it
/// is to be used at.
struct Label {
    std::string animal;                 ///< "nile-tilapia/grow-out"
    std::optional<double> use_percent;  ///< of the finished feed; empty: a complete feed
    double reserve_percent = 0;         ///< by how much it is taken to exceed what the animal needs
    std::vector<LabelContent> contents;
    bool operator==(const Label&) const = default;
};

}  // namespace feedwright::catalog
