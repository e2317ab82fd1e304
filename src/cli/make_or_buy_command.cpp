// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/overwrite.hpp"
#include "cli/search_options.hpp"
#include "cli/venture_options.hpp"
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

struct Request {
    std::string file;
    std::string save;
    VentureOptions options;
};

ExitStatus run(const Request& request, Context& context) {
    if (request.file.empty() != request.options.given()) {
        throw UsageError("make-or-buy",
                         request.file.empty() ? "no venture" : "a file and options of a venture",
                         "a venture file, or --materials, --weight, --bag, --gain and what else "
                         "describes one");
    }
    tasks::VentureSource source{request.file, {}};
    if (request.file.empty()) source.text = request.options.venture();
    if (!request.save.empty()) {
        if (!request.file.empty())
            throw UsageError("--save", "it beside a file", "the options that describe a venture");
        save_question(request.save, source.text, {}, context.force,
                      "feedwright make-or-buy " + request.save);
    }
    const tasks::MakeOrBuy result = tasks::make_or_buy(source, context.library());
    if (result.unsolved) return show_unsolved(*result.unsolved, result.inputs, context);
    const report::Run about = context.run(result.inputs, request.options.settings());
    context.show([&] { return report::venture_document(result.result, about, result.home); },
                 [&] { return report::venture_json(result.result, about, result.home); });
    return ExitStatus::success;
}

}  // namespace

Command make_or_buy_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{
        "make-or-buy",
        "Compare the cost of making a feed with buying one, time and equipment included"};
    command.add({{"venture", &request->file, "VENTURE", "Venture file (JSON)"}});
    request->options.add_to(command);
    command.add({{"--save", &request->save, "FILE",
                  "Write these options as a venture file (JSON), to add to and use again",
                  "In place of a file"}});
    add_common_options(command, context,
                       {"findings", "uncertainty", "grown", "label", "notes", "sources"});
    command.examples = {"feedwright make-or-buy examples/back-garden-tank/venture.json",
                        "feedwright make-or-buy venture.json --show uncertainty",
                        "feedwright make-or-buy --materials 0.62 --weight 25kg --hours 3 "
                        "--hour-value 2 --bag \"24.5 per 20 kg\" --home-fcr 1.6,1.9,2.4 "
                        "--bought-fcr 1.6 --gain 300"};
    command.exits = {{0, "the two were compared"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {3, "no mix can meet the limits of the job"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
