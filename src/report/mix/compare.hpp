// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "tasks/compare.hpp"

#include <string>
#include <vector>

namespace feedwright::report {

/// Several recipes side by side: verdicts, costs, what is in them, and what differs from the first.
Document comparison_document(const std::vector<tasks::ComparedRecipe>& recipes);
/// feedwright-comparison/1
std::string comparison_json(const std::vector<tasks::ComparedRecipe>& recipes, const Run& run);
std::string comparison_schema();

}  // namespace feedwright::report
