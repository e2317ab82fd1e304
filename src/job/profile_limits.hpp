// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "feedwright/catalog/profile.hpp"
#include "feedwright/job/job.hpp"

namespace feedwright::job {

/// Adds the limits, ratios and caps of a profile's stage to a job whose ingredients and own limits
/// are known; the job's own go before the profile's, which notes tell.
void add_profile(Job& job, const catalog::Profile& profile, const catalog::Stage& stage);

}  // namespace feedwright::job
