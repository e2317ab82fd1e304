// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "search/weighing_near.hpp"
#include "sheet/mixing_plan.hpp"

#include <string>
#include <vector>

namespace feedwright::report {

/// A mix in whole steps of a scale for people: the weights, what rounding costs, the limits as
/// weighed. `near` is told where there are no weights; it may be null.
Document weighing_document(const job::Job& job, const search::Weighing& weighing,
                           const search::NearWeighing* near,
                           const std::vector<limits::CautionResult>& cautions, const Run& run);
/// feedwright-weighing/1
std::string weighing_json(const job::Job& job, const search::Weighing& weighing,
                          const search::NearWeighing* near,
                          const std::vector<limits::CautionResult>& cautions, const Run& run);
std::string weighing_schema();

/// One page to take to the mixer. As text at 80 columns it has at most `sheet_lines` lines for a
/// mix of up to 20 ingredients; cautions that find no room are counted, not shown.
Document sheet_document(const job::Job& job, const search::Weighing& weighing,
                        const sheet::MixingPlan& plan,
                        const std::vector<limits::CautionResult>& cautions);
inline constexpr std::size_t sheet_lines = 60;
/// feedwright-sheet/1
std::string sheet_json(const job::Job& job, const search::Weighing& weighing,
                       const sheet::MixingPlan& plan,
                       const std::vector<limits::CautionResult>& cautions, const Run& run);
std::string sheet_schema();

}  // namespace feedwright::report
