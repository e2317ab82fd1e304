// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/search_options.hpp"
#include "report/economics/economics_reports.hpp"
#include "tasks/economics.hpp"

#include <memory>

namespace feedwright::cli {

ExitStatus show_unsolved(const tasks::Answer& answer, const std::vector<std::string>& inputs,
                         Context& context) {
    const report::Run about = context.run(inputs, {});
    context.show([&] { return report::mix_document(answer.job, answer.mix, {}, about); },
                 [&] { return report::mix_json(answer.job, answer.mix, {}, about); });
    return exit_status_of(answer.mix.status, false);
}

namespace {

ExitStatus run(const std::string& file, Context& context) {
    const tasks::MakeOrBuy result = tasks::make_or_buy(file, context.library());
    if (result.unsolved) return show_unsolved(*result.unsolved, result.inputs, context);
    const report::Run about = context.run(result.inputs, {});
    context.show([&] { return report::venture_document(result.result, about, result.home); },
                 [&] { return report::venture_json(result.result, about, result.home); });
    return ExitStatus::success;
}

}  // namespace

Command make_or_buy_command(Context& context) {
    auto file = std::make_shared<std::string>();
    Command command{"make-or-buy",
                    "Whether a home feed is worth making, with time, losses and equipment counted"};
    command.add({required({"venture", file.get(), "VENTURE", "Venture file (JSON)"})});
    add_common_options(command, context);
    command.run = [file, &context] { return run(*file, context); };
    return command;
}

}  // namespace feedwright::cli
