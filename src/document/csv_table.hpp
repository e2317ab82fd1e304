// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/document.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::document {

/// The names of the tables and fact lists that render_csv writes, in their order.
std::vector<std::string> csv_tables(const Document& document);

/// One of them as a CSV file of its own: as render_csv writes it, without the line with its name.
/// Parts of a report that share a name and a head are one table. Nothing where there is none.
std::optional<std::string> render_csv_table(const Document& document, std::string_view key);

}  // namespace feedwright::document
