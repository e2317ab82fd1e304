// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/results.hpp"
#include "report/vocabulary.hpp"
#include "tasks/square.hpp"

#include <string>

namespace feedwright::report {

/// Two ingredients for one content of protein, and how their shares are found.
Document square_document(const tasks::Square& square);
/// feedwright-square/1
std::string square_json(const tasks::Square& square, const Run& run);
std::string square_schema();

}  // namespace feedwright::report
