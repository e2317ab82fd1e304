// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "limits/findings.hpp"
#include "limits/mix.hpp"

#include <cstddef>

namespace feedwright::limits {

/// A recipe held against its limits.
struct Check : Mix {
    /// Every limit that is not advisory or weak is met, or missed by less than feed law tolerates,
    /// and nothing is unsafe.
    bool passes = true;
    std::size_t asked =
        0;  ///< how many those are, without the total; of none, passing says nothing
    Assessment assessment;
    Judgement judgement;
};

/// Scales the recipe's parts to one kg of feed (of finished feed when a finished moisture is set;
/// unscaled kg when the total is free) and holds it against the limits. Throws base::DataError as
/// limits_of does.
Check check(const job::Job& recipe);

}  // namespace feedwright::limits
