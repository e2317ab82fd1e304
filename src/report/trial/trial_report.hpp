// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "trial/analysis.hpp"

#include <string>

namespace feedwright::report {

/// The analysis of a trial for people: what the data check found, the questions answered, means by
/// diet, then one section a response (differences from the control, tests, plot, curves) and the
/// tanks. With `run.detail` all pairs of groups too.
Document trial_document(const trial::AnalysisResult& result, const Run& run);

/// feedwright-trial/1; docs/formats.md describes it.
std::string trial_json(const trial::AnalysisResult& result, const Run& run);

}  // namespace feedwright::report
