// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"
#include "catalog/coverage.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "report/catalog/catalog_pages.hpp"
#include "report/catalog/coverage_report.hpp"

#include <memory>

namespace feedwright::cli {

namespace {

using document::Align;
using document::Cell;
using document::Table;

struct Request {
    std::string what;
    std::vector<std::string> words;
};

Cell text(std::string words) {
    return {std::move(words), {}, document::Tone::plain};
}

bool matches(const std::string& match, std::initializer_list<std::string_view> fields) {
    const std::string wanted = base::lower(match);
    for (const std::string_view field : fields) {
        if (base::lower(field).find(wanted) != std::string::npos) return true;
    }
    return false;
}

Table ingredients(catalog::Library& library, const std::string& match) {
    Table table;
    table.key = "ingredients";
    table.columns = {{"id", Align::left, "id"},
                     {"name", Align::left, "name"},
                     {"category", Align::left, "category"}};
    for (const std::string& id : library.ingredient_ids()) {
        const catalog::Ingredient& item = *library.ingredient(id);
        const std::string also = base::join_words(item.also_called);
        if (!matches(match, {id, item.name, item.category, also})) continue;
        table.rows.push_back({text(id), text(item.name), text(item.category)});
    }
    return table;
}

Table profiles(catalog::Library& library, const std::string& match) {
    Table table;
    table.key = "profiles";
    table.columns = {{"id", Align::left, "id"},
                     {"animal", Align::left, "name"},
                     {"stage", Align::left, "stage"},
                     {"no figures for", Align::left, "lacks"}};
    for (const std::string& species : library.species()) {
        const catalog::Profile& profile = *library.profile(species);
        for (const catalog::Stage& stage : profile.stages) {
            const std::string id = species + '/' + stage.id;
            if (!matches(match, {id, profile.name, profile.scientific_name})) continue;
            table.rows.push_back({text(id), text(profile.name), text(stage.name),
                                  text(base::join_words(profile.lacks, ", "))});
        }
    }
    return table;
}

Table nutrients(const catalog::Library& library, const std::string& match) {
    Table table;
    table.key = "nutrients";
    table.columns = {{"id", Align::left, "id"},
                     {"name", Align::left, "name"},
                     {"unit", Align::left, "unit"},
                     {"group", Align::left, "group"}};
    for (const catalog::Nutrient& nutrient : library.dictionary().all()) {
        if (!matches(match, {nutrient.id, nutrient.name, nutrient.group})) continue;
        table.rows.push_back(
            {text(nutrient.id), text(nutrient.name), text(nutrient.unit), text(nutrient.group)});
    }
    return table;
}

Table sources(catalog::Library& library, const std::string& match) {
    Table table;
    table.key = "sources";
    table.columns = {{"id", Align::left, "id"},
                     {"how known", Align::left, "how_known"},
                     {"citation", Align::left, "citation"}};
    for (const catalog::Source& source : library.sources()) {
        if (!matches(match, {source.id, source.citation, source.how_known})) continue;
        table.rows.push_back({text(source.id), text(source.how_known), text(source.citation)});
    }
    return table;
}

ExitStatus run(const Request& request, Context& context) {
    std::string match;
    for (const std::string& word : request.words)
        match += (match.empty() ? "" : " ") + word;
    catalog::Library& library = context.library();
    if (request.what == "coverage") {
        const catalog::Coverage coverage = catalog::coverage_of(library);
        context.show(report::coverage_document(coverage, library.dictionary()),
                     [&] { return report::coverage_json(coverage); });
        return ExitStatus::success;
    }
    Table table;
    if (request.what == "ingredients") table = ingredients(library, match);
    if (request.what == "profiles") table = profiles(library, match);
    if (request.what == "nutrients") table = nutrients(library, match);
    if (request.what == "sources") table = sources(library, match);
    if (table.rows.empty()) {
        throw base::DataError(
            base::Diagnostic{"command line", "", '"' + match + '"',
                             "words that some of the " + request.what + " have",
                             "\"feedwright list " + request.what + "\" lists all"});
    }
    context.show(report::list_page("All " + request.what, table),
                 [&] { return report::table_json(request.what, table); });
    return ExitStatus::success;
}

}  // namespace

Command list_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{
        "list", "List ingredients, profiles, nutrients or sources, or what is known of how many"};
    command.add({
        required(one_of({"ingredients", "profiles", "nutrients", "sources", "coverage"},
                        {"what", &request->what, "WHAT",
                         "ingredients, profiles, nutrients, sources or coverage"})),
        {"match", &request->words, "TEXT", "Only those whose id, name or kind has this text"},
    });
    add_common_options(command, context);
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
