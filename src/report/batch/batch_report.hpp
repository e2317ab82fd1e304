// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "batch/summary.hpp"
#include "report/vocabulary.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace feedwright::report {

/// How a batch ran.
struct BatchRun {
    double seconds = 0;
    unsigned threads = 1;
    std::size_t kept_lines = 0;  ///< that an earlier run had written
};

/// What came out of a batch, one part a job.
Document batch_document(const std::vector<batch::Summary>& summaries, const BatchRun& run);

}  // namespace feedwright::report
