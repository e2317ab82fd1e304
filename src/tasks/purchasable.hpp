// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"
#include "job/job.hpp"

#include <string>
#include <vector>

namespace feedwright::tasks {

/// Ids of the library's ingredients that may be proposed for the job's animal and are not in the
/// job: what is often sold, the most common first (of a library that does not say so all), but for
/// what a caution forbids.
std::vector<std::string> purchasable(const job::Job& job, catalog::Library& library);

}  // namespace feedwright::tasks
