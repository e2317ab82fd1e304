// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "search/curve.hpp"

#include <string>

namespace feedwright::report {

/// Cost and room against the share of one ingredient: plots, and a table that goes to CSV.
Document curve_document(const job::Job& job, const search::Curve& curve);
/// feedwright-curve/1
std::string curve_json(const job::Job& job, const search::Curve& curve, const Run& run);
std::string curve_schema();

}  // namespace feedwright::report
