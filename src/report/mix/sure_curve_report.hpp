// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "tasks/sure_curve.hpp"

#include <string>

namespace feedwright::report {

/// Cost and chance against how sure each limit is, where the cost begins to rise fast, and what an
/// analysis of one lot of each ingredient saves.
Document sure_curve_document(const tasks::SureCurve& curve);
/// feedwright-sure-curve/1
std::string sure_curve_json(const tasks::SureCurve& curve, const Run& run);
std::string sure_curve_schema();

}  // namespace feedwright::report
