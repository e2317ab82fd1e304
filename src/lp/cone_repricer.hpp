// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/cones.hpp"
#include "lp/linear_program.hpp"
#include "lp/repricer.hpp"

#include <memory>
#include <span>
#include <vector>

namespace feedwright::lp {

/// Finds optima of one continuous program with cones for other costs. One a thread.
///
/// Most optima are points where so many limits are met exactly, cones among them, that the point
/// stays where it is while costs change. Such points are looked for once; for new costs the one
/// whose multipliers have the right signs is the optimum. Where there is none the optimum moves
/// along a cone with the costs, and is found by Newton's method from the point that comes nearest.
class ConeRepricer {
  public:
    /// Looks for points at the program's own costs and at some that differ from them by up to a
    /// fifth. Throws Error if the program has integer columns, or a cone is not one of it.
    ConeRepricer(const LinearProgram& program, const std::vector<Cone>& cones);
    ~ConeRepricer();
    ConeRepricer(ConeRepricer&&) noexcept;

    /// One for another thread. They share what never changes.
    ConeRepricer another() const;

    /// Of the program with its cones, at its own costs. Where it is not `optimal` solve() finds
    /// nothing.
    Status status() const;
    /// Those of lp::solve at the program's own costs: a start for others.
    const std::vector<Plane>& planes() const;

    /// As Repricer::solve, with the cones met but for cone_tolerance of their scale, and proven to
    /// that by the planes that touch them at the point. `row_dual` and `row_activity` stay empty.
    /// Nothing but the program, its cones and `costs` decides. False: lp::solve will find it.
    bool solve(std::span<const double> costs, Repriced& result);

  private:
    struct Shared;
    struct State;
    explicit ConeRepricer(std::unique_ptr<State> state);

    std::unique_ptr<State> state_;
};

}  // namespace feedwright::lp
