// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/venture_input.hpp"
#include "report/economics/economics_reports.hpp"

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
