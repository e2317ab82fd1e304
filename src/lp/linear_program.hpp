// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <unordered_set>
#include <vector>

namespace feedwright::lp {

/// A non-zero coefficient of a row.
struct Entry {
    std::size_t column = 0;
    double value = 0;
};

/// A variable x with cost per unit and limits; an empty limit means none.
struct Column {
    std::string id;
    double cost = 0;
    std::optional<double> lower = 0.0;
    std::optional<double> upper;
    bool integer = false;
};

/// lower <= sum(entry.value * x[entry.column]) <= upper; an empty limit means none.
struct Row {
    std::string id;
    std::optional<double> lower;
    std::optional<double> upper;
    std::vector<Entry> entries;  ///< ascending by column, no column twice
};

/// Minimise sum(cost * x) under rows and column limits. Knows nothing of feed.
///
/// What is in it can be solved: every number is finite, ids are unique (among columns, and among
/// rows) and not empty, entries are in order, name existing columns and no column twice, and
/// lower <= upper. The solver relies on that, because the library behind it aborts, or silently
/// ignores a limit, when it does not hold. A call that would break it throws Error and changes
/// nothing.
class LinearProgram {
  public:
    /// Adds a column and returns its index. Throws Error for a number that is not finite, an id
    /// used before or empty, or lower > upper.
    std::size_t add_column(Column column);
    /// Adds a row and returns its index. Throws Error as above, and for a bad column index.
    std::size_t add_row(Row row);

    // Each throws Error for an index that does not exist, a number that is not finite, or
    // lower > upper.
    void set_cost(std::size_t column, double cost);
    void set_column_limits(std::size_t column, std::optional<double> lower,
                           std::optional<double> upper);
    void set_row_limits(std::size_t row, std::optional<double> lower, std::optional<double> upper);
    void set_integer(std::size_t column, bool integer);

    const std::vector<Column>& columns() const { return columns_; }
    const std::vector<Row>& rows() const { return rows_; }
    bool has_integers() const;

  private:
    Column& column_at(std::size_t index);

    std::vector<Column> columns_;
    std::vector<Row> rows_;
    std::unordered_set<std::string> column_ids_;
    std::unordered_set<std::string> row_ids_;
};

}  // namespace feedwright::lp
