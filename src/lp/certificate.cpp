// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "lp/solver.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>
#include <vector>

namespace feedwright::lp {

namespace {

// The larger of two errors, where one that is not a number is the largest of all.
double worse(double a, double b) {
    if (std::isnan(a) || std::isnan(b)) return std::numeric_limits<double>::infinity();
    return std::max(a, b);
}

double violation(double value, const std::optional<double>& lower,
                 const std::optional<double>& upper, double scale) {
    double worst = 0;
    if (lower) worst = worse(worst, (*lower - value) / (scale + std::abs(*lower)));
    if (upper) worst = worse(worst, (value - *upper) / (scale + std::abs(*upper)));
    return worst;
}

// The limit that a multiplier of this sign leans on: a positive one on the lower, a negative one on
// the upper.
const std::optional<double>& leaned_on(double multiplier, const std::optional<double>& lower,
                                       const std::optional<double>& upper) {
    return multiplier > 0 ? lower : upper;
}

// Error of sign and of complementary slackness; `size` is the multiplier over its natural scale.
double slackness(double multiplier, double size, double value, const std::optional<double>& lower,
                 const std::optional<double>& upper, double scale) {
    if (multiplier == 0) return 0;
    const std::optional<double>& limit = leaned_on(multiplier, lower, upper);
    if (!limit) return size;
    return std::min(size, std::abs(value - *limit) / (scale + std::abs(*limit)));
}

void require_size(std::size_t have, std::size_t want) {
    if (have != want) throw Error("certificate: the solution is not one of this program");
}

}  // namespace

double cost_size(std::span<const double> costs, const std::vector<double>& primal) {
    // What is below this share of the largest amount may be rounding of a zero.
    constexpr double rounding = 1e-12;
    double most = 0;
    for (std::size_t j = 0; j < costs.size(); ++j)
        most = std::max(most, std::abs(primal[j]));
    double largest = 0;
    for (std::size_t j = 0; j < costs.size(); ++j) {
        if (std::abs(primal[j]) > rounding * most) largest = std::max(largest, std::abs(costs[j]));
    }
    if (largest > 0) return largest;
    std::vector<double> sizes;
    for (const double cost : costs) {
        if (cost != 0) sizes.push_back(std::abs(cost));
    }
    if (sizes.empty()) return 1;
    const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>((sizes.size() - 1) / 2);
    std::nth_element(sizes.begin(), middle, sizes.end());
    return *middle;
}

double cost_size(const LinearProgram& program, const std::vector<double>& primal) {
    std::vector<double> costs;
    costs.reserve(program.columns().size());
    for (const Column& column : program.columns())
        costs.push_back(column.cost);
    return cost_size(costs, primal);
}

bool Certificate::holds(double tolerance) const {
    return primal_residual <= tolerance && dual_residual <= tolerance && duality_gap <= tolerance;
}

Certificate certify(const LinearProgram& program, const Solution& solution) {
    const auto& columns = program.columns();
    const auto& rows = program.rows();
    const bool integer = program.has_integers();
    require_size(solution.primal.size(), columns.size());
    require_size(solution.row_activity.size(), rows.size());
    if (!integer) {
        require_size(solution.row_dual.size(), rows.size());
        require_size(solution.reduced_cost.size(), columns.size());
    } else if (!solution.bound) {
        throw Error("certificate: an integer solution without its bound");
    }

    Certificate certificate;
    const double size_of_costs = cost_size(program, solution.primal);
    double primal_cost = 0;
    double cost_moved = 0;
    for (std::size_t j = 0; j < columns.size(); ++j) {
        const Column& column = columns[j];
        const double x = solution.primal[j];
        primal_cost += column.cost * x;
        cost_moved += std::abs(column.cost * x);
        certificate.primal_residual =
            worse(certificate.primal_residual, violation(x, column.lower, column.upper, 1));
        if (column.integer) {
            certificate.primal_residual =
                worse(certificate.primal_residual, std::abs(x - std::round(x)) / (1 + std::abs(x)));
        }
    }

    std::vector<double> reduced(columns.size());
    if (!integer) {
        for (std::size_t j = 0; j < columns.size(); ++j)
            reduced[j] = columns[j].cost;
    }
    double dual_cost = 0;
    for (std::size_t r = 0; r < rows.size(); ++r) {
        const Row& row = rows[r];
        double activity = 0;
        double scale = 0;
        for (const Entry& entry : row.entries) {
            activity += entry.value * solution.primal[entry.column];
            scale = std::max(scale, std::abs(entry.value));
        }
        if (scale == 0) scale = 1;
        certificate.primal_residual =
            worse(certificate.primal_residual, violation(activity, row.lower, row.upper, scale));
        if (integer) continue;
        const double dual = solution.row_dual[r];
        for (const Entry& entry : row.entries)
            reduced[entry.column] -= dual * entry.value;
        certificate.dual_residual =
            worse(certificate.dual_residual, slackness(dual, std::abs(dual) * scale / size_of_costs,
                                                       activity, row.lower, row.upper, scale));
        if (const auto& limit = leaned_on(dual, row.lower, row.upper); dual != 0 && limit) {
            dual_cost += dual * *limit;
        }
    }
    if (integer) {
        certificate.duality_gap =
            worse(0, (primal_cost - *solution.bound) / (size_of_costs + cost_moved));
        return certificate;
    }
    for (std::size_t j = 0; j < columns.size(); ++j) {
        const Column& column = columns[j];
        const double size = std::abs(reduced[j]) / size_of_costs;
        // No finer than the digits that the column's own cost has.
        certificate.dual_residual =
            worse(certificate.dual_residual, std::abs(reduced[j] - solution.reduced_cost[j]) /
                                                 std::max(size_of_costs, std::abs(column.cost)));
        certificate.dual_residual =
            worse(certificate.dual_residual,
                  slackness(reduced[j], size, solution.primal[j], column.lower, column.upper, 1));
        if (const auto& limit = leaned_on(reduced[j], column.lower, column.upper);
            reduced[j] != 0 && limit) {
            dual_cost += reduced[j] * *limit;
        }
    }
    certificate.duality_gap =
        worse(0, std::abs(primal_cost - dual_cost) / (size_of_costs + cost_moved));
    return certificate;
}

}  // namespace feedwright::lp
