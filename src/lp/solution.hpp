// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::lp {

/// What the answer is. `failed`: the solver gave none that holds (its reason is in
/// `Solution::message`). `limit`: a time or iteration limit, or an interrupt, came first; `primal`
/// then holds the best point found, if any was.
///
/// None of them is taken on the solver's word: `optimal` has a certificate that holds, `infeasible`
/// and `unbounded` are proven by a second program that has one (src/lp/proof.hpp says how). A
/// program with neither a point nor a bound is infeasible.
enum class Status { optimal, infeasible, unbounded, limit, failed };

/// Where a row or column rests in a basis.
enum class Rest : unsigned char { basic, at_lower, at_upper, fixed, free };

/// One status a row and a column; enough to start another solve from.
struct Basis {
    std::vector<Rest> rows;
    std::vector<Rest> columns;
    bool operator==(const Basis&) const = default;
};

/// The answer to a LinearProgram, in its order of rows and columns. The vectors are filled when
/// status is optimal; with status limit, `primal`, `row_activity` and `objective` are if a point
/// was found.
///
/// Signs: `row_dual[r]` is the change of the least cost when the limit on which row r rests rises
/// by one (so at least 0 on a lower limit, at most 0 on an upper one); `reduced_cost[c]` the same
/// for the limit on which column c rests. Both are 0 for what is basic, and reduced_cost[c] =
/// cost[c] - sum(row_dual[r] * coefficient[r][c]).
///
/// Integer programs: `row_dual`, `reduced_cost` and `basis` are those of the continuous program
/// with the integer columns held at their values, and say nothing about other integer choices.
struct Solution {
    Status status = Status::failed;
    double objective = 0;              ///< sum(cost * primal)
    std::vector<double> primal;        ///< value of each column
    std::vector<double> row_activity;  ///< sum(coefficient * primal) of each row
    std::vector<double> row_dual;
    std::vector<double> reduced_cost;
    Basis basis;
    int iterations = 0;
    std::optional<double> bound;  ///< integer programs: no point can cost less than this
    std::string message;          ///< for `failed` and `limit`: why, in plain words
};

/// How far a solution is from perfect, computed from the program's own data, not the solver's. No
/// measure depends on the units of rows or of money: a row times ten, or all costs times ten, gives
/// the same.
///
/// With s = the largest |coefficient| of a row (1 for an empty row), C = the largest |cost| of what
/// the point makes use of (cost_size() in solver.hpp says what where that is nothing):
/// - `primal_residual`: the largest violation of a row limit over s + |limit|, of a column limit
/// over
///   1 + |limit|, and (integer columns) distance from a whole number over 1 + |value|.
/// - `dual_residual`: the largest |cost - sum(row_dual * coefficient) - reduced_cost| over C, or
///   over the column's own |cost| where that is larger; a dual
///   (times s) or reduced cost over C whose sign asks for a limit that does not exist; and
///   complementary slackness: the smaller of such a scaled dual and the distance from its limit
///   (over s + |limit|, or 1 + |limit|).
/// - `duality_gap`: |cost of the primal - cost of the dual| over C + sum |cost * x|; for an integer
///   program |cost - bound| over the same.
struct Certificate {
    double primal_residual = 0;
    double dual_residual = 0;
    double duality_gap = 0;
    /// True when all three are at most `tolerance`; a residual that is not a number never is.
    bool holds(double tolerance = 1e-7) const;
};

}  // namespace feedwright::lp
