// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/venture_input.hpp"
#include "feedwright/base/text.hpp"
#include "feedwright/report/economics_reports.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <memory>

namespace feedwright::cli {

namespace {

// A plan names a species; "species/stage" is taken too, since every stage is in the species' file.
const catalog::Profile* find_species(const economics::Plan& plan, Context& context) {
    if (plan.species.empty()) return nullptr;
    const std::string species = plan.species.substr(0, plan.species.find('/'));
    const catalog::Profile* profile = context.library().profile(species);
    if (profile == nullptr) {
        throw base::DataError(base::Diagnostic{
            plan.file, "/profile", fmt::format("\"{}\"", plan.species), "a species of the library",
            base::did_you_mean(species, context.library().species())});
    }
    return profile;
}

ExitStatus run(const std::string& file, Context& context) {
    const economics::Plan plan = economics::load_plan(file);
    economics::PlanContext known;
    known.profile = find_species(plan, context);
    std::vector<std::string> inputs{file};
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
    const report::Run about = context.run(inputs, {});
    context.show(report::plan_document(result, about),
                 [&] { return report::plan_json(result, about); });
    return ExitStatus::success;
}

}  // namespace

void add_plan(CLI::App& app, Context& context, Action& chosen) {
    auto file = std::make_shared<std::string>();
    CLI::App* command =
        app.add_subcommand("plan", "Growth, feed, batches and shopping from stocking to harvest");
    command->add_option("plan", *file, "Plan file (JSON)")->required()->type_name("PLAN");
    add_common_options(*command, context);
    command->callback(
        [file, &context, &chosen] { chosen = [file, &context] { return run(*file, context); }; });
}

}  // namespace feedwright::cli
