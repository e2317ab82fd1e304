// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/command.hpp"
#include "cli/context.hpp"
#include "tasks/formulate.hpp"

// One file a command. The context outlives the run.
namespace feedwright::cli {

Command new_command(Context& context);
Command formulate_command(Context& context);
Command check_command(Context& context);
Command mend_command(Context& context);
Command batch_command(Context& context);
Command make_or_buy_command(Context& context);
Command plan_command(Context& context);
Command season_command(Context& context);
/// With `trial design` and `trial analyse` below it.
Command trial_command(Context& context);
Command trial_design_command(Context& context);
/// Shows why the job of a venture has no mix.
ExitStatus show_unsolved(const tasks::Answer& answer, const std::vector<std::string>& inputs,
                         Context& context);
Command import_command(Context& context);
Command list_command(Context& context);
Command show_command(Context& context);

}  // namespace feedwright::cli
