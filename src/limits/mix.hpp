// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/limit.hpp"

#include <optional>
#include <string>
#include <vector>

namespace feedwright::limits {

/// An ingredient that is in a mix.
struct MixItem {
    std::string id;
    std::string name;
    double amount = 0;   ///< kg as fed per kg of feed; kg of a ration
    double percent = 0;  ///< of all that is weighed in, as fed
    std::optional<double>
        dry_matter_percent;  ///< share of the dry matter; with a finished moisture
    std::optional<double> price;
    std::optional<double> cost;          ///< what it adds to Mix::cost
    std::optional<double> cost_percent;  ///< of Mix::cost
    std::optional<double> batch_kg;
    /// When explained: the mix stays cheapest while the price is within [low, high]; a missing end
    /// means however low or high.
    std::optional<double> price_low;
    std::optional<double> price_high;
};

/// What follows from the amounts of a mix alone.
struct Mix {
    std::vector<double>
        amounts;  ///< in the job's ingredient order, kg per kg of feed; kg of a ration
    double weighed_in =
        0;  ///< sum of amounts: kg weighed in per kg of finished feed; kg of a ration
    std::vector<MixItem> items;  ///< what is in it, most first
    /// Of what has a price: per kg of feed; of a ration, of all of it.
    double cost = 0;
    double cost_per_kg = 0;             ///< of feed, likewise
    std::vector<std::string> no_price;  ///< ids in the mix without one, when others have one

    /// cost_per_kg, when everything in the mix has a price.
    std::optional<double> known_cost_per_kg() const;
};

/// The mix of `amounts`, which are taken as they are.
Mix mix_of(const job::Job& job, std::vector<double> amounts);

/// The mix that `amounts` are but for rounding: those below least_share of all that no limit asked
/// of the mix would miss are none.
Mix mix_of(const job::Job& job, const std::vector<Limit>& limits, std::vector<double> amounts);

}  // namespace feedwright::limits
