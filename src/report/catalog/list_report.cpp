// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/catalog/list_report.hpp"

#include "base/text.hpp"
#include "report/catalog/catalog_pages.hpp"
#include "report/sections.hpp"

#include <algorithm>
#include <utility>

namespace feedwright::report {

namespace {

struct Column {
    const char* heading;
    const char* key;
};

Table table_of(const char* key, const std::vector<Column>& columns) {
    Table table;
    table.key = key;
    for (const Column& column : columns)
        table.columns.push_back({column.heading, Align::left, column.key});
    return table;
}

void add_row(Table& table, std::vector<std::string> texts) {
    std::vector<Cell> row;
    for (std::string& text : texts)
        row.push_back(text_cell(std::move(text)));
    table.rows.push_back(std::move(row));
}

}  // namespace

Table list_table(const std::vector<const catalog::Ingredient*>& ingredients,
                 const std::vector<std::string>& own_files) {
    // Whose value it is matters only where there is a choice.
    const auto is_own = [&](const catalog::Ingredient* one) {
        return std::find(own_files.begin(), own_files.end(), one->file) != own_files.end();
    };
    const bool own = std::any_of(ingredients.begin(), ingredients.end(), is_own);
    std::vector<Column> columns{{"id", "id"}, {"name", "name"}, {"category", "category"}};
    if (own) columns.push_back({"from", "from"});
    Table table = table_of("ingredients", columns);
    for (const catalog::Ingredient* one : ingredients) {
        std::vector<std::string> row{one->id, one->name, one->category};
        if (own) row.push_back(is_own(one) ? one->file : "the library");
        add_row(table, std::move(row));
    }
    return table;
}

Table list_table(const std::vector<tasks::StageOf>& stages) {
    Table table = table_of("profiles", {{"id", "id"},
                                        {"animal", "name"},
                                        {"stage", "stage"},
                                        {"no requirements known for", "lacks"}});
    for (const auto& [profile, stage] : stages) {
        add_row(table, {profile->species + '/' + stage->id, profile->name, stage->name,
                        base::join_words(profile->lacks, ", ")});
    }
    return table;
}

Table list_table(const std::vector<const catalog::Nutrient*>& nutrients) {
    Table table = table_of("nutrients",
                           {{"id", "id"}, {"name", "name"}, {"unit", "unit"}, {"group", "group"}});
    for (const catalog::Nutrient* one : nutrients)
        add_row(table, {one->id, one->name, one->unit, one->group});
    return table;
}

Table list_table(const std::vector<const catalog::Source*>& sources) {
    Table table =
        table_of("sources", {{"id", "id"}, {"how known", "how_known"}, {"citation", "citation"}});
    for (const catalog::Source* one : sources)
        add_row(table, {one->id, one->how_known, one->citation});
    return table;
}

std::string source_json(const catalog::Source& source) {
    Table table =
        table_of("sources", {{"", "id"}, {"", "how_known"}, {"", "citation"}, {"", "url"}});
    add_row(table, {source.id, source.how_known, source.citation, source.url});
    return table_json("sources", table);
}

}  // namespace feedwright::report
