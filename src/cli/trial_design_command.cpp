// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "base/text.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/overwrite.hpp"
#include "cli/search_options.hpp"
#include "cli/weigh_options.hpp"
#include "job/edit.hpp"
#include "report/trial/design_report.hpp"
#include "tasks/reading.hpp"
#include "tasks/trial.hpp"

#include <fmt/format.h>

#include <memory>
#include <optional>
#include <set>

namespace feedwright::cli {

namespace {

struct Request {
    std::string job;
    std::string test;
    std::string reference;
    std::vector<std::string> levels;
    std::vector<std::string> equal;
    std::vector<std::string> with;
    std::string tanks = "3";
    std::string blocks = "0";
    std::string seed = "1";
    std::string cv;
    std::string pilot;
    std::string save;
    JobOptions options;
    WeighOptions weigh;
    SearchOptions search;
};

double percent(const std::string& text, const char* option, double most) {
    const auto value = base::parse_finite(text);
    if (!value || *value < 0 || *value > most) {
        throw UsageError(option, '"' + text + '"', "percent from 0 to " + base::compact(most, 4));
    }
    return *value;
}

// Level 0 is the control, which is always there.
std::vector<double> levels_of(const Request& request) {
    std::set<double> levels;
    for (const std::string& text : request.levels) {
        const double level = percent(text, "--levels", 100);
        if (level > 0) levels.insert(level);
    }
    if (levels.empty())
        throw UsageError("--levels", "no level above 0", "at least one, such as 0,10,20,40");
    return {levels.begin(), levels.end()};
}

std::optional<double> given_cv(const Request& request) {
    if (request.cv.empty()) return std::nullopt;
    if (!request.pilot.empty()) {
        throw UsageError("--cv", "it together with --pilot", "one of them",
                         "Both say how much tanks on one diet vary");
    }
    const double cv = percent(request.cv, "--cv", 200);
    if (cv == 0) throw UsageError("--cv", "0", "percent above 0", "Tanks always vary");
    return cv;
}

tasks::TrialDesignRequest asked(const Request& request) {
    tasks::TrialDesignRequest asked;
    asked.tanks = whole_number(request.tanks, 2, "--tanks");
    asked.blocks = whole_number(request.blocks, 0, "--blocks");
    asked.seed = static_cast<std::uint64_t>(whole_number(request.seed, 0, "--seed"));
    if (asked.blocks > 0 && asked.tanks % asked.blocks != 0) {
        throw UsageError("--blocks", std::to_string(asked.blocks),
                         fmt::format("a number that divides the {} tanks of a diet", asked.tanks));
    }
    asked.cv_percent = given_cv(request);
    asked.pilot = request.pilot;
    asked.job = {request.options.source(request.job), request.search.solve()};
    job::ReadOptions& options = asked.job.job.options;
    for (const std::string& text : request.with)
        options.with.push_back(job::parse_extra(text));
    if (request.job.empty() && (!options.profile || (!options.prices && options.with.empty()))) {
        throw UsageError(
            "trial design", "no job",
            "a job file, or --for PROFILE with --prices FILE or --with INGREDIENT@PRICE",
            "For example: feedwright trial design --for nile-tilapia/grow-out --prices "
            "prices.csv --test duckweed-dried --reference soybean-meal-44 --levels 20");
    }
    asked.test = request.test;
    asked.reference = request.reference;
    asked.levels = levels_of(request);
    asked.equal = request.equal;
    asked.scale = request.weigh.read();
    asked.sheets = request.weigh.sheet;
    return asked;
}

ExitStatus run(const Request& request, Context& context) {
    const tasks::TrialDesignRequest question = asked(request);
    if (!request.save.empty()) {
        const tasks::JobSource& job = question.job.job;
        save_question(request.save, tasks::job_file_of(job, context.library()),
                      tasks::read_job(job, context.library()).inputs, context.force,
                      "feedwright trial design " + request.save + " --test " + request.test +
                          " --reference " + request.reference);
    }
    const tasks::TrialDesign design = tasks::design_trial(question, context.library());
    Settings settings = request.options.settings(design.job);
    append(settings, {{"test", request.test},
                      {"reference", request.reference},
                      {"tanks", request.tanks},
                      {"blocks", request.blocks},
                      {"seed", request.seed}});
    if (!request.with.empty()) settings.emplace_back("with", base::join_words(request.with));
    append(settings, request.weigh.settings());
    append(settings, request.search.settings());
    const report::Run about = context.run(design.job.inputs, std::move(settings));
    context.show([&] { return report::design_document(design, about); },
                 [&] { return report::design_json(design, about); });
    return design.whole ? ExitStatus::success : ExitStatus::no_mix;
}

}  // namespace

Command trial_design_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"design",
                    "Formulate a control and a series of diets equal in protein, with a tank plan"};
    const char* what = "What to test";
    const char* tanks = "Tanks";
    command.add({
        {"job", &request->job, "JOB", "Job file (JSON); or use --for with --prices or --with"},
        required({"--test", &request->test, "ID", "Ingredient to test", what}),
        required({"--reference", &request->reference, "ID", "Ingredient whose protein it replaces",
                  what}),
        required(listed(
            {"--levels", &request->levels, "LIST",
             "Percent of that protein to replace, such as 10,20,40; a control is always added",
             what})),
        listed({"--equal", &request->equal, "LIST",
                "Nutrients that are equal in all diets, besides crude protein: "
                "crude_lipid,digestible_energy",
                what}),
        {"--tanks", &request->tanks, "N", "Tanks per diet (default: 3)", tanks},
        {"--blocks", &request->blocks, "N",
         "Blocks that each contain every diet (default: 0, none)", tanks},
        {"--seed", &request->seed, "N", "Seed of the random tank plan (default: 1)", tanks},
        {"--cv", &request->cv, "PERCENT",
         "Coefficient of variation between tanks of one diet, percent; gives the number of tanks",
         tanks},
        {"--pilot", &request->pilot, "DATA.csv", "Take --cv from the growth in this trial's data",
         tanks},
    });
    request->options.add_to(command);
    command.add({repeated({"--with", &request->with, "INGREDIENT@PRICE",
                           "Ingredient of the library at this price per kg; may be repeated",
                           "What to meet"})});
    command.add(
        {{"--save", &request->save, "FILE",
          "Write the job with these options as a job file (JSON), to use again", "What to meet"}});
    request->weigh.add_to(command);
    request->search.add_to(command);
    add_common_options(command, context, {"findings", "diets"});
    command.examples = {
        "feedwright trial design job.json --test duckweed-dried --reference soybean-meal-44 "
        "--levels 10,20,30",
        "feedwright trial design --for nile-tilapia/grow-out --prices prices.csv "
        "--test duckweed-dried --reference soybean-meal-44 --levels 20"};
    command.exits = {{0, "the diets were made"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {3, "a diet cannot be made"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
