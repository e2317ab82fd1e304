// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/solver.hpp"
#include "search/formulation.hpp"
#include "tasks/formulate.hpp"
#include "tasks/reading.hpp"

// How every task that formulates does it.
namespace feedwright::tasks {

/// A job and its cheapest mix, or the status that there is none.
struct Solved {
    job::Job job;  ///< settled, and dried where its mix would be too wet
    search::Formulation mix;

    bool has_mix() const { return !mix.amounts.empty(); }
};

/// Settles the limits of a job that yield (search::settle) and finds its cheapest mix. Where that
/// is too wet to compare with the needs as weighed in, or only a mix so wet would meet them, or
/// come near them, once it is dried, the job is that at the common moisture
/// (search::at_common_moisture). Throws base::DataError as search::cheapest_program does.
Solved solve(const job::Job& job, const lp::SolveOptions& options);

/// Adds over which prices and limits a mix stays the cheapest (search::explain_optimum).
void say_what_it_holds_over(Solved& solved);

/// Adds the clash in the job itself, where there is no mix because of one.
void say_why(Solved& solved, const lp::SolveOptions& options);

/// The whole answer to a job that `source` reads: what it holds over, cautions, and where there is
/// no mix, which ingredients of the library would help.
Answer answer(const JobSource& source, const lp::SolveOptions& options, catalog::Library& library);

}  // namespace feedwright::tasks
