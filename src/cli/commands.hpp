// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/context.hpp"
#include "cli/exit_status.hpp"

namespace CLI {
class App;
}

// One file a command. Each function adds its sub-command to `app`; when the command line names it,
// `chosen` is set to what runs it. The context outlives the run.
namespace feedwright::cli {

using Action = std::function<ExitStatus()>;

void add_formulate(CLI::App& app, Context& context, Action& chosen);
void add_check(CLI::App& app, Context& context, Action& chosen);
void add_batch(CLI::App& app, Context& context, Action& chosen);
void add_make_or_buy(CLI::App& app, Context& context, Action& chosen);
void add_plan(CLI::App& app, Context& context, Action& chosen);
void add_import(CLI::App& app, Context& context, Action& chosen);
void add_mend(CLI::App& app, Context& context, Action& chosen);
void add_list(CLI::App& app, Context& context, Action& chosen);
void add_show(CLI::App& app, Context& context, Action& chosen);
void add_trial(CLI::App& app, Context& context, Action& chosen);
/// `trial design`, below the command that add_trial made.
void add_trial_design(CLI::App& trial, Context& context, Action& chosen);

}  // namespace feedwright::cli
