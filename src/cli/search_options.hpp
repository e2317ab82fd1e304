// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/command.hpp"
#include "cli/context.hpp"
#include "tasks/formulate.hpp"

#include <string>
#include <utility>
#include <vector>

namespace feedwright::cli {

/// How long a search may take. It bears on searches over whole numbers (amounts in steps of a
/// scale, a number of ingredients, none or at least so much); others end in milliseconds.
struct SearchOptions {
    std::string time_limit;
    std::string iteration_limit;

    /// Adds --time-limit and --iteration-limit.
    void add_to(Command& command);
    /// Also lets Ctrl-C end the search. Throws UsageError.
    lp::SolveOptions solve() const;
    Settings settings() const;
};

/// Reads a whole number from `least` up, given for `option`; throws UsageError.
int whole_number(const std::string& text, int least, const std::string& option);

/// What to tell the shell of an answer: a mix that a limit cut short is still one that meets every
/// limit, so that is success; after Ctrl-C it is `interrupted`.
ExitStatus exit_status_of(lp::Status status, bool has_mix);

}  // namespace feedwright::cli
