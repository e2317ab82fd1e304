// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/plan_options.hpp"
#include "cli/venture_input.hpp"
#include "report/economics/economics_reports.hpp"

#include <fmt/format.h>

#include <memory>

namespace feedwright::cli {

namespace {

// A plan names a species; "species/stage" is taken too, since every stage is in the species' file.
const catalog::Profile* find_species(const std::string& name, const std::string& file,
                                     const std::string& place, Context& context) {
    if (name.empty()) return nullptr;
    const std::string species = name.substr(0, name.find('/'));
    const catalog::Profile* profile = context.library().profile(species);
    if (profile == nullptr) {
        throw base::DataError(
            base::Diagnostic{file, place, fmt::format("\"{}\"", name), "a species of the library",
                             base::did_you_mean(species, context.library().species())});
    }
    return profile;
}

struct Request {
    std::string file;
    PlanOptions options;
};

ExitStatus run(const Request& request, Context& context) {
    const std::string& file = request.file;
    if (file.empty() != request.options.given()) {
        throw UsageError(
            "plan", file.empty() ? "no plan" : "a file and options of a plan",
            "a plan file, or --for, --count, --start, --target and what else describes one");
    }
    economics::Plan plan;
    economics::PlanContext known;
    std::vector<std::string> inputs;
    if (file.empty()) {
        known.profile = find_species(request.options.species, "", "--for", context);
        plan = request.options.plan(known.profile);
    } else {
        plan = economics::load_plan(file);
        known.profile = find_species(plan.species, file, "/profile", context);
        inputs.push_back(file);
    }
    if (!plan.venture_file.empty()) {
        PricedVenture priced = price_venture(plan.venture_file, context);
        if (priced.unsolved) return show_unsolved(priced, context);
        inputs.insert(inputs.end(), priced.inputs.begin(), priced.inputs.end());
        known.venture = std::move(priced.venture);
        known.mix = std::move(priced.mix);
        known.short_of = std::move(priced.context.short_of);
        known.keeping = std::move(priced.context.keeping);
    }
    const economics::PlanResult result = economics::work_out(plan, known);
    const report::Run about = context.run(inputs, request.options.settings());
    context.show(report::plan_document(result, about),
                 [&] { return report::plan_json(result, about); });
    return ExitStatus::success;
}

}  // namespace

Command plan_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"plan", "Growth, feed, batches and shopping from stocking to harvest"};
    command.add({{"plan", &request->file, "PLAN", "Plan file (JSON)"}});
    request->options.add_to(command);
    add_common_options(command, context);
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
