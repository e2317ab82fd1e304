// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/linear_program.hpp"
#include "lp/solution.hpp"

#include <atomic>
#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace feedwright::lp {

struct SolveOptions {
    /// An earlier basis of a program of the same size; none, or one that is singular or does not
    /// fit: the standard basis (every row basic).
    const Basis* start = nullptr;
    int iteration_limit = 1'000'000;
    double time_limit_seconds = 60;
    double integer_gap = 1e-9;  ///< relative gap at which an integer program is done
    /// An integer program is done, too, when no point can cost less than the best one found by more
    /// than this, in the program's units of cost.
    double cost_gap = 0;
    const std::atomic<bool>* interrupt =
        nullptr;  ///< set from outside to stop; status is then limit
};

/// Solves `program` with its integer columns honoured. Deterministic: the same program and start
/// give the same bytes (unless a time limit or interrupt ends it). Never throws for an answer; when
/// the library behind it breaks down, status is `failed`.
///
/// Thread-safe. A thread that solves must not use GLPK by itself at the same time: the library's
/// memory of the thread is given back when its last solve or Session ends.
Solution solve(const LinearProgram& program, const SolveOptions& options = {});

/// What costs at the point `primal` are measured by: the largest |cost| of a column that the point
/// makes use of (more of it than rounding leaves). The price of what is not used has no part in it.
/// Where nothing used has a cost: the median of the |costs| other than zero; 1 without any.
double cost_size(std::span<const double> costs, const std::vector<double>& primal);
double cost_size(const LinearProgram& program, const std::vector<double>& primal);

/// Checks `solution` (status optimal) against `program`, from scratch. For an integer program: the
/// primal part, and `duality_gap` from Solution::bound. Throws Error when sizes do not match.
Certificate certify(const LinearProgram& program, const Solution& solution);

/// Keeps one continuous program in the solver's memory so that solving again with other costs or
/// limits starts where the last one ended. One thread only: create, use and destroy it there;
/// several may live in one thread.
///
/// The numbers of an optimal Solution are computed anew from its final basis, so they depend on
/// program and basis alone, to the last bit, not on the way there. Where several bases are optimal
/// the way decides which one is found; with `options.start` the way too depends on program and
/// start alone, not on earlier solves.
class Session {
  public:
    /// Copies `program`. Throws Error if it has integer columns.
    explicit Session(const LinearProgram& program);
    ~Session();
    Session(const Session&) = delete;
    Session& operator=(const Session&) = delete;

    // As in LinearProgram, which see for what they throw.
    void set_cost(std::size_t column, double cost);
    void set_row_limits(std::size_t row, std::optional<double> lower, std::optional<double> upper);
    void set_column_limits(std::size_t column, std::optional<double> lower,
                           std::optional<double> upper);
    /// As LinearProgram::add_row. The next solve without `options.start` goes on from the last
    /// optimum by the dual simplex method.
    void add_row(Row row);

    /// The program as it now stands.
    const LinearProgram& program() const;

    /// Starts from `options.start` if given, else from where the last solve ended.
    Solution solve(const SolveOptions& options = {});

  private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace feedwright::lp
