// SPDX-License-Identifier: GPL-3.0-or-later
#include <memory>

#include <CLI/CLI.hpp>

#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/search_options.hpp"
#include "cli/weigh_options.hpp"
#include "feedwright/formulate/explain.hpp"
#include "feedwright/formulate/formulate.hpp"

namespace feedwright::cli {

namespace {

struct Request {
    std::string job;
    std::string at_most;
    JobOptions options;
    SearchOptions search;
    WeighOptions weigh;
};

job::Job read(const Request& request, Context& context) {
    job::ReadOptions options = request.options.read();
    if (!request.at_most.empty()) options.at_most = whole_number(request.at_most, 1, "--at-most");
    if (!request.job.empty()) return job::read_job(request.job, context.library(), options);
    if (!options.profile || !options.prices) {
        throw UsageError(base::Diagnostic{
            "", "formulate", "no job", "a job file, or both --for PROFILE and --prices FILE",
            "For example: feedwright formulate --for nile-tilapia/grow-out --prices prices.csv"});
    }
    return job::job_from_prices(context.library(), options);
}

std::vector<std::pair<std::string, std::string>> settings(const Request& request) {
    auto list = request.options.settings();
    if (!request.at_most.empty()) list.emplace_back("at_most", request.at_most);
    for (auto& item : request.weigh.settings()) list.push_back(std::move(item));
    for (auto& item : request.search.settings()) list.push_back(std::move(item));
    return list;
}

ExitStatus run(const Request& request, Context& context) {
    const job::Job job = read(request, context);
    if (request.options.strict) require_known(job, formulate::limits_of(job));
    const lp::SolveOptions solve = request.search.solve();
    formulate::Formulation result = formulate::formulate(job, solve);
    const bool has_mix = !result.amounts.empty();
    const report::Run about = context.run(job.inputs, settings(request));
    if (has_mix && request.weigh.asked()) {
        return show_weighing(job, result, request.weigh, solve, about, context);
    }
    formulate::explain_optimum(job, result);
    std::vector<formulate::CautionResult> cautions;
    if (has_mix) {
        cautions = formulate::cautions_for(job, result.amounts, context.library().cautions());
    }
    context.show(report::mix_document(job, result, cautions, about),
                 [&] { return report::mix_json(job, result, cautions, about); });
    return exit_status_of(result.status, has_mix);
}

}  // namespace

void add_formulate(CLI::App& app, Context& context, Action& chosen) {
    auto request = std::make_shared<Request>();
    CLI::App* command = app.add_subcommand("formulate", "Find the cheapest mix that meets every limit");
    command->add_option("job", request->job, "Job file (JSON); or use --for and --prices")
        ->type_name("JOB");
    request->options.add_to(*command);
    command->add_option("--at-most", request->at_most, "Use at most N ingredients")
        ->type_name("N")
        ->group("What to meet");
    request->weigh.add_to(*command);
    request->search.add_to(*command);
    add_common_options(*command, context);
    command->callback([request, &context, &chosen] {
        chosen = [request, &context] { return run(*request, context); };
    });
}

}  // namespace feedwright::cli
