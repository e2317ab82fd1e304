// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/overwrite.hpp"
#include "cli/search_options.hpp"
#include "cli/season_options.hpp"
#include "report/economics/season_report.hpp"
#include "tasks/season.hpp"

#include <memory>

namespace feedwright::cli {

namespace {

struct Request {
    std::string file;
    std::string save;
    SeasonOptions options;
};

ExitStatus run(const Request& request, Context& context) {
    if (request.file.empty() != request.options.given()) {
        throw UsageError("season",
                         request.file.empty() ? "no season" : "a file and options of a season",
                         "a season file, or --for, --periods, --feed, --prices and what else "
                         "describes one");
    }
    tasks::SeasonRequest asked{request.file, {}, {}};
    if (request.file.empty()) asked.text = request.options.season();
    if (!request.save.empty()) {
        if (!request.file.empty())
            throw UsageError("--save", "it beside a file", "the options that describe a season");
        save_question(request.save, asked.text, {request.options.prices}, context.force,
                      "feedwright season " + request.save);
    }
    const tasks::SeasonOf result = tasks::season(asked, context.library());
    std::vector<std::string> inputs = result.inputs;
    if (!request.options.prices.empty()) inputs.push_back(request.options.prices);
    const report::Run about = context.run(inputs, request.options.settings());
    context.show([&] { return report::season_document(result, about); },
                 [&] { return report::season_json(result, about); });
    return exit_status_of(result.plan.status, false);
}

}  // namespace

Command season_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"season",
                    "What to make, grow, store and buy for several animals over several periods"};
    command.add({{"season", &request->file, "SEASON", "Season file (JSON)"}});
    request->options.add_to(command);
    command.add({{"--save", &request->save, "FILE",
                  "Write these options as a season file (JSON), to add to and use again",
                  "In place of a file"}});
    add_common_options(
        command, context,
        {"findings", "cautions", "feeds", "cost", "worth", "stock", "shopping", "recipes"});
    command.examples = {"feedwright season examples/tank-and-hens/season.json",
                        "feedwright season season.json --show stock,recipes",
                        "feedwright season --for laying-hen/lay --feed 86 --periods 6 --prices "
                        "prices.csv --bag \"21 per 50 lb\" --hours 6 --hours-per-kg 0.08"};
    command.exits = {{0, "a plan was found"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {3, "not all animals can be fed"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
