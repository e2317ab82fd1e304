// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/linear_program.hpp"

#include "base/diagnostics.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::lp {

namespace {

void check_number(double value, std::string_view what, const std::string& id) {
    if (!std::isfinite(value)) {
        throw Error(fmt::format("linear program: {} of {} is not a finite number", what, id));
    }
}

void check_limits(const std::optional<double>& lower, const std::optional<double>& upper,
                  const std::string& id) {
    if (lower) check_number(*lower, "the lower limit", id);
    if (upper) check_number(*upper, "the upper limit", id);
    if (lower && upper && *lower > *upper) {
        throw Error(fmt::format("linear program: the lower limit of {}, {}, is above the upper, {}",
                                id, *lower, *upper));
    }
}

void check_id(const std::string& id, const std::unordered_set<std::string>& used,
              std::string_view what) {
    if (id.empty()) throw Error(fmt::format("linear program: a {} without an id", what));
    if (used.contains(id)) {
        throw Error(fmt::format("linear program: the {} {} twice", what, id));
    }
}

}  // namespace

std::size_t LinearProgram::add_column(Column column) {
    check_id(column.id, column_ids_, "column");
    check_number(column.cost, "the cost", column.id);
    check_limits(column.lower, column.upper, column.id);
    column_ids_.insert(column.id);
    columns_.push_back(std::move(column));
    return columns_.size() - 1;
}

std::size_t LinearProgram::add_row(Row row) {
    check_id(row.id, row_ids_, "row");
    check_limits(row.lower, row.upper, row.id);
    for (std::size_t i = 0; i < row.entries.size(); ++i) {
        const Entry& entry = row.entries[i];
        check_number(entry.value, "a coefficient", row.id);
        if (entry.column >= columns_.size()) {
            throw Error(fmt::format("linear program: row {} names column {} of {}", row.id,
                                    entry.column, columns_.size()));
        }
        if (i > 0 && entry.column <= row.entries[i - 1].column) {
            throw Error(
                fmt::format("linear program: the entries of row {} are not in order, "
                            "or name a column twice",
                            row.id));
        }
    }
    row_ids_.insert(row.id);
    rows_.push_back(std::move(row));
    return rows_.size() - 1;
}

Column& LinearProgram::column_at(std::size_t index) {
    if (index >= columns_.size()) {
        throw Error(fmt::format("linear program: no column {} of {}", index, columns_.size()));
    }
    return columns_[index];
}

void LinearProgram::set_cost(std::size_t column, double cost) {
    Column& c = column_at(column);
    check_number(cost, "the cost", c.id);
    c.cost = cost;
}

void LinearProgram::set_column_limits(std::size_t column, std::optional<double> lower,
                                      std::optional<double> upper) {
    Column& c = column_at(column);
    check_limits(lower, upper, c.id);
    c.lower = lower;
    c.upper = upper;
}

void LinearProgram::set_row_limits(std::size_t row, std::optional<double> lower,
                                   std::optional<double> upper) {
    if (row >= rows_.size()) {
        throw Error(fmt::format("linear program: no row {} of {}", row, rows_.size()));
    }
    Row& r = rows_[row];
    check_limits(lower, upper, r.id);
    r.lower = lower;
    r.upper = upper;
}

void LinearProgram::set_integer(std::size_t column, bool integer) {
    column_at(column).integer = integer;
}

bool LinearProgram::has_integers() const {
    return std::any_of(columns_.begin(), columns_.end(), [](const Column& c) { return c.integer; });
}

}  // namespace feedwright::lp
