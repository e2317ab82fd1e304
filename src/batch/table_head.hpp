// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "base/table.hpp"
#include "batch/lines.hpp"
#include "batch/lists.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::batch {

/// What the head of a column says its prices are for.
struct Column {
    std::size_t number = IngredientSet::ignored;
    double kilograms = 0;  ///< zero: nothing
};

/// How the cells of a table are written.
struct TableHead {
    std::vector<std::string> header;
    base::TableReading reading;
};

/// The head of a table, and by its first lines how its cells are written; `lines` then stands below
/// the head. Throws base::DataError for what cannot be a table of prices.
TableHead read_table_head(const std::string& file, Lines& lines, const IngredientSet& ingredients);

/// What prices are for by the head of their column, in kg; zero where it says nothing.
double kilograms_in(const base::Head& head, const std::string& written, const std::string& file,
                    base::Diagnostics& diagnostics);
/// The ingredient that a column is headed with: "maize", "Corn (USD/lb)".
std::optional<Column> column_of(const std::string& written, const IngredientSet& ingredients,
                                const std::string& file, base::Diagnostics& diagnostics);
/// Whether a column is headed with one of the words for `column`.
bool is_named(const std::string& head, const base::WantedColumn& column);
/// The place of the first column that is, from `from` on.
std::optional<std::size_t> find_column(const std::vector<std::string>& header,
                                       const base::WantedColumn& column, std::size_t from = 1);

}  // namespace feedwright::batch
