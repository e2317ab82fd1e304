// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "lp/cones.hpp"
#include "lp/solver.hpp"
#include "search/formulation.hpp"
#include "search/program.hpp"

#include <vector>

namespace feedwright::search {

/// The job with its yielding limits settled: those that the ingredients can meet together with what
/// must hold are held, the most dangerous ones to miss first; the others become advisory. When even
/// what must hold leaves no mix, all become advisory, so that an explanation names what must hold.
/// Throws base::DataError as cheapest_program does.
job::Job settle(job::Job job);

/// A mix that holds less dry matter than this, percent, is too wet to be compared as it is.
inline constexpr double least_dry_matter = 80;
/// The moisture at which it is then compared, percent: that of a dry feed.
inline constexpr double common_moisture = 10;

/// A job whose mix or recipe is too wet is compared with the needs per kg of feed at the common
/// moisture, the water dried off: that job. nullopt when it is dry enough, has a finished moisture,
/// has no profile, or the dry matter of an ingredient is not known.
std::optional<job::Job> at_common_moisture(const job::Job& job,
                                           const limits::Assessment& assessment);

/// Builds, solves and certifies. What the answer holds over, and the prices of limits and of what
/// is not in the mix, are explain_optimum()'s to say. An answer such as infeasible is a result, and
/// so is a search over whole numbers that `options` ended (Formulation::proven_best). Throws
/// base::DataError as cheapest_program does.
Formulation formulate(const job::Job& job, const lp::SolveOptions& options = {});

/// The same with `program`, which is cheapest_program(job).
Formulation formulate(const job::Job& job, const FeedProgram& program,
                      const lp::SolveOptions& options);

/// The same with `cones`, which are program.cones(), and planes that touch them, known from a solve
/// at other prices.
Formulation formulate(const job::Job& job, const FeedProgram& program,
                      const lp::SolveOptions& options, const std::vector<lp::Cone>& cones,
                      const std::vector<lp::Plane>& planes);

/// What each limit could reach under balance, inclusion limits and groups alone, one entry a side.
std::vector<Reachable> reachable_limits(const FeedProgram& program);

}  // namespace feedwright::search
