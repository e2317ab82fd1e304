// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "tasks/trial.hpp"

#include <string>

namespace feedwright::report {

/// A designed trial for people: whether the series can be made, whether the animals can live on
/// each diet, the diet table as papers print it, weights of a batch of each diet, the tank plan,
/// how many tanks show which difference, and the sheets the design has.
Document design_document(const tasks::TrialDesign& design, const Run& run);

/// feedwright-trial-design/1; docs/formats.md describes it.
std::string design_json(const tasks::TrialDesign& design, const Run& run);

}  // namespace feedwright::report
