// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "feedwright/formulate/mix.hpp"
#include "feedwright/formulate/model.hpp"
#include "feedwright/job/job.hpp"
#include "feedwright/lp/solver.hpp"

namespace feedwright::formulate {

/// Builds, solves, certifies and explains. An answer such as infeasible is a result, and so is a search over whole
/// numbers that `options` ended (Formulation::proven_best). Throws base::DataError as build_model does.
Formulation formulate(const job::Job& job, const lp::SolveOptions& options = {});

/// The same with `model`, which is build_model(job).
Formulation formulate(const job::Job& job, const Model& model, const lp::SolveOptions& options);

/// What each limit could reach under balance, inclusion limits and groups alone, one entry a side.
std::vector<Reachable> reachable_limits(const Model& model);

}  // namespace feedwright::formulate
