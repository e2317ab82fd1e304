// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/catalog/import_report.hpp"

#include "base/json_writer.hpp"
#include "base/text.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <utility>

namespace feedwright::report {

namespace {

std::string basis_text(catalog::Basis basis) {
    switch (basis) {
        case catalog::Basis::as_fed:
            return "as fed";
        case catalog::Basis::dry_matter:
            return "dry matter";
        case catalog::Basis::of_protein:
            return "crude protein";
    }
    return "";
}

void add_spreads(Document& document, const std::vector<tasks::ImportedSpread>& spreads,
                 const catalog::NutrientDictionary& dictionary) {
    if (spreads.empty()) return;
    Table table;
    table.key = "spreads";
    table.columns = {{"ingredient", Align::left, "ingredient"},
                     {"nutrient", Align::left, "nutrient"},
                     {"unit", Align::left, "unit"},
                     {"value", Align::right, "value"},
                     {"SD", Align::right, "sd"},
                     {"n", Align::right, "n"},
                     {"default SD", Align::right, "assumed_sd"}};
    bool counts = true;
    for (const tasks::ImportedSpread& spread : spreads) {
        table.rows.push_back(
            {text_cell(spread.ingredient), text_cell(dictionary.find(spread.nutrient)->name),
             text_cell(spread.unit), amount_cell(spread.value), amount_cell(spread.sd),
             amount_cell(spread.n), amount_cell(spread.assumed_sd)});
        counts = counts && spread.counts;
    }
    document.blocks.push_back(Heading{"Standard deviations, beside the default of the kind"});
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(
        counts ? Paragraph{"They are between lots, and count instead of the default.", Tone::plain}
               : Paragraph{"Not said to be between lots, so the default counts. Where every sample "
                           "was a lot of its own, import again with --spread lots.",
                           Tone::warn});
}

}  // namespace

Document import_document(const tasks::Imported& imported, const std::string& library,
                         bool always_used, const catalog::NutrientDictionary& dictionary) {
    const catalog::Import& import = imported.import;
    Document document;
    document.title = "Imported from " + import.file;
    Table made;
    made.key = "ingredients";
    made.columns = {{"ingredient", Align::left, "id"},
                    {"name", Align::left, "name"},
                    {"values", Align::right, "values"},
                    {"the rest from", Align::left, "extend"}};
    for (const catalog::ImportedIngredient& item : import.ingredients) {
        const auto values = static_cast<double>(item.values.size());
        made.rows.push_back({text_cell(item.id), text_cell(item.name), number_cell(values, 0),
                             text_cell(item.extend)});
    }
    document.blocks.push_back(std::move(made));
    if (import.pooled > 0) {
        document.blocks.push_back(
            Paragraph{fmt::format("Each value is the mean of {} samples, or of those that have it.",
                                  import.pooled),
                      Tone::plain});
    } else if (import.ingredients.size() > 1) {
        document.blocks.push_back(
            Paragraph{"Each sample is an ingredient of its own. Where they are lots of one "
                      "ingredient, import again with --one-ingredient --id ID.",
                      Tone::plain});
    }
    Table table;
    table.key = "read_as";
    table.columns = {{"heading", Align::left, "heading"},
                     {"read as", Align::left, "nutrient"},
                     {"in", Align::left, "unit"},
                     {"of", Align::left, "basis"},
                     {"values", Align::right, "values"}};
    for (const catalog::ReadAs& as : import.read_as) {
        table.rows.push_back({text_cell(as.heading), text_cell(dictionary.find(as.nutrient)->name),
                              text_cell(as.unit), text_cell(basis_text(as.basis)),
                              number_cell(static_cast<double>(as.values), 0)});
    }
    document.blocks.push_back(Heading{"How it was read"});
    document.blocks.push_back(std::move(table));
    add_spreads(document, imported.spreads, dictionary);
    if (!import.skipped.empty()) {
        document.blocks.push_back(
            Paragraph{"Left out: " + base::join_words(import.skipped) + '.', Tone::warn});
    }
    if (!import.unmeasured.empty()) {
        document.blocks.push_back(
            Paragraph{"Below what could be measured, so left unknown: " +
                          base::join_words(import.unmeasured) +
                          ". Write 0 in the table where you are sure that there is none.",
                      Tone::warn});
    }
    if (!import.beside.empty()) {
        Bullets lines;
        for (const std::string& line : import.beside)
            lines.items.push_back({line, Tone::plain});
        document.blocks.push_back(Heading{"Lines above and below the table, not read"});
        document.blocks.push_back(std::move(lines));
    }
    document.blocks.push_back(Heading{"Next"});
    document.blocks.push_back(Paragraph{
        always_used ? fmt::format("{} is written. Every command uses it.", library)
                    : fmt::format("{} is written. Add --library {} to any command to use it.",
                                  library, library),
        Tone::plain});
    return document;
}

std::string import_json(const tasks::Imported& imported, const std::string& library) {
    const catalog::Import& import = imported.import;
    base::JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-import/1");
    json.member("file", import.file).member("library", library);
    json.key("ingredients").begin_array();
    for (const catalog::ImportedIngredient& item : import.ingredients) {
        json.begin_object();
        json.member("id", item.id).member("name", item.name);
        json.member("values", static_cast<int>(item.values.size()));
        if (!item.extend.empty()) json.member("extend", item.extend);
        json.end_object();
    }
    json.end_array();
    json.key("read_as").begin_array();
    for (const catalog::ReadAs& as : import.read_as) {
        json.begin_object();
        json.member("heading", as.heading).member("nutrient", as.nutrient);
        json.member("unit", as.unit).member("basis", catalog::to_string(as.basis));
        json.member("values", static_cast<int>(as.values));
        json.end_object();
    }
    json.end_array();
    json.member("skipped", import.skipped).member("unmeasured", import.unmeasured);
    json.member("beside", import.beside);
    json.member("pooled", static_cast<int>(import.pooled));
    json.key("spreads").begin_array();
    for (const tasks::ImportedSpread& spread : imported.spreads) {
        json.begin_object();
        json.member("ingredient", spread.ingredient).member("nutrient", spread.nutrient);
        json.member("unit", spread.unit).member("basis", catalog::to_string(spread.basis));
        json.member("value", spread.value).member("sd", spread.sd).member("n", spread.n);
        json.member("assumed_sd", spread.assumed_sd);
        if (!spread.assumed_source.empty()) json.member("assumed_source", spread.assumed_source);
        json.member("counts", spread.counts);
        json.end_object();
    }
    json.end_array();
    json.end_object();
    return json.take();
}

}  // namespace feedwright::report
