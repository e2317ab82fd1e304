// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "report/vocabulary.hpp"

#include <vector>

namespace feedwright::report {

/// Each limit with what it asks, what the mix has and its margin, a line each, tightest first. In
/// short: those that were set, with the caps of what is not used in one sentence. In full: all of
/// them, the advisory ones and the safe levels too.
void add_limits(Document& document, const job::Job& job,
                const std::vector<limits::LimitResult>& limits);

}  // namespace feedwright::report
