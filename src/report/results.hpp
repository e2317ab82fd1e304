// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "limits/check.hpp"
#include "report/vocabulary.hpp"
#include "search/formulation.hpp"

#include <string>
#include <utility>
#include <vector>

namespace feedwright::report {

/// What a report says about the run itself.
struct Run {
    std::string program;  ///< "feedwright 0.1.0"
    std::vector<std::string> inputs;
    std::vector<std::pair<std::string, std::string>> settings;
    bool detail = false;  ///< linear-programming terms and every nutrient
};

/// The answer to a job for people: does it work, what to weigh out, what it costs, the limits, what
/// is unknown, what nearly came in, cautions.
Document mix_document(const job::Job& job, const search::Formulation& result,
                      const std::vector<limits::CautionResult>& cautions, const Run& run);
/// feedwright-mix/1
std::string mix_json(const job::Job& job, const search::Formulation& result,
                     const std::vector<limits::CautionResult>& cautions, const Run& run);
std::string mix_schema();

Document check_document(const job::Job& recipe, const limits::Check& result,
                        const std::vector<limits::CautionResult>& cautions, const Run& run);
/// feedwright-check/1
std::string check_json(const job::Job& recipe, const limits::Check& result,
                       const std::vector<limits::CautionResult>& cautions, const Run& run);
std::string check_schema();

}  // namespace feedwright::report
