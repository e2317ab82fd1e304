// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/table.hpp"

#include <string>

namespace feedwright::report {

/// "Read 9 ingredients from prices.csv: semicolons between columns; decimal commas; prices in EUR."
/// `rows` is the count and the word: "9 ingredients".
std::string reading_text(const base::TableReading& table, const std::string& rows);

}  // namespace feedwright::report
