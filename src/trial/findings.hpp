// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "trial/analysis.hpp"

#include <vector>

namespace feedwright::trial {

/// The sentences of a result whose numbers are complete.
std::vector<Finding> findings_of(const AnalysisResult& result);

}  // namespace feedwright::trial
