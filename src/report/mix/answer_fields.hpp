// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/fields.hpp"
#include "search/formulation.hpp"

namespace feedwright::report {

struct Answer {
    const job::Job& job;
    const search::Formulation& result;
};

/// What feedwright-mix/1 has of an answer: status, then cost, mix, limits, analysis and proof, or
/// why there is none.
const Fields<Answer>& answer_fields();
/// The object "conflict" of it.
const Fields<Answer>& conflict_fields();

}  // namespace feedwright::report
