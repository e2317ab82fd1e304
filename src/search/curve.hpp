// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "lp/solver.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::search {

/// The cheapest mix that holds a given share of one ingredient.
struct CurvePoint {
    double inclusion = 0;  ///< percent of all that is weighed in
    lp::Status status = lp::Status::failed;
    std::optional<double> cost_per_kg;          ///< of feed; empty when there is no mix
    std::optional<double> cost_per_kg_protein;  ///< of crude protein; empty when there is none
    /// Of the nutrient limits and ratios that leave room at all, the one the cheapest mix sails
    /// closest to, and how close: percent of the limit.
    std::string tightest;  ///< limit id; the first of those that leave nothing to spare
    std::string tightest_name;
    std::optional<double> margin_percent;
    int tight = 0;  ///< how many leave nothing to spare
    /// By how much, in percent, every one of those limits could be cleared at this inclusion,
    /// whatever it costs. Towards an end of what is possible it falls to zero. Left out where whole
    /// numbers are asked for.
    std::optional<double> room_percent;
};

struct Curve {
    std::string ingredient;
    std::string name;
    /// What the limits on the ingredient itself (its max, caps, stock, groups, replacement) and the
    /// shares that others must have allow; empty when nothing but the nutrients holds it back.
    std::optional<double> cap;
    std::optional<double>
        lowest;  ///< least and most with which a mix exists; empty when none does,
    std::optional<double> highest;  ///< or whole numbers are asked for
    std::vector<CurvePoint>
        points;  ///< by inclusion, from 0 to the cap, or else to the most possible
    bool own_minimum_left_out = false;
};

/// Solves for `steps` + 1 even steps of the inclusion of `ingredient`, an id of the job, and for
/// the ends of what is possible. The ingredient's own min and min_if_used are left out: the
/// question is what more or less of it would do. Throws base::DataError as cheapest_program does.
Curve inclusion_curve(const job::Job& job, std::string_view ingredient, std::size_t steps = 20,
                      const lp::SolveOptions& options = {});

}  // namespace feedwright::search
