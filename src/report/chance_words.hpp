// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "limits/assessment.hpp"
#include "report/vocabulary.hpp"

#include <string>

namespace feedwright::report {

/// "13", "fewer than 1" or "more than 99": of 100 lots.
std::string lots_in_words(double percent);

/// In how many of 100 lots all limits on contents hold, and which of them fails first; nothing
/// where add_chance() found none.
void add_chance(Document& document, const limits::Assessment& assessment);
/// In full: how many of the spreads are not of the ingredient itself. Before the first heading.
void add_assumed_spreads(Document& document, const limits::Assessment& assessment);

}  // namespace feedwright::report
