// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "report/mix/compare.hpp"
#include "tasks/compare.hpp"
#include "tasks/recipe.hpp"

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

namespace feedwright::cli {

namespace {

struct Request {
    std::vector<std::string> recipes;
    JobOptions options;
};

ExitStatus compare(const Request& request, Context& context) {
    const std::vector<tasks::ComparedRecipe> recipes =
        tasks::compare(request.options.source({}), request.recipes, context.library());
    std::vector<std::string> inputs;
    bool passes = true;
    for (const tasks::ComparedRecipe& recipe : recipes) {
        for (const std::string& input : recipe.checked.recipe.inputs) {
            if (std::find(inputs.begin(), inputs.end(), input) == inputs.end())
                inputs.push_back(input);
        }
        passes = passes && recipe.checked.check.passes;
    }
    const report::Run about = context.run(inputs, request.options.settings());
    context.show([&] { return report::comparison_document(recipes); },
                 [&] { return report::comparison_json(recipes, about); });
    return passes ? ExitStatus::success : ExitStatus::short_of;
}

ExitStatus run(const Request& request, Context& context) {
    if (request.recipes.size() > 1) return compare(request, context);
    const tasks::Checked result =
        tasks::check(request.options.source(request.recipes.front()), context.library());
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
    command.add({required({"recipe", &request->recipes, "RECIPE",
                           "Recipe: JSON, or CSV ingredient,amount[,price] with --for; of several, "
                           "each is compared with the first"})});
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
