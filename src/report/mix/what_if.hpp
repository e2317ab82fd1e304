// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "search/formulation.hpp"

#include <optional>
#include <string>
#include <vector>

namespace feedwright::report {

/// One job answered as it is and with some changes.
struct WhatIf {
    std::vector<std::string> changes;  ///< as the user wrote them: "set maize.price=0.30"
    const job::Job& job_before;
    const search::Formulation& before;
    const job::Job& job_after;
    const search::Formulation& after;
};

/// Before and after side by side: cost, mix, limits and what they have to spare. Where there is no
/// mix after the changes, why.
Document what_if_document(const WhatIf& what_if, const Run& run);
/// feedwright-what-if/1: `changes`, and under `before` and `after` what feedwright-mix/1 has of an
/// answer.
std::string what_if_json(const WhatIf& what_if, const Run& run);

/// What one ingredient saves.
struct Worth {
    std::string id;
    std::string name;
    double percent = 0;                  ///< of the mix with all
    std::optional<double> cost_without;  ///< per kg; empty: no mix without it
};

/// What each ingredient is worth: the cost of the cheapest mix without it. `changes` as in WhatIf,
/// made beforehand.
Document worth_document(const job::Job& job, const search::Formulation& with_all,
                        const std::vector<Worth>& worths, const std::vector<std::string>& changes);
/// feedwright-without-each/1
std::string worth_json(const job::Job& job, const search::Formulation& with_all,
                       const std::vector<Worth>& worths, const std::vector<std::string>& changes,
                       const Run& run);

}  // namespace feedwright::report
