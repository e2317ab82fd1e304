// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace feedwright::report {

/// The schema of every result that is described by fields, as data/schema holds it: name and text.
std::vector<std::pair<std::string, std::string>> schemas();

}  // namespace feedwright::report
