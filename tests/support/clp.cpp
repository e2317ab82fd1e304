// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/clp.hpp"

#include <coin/ClpSimplex.hpp>

#include <vector>

namespace feedwright::test {

using namespace feedwright::lp;

ClpAnswer solve_with_clp(const LinearProgram& program, std::vector<double>* point) {
    ClpSimplex clp;
    clp.setLogLevel(0);
    clp.setPrimalTolerance(1e-9);
    clp.setDualTolerance(1e-9);
    // With its perturbation Clp 1.17 ends up to 1e-9 off the optimum; with its scaling it calls a
    // few unbounded programs infeasible.
    clp.setPerturbation(100);
    clp.scaling(0);
    const auto& columns = program.columns();
    const auto& rows = program.rows();
    std::vector<double> lower, upper, cost, row_lower, row_upper, values;
    std::vector<int> row_of, column_of;
    for (const Column& column : columns) {
        lower.push_back(column.lower.value_or(-COIN_DBL_MAX));
        upper.push_back(column.upper.value_or(COIN_DBL_MAX));
        cost.push_back(column.cost);
    }
    for (std::size_t r = 0; r < rows.size(); ++r) {
        row_lower.push_back(rows[r].lower.value_or(-COIN_DBL_MAX));
        row_upper.push_back(rows[r].upper.value_or(COIN_DBL_MAX));
        for (const Entry& entry : rows[r].entries) {
            row_of.push_back(static_cast<int>(r));
            column_of.push_back(static_cast<int>(entry.column));
            values.push_back(entry.value);
        }
    }
    CoinPackedMatrix matrix(true, row_of.data(), column_of.data(), values.data(),
                            static_cast<int>(values.size()));
    matrix.setDimensions(static_cast<int>(rows.size()), static_cast<int>(columns.size()));
    clp.loadProblem(matrix, lower.data(), upper.data(), cost.data(), row_lower.data(),
                    row_upper.data());
    clp.dual();
    if (point != nullptr) {
        point->assign(clp.primalColumnSolution(), clp.primalColumnSolution() + columns.size());
    }
    switch (clp.status()) {
        case 0:
            return {Status::optimal, clp.objectiveValue()};
        case 1:
            return {Status::infeasible, 0};
        case 2:
            return {Status::unbounded, 0};
        default:
            return {Status::failed, 0};
    }
}

}  // namespace feedwright::test
