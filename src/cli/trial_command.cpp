// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "report/trial/trial_report.hpp"
#include "tasks/trial.hpp"

#include <memory>

namespace feedwright::cli {

namespace {

struct AnalyseRequest {
    std::string file;
    std::string group;
    std::string response;
    std::string control;
    std::string confidence = "95";
    bool keep_outlying = false;
};

trial::Options options_of(const AnalyseRequest& request) {
    trial::Options options;
    options.control = request.control;
    options.keep_outlying = request.keep_outlying;
    const auto percent = base::parse_finite(request.confidence);
    if (!percent || *percent < 50 || *percent > 99.9) {
        throw UsageError("--confidence", '"' + request.confidence + '"', "percent from 50 to 99.9");
    }
    options.confidence = *percent / 100;
    return options;
}

ExitStatus run_analyse(const AnalyseRequest& request, Context& context) {
    if (request.group.empty() != request.response.empty()) {
        throw UsageError(request.group.empty() ? "--response" : "--group", "it alone",
                         "--group and --response together");
    }
    const trial::AnalysisResult result =
        tasks::analyse_trial({request.file, request.group, request.response, options_of(request)});
    Settings settings;
    if (!request.group.empty()) settings.emplace_back("group", request.group);
    if (!request.control.empty()) settings.emplace_back("control", request.control);
    if (request.keep_outlying) settings.emplace_back("keep_outlying", "yes");
    const report::Run about = context.run({request.file}, std::move(settings));
    context.show([&] { return report::trial_document(result, about); },
                 [&] { return report::trial_json(result, about); });
    return ExitStatus::success;
}

Command analyse_command(Context& context) {
    auto request = std::make_shared<AnalyseRequest>();
    Command command{"analyse", "Analyse a feeding trial from a table with one row per tank"};
    const char* group = "What to compare";
    command.add({
        required({"data", &request->file, "DATA.csv",
                  "CSV table with one row per tank; docs/formats.md lists the columns"}),
        {"--control", &request->control, "NAME", "Diet that the others are compared with", group},
        {"--group", &request->group, "COLUMN",
         "For a table of another kind: column with the groups; needs --response", group},
        {"--response", &request->response, "COLUMN", "Column with the numbers to compare", group},
        {"--confidence", &request->confidence, "PERCENT",
         "Confidence of the limits, percent (default: 95)", group},
        {"--keep-outlying", &request->keep_outlying, "",
         "Count numbers that are far from the others; without it they withhold the conclusion",
         group},
    });
    add_common_options(command, context, {"means", "responses", "tanks"});
    command.examples = {"feedwright trial analyse trial.csv",
                        "feedwright trial analyse trial.csv --control soya --show means,responses",
                        "feedwright trial analyse weights.csv --group feed --response weight"};
    command.exits = {{0, "the trial was analysed"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"}};
    command.run = [request, &context] { return run_analyse(*request, context); };
    return command;
}

}  // namespace

Command trial_command(Context& context) {
    Command command{"trial", "Design and analyse a feeding trial"};
    command.commands = {trial_design_command(context), analyse_command(context)};
    return command;
}

}  // namespace feedwright::cli
