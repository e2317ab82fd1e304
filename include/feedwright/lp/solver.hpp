// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <atomic>
#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

#include "feedwright/lp/linear_program.hpp"
#include "feedwright/lp/solution.hpp"

namespace feedwright::lp {

struct SolveOptions {
    const Basis* start = nullptr;             ///< an earlier basis; none: the standard one
    int iteration_limit = 1'000'000;
    double time_limit_seconds = 60;
    double integer_gap = 1e-9;                ///< relative gap at which an integer program is done
    const std::atomic<bool>* interrupt = nullptr;  ///< set from outside to stop; status is then limit
};

/// Solves `program` with its integer columns honoured. Deterministic: the same program and start give the
/// same bytes. Never throws for an answer; throws Error only when the solver library itself breaks.
Solution solve(const LinearProgram& program, const SolveOptions& options = {});

/// Checks `solution` (status optimal) against `program`, from scratch. For an integer program: the primal part,
/// and `duality_gap` from Solution::bound.
Certificate certify(const LinearProgram& program, const Solution& solution);

/// Keeps one continuous program in the solver's memory so that solving again with other costs or limits starts
/// where the last one ended. One thread only: create, use and destroy it there.
class Session {
  public:
    explicit Session(const LinearProgram& program);
    ~Session();
    Session(const Session&) = delete;
    Session& operator=(const Session&) = delete;

    void set_cost(std::size_t column, double cost);
    void set_row_limits(std::size_t row, std::optional<double> lower, std::optional<double> upper);
    void set_column_limits(std::size_t column, std::optional<double> lower, std::optional<double> upper);
    /// Starts from `options.start` if given, else from where the last solve ended.
    Solution solve(const SolveOptions& options = {});

  private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace feedwright::lp
