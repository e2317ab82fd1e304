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
    Command command{
        "make-or-buy",
        "Compare the cost of making a feed with buying one, time and equipment included"};
    command.add({required({"venture", file.get(), "VENTURE", "Venture file (JSON)"})});
    add_common_options(command, context,
                       {"findings", "uncertainty", "grown", "label", "notes", "sources"});
    command.examples = {"feedwright make-or-buy examples/back-garden-tank/venture.json",
                        "feedwright make-or-buy venture.json --show uncertainty"};
    command.exits = {{0, "the two were compared"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {3, "no mix can meet the limits of the job"}};
    command.run = [file, &context] { return run(*file, context); };
    return command;
}

}  // namespace feedwright::cli
