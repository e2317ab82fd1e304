// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "tasks/what_if.hpp"

#include <string>

namespace feedwright::report {

/// Before and after side by side: cost, mix, limits and what they have to spare. Where there is no
/// mix after the changes, why.
Document what_if_document(const tasks::WhatIf& what_if, const Run& run);
/// feedwright-what-if/1: `changes`, and under `before` and `after` what feedwright-mix/1 has of an
/// answer.
std::string what_if_json(const tasks::WhatIf& what_if, const Run& run);
std::string what_if_schema();

/// What each ingredient is worth: the cost of the cheapest mix without it.
Document worth_document(const tasks::WorthOfEach& result);
/// feedwright-without-each/1
std::string worth_json(const tasks::WorthOfEach& result, const Run& run);
std::string worth_schema();

}  // namespace feedwright::report
