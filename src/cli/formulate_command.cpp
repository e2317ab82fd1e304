// SPDX-License-Identifier: GPL-3.0-or-later
#include <memory>

#include <CLI/CLI.hpp>

#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "feedwright/formulate/formulate.hpp"

namespace feedwright::cli {

namespace {

struct Request {
    std::string job;
    JobOptions options;
};

job::Job read(const Request& request, Context& context) {
    const job::ReadOptions options = request.options.read();
    if (!request.job.empty()) return job::read_job(request.job, context.library(), options);
    if (!options.profile || !options.prices) {
        throw UsageError(
            "formulate needs a job file, or both --for PROFILE and --prices FILE; for example\n"
            "  feedwright formulate --for nile-tilapia/grow-out --prices prices.csv");
    }
    return job::job_from_prices(context.library(), options);
}

ExitStatus run(const Request& request, Context& context) {
    const job::Job job = read(request, context);
    if (request.options.strict) require_known(job, formulate::limits_of(job));
    const formulate::Formulation result = formulate::formulate(job);
    std::vector<formulate::CautionResult> cautions;
    if (result.status == lp::Status::optimal) {
        cautions = formulate::cautions_for(job, result.amounts, context.library().cautions());
    }
    const report::Run about = context.run(job.inputs, request.options.settings());
    context.show(report::mix_document(job, result, cautions, about),
                 [&] { return report::mix_json(job, result, cautions, about); });
    switch (result.status) {
        case lp::Status::optimal: return ExitStatus::success;
        case lp::Status::infeasible:
        case lp::Status::unbounded: return ExitStatus::no_mix;
        case lp::Status::limit:
        case lp::Status::failed: break;
    }
    return ExitStatus::data_error;
}

}  // namespace

void add_formulate(CLI::App& app, Context& context, Action& chosen) {
    auto request = std::make_shared<Request>();
    CLI::App* command = app.add_subcommand("formulate", "Find the cheapest mix that meets every limit");
    command->add_option("job", request->job, "Job file (JSON); or use --for and --prices")
        ->type_name("JOB");
    request->options.add_to(*command);
    add_common_options(*command, context);
    command->callback([request, &context, &chosen] {
        chosen = [request, &context] { return run(*request, context); };
    });
}

}  // namespace feedwright::cli
