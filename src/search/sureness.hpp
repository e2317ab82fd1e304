// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "lp/solver.hpp"
#include "search/formulation.hpp"

#include <optional>

namespace feedwright::search {

/// Whether a limit of the job must hold in more than half of all lots.
bool asks_sureness(const job::Job& job);

/// The job with every limit asked to hold on average alone.
job::Job on_average(job::Job job);

/// Why the job has no mix as sure as it asks; nullopt where it has none on average either, or asks
/// for no sureness. Whole numbers are left aside. Throws as cheapest_program does.
std::optional<SureConflict> explain_sure_conflict(const job::Job& job);

}  // namespace feedwright::search
