// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/linear_program.hpp"
#include "lp/solution.hpp"
#include "lp/solver.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace feedwright::lp {

/// sum(entries x) - weight * sqrt(sum over forms of (constant + sum(entries x))^2) >= lower: a
/// second-order cone. A maximum is written with all signs turned.
struct Cone {
    struct Form {
        std::vector<Entry> entries;  ///< ascending by column, no column twice
        double constant = 0;
    };
    std::string id;  ///< of its planes in the program, which add a number to it
    std::vector<Entry> entries;
    std::vector<Form> forms;
    double weight = 0;  ///< not negative
    double lower = 0;
};

/// A plane that touches a cone: sum(entries x) - weight * sum(direction[f] * form f) >= lower, with
/// `direction` of length 1, or of none for what the cone asks without its spread. By the inequality
/// of Cauchy every point of the cone meets it, whatever the costs.
struct Plane {
    std::size_t cone = 0;
    std::vector<double> direction;
};

struct ConeSolution {
    /// Of `program`. Status optimal: the point meets every cone but for cone_tolerance, and its
    /// cost is within cone_tolerance of what no point of `program` can undercut. With whole
    /// numbers they are held in `program`, and Solution::bound is what no point with other whole
    /// numbers can undercut.
    Solution solution;
    LinearProgram program;          ///< the one given, with a row for each plane at its end
    std::vector<Plane> planes;      ///< of those rows, in order
    std::vector<double> cone_dual;  ///< change of the least cost when the cone's `lower` rises by 1
    double shortfall = 0;           ///< the most that a cone is short by, over its scale
    double gap = 0;  ///< what the cost is above the bound, as Certificate::duality_gap
    int rounds = 0;  ///< programs solved
};

/// No cone is short by more than this of its scale: its largest |coefficient|, of the entries or of
/// a form times the weight, and |lower|.
inline constexpr double cone_tolerance = 1e-9;

/// sum(entries x).
double value_at(const std::vector<Entry>& entries, const std::vector<double>& x);
/// The forms of a cone at x; `length` becomes the square root of the sum of their squares.
std::vector<double> forms_at(const Cone& cone, const std::vector<double>& x, double& length);
/// How far x is from what the cone asks: not negative where it is met.
double slack_of(const Cone& cone, const std::vector<double>& x);
/// What a shortfall of the cone is measured by.
double scale_of(const Cone& cone);

/// Minimises `program` over its points that meet the cones too, by outer approximation (Kelley
/// 1960): the program is solved, planes are added where its optimum misses cones, and so on. Near
/// the optimum it is found at once from the conditions of Karush, Kuhn and Tucker by Newton's
/// method, and proven by the planes that touch the cones there. Whole numbers: the program with
/// planes is solved with them, then with them held, by turns (Duran and Grossmann 1986).
///
/// `start`: planes known from an earlier solve of the same cones, at any costs. Deterministic.
ConeSolution solve(const LinearProgram& program, const std::vector<Cone>& cones,
                   const SolveOptions& options = {}, const std::vector<Plane>& start = {});

/// The plane that touches cone k where x is, or straight above it.
Plane plane_at(const std::vector<Cone>& cones, std::size_t k, const std::vector<double>& x);
/// A plane as a row, with `number` in its id.
Row row_of(const Cone& cone, const Plane& plane, std::size_t number);

/// `program` with the planes as further rows.
LinearProgram with_planes(LinearProgram program, const std::vector<Cone>& cones,
                          const std::vector<Plane>& planes);

}  // namespace feedwright::lp
