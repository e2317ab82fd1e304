// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "formulate/curve.hpp"
#include "job/job.hpp"
#include "report/document.hpp"
#include "report/results.hpp"

#include <string>

namespace feedwright::report {

/// Cost and room against the share of one ingredient: plots, and a table that goes to CSV.
Document curve_document(const job::Job& job, const formulate::Curve& curve);
/// feedwright-curve/1
std::string curve_json(const job::Job& job, const formulate::Curve& curve, const Run& run);

}  // namespace feedwright::report
