// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "feedwright/report/document.hpp"
#include "feedwright/report/results.hpp"
#include "feedwright/trial/design.hpp"

#include <string>

namespace feedwright::report {

/// A designed trial for people: whether the series can be made, the diet table as papers print it,
/// weights of a batch of each diet, the tank plan, and how many tanks show which difference.
Document design_document(const trial::DesignSeries& series, const Run& run);

/// feedwright-trial-design/1; docs/formats.md describes it.
std::string design_json(const trial::DesignSeries& series, const Run& run);

}  // namespace feedwright::report
