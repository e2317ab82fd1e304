// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/findings.hpp"
#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "trial/design.hpp"

#include <string>
#include <vector>

namespace feedwright::report {

/// The job that a series was made from, and how each of its diets would do as the only feed: one
/// entry a diet of the series, empty for one that cannot be made.
struct JudgedDiets {
    const job::Job& job;
    std::vector<limits::Judgement> of_diets;
};

/// A designed trial for people: whether the series can be made, whether the animals can live on
/// each diet, the diet table as papers print it, weights of a batch of each diet, the tank plan,
/// and how many tanks show which difference.
Document design_document(const trial::DesignSeries& series, const JudgedDiets& judged,
                         const Run& run);

/// feedwright-trial-design/1; docs/formats.md describes it.
std::string design_json(const trial::DesignSeries& series, const JudgedDiets& judged,
                        const Run& run);

}  // namespace feedwright::report
