// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/search_options.hpp"
#include "report/economics/season_report.hpp"
#include "tasks/season.hpp"

#include <memory>

namespace feedwright::cli {

namespace {

ExitStatus run(const std::string& file, Context& context) {
    const tasks::SeasonOf result = tasks::season({file}, context.library());
    const report::Run about = context.run(result.inputs, {});
    context.show([&] { return report::season_document(result, about); },
                 [&] { return report::season_json(result, about); });
    return exit_status_of(result.plan.status, false);
}

}  // namespace

Command season_command(Context& context) {
    auto file = std::make_shared<std::string>();
    Command command{"season",
                    "What to make, grow, store and buy for several animals over several periods"};
    command.add({required({"season", file.get(), "SEASON", "Season file (JSON)"})});
    add_common_options(
        command, context,
        {"findings", "cautions", "feeds", "cost", "worth", "stock", "shopping", "recipes"});
    command.examples = {"feedwright season examples/tank-and-hens/season.json",
                        "feedwright season season.json --show stock,recipes",
                        "feedwright season season.json --as json -o result.json"};
    command.exits = {{0, "a plan was found"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {3, "not all animals can be fed"}};
    command.run = [file, &context] { return run(*file, context); };
    return command;
}

}  // namespace feedwright::cli
