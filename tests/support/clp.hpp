// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/linear_program.hpp"
#include "lp/solution.hpp"

#include <vector>

namespace feedwright::test {

struct ClpAnswer {
    lp::Status status = lp::Status::failed;
    double objective = 0;
};

/// What COIN-OR's Clp, an independent solver, makes of a continuous program; `point` takes its
/// optimum.
ClpAnswer solve_with_clp(const lp::LinearProgram& program, std::vector<double>* point = nullptr);

}  // namespace feedwright::test
