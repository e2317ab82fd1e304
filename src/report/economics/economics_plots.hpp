// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/document.hpp"
#include "economics/make_or_buy.hpp"
#include "economics/plan.hpp"

// Pictures for pages; what they show stands in the tables of the report, too.
namespace feedwright::report {

/// The parts of what a kg of feed costs, made and bought.
document::BarPlot cost_bars(const economics::VentureResult& result);

/// Weight of one animal from the first day of the plan on. Empty where the plan knows no weights.
document::LinePlot growth_line(const economics::PlanResult& result);

/// Feed of each period, kg.
document::BarPlot feed_bars(const economics::PlanResult& result);

}  // namespace feedwright::report
