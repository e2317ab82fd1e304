// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "report/vocabulary.hpp"
#include "search/formulation.hpp"

namespace feedwright::report {

/// Why a job has no mix, the nearest mix, what would help, and how far each limit alone can be met
/// (`all`: also where that is far enough).
void add_conflict(Document& document, const job::Job& job, const search::Formulation& result,
                  bool all);

}  // namespace feedwright::report
