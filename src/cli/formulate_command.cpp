// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/search_options.hpp"
#include "cli/weigh_options.hpp"
#include "cli/what_if.hpp"
#include "report/mix/curve_report.hpp"
#include "search/cheapest.hpp"
#include "search/curve.hpp"
#include "search/explain.hpp"

#include <algorithm>
#include <memory>

namespace feedwright::cli {

namespace {

struct Request {
    std::string job;
    std::string at_most;
    std::string curve;
    JobOptions options;
    SearchOptions search;
    WeighOptions weigh;
    WhatIfOptions what_if;
};

job::Job read(const Request& request, Context& context, std::vector<job::Extra> with,
              std::vector<job::Restated> restated) {
    job::ReadOptions options = request.options.read();
    options.with = std::move(with);
    options.restated = std::move(restated);
    if (!request.at_most.empty()) options.at_most = whole_number(request.at_most, 1, "--at-most");
    if (!request.job.empty()) return job::read_job(request.job, context.library(), options);
    if (!options.profile || !options.prices) {
        throw UsageError(base::Diagnostic{
            "", "formulate", "no job", "a job file, or both --for PROFILE and --prices FILE",
            "For example: feedwright formulate --for nile-tilapia/grow-out --prices prices.csv"});
    }
    return job::job_from_prices(context.library(), options);
}

std::vector<std::pair<std::string, std::string>> settings(const Request& request,
                                                          const job::Job& job) {
    auto list = request.options.settings(job);
    if (!request.at_most.empty()) list.emplace_back("at_most", request.at_most);
    if (!request.curve.empty()) list.emplace_back("curve", request.curve);
    for (auto& item : request.weigh.settings())
        list.push_back(std::move(item));
    for (auto& item : request.search.settings())
        list.push_back(std::move(item));
    for (auto& item : request.what_if.settings())
        list.push_back(std::move(item));
    return list;
}

ExitStatus show_curve(const job::Job& job, const Request& request, Context& context) {
    if (job.find(request.curve) == nullptr) {
        throw UsageError(base::Diagnostic{"", "--curve", '"' + request.curve + '"',
                                          "an ingredient of the job",
                                          base::did_you_mean(request.curve, job.ingredient_ids())});
    }
    const search::Curve curve =
        search::inclusion_curve(job, request.curve, 20, request.search.solve());
    const report::Run about = context.run(job.inputs, settings(request, job));
    context.show(report::curve_document(job, curve),
                 [&] { return report::curve_json(job, curve, about); });
    const bool any = std::any_of(curve.points.begin(), curve.points.end(),
                                 [](const auto& point) { return point.cost_per_kg.has_value(); });
    return any ? ExitStatus::success : ExitStatus::no_mix;
}

ExitStatus run(const Request& request, Context& context) {
    const ReadJob plain = [&](auto with, auto restated) {
        return read(request, context, std::move(with), std::move(restated));
    };
    // What the user named is held to what the user asked of it.
    const ReadJob read_job = [&](auto with, auto restated) {
        job::Job job = plain(std::move(with), std::move(restated));
        if (request.options.strict) require_known(job, context.library());
        return search::settle(std::move(job));
    };
    const lp::SolveOptions solve = request.search.solve();
    if (request.what_if.asked()) {
        return show_what_if(request.what_if, read_job, solve, settings(request, {}), context);
    }
    job::Job job = read_job({}, {});
    if (!request.curve.empty()) return show_curve(job, request, context);
    search::FeedProgram model = search::cheapest_program(job);
    search::Formulation result = search::formulate(job, model, solve);
    if (auto dried = search::at_common_moisture(job, result.assessment)) {
        job = search::settle(std::move(*dried));
        model = search::cheapest_program(job);
        result = search::formulate(job, model, solve);
    }
    const bool has_mix = !result.amounts.empty();
    const report::Run about = context.run(job.inputs, settings(request, job));
    if (has_mix && request.weigh.asked()) {
        return show_weighing(job, result, request.weigh, solve, about, context);
    }
    explain(job, model, plain, request.options.strict, solve, context, result);
    std::vector<limits::CautionResult> cautions;
    if (has_mix) {
        cautions = limits::cautions_for(job, result.amounts, context.library().cautions());
    }
    context.show(report::mix_document(job, result, cautions, about),
                 [&] { return report::mix_json(job, result, cautions, about); });
    return exit_status_of(result.status, has_mix);
}

}  // namespace

Command formulate_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"formulate", "Find the cheapest mix that meets every limit"};
    command.add({{"job", &request->job, "JOB", "Job file (JSON); or use --for and --prices"}});
    request->options.add_to(command);
    command.add({
        {"--at-most", &request->at_most, "N", "Use at most N ingredients", "What to meet"},
        {"--curve", &request->curve, "ID",
         "Cost and room against the share of this ingredient, from none to its cap"},
    });
    request->weigh.add_to(command);
    request->what_if.add_to(command);
    request->search.add_to(command);
    add_common_options(command, context);
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
