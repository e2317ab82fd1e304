// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/proof.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

namespace feedwright::lp {

LinearProgram elastic(const LinearProgram& program) {
    LinearProgram result;
    for (Column column : program.columns()) {
        column.cost = 0;
        column.integer = false;
        column.id.insert(0, "x ");
        result.add_column(std::move(column));
    }
    for (const Row& row : program.rows()) {
        result.add_column({"shortfall " + row.id, 1, 0.0, std::nullopt, false});
        result.add_column({"excess " + row.id, 1, 0.0, std::nullopt, false});
    }
    std::size_t next = program.columns().size();
    for (Row row : program.rows()) {
        double scale = 0;
        for (const Entry& entry : row.entries)
            scale = std::max(scale, std::abs(entry.value));
        if (scale == 0) scale = 1;
        row.entries.push_back({next++, scale});
        row.entries.push_back({next++, -scale});
        result.add_row(std::move(row));
    }
    return result;
}

LinearProgram directions(const LinearProgram& program) {
    LinearProgram result;
    for (Column column : program.columns()) {
        column.lower = column.lower ? 0.0 : -1.0;
        column.upper = column.upper ? 0.0 : 1.0;
        column.integer = false;
        result.add_column(std::move(column));
    }
    for (Row row : program.rows()) {
        if (row.lower) row.lower = 0.0;
        if (row.upper) row.upper = 0.0;
        result.add_row(std::move(row));
    }
    return result;
}

}  // namespace feedwright::lp
