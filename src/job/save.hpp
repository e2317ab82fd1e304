// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"
#include "job/job.hpp"

#include <string>

namespace feedwright::job {

/// The text of a job file (feedwright-job/1) that asks what `job` asks, before anything was settled
/// for it: the file it was read from with what `options` say in place of it, or, of a job from a
/// price list, a new one. What the file says besides stays as it is written there. Prices are per
/// kg. Kinds of limits to enforce, caps in use and the number of ingredients have no place in a
/// job file. Throws DataError for a job that was read from standard input.
std::string as_file(const Job& job, const ReadOptions& options, catalog::Library& library);

}  // namespace feedwright::job
