// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/search_options.hpp"
#include "report/mend/mend_report.hpp"
#include "tasks/recipe.hpp"

#include <memory>
#include <string>
#include <vector>

namespace feedwright::cli {

namespace {

struct Request {
    std::string recipe;
    std::string add_at_most;
    std::vector<std::string> with;
    std::string from;
    JobOptions options;
    SearchOptions search;
};

Settings settings(const Request& request, const job::Job& recipe) {
    Settings list = request.options.settings(recipe);
    std::string with;
    for (const std::string& id : request.with)
        with += (with.empty() ? "" : ",") + id;
    if (!with.empty()) list.emplace_back("with", with);
    if (!request.from.empty()) list.emplace_back("from", request.from);
    if (!request.add_at_most.empty()) list.emplace_back("add_at_most", request.add_at_most);
    append(list, request.search.settings());
    return list;
}

ExitStatus run(const Request& request, Context& context) {
    tasks::MendRequest asked{request.options.source(request.recipe),
                             request.with,
                             request.from,
                             {},
                             request.search.solve()};
    if (!request.add_at_most.empty())
        asked.add_at_most = whole_number(request.add_at_most, 0, "--add-at-most");
    const tasks::Mended result = tasks::mend(asked, context.library());
    const report::Run about = context.run(result.recipe.inputs, settings(request, result.recipe));
    context.show(
        [&] {
            return report::mend_document(result.recipe, result.mending, result.options, about,
                                         result.purchases);
        },
        [&] { return report::mend_json(result.recipe, result.mending, about, result.purchases); });
    if (result.mending.before.passes) return ExitStatus::success;
    return exit_status_of(result.mending.status, result.mending.smallest.has_value());
}

}  // namespace

Command mend_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"mend", "Find the smallest and the cheapest change that makes a recipe pass"};
    command.add({recipe_word(request->recipe)});
    request->options.add_to(command);
    const char* group = "Ingredients that may be added";
    command.add({
        listed({"--with", &request->with, "ID,ID",
                "Ingredients of the library that may be added: ID,ID", group}),
        {"--from", &request->from, "FILE", "Every ingredient of this price list may be added",
         group},
        {"--add-at-most", &request->add_at_most, "N",
         "Add at most N of them (default: no limit); alone: of the price list", group},
    });
    request->search.add_to(command);
    add_common_options(command, context, {"findings", "changes", "limits", "analysis"});
    command.examples = {
        "feedwright mend recipe.csv --for nile-tilapia/grow-out",
        "feedwright mend recipe.csv --for laying-hen/lay --prices prices.csv --add-at-most 2",
        "feedwright mend recipe.json --with soybean-meal-44,maize"};
    command.exits = {{0, "a change makes the recipe pass, or none is needed"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {3, "no change makes the recipe pass"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
