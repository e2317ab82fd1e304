// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/json_writer.hpp"
#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "report/results.hpp"

#include <vector>

// Members that several results in JSON share. Each is written into an object that is open.
namespace feedwright::report {

/// title, profile, currency and notes, where the job has them.
void write_head(base::JsonWriter& json, const job::Job& job);
void write_limits(base::JsonWriter& json, const std::vector<limits::LimitResult>& limits);
void write_analysis(base::JsonWriter& json, const std::vector<limits::AnalysisItem>& analysis);
/// What feedwright-mix/1 has of an answer: status, then cost, mix, limits, analysis and proof, or
/// why there is none.
void write_answer(base::JsonWriter& json, const job::Job& job, const search::Formulation& result);
/// inputs and settings.
void write_run(base::JsonWriter& json, const Run& run);
/// cautions, inputs and settings.
void write_tail(base::JsonWriter& json, const std::vector<limits::CautionResult>& cautions,
                const Run& run);

}  // namespace feedwright::report
