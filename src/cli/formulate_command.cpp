// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "base/number.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/overwrite.hpp"
#include "cli/search_options.hpp"
#include "cli/weigh_options.hpp"
#include "cli/what_if_options.hpp"
#include "report/mix/curve_report.hpp"
#include "report/mix/square.hpp"
#include "report/mix/sure_curve_report.hpp"
#include "report/mix/what_if.hpp"
#include "report/weighing/weighing_report.hpp"
#include "tasks/formulate.hpp"
#include "tasks/square.hpp"
#include "tasks/sure_curve.hpp"

#include <algorithm>
#include <iostream>
#include <memory>

namespace feedwright::cli {

namespace {

struct Request {
    std::vector<std::string> words;  ///< a job, or with --protein two ingredients
    std::string job;
    std::string protein;
    std::string at_most;
    std::string curve;
    bool sure_curve = false;
    std::string save;
    JobOptions options;
    SearchOptions search;
    WeighOptions weigh;
    WhatIfOptions what_if;
};

tasks::FormulateRequest asked(const Request& request) {
    tasks::FormulateRequest asked{request.options.source(request.job), request.search.solve()};
    job::ReadOptions& options = asked.job.options;
    if (!request.at_most.empty()) options.at_most = whole_number(request.at_most, 1, "--at-most");
    if (request.job.empty() && (!options.profile || !options.prices)) {
        throw UsageError(
            "formulate", "no job", "a job file, or both --for PROFILE and --prices FILE",
            "For example: feedwright formulate --for nile-tilapia/grow-out --prices prices.csv");
    }
    return asked;
}

// What a report says of a run that answered `job`.
report::Run about(const Request& request, const job::Job& job, const Context& context) {
    Settings list = request.options.settings(job);
    if (!request.at_most.empty()) list.emplace_back("at_most", request.at_most);
    if (!request.curve.empty()) list.emplace_back("curve", request.curve);
    if (request.sure_curve) list.emplace_back("sure_curve", "true");
    append(list, request.weigh.settings());
    append(list, request.search.settings());
    if (request.what_if.each()) list.emplace_back("without", "each");
    return context.run(job.inputs, std::move(list));
}

ExitStatus show_curve(const Request& request, Context& context, catalog::Library& library) {
    const tasks::CurveOf result = tasks::curve({asked(request), request.curve}, library);
    const report::Run run = about(request, result.job, context);
    context.show([&] { return report::curve_document(result.job, result.curve); },
                 [&] { return report::curve_json(result.job, result.curve, run); });
    const auto& points = result.curve.points;
    const bool any = std::any_of(points.begin(), points.end(),
                                 [](const auto& point) { return point.cost_per_kg.has_value(); });
    return any ? ExitStatus::success : ExitStatus::no_mix;
}

ExitStatus show_sure_curve(const Request& request, Context& context, catalog::Library& library) {
    const tasks::SureCurve result = tasks::sure_curve(asked(request), library);
    const report::Run run = about(request, result.job, context);
    context.show([&] { return report::sure_curve_document(result); },
                 [&] { return report::sure_curve_json(result, run); });
    const bool any = !result.points.empty() && result.points.front().cost_per_kg;
    return any ? ExitStatus::success : ExitStatus::no_mix;
}

ExitStatus show_what_if(const Request& request, Context& context, catalog::Library& library) {
    const tasks::WhatIf result =
        tasks::what_if({asked(request), request.what_if.changes()}, library);
    const report::Run run = about(request, result.job_before, context);
    context.show([&] { return report::what_if_document(result, run); },
                 [&] { return report::what_if_json(result, run); });
    return exit_status_of(result.after.status, !result.after.amounts.empty());
}

ExitStatus show_worth(const Request& request, Context& context, catalog::Library& library) {
    const tasks::WorthOfEach result =
        tasks::worth_of_each({asked(request), request.what_if.changes()}, library);
    const search::Formulation& mix = result.with_all;
    const report::Run run = about(request, result.job, context);
    if (mix.amounts.empty()) {
        // There is nothing to compare with: the answer is why.
        context.show([&] { return report::mix_document(result.job, mix, {}, run); },
                     [&] { return report::mix_json(result.job, mix, {}, run); });
        return exit_status_of(mix.status, false);
    }
    context.show([&] { return report::worth_document(result); },
                 [&] { return report::worth_json(result, run); });
    return ExitStatus::success;
}

ExitStatus show_mix(const Request& request, const tasks::Answer& answer, Context& context) {
    const report::Run run = about(request, answer.job, context);
    context.show([&] { return report::mix_document(answer.job, answer.mix, answer.cautions, run); },
                 [&] { return report::mix_json(answer.job, answer.mix, answer.cautions, run); });
    return exit_status_of(answer.mix.status, answer.has_mix());
}

ExitStatus show_weighed(const Request& request, Context& context, catalog::Library& library) {
    const tasks::Weighed result =
        tasks::weigh({asked(request), request.weigh.read(), request.weigh.sheet}, library);
    if (!result.weighing) return show_mix(request, result.exact, context);
    const job::Job& job = result.exact.job;
    const search::Weighing& weighing = *result.weighing;
    const search::NearWeighing* near = result.near ? &*result.near : nullptr;
    const auto& cautions = result.cautions;
    const report::Run run = about(request, job, context);
    if (result.plan) {
        context.show(
            [&] { return report::sheet_document(job, weighing, *result.plan, cautions); },
            [&] { return report::sheet_json(job, weighing, *result.plan, cautions, run); });
    } else {
        context.show([&] { return report::weighing_document(job, weighing, near, cautions, run); },
                     [&] { return report::weighing_json(job, weighing, near, cautions, run); });
    }
    return exit_status_of(weighing.status, !weighing.amounts.empty());
}

// Written before the answer, so that it is there when there is no mix, too.
void save_job(const Request& request, Context& context, catalog::Library& library) {
    if (request.what_if.asked()) {
        throw UsageError("--save", "it beside a question of what if", "one of the two",
                         "A job is saved as it is asked, without --set, --with, --without and "
                         "--weaken");
    }
    const tasks::FormulateRequest job = asked(request);
    save_question(request.save, tasks::job_file_of(job.job, library),
                  tasks::read_job(job.job, library).inputs, context.force,
                  "feedwright formulate " + request.save);
}

ExitStatus show_square(const Request& request, Context& context, catalog::Library& library) {
    std::string text = request.protein;
    if (text.ends_with('%')) text.pop_back();
    const auto protein = base::parse_finite(text);
    if (!protein || !(*protein > 0) || *protein > 100) {
        throw UsageError("--protein", '"' + request.protein + '"',
                         "crude protein of the mix, percent as fed above 0, such as 32");
    }
    const bool other = request.what_if.asked() || request.weigh.asked() || !request.curve.empty() ||
                       !request.save.empty() || !request.at_most.empty() ||
                       !request.options.profile.empty() || !request.options.prices.empty();
    if (other) {
        throw UsageError("--protein", "it beside another question", "--weight at most",
                         "It is for two ingredients alone; in a job crude_protein is a limit");
    }
    const tasks::Square square =
        tasks::square({request.words, *protein, request.options.source("").options}, library);
    Settings settings = request.options.settings();
    settings.emplace_back("protein", request.protein);
    const report::Run run = context.run(square.job.inputs, std::move(settings));
    context.show([&] { return report::square_document(square); },
                 [&] { return report::square_json(square, run); });
    return ExitStatus::success;
}

ExitStatus run(Request& request, Context& context) {
    catalog::Library& library = context.library();
    if (!request.protein.empty()) return show_square(request, context, library);
    if (request.words.size() > 1) {
        throw UsageError("formulate", '"' + request.words[1] + "\" behind the job", "one job",
                         "Two ingredients are mixed with --protein: formulate --protein 32 maize "
                         "soybean-meal-44");
    }
    if (!request.words.empty()) request.job = request.words.front();
    if (!request.save.empty()) save_job(request, context, library);
    if (request.what_if.asked()) {
        return request.what_if.each() ? show_worth(request, context, library)
                                      : show_what_if(request, context, library);
    }
    if (!request.curve.empty()) return show_curve(request, context, library);
    if (request.sure_curve) return show_sure_curve(request, context, library);
    if (request.weigh.asked()) return show_weighed(request, context, library);
    return show_mix(request, tasks::formulate(asked(request), library), context);
}

}  // namespace

Command formulate_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"formulate", "Find the cheapest mix that meets every limit"};
    command.add(
        {{"job", &request->words, "JOB",
          "Job file (JSON), or use --for and --prices; with --protein two ingredients, each "
          "as ID or ID@PRICE"}});
    request->options.add_to(command);
    command.add({
        {"--at-most", &request->at_most, "N", "Use at most N ingredients (default: no limit)",
         "What to meet"},
        {"--save", &request->save, "FILE",
         "Write the job with these options as a job file (JSON), to change and solve again",
         "What to meet"},
        {"--protein", &request->protein, "PERCENT",
         "Mix two ingredients for this crude protein, percent as fed, and explain how"},
        {"--curve", &request->curve, "ID",
         "Cost and safety margin by share of this ingredient, from none to its maximum"},
        {"--sure-curve", &request->sure_curve, "",
         "Cost by how sure each limit is, from 50 to 99.9 of 100 lots, and what an analysis of one "
         "lot saves"},
    });
    request->weigh.add_to(command);
    request->what_if.add_to(command);
    request->search.add_to(command);
    add_common_options(
        command, context,
        {"findings", "limits", "prices", "points", "analysis", "cautions", "sources"});
    command.examples = {"feedwright formulate examples/backyard-tilapia/job.json",
                        "feedwright formulate --for nile-tilapia/grow-out --prices prices.csv",
                        "feedwright formulate job.json --scale 5g --fine-scale 0.1g --sheet",
                        "feedwright formulate job.json --without fish-meal-65",
                        "feedwright formulate job.json --curve duckweed-dried",
                        "feedwright formulate --protein 32 maize soybean-meal-44@0.55",
                        "feedwright formulate job.json --sure-curve"};
    command.exits = {{0, "a mix was found, complete or not"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {3, "no mix can meet the limits; the result says why"},
                     {130, "interrupted; the best mix so far, if any, was printed"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
