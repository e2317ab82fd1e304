// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"
#include "catalog/profile.hpp"
#include "job/job.hpp"

namespace feedwright::job {

/// Adds the limits and ratios of a profile's stage, and the library's caps and safe maxima for its
/// animal, to a job whose ingredients and own limits are known; the job's own go before the
/// profile's, which notes tell. Premixes made for the animal are set to go in at their label rate.
void add_profile(Job& job, const catalog::Profile& profile, const catalog::Stage& stage,
                 catalog::Library& library);

}  // namespace feedwright::job
