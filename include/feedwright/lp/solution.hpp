// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::lp {

/// What the answer is. `failed`: the solver gave none that holds (its reason is in `Solution::message`).
/// `limit`: a time or iteration limit, or an interrupt, came first; `primal` then holds the best point
/// found, if any was.
enum class Status { optimal, infeasible, unbounded, limit, failed };

/// Where a row or column rests in a basis.
enum class Rest : unsigned char { basic, at_lower, at_upper, fixed, free };

/// One status a row and a column; enough to start another solve from.
struct Basis {
    std::vector<Rest> rows;
    std::vector<Rest> columns;
    bool operator==(const Basis&) const = default;
};

/// The answer to a LinearProgram, in its order of rows and columns. The vectors are filled when status is
/// optimal (for an integer program: `primal`, `row_activity` and `bound` only).
///
/// Signs: `row_dual[r]` is the change of the least cost when the limit on which row r rests rises by
/// one; `reduced_cost[c]` the same for the limit on which column c rests.
struct Solution {
    Status status = Status::failed;
    double objective = 0;
    std::vector<double> primal;
    std::vector<double> row_activity;
    std::vector<double> row_dual;
    std::vector<double> reduced_cost;
    Basis basis;
    int iterations = 0;
    std::optional<double> bound;  ///< integer programs: no point can cost less than this
    std::string message;          ///< for `failed` and `limit`: why, in plain words
};

/// How far a solution is from perfect, computed from the program's own data, not the solver's.
///
/// `primal_residual`: the largest violation of a row or column limit, relative to 1 + |limit| scaled by
/// the largest coefficient of the row. `dual_residual`: the largest error of
/// cost - sum(row_dual * coefficient) = reduced cost, and of the signs of the duals (complementary slackness included),
/// relative to 1 + |cost|. `duality_gap`: |primal objective - dual objective| relative to 1 + |objective|.
struct Certificate {
    double primal_residual = 0;
    double dual_residual = 0;
    double duality_gap = 0;
    /// True when all three are at most `tolerance`.
    bool holds(double tolerance = 1e-7) const;
};

}  // namespace feedwright::lp
