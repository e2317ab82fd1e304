// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/linear_program.hpp"
#include "lp/solution.hpp"

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

namespace feedwright::lp {

/// What one vector of costs gives. As in lp::Solution, which see for signs.
struct Repriced {
    std::span<const double> primal;        ///< valid until the next solve of the same Repricer
    std::span<const double> row_activity;  ///< likewise
    double objective = 0;
    std::vector<double> row_dual;
    std::vector<double> reduced_cost;
    Certificate certificate;
    /// Every other point costs more: no resting limit has a multiplier within lp::tie_tolerance
    /// of zero.
    bool unique = false;
    int pivots = 0;
    bool known = true;  ///< this Repricer has met the point before
    /// Where a caller may keep what it works out from the point alone, to find it here whenever
    /// other costs lead to the same point. Empty the first time. Valid as `primal` is.
    std::shared_ptr<const void>* note = nullptr;
};

/// Finds optima of one continuous program for other costs, without solving it anew. One a thread.
class Repricer {
  public:
    /// Solves `program`, whose costs should be typical ones: walks start at its optimum. What is
    /// known of points is kept up to `most_bytes`, after which all of it is forgotten. Throws Error
    /// if the program has integer columns.
    explicit Repricer(const LinearProgram& program, std::size_t most_bytes = 8U << 20U);
    ~Repricer();
    Repricer(Repricer&&) noexcept;

    /// One for another thread. They share what never changes.
    Repricer another() const;

    /// Of the program at its own costs. Where it is not `optimal` solve() finds nothing.
    Status status() const;

    /// Finds the optimum for `costs` (one a column, finite) and certifies it from the program's own
    /// data. Where several points are optimal it is the one with the least of the last column; of
    /// those, with the least of the column before, and so on. The answer depends on the program
    /// and `costs` alone.
    ///
    /// False when that did not succeed, again for reasons that lie in the program and `costs`
    /// alone: the caller then solves it another way.
    bool solve(std::span<const double> costs, Repriced& result);

  private:
    struct State;
    explicit Repricer(std::unique_ptr<State> state);

    std::unique_ptr<State> state_;
};

}  // namespace feedwright::lp
