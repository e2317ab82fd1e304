// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "limits/check.hpp"
#include "search/cheapest.hpp"

#include <memory>

namespace feedwright::cli {

namespace {

struct Request {
    std::string recipe;
    JobOptions options;
};

ExitStatus run(const Request& request, Context& context) {
    job::Job recipe = job::read_recipe(request.recipe, context.library(), request.options.read());
    if (request.options.strict) require_known(recipe, context.library());
    limits::Check result = limits::check(recipe);
    if (auto dried = search::at_common_moisture(recipe, result.assessment)) {
        recipe = std::move(*dried);
        result = limits::check(recipe);
    }
    const auto cautions =
        limits::cautions_for(recipe, result.amounts, context.library().cautions());
    const report::Run about = context.run(recipe.inputs, request.options.settings(recipe));
    context.show(report::check_document(recipe, result, cautions, about),
                 [&] { return report::check_json(recipe, result, cautions, about); });
    return result.passes ? ExitStatus::success : ExitStatus::short_of;
}

}  // namespace

Command check_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"check", "Hold a recipe against what the animal needs and tolerates"};
    command.add({recipe_word(request->recipe)});
    request->options.add_to(command);
    add_common_options(command, context);
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
