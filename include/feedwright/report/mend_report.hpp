// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

#include "feedwright/job/job.hpp"
#include "feedwright/recipe/mend.hpp"
#include "feedwright/recipe/purchases.hpp"
#include "feedwright/report/document.hpp"
#include "feedwright/report/results.hpp"

namespace feedwright::report {

/// What is wrong with a recipe and the changes that put it right, before and after side by side; and what to buy.
Document mend_document(const job::Job& recipe, const recipe::Mending& mending,
                       const recipe::MendOptions& options, const Run& run,
                       const std::optional<recipe::Purchases>& purchases = {});
/// feedwright-mend/1
std::string mend_json(const job::Job& recipe, const recipe::Mending& mending, const Run& run,
                      const std::optional<recipe::Purchases>& purchases = {});

}  // namespace feedwright::report
