// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/document.hpp"
#include "limits/assessment.hpp"
#include "limits/mix.hpp"

// Pictures for pages; what they show stands in the tables of the report, too.
namespace feedwright::report {

/// What a mix is made of, in percent of what is weighed in.
document::BarPlot mix_bars(const limits::Mix& mix);

/// How far a mix is from each limit that was set and that has a number other than zero, in percent
/// of that number; the nearest first, twenty at most.
document::BarPlot margin_bars(const limits::Assessment& assessment);

}  // namespace feedwright::report
