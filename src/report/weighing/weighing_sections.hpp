// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/vocabulary.hpp"
#include "search/weighing.hpp"

#include <string>

namespace feedwright::report {

/// A weight as the balance shows it: grams, or pounds and ounces.
std::string weight_text(double grams, const search::WeighingScale& scale);

/// Warns of weights that are few steps of their scale, if there are any.
void add_coarse(Document& document, const search::Weighing& weighing);

}  // namespace feedwright::report
