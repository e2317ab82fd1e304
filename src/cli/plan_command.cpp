// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/overwrite.hpp"
#include "cli/plan_options.hpp"
#include "report/economics/economics_reports.hpp"
#include "tasks/economics.hpp"

#include <memory>

namespace feedwright::cli {

namespace {

struct Request {
    std::string file;
    std::string save;
    PlanOptions options;
};

ExitStatus run(const Request& request, Context& context) {
    const PlanOptions& options = request.options;
    if (request.file.empty() != options.given()) {
        throw UsageError(
            "plan", request.file.empty() ? "no plan" : "a file and options of a plan",
            "a plan file, or --for, --count, --start, --target and what else describes one");
    }
    tasks::PlanRequest asked{request.file, {}};
    if (request.file.empty()) {
        asked.plan =
            options.plan(tasks::species_of_plan(options.species, "", "--for", context.library()));
    }
    if (!request.save.empty()) {
        if (!request.file.empty())
            throw UsageError("--save", "it beside a file", "the options that describe a plan");
        save_question(request.save, options.file(asked.plan), {}, context.force,
                      "feedwright plan " + request.save);
    }
    const tasks::Planned result = tasks::plan(asked, context.library());
    if (result.unsolved) return show_unsolved(*result.unsolved, result.inputs, context);
    const report::Run about = context.run(result.inputs, options.settings());
    context.show([&] { return report::plan_document(result.result, about, result.home); },
                 [&] { return report::plan_json(result.result, about, result.home); });
    return ExitStatus::success;
}

}  // namespace

Command plan_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"plan", "Growth, feed, batches and shopping from stocking to harvest"};
    command.add({{"plan", &request->file, "PLAN", "Plan file (JSON)"}});
    request->options.add_to(command);
    command.add({{"--save", &request->save, "FILE",
                  "Write these options as a plan file (JSON), to add to and use again",
                  "In place of a file"}});
    add_common_options(command, context,
                       {"findings", "schedule", "shopping", "batches", "sources"});
    command.examples = {"feedwright plan examples/back-garden-tank/plan.json",
                        "feedwright plan --for nile-tilapia --count 120 --start 5g --target 200g "
                        "--temperature 27C"};
    command.exits = {{0, "the plan was made"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {3, "no mix can meet the limits of the job"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
