// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "formulate/weighing.hpp"
#include "report/document.hpp"

namespace feedwright::report {

/// Warns of weights that are few steps of their scale, if there are any.
void add_coarse(Document& document, const formulate::Weighing& weighing);

}  // namespace feedwright::report
