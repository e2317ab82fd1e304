// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "limits/findings.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::limits {

/// One ingredient of a checked recipe.
struct CheckedItem {
    std::string id;
    std::string name;
    double percent = 0;  ///< of all that is weighed in, as fed
    std::optional<double> batch_kg;
    std::optional<double> price;
    std::optional<double> cost_per_kg;
};

/// A recipe held against its limits.
struct Check {
    /// Every limit that is not advisory or weak is met, or missed by less than feed law tolerates,
    /// and nothing is unsafe.
    bool passes = true;
    std::size_t asked =
        0;  ///< how many those are, without the total; of none, passing says nothing
    std::vector<CheckedItem> mix;
    std::optional<double>
        cost_per_kg;  ///< of finished feed; only when every ingredient in it has a price
    std::vector<std::string> no_price;  ///< ingredients in it without one, when others have one
    double weighed_in = 1;              ///< kg weighed in per kg of finished feed
    std::vector<double> amounts;        ///< in the job's ingredient order, kg per kg of feed
    Assessment assessment;
    Judgement judgement;
};

/// Scales the recipe's parts to one kg of feed (of finished feed when a finished moisture is set;
/// unscaled kg when the total is free) and holds it against the limits. Throws base::DataError as
/// limits_of does.
Check check(const job::Job& recipe);

}  // namespace feedwright::limits
