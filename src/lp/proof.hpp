// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/linear_program.hpp"

// Two programs that always have an optimum, and so a certificate, and that settle what the solver
// claims of a program without one.
namespace feedwright::lp {

/// `program` with a shortfall and an excess on every row, at a cost of 1 each, in units of the
/// row's largest coefficient; no other costs, no integers. Its least cost is above 0 exactly when
/// `program` (without integers) is infeasible.
LinearProgram elastic(const LinearProgram& program);

/// The directions in which `program` can be followed for ever, within a box of -1 to 1, at the same
/// costs; no integers. If `program` has a point, it is unbounded exactly when the least cost here
/// is below 0.
LinearProgram directions(const LinearProgram& program);

}  // namespace feedwright::lp
