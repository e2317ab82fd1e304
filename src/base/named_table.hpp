// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/csv.hpp"
#include "base/diagnostics.hpp"
#include "base/table.hpp"

#include <string>
#include <string_view>

namespace feedwright::base {

/// Drops columns without a name and without content, and records a column that has content and no
/// name, or the name of another. Every row has a cell for every column.
void settle_columns(CsvTable& table, Diagnostics& diagnostics);

/// A table whose columns the caller knows by their names alone: what parse_csv gives, of any table
/// that cut_table reads.
struct NamedTable {
    CsvTable table;
    TableReading reading;
};

/// Rows end early or go on with empty cells; columns without name and content are dropped. Where
/// the file has decimal commas, or marks between thousands, cells that hold a number and nothing
/// else are written with a decimal point. What is wrong goes to `diagnostics`, all of it, except
/// what cut_table throws for.
NamedTable read_named_table(std::string_view bytes, const std::string& file,
                            const HeadLikeness& likeness, Diagnostics& diagnostics);

}  // namespace feedwright::base
