// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/venture_input.hpp"
#include "report/economics/economics_reports.hpp"

#include <CLI/CLI.hpp>

#include <memory>

namespace feedwright::cli {

namespace {

ExitStatus run(const std::string& file, Context& context) {
    const PricedVenture priced = price_venture(file, context);
    if (priced.unsolved) return show_unsolved(priced, context);
    const report::Run about = context.run(priced.inputs, {});
    const economics::VentureResult result = economics::make_or_buy(priced.venture, priced.context);
    context.show(report::venture_document(result, about),
                 [&] { return report::venture_json(result, about); });
    return ExitStatus::success;
}

}  // namespace

void add_make_or_buy(CLI::App& app, Context& context, Action& chosen) {
    auto file = std::make_shared<std::string>();
    CLI::App* command = app.add_subcommand(
        "make-or-buy",
        "Whether a home feed is worth making, with time, losses and equipment counted");
    command->add_option("venture", *file, "Venture file (JSON)")->required()->type_name("VENTURE");
    add_common_options(*command, context);
    command->callback(
        [file, &context, &chosen] { chosen = [file, &context] { return run(*file, context); }; });
}

}  // namespace feedwright::cli
