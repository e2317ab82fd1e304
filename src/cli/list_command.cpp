// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "report/catalog/catalog_pages.hpp"
#include "report/catalog/coverage_report.hpp"
#include "report/catalog/list_report.hpp"
#include "tasks/catalog.hpp"

#include <memory>

namespace feedwright::cli {

namespace {

struct Request {
    std::string what;
    std::vector<std::string> words;
};

document::Table found(const std::string& what, const std::string& match,
                      catalog::Library& library) {
    if (what == "ingredients")
        return report::list_table(tasks::list_ingredients(match, library), library.own_files());
    if (what == "profiles") return report::list_table(tasks::list_stages(match, library));
    if (what == "nutrients") return report::list_table(tasks::list_nutrients(match, library));
    return report::list_table(tasks::list_sources(match, library));
}

ExitStatus run(const Request& request, Context& context) {
    catalog::Library& library = context.library();
    if (request.what == "coverage") {
        const catalog::Coverage coverage = tasks::coverage(library);
        context.show([&] { return report::coverage_document(coverage, library.dictionary()); },
                     [&] { return report::coverage_json(coverage); });
        return ExitStatus::success;
    }
    std::string match;
    for (const std::string& word : request.words)
        match += (match.empty() ? "" : " ") + word;
    const document::Table table = found(request.what, match, library);
    if (table.rows.empty()) {
        throw base::DataError(
            base::Diagnostic{"command line", "", '"' + match + '"',
                             "words that some of the " + request.what + " have",
                             "\"feedwright list " + request.what + "\" lists all"});
    }
    context.show([&] { return report::list_page("All " + request.what, table); },
                 [&] { return report::table_json(request.what, table); });
    return ExitStatus::success;
}

}  // namespace

Command list_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"list",
                    "List ingredients, profiles, nutrients, sources, or the coverage of nutrients"};
    command.add({
        required(one_of(
            {"ingredients", "profiles", "nutrients", "sources", "coverage"},
            {"what", &request->what, "WHAT",
             "ingredients, profiles, nutrients, sources, or coverage: how many ingredients have a "
             "value for each nutrient"})),
        {"match", &request->words, "TEXT", "Only those whose id, name or kind has this text"},
    });
    add_common_options(command, context);
    command.examples = {"feedwright list ingredients", "feedwright list ingredients duckweed",
                        "feedwright list profiles trout"};
    command.exits = {{0, "the list was printed"},
                     {1, "a file of the library cannot be read"},
                     {2, "wrong command line, or no such item"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
