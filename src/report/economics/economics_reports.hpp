// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "economics/make_or_buy.hpp"
#include "economics/plan.hpp"
#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "tasks/economics.hpp"

#include <optional>
#include <string>

namespace feedwright::report {

/// Make or buy for people: what stands against the comparison first, the verdict on the home feed
/// among it, then the verdict in one
/// sentence, the parts side by side, what would have to change, the chance, and what no price
/// covers.
Document venture_document(const economics::VentureResult& result, const Run& run,
                          const std::optional<tasks::HomeFeed>& home = {});
/// feedwright-venture-result/1
std::string venture_json(const economics::VentureResult& result, const Run& run,
                         const std::optional<tasks::HomeFeed>& home = {});

/// A plan for people: the outcome in one sentence, the table by feeding period, totals by stage,
/// what to buy, when to make batches, what to grow, what it costs on home and on bought feed.
Document plan_document(const economics::PlanResult& result, const Run& run,
                       const std::optional<tasks::HomeFeed>& home = {});
/// feedwright-plan-result/1
std::string plan_json(const economics::PlanResult& result, const Run& run,
                      const std::optional<tasks::HomeFeed>& home = {});

}  // namespace feedwright::report
