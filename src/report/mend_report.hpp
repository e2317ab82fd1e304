// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "recipe/mend.hpp"
#include "recipe/purchases.hpp"
#include "report/document.hpp"
#include "report/results.hpp"

#include <optional>
#include <string>

namespace feedwright::report {

/// What is wrong with a recipe and the changes that put it right, before and after side by side;
/// and what to buy.
Document mend_document(const job::Job& recipe, const recipe::Mending& mending,
                       const recipe::MendOptions& options, const Run& run,
                       const std::optional<recipe::Purchases>& purchases = {});
/// feedwright-mend/1
std::string mend_json(const job::Job& recipe, const recipe::Mending& mending, const Run& run,
                      const std::optional<recipe::Purchases>& purchases = {});

}  // namespace feedwright::report
