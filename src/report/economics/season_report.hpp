// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "tasks/season.hpp"

#include <string>

namespace feedwright::report {

/// A season for people: dangers first, then what to do, what it costs beside buying and making all
/// feed, what is scarce, what to dry and store, what to buy and when to make feed, the recipes with
/// their verdicts. Without a plan: which needs cannot be met and what would help.
Document season_document(const tasks::SeasonOf& result, const Run& run);
/// feedwright-season-result/1
std::string season_json(const tasks::SeasonOf& result, const Run& run);
std::string season_schema();

}  // namespace feedwright::report
