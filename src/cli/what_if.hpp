// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/command.hpp"
#include "cli/context.hpp"
#include "cli/exit_status.hpp"
#include "job/job.hpp"
#include "lp/solver.hpp"
#include "search/formulation.hpp"
#include "search/program.hpp"

#include <functional>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::cli {

/// Changes to try on a job.
struct WhatIfOptions {
    std::vector<std::string> set;
    std::vector<std::string> without;
    std::vector<std::string> with;
    std::vector<std::string> weaken;

    /// Adds --set, --without, --with and --weaken, each of which may be repeated.
    void add_to(Command& command);
    bool asked() const;
    /// As the user wrote them, in a fixed order; "each" left out.
    std::vector<std::string> changes() const;
    std::vector<std::pair<std::string, std::string>> settings() const;
};

/// Reads the job that the command line names, with these options more.
using ReadJob =
    std::function<job::Job(std::vector<job::Extra> with, std::vector<job::Restated> restated)>;

/// Adds to an answer what it holds over, or why there is none; of the library then also what would
/// help. `model` is cheapest_program(job). `read` reads the job without asking more of its
/// ingredients than the job does; with `strict` those of the library with unknown_contents() are
/// left aside, as are those that cannot be read into the job: nobody named them, so none of them is
/// an error.
void explain(const job::Job& job, const search::FeedProgram& model, const ReadJob& read,
             bool strict, const lp::SolveOptions& solve, Context& context,
             search::Formulation& result);

/// Answers the job as it is and as changed, and shows both side by side; or, with --without each,
/// what each ingredient is worth.
ExitStatus show_what_if(const WhatIfOptions& options, const ReadJob& read,
                        const lp::SolveOptions& solve,
                        std::vector<std::pair<std::string, std::string>> settings,
                        Context& context);

}  // namespace feedwright::cli
