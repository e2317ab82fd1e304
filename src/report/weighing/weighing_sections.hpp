// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/vocabulary.hpp"
#include "search/weighing.hpp"

namespace feedwright::report {

/// Warns of weights that are few steps of their scale, if there are any.
void add_coarse(Document& document, const search::Weighing& weighing);

}  // namespace feedwright::report
