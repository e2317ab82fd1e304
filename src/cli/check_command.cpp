// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "tasks/recipe.hpp"

#include <memory>

namespace feedwright::cli {

namespace {

struct Request {
    std::string recipe;
    JobOptions options;
};

ExitStatus run(const Request& request, Context& context) {
    const tasks::Checked result =
        tasks::check(request.options.source(request.recipe), context.library());
    const job::Job& recipe = result.recipe;
    const report::Run about = context.run(recipe.inputs, request.options.settings(recipe));
    context.show(
        [&] { return report::check_document(recipe, result.check, result.cautions, about); },
        [&] { return report::check_json(recipe, result.check, result.cautions, about); });
    return result.check.passes ? ExitStatus::success : ExitStatus::short_of;
}

}  // namespace

Command check_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"check", "Check a recipe against an animal's requirements"};
    command.add({recipe_word(request->recipe)});
    request->options.add_to(command);
    add_common_options(command, context, {"findings", "limits", "analysis", "cautions", "sources"});
    command.examples = {"feedwright check recipe.csv --for nile-tilapia/grow-out",
                        "feedwright check recipe.json --show limits,analysis"};
    command.exits = {{0, "the recipe passes"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {4, "the recipe fails, or is unsafe"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
