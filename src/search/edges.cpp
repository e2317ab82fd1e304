// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/edges.hpp"

#include "base/dense.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::search {

namespace {

double size_of(const lp::Row& row) {
    double size = 0;
    for (const lp::Entry& entry : row.entries)
        size = std::max(size, std::abs(entry.value));
    return size > 0 ? size : 1;
}

}  // namespace

std::optional<Edges> Edges::from(const lp::LinearProgram& program, const std::vector<double>& x,
                                 std::vector<Active> active) {
    const std::size_t n = x.size();
    if (active.size() != n) return std::nullopt;
    Edges edges;
    edges.program_ = &program;
    edges.x_ = x;
    edges.active_ = std::move(active);
    // Rows over their largest coefficient, so that a pivot's size means something.
    std::vector<double> matrix(n * n, 0.0);
    std::vector<double> scale(n, 1.0);
    for (std::size_t k = 0; k < n; ++k) {
        const Active& limit = edges.active_[k];
        if (!limit.is_row) {
            matrix[k * n + limit.index] = 1;
            continue;
        }
        const lp::Row& row = program.rows()[limit.index];
        scale[k] = size_of(row);
        for (const lp::Entry& entry : row.entries) {
            matrix[k * n + entry.column] = entry.value / scale[k];
        }
    }
    auto inverse = base::inverse(std::move(matrix), n, 1e-9);
    if (!inverse) return std::nullopt;
    for (std::size_t c = 0; c < n; ++c) {
        for (std::size_t k = 0; k < n; ++k)
            (*inverse)[c * n + k] /= scale[k];
    }
    edges.inverse_ = std::move(*inverse);
    edges.cost_.assign(n, 0.0);
    for (std::size_t c = 0; c < n; ++c) {
        const double cost = program.columns()[c].cost;
        for (std::size_t k = 0; k < n; ++k)
            edges.cost_[k] += cost * edges.change(k, c);
    }
    return edges;
}

std::optional<std::size_t> Edges::find(bool is_row, std::size_t index) const {
    for (std::size_t k = 0; k < active_.size(); ++k) {
        if (active_[k].is_row == is_row && active_[k].index == index) return k;
    }
    return std::nullopt;
}

std::optional<double> Edges::reach(std::size_t k, double sign, std::optional<double> own_lower,
                                   std::optional<double> own_upper) const {
    std::optional<double> far;
    // `value` moves at `speed` for every unit; limits it meets end the move.
    const auto meet = [&](double value, double speed, double size,
                          const std::optional<double>& lower, const std::optional<double>& upper) {
        if (std::abs(speed) <= 1e-11 * size) return;
        const std::optional<double>& end = speed > 0 ? upper : lower;
        if (!end) return;
        const double step = std::max(0.0, (*end - value) / speed);
        if (!far || step < *far) far = step;
    };
    std::vector<bool> is_active_row(program_->rows().size(), false);
    std::vector<bool> is_active_column(x_.size(), false);
    for (const Active& limit : active_) {
        (limit.is_row ? is_active_row : is_active_column)[limit.index] = true;
    }
    double length = 0;
    for (std::size_t c = 0; c < x_.size(); ++c)
        length = std::max(length, std::abs(change(k, c)));
    for (std::size_t c = 0; c < x_.size(); ++c) {
        if (is_active_column[c]) continue;
        const lp::Column& column = program_->columns()[c];
        meet(x_[c], sign * change(k, c), length, column.lower, column.upper);
    }
    for (std::size_t r = 0; r < program_->rows().size(); ++r) {
        if (is_active_row[r]) continue;
        const lp::Row& row = program_->rows()[r];
        double value = 0;
        double speed = 0;
        for (const lp::Entry& entry : row.entries) {
            value += entry.value * x_[entry.column];
            speed += entry.value * change(k, entry.column);
        }
        meet(value, sign * speed, length * size_of(row), row.lower, row.upper);
    }
    const Active& own = active_[k];
    double value = 0;
    if (own.is_row) {
        for (const lp::Entry& entry : program_->rows()[own.index].entries) {
            value += entry.value * x_[entry.column];
        }
    } else {
        value = x_[own.index];
    }
    meet(value, sign, 1, own_lower, own_upper);
    return far;
}

}  // namespace feedwright::search
