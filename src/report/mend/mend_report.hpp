// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "search/mend.hpp"
#include "search/purchases.hpp"

#include <optional>
#include <string>

namespace feedwright::report {

/// What is wrong with a recipe and the changes that put it right, before and after side by side;
/// and what to buy.
Document mend_document(const job::Job& recipe, const search::Mending& mending,
                       const search::MendOptions& options, const Run& run,
                       const std::optional<search::Purchases>& purchases = {});
/// feedwright-mend/1
std::string mend_json(const job::Job& recipe, const search::Mending& mending, const Run& run,
                      const std::optional<search::Purchases>& purchases = {});
std::string mend_schema();

}  // namespace feedwright::report
