// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "report/catalog/caps.hpp"
#include "report/catalog/catalog_pages.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <string_view>
#include <utility>

namespace feedwright::report {

namespace {

using base::JsonWriter;
using catalog::Amount;
using catalog::Basis;
using catalog::Origin;
using catalog::Spread;
using catalog::StatedValue;

struct Group {
    const char* id;
    const char* heading;
    const char* in_a_sentence;
};

constexpr Group groups[] = {{"proximate", "Proximates", "proximates"},
                            {"energy", "Energy", "energy"},
                            {"digestible", "Digestible and available", ""},
                            {"amino_acid", "Amino acids", "amino acids"},
                            {"fatty_acid", "Fatty acids and sterols", "fatty acids"},
                            {"macro_mineral", "Macro-minerals", "macro-minerals"},
                            {"trace_mineral", "Trace minerals", "trace minerals"},
                            {"vitamin", "Vitamins", "vitamins"},
                            {"undesirable", "Undesirable substances", ""},
                            {"other", "Other", ""}};

// What the spread is a spread of, as a reader who has not seen the files understands it.
std::string spread_words(Spread spread) {
    switch (spread) {
        case Spread::unstated:
            return "";
        case Spread::lots:
            return "between lots";
        case Spread::regions:
            return "between regions";
        case Spread::replicates:
            return "repeats on one lot";
        case Spread::samples:
            return "between samples";
        case Spread::assumed:
            return "assumed";
    }
    return "";
}

/// The amounts of one ingredient as rows, nutrient group by nutrient group.
class Values {
  public:
    Values(const catalog::Ingredient& ingredient, const catalog::NutrientDictionary& dictionary,
           const catalog::Composition& composition)
        : ingredient_(ingredient), dictionary_(dictionary), composition_(composition) {}

    void add_to(Document& document) const {
        for (const Group& group : groups) {
            Table table = table_of(group);
            if (table.rows.empty()) continue;
            // What a feed is first judged by, and the rest on request.
            const std::string_view id = group.id;
            const bool first = id == "proximate" || id == "energy";
            document.blocks.push_back(
                Heading{group.heading, first ? Depth::always : Depth::full, "values"});
            document.blocks.push_back(std::move(table));
        }
    }

  private:
    Table table_of(const Group& group) const {
        std::vector<Row> rows;
        for (const catalog::Nutrient& nutrient : dictionary_.all()) {
            if (nutrient.group == group.id) add_rows(nutrient, rows);
        }
        const auto any = [&](auto has) { return std::any_of(rows.begin(), rows.end(), has); };
        const bool spread = any([](const Row& row) { return row.sd || row.n; });
        const bool range = any([](const Row& row) { return row.min || row.max; });
        const bool kind = any([](const Row& row) { return row.spread != Spread::unstated; });
        Table table;
        table.key = group.id;
        table.columns = {{"nutrient", Align::left, "nutrient"},
                         {"as fed", Align::right, "as_fed"},
                         {"unit", Align::left, "unit"}};
        if (spread) {
            table.columns.push_back({"SD", Align::right, "sd"});
            table.columns.push_back({"n", Align::right, "n"});
        }
        if (range) {
            table.columns.push_back({"lowest", Align::right, "min"});
            table.columns.push_back({"highest", Align::right, "max"});
        }
        if (kind) table.columns.push_back({"spread", Align::left, "spread"});
        table.columns.push_back({"given as", Align::left, "given_as"});
        table.columns.push_back({"source", Align::left, "source"});
        for (const Row& row : rows) {
            std::vector<Cell> cells{text_cell(row.name), amount_cell(row.as_fed),
                                    text_cell(row.unit)};
            if (spread) {
                cells.push_back(amount_cell(row.sd));
                cells.push_back(row.n ? Cell{base::shortest(*row.n), row.n, Tone::plain} : Cell{});
            }
            if (range) {
                cells.push_back(amount_cell(row.min));
                cells.push_back(amount_cell(row.max));
            }
            if (kind) cells.push_back(text_cell(spread_words(row.spread)));
            cells.push_back(text_cell(row.given_as));
            cells.push_back(text_cell(row.source));
            table.rows.push_back(std::move(cells));
        }
        return table;
    }

    struct Row {
        std::string name;
        std::string unit;
        std::optional<double> as_fed;
        std::optional<double> sd;  // as fed too
        std::optional<double> n;
        std::string given_as;
        std::string source;
        std::optional<double> min{};  // as fed too
        std::optional<double> max{};
        Spread spread = Spread::unstated;
    };

    void add_rows(const catalog::Nutrient& nutrient, std::vector<Row>& rows) const {
        bool stated = false;
        for (const StatedValue& value : ingredient_.stated) {
            if (value.nutrient != nutrient.id) continue;
            stated = true;
            Row row{nutrient.name,   nutrient.unit, as_fed(value.amount, value.basis), {}, value.n,
                    given_as(value), value.source};
            if (!value.animals.empty())
                row.name += " (" + base::join_words(value.animals, ", ") + ')';
            if (value.sd) row.sd = as_fed(*value.sd, value.basis);
            if (value.min) row.min = as_fed(*value.min, value.basis);
            if (value.max) row.max = as_fed(*value.max, value.basis);
            row.spread = value.spread;
            rows.push_back(std::move(row));
        }
        const Amount* amount = composition_.find(nutrient.id);
        if (stated || amount == nullptr || catalog::unsureness(amount->origin) == 0) return;
        const bool estimate = amount->origin == Origin::estimated;
        rows.push_back({nutrient.name,
                        nutrient.unit,
                        amount->value,
                        {},
                        {},
                        std::string(catalog::to_string(amount->origin)),
                        estimate ? amount->source : ""});
    }

    std::optional<double> as_fed(double amount, Basis basis) const {
        if (basis == Basis::as_fed) return amount;
        const Amount* whole =
            composition_.find(basis == Basis::dry_matter ? "dry_matter" : "crude_protein");
        if (whole == nullptr) return std::nullopt;
        return amount * whole->value / 100;
    }

    static std::string given_as(const StatedValue& value) {
        std::string text;
        if (value.basis == Basis::dry_matter)
            text = base::shortest(value.amount) + " of dry matter";
        if (value.basis == Basis::of_protein) text = base::shortest(value.amount) + " of protein";
        if (value.scaled) text += text.empty() ? "scaled" : ", scaled";
        return text;
    }

    const catalog::Ingredient& ingredient_;
    const catalog::NutrientDictionary& dictionary_;
    const catalog::Composition& composition_;
};

// Nutrients of `group` without a value; what is only a sum of others says nothing more than they
// do.
std::vector<const catalog::Nutrient*> missing_of(const char* group,
                                                 const catalog::Ingredient& ingredient,
                                                 const catalog::NutrientDictionary& dictionary,
                                                 const catalog::Composition& composition) {
    std::vector<const catalog::Nutrient*> missing;
    for (const catalog::Nutrient& nutrient : dictionary.all()) {
        if (nutrient.group != group || composition.find(nutrient.id) != nullptr) continue;
        const bool is_sum = nutrient.derived &&
                            nutrient.derived->kind == catalog::Derivation::Kind::sum &&
                            nutrient.derived->digestible_of.empty();
        // A value for some animals only is not missing: the page shows whose it is.
        const bool stated =
            std::any_of(ingredient.stated.begin(), ingredient.stated.end(),
                        [&](const StatedValue& value) { return value.nutrient == nutrient.id; });
        if (!is_sum && !stated) missing.push_back(&nutrient);
    }
    return missing;
}

void add_missing(Document& document, const catalog::Ingredient& ingredient,
                 const catalog::NutrientDictionary& dictionary,
                 const catalog::Composition& composition) {
    Bullets bullets;
    for (const Group& group : groups) {
        const std::string sentence = group.in_a_sentence;
        if (sentence.empty()) continue;
        const auto missing = missing_of(group.id, ingredient, dictionary, composition);
        if (missing.empty()) continue;
        const bool any = std::any_of(dictionary.all().begin(), dictionary.all().end(),
                                     [&](const catalog::Nutrient& nutrient) {
                                         return nutrient.group == group.id &&
                                                composition.find(nutrient.id) != nullptr;
                                     });
        std::vector<std::string> names;
        for (const catalog::Nutrient* nutrient : missing)
            names.push_back(nutrient->name);
        bullets.items.push_back(
            {(any ? sentence + ": " + base::join_words(names) : "no " + sentence) + '.',
             Tone::warn});
    }
    if (bullets.items.empty()) return;
    document.blocks.push_back(Heading{"Not known", Depth::full, "values"});
    document.blocks.push_back(std::move(bullets));
}

void add_zeros(Document& document, const catalog::Ingredient& ingredient,
               const catalog::NutrientDictionary& dictionary,
               const catalog::Composition& composition) {
    std::vector<std::string> names;
    for (const catalog::Nutrient& nutrient : dictionary.all()) {
        const Amount* amount = composition.find(nutrient.id);
        if (amount != nullptr && amount->origin == Origin::zero &&
            std::find(ingredient.zeros.begin(), ingredient.zeros.end(), nutrient.id) !=
                ingredient.zeros.end()) {
            names.push_back(nutrient.name);
        }
    }
    if (names.empty()) return;
    // A mineral holds none of a hundred things; the list would tell nothing.
    const bool few = names.size() <= 12;
    document.blocks.push_back(Heading{"True zeros", Depth::full, "values"});
    document.blocks.push_back(
        Paragraph{fmt::format("{} ({}).",
                              few ? base::join_words(names)
                                  : count_of(names.size(), "other nutrient", "other nutrients"),
                              ingredient.zeros_source),
                  Tone::plain});
}

void add_digestibility(Document& document, const catalog::Ingredient& ingredient,
                       const catalog::NutrientDictionary& dictionary) {
    if (ingredient.digestibility.empty()) return;
    Table table;
    table.key = "digestibility";
    table.columns = {{"nutrient", Align::left, "nutrient"},
                     {"digested, %", Align::right, "percent"},
                     {"animals", Align::left, "animals"},
                     {"source", Align::left, "source"}};
    for (const catalog::Digestibility& item : ingredient.digestibility) {
        table.rows.push_back({text_cell(dictionary.find(item.nutrient)->name),
                              {base::shortest(item.percent), item.percent, Tone::plain},
                              text_cell(base::join_words(item.animals, ", ")),
                              text_cell(item.source)});
    }
    document.blocks.push_back(Heading{"Digestibility", Depth::full, "digestibility"});
    document.blocks.push_back(std::move(table));
}

void add_notes(Document& document, const catalog::Ingredient& ingredient) {
    Bullets bullets;
    std::set<std::pair<std::string, std::string>> seen;
    const auto add = [&](const std::string& source, const std::string& note) {
        if (note.empty() || !seen.insert({source, note}).second) return;
        bullets.items.push_back({source + ": " + note, Tone::plain});
    };
    for (const StatedValue& value : ingredient.stated)
        add(value.source, value.note);
    for (const catalog::Digestibility& item : ingredient.digestibility)
        add(item.source, item.note);
    if (bullets.items.empty()) return;
    document.blocks.push_back(Heading{"Notes", Depth::full, "notes"});
    document.blocks.push_back(std::move(bullets));
}

void add_citations(Document& document, const std::vector<catalog::Source>& sources) {
    if (sources.empty()) return;
    document.blocks.push_back(Heading{"Sources", Depth::full, "sources"});
    Bullets bullets;
    for (const catalog::Source& source : sources) {
        bullets.items.push_back(
            {fmt::format("{} ({}): {}", source.id, source.how_known, source.citation),
             source.how_known == "unverified" ? Tone::warn : Tone::plain});
    }
    document.blocks.push_back(std::move(bullets));
}

void write_stated(JsonWriter& json, const catalog::Ingredient& ingredient,
                  const catalog::NutrientDictionary& dictionary) {
    json.key("stated").begin_array();
    for (const StatedValue& value : ingredient.stated) {
        json.begin_object();
        json.member("nutrient", value.nutrient).member("value", value.amount);
        json.member("unit", value.basis == Basis::of_protein
                                ? std::string("%")
                                : dictionary.find(value.nutrient)->unit);
        json.member("basis", catalog::to_string(value.basis));
        json.member("sd", value.sd).member("n", value.n);
        json.member("min", value.min).member("max", value.max);
        if (value.spread != Spread::unstated)
            json.member("spread", catalog::to_string(value.spread));
        if (!value.animals.empty()) json.member("for", value.animals);
        if (value.scaled) json.member("scaled", true);
        json.member("source", value.source);
        if (!value.note.empty()) json.member("note", value.note);
        json.end_object();
    }
    json.end_array();
}

void write_as_fed(JsonWriter& json, const catalog::NutrientDictionary& dictionary,
                  const catalog::Composition& composition) {
    json.key("as_fed").begin_array();
    for (const catalog::Nutrient& nutrient : dictionary.all()) {
        const Amount* amount = composition.find(nutrient.id);
        if (amount == nullptr) continue;
        json.begin_object();
        json.member("nutrient", nutrient.id).member("value", amount->value);
        json.member("unit", nutrient.unit).member("origin", catalog::to_string(amount->origin));
        json.member("source", amount->source);
        json.end_object();
    }
    json.end_array();
}

void write_digestibility(JsonWriter& json, const catalog::Ingredient& ingredient) {
    json.key("digestibility").begin_array();
    for (const catalog::Digestibility& item : ingredient.digestibility) {
        json.begin_object();
        json.member("nutrient", item.nutrient).member("percent", item.percent);
        json.member("for", item.animals).member("source", item.source);
        if (!item.note.empty()) json.member("note", item.note);
        json.end_object();
    }
    json.end_array();
}

void write_cautions(JsonWriter& json, const std::vector<catalog::Caution>& cautions) {
    json.key("cautions").begin_array();
    for (const catalog::Caution& caution : cautions) {
        json.begin_object();
        json.member("id", caution.id).member("text", caution.text);
        if (!caution.jurisdiction.empty()) json.member("jurisdiction", caution.jurisdiction);
        json.member("year", caution.year).member("source", caution.source);
        json.end_object();
    }
    json.end_array();
}

}  // namespace

Document ingredient_page(const catalog::Ingredient& ingredient,
                         const catalog::NutrientDictionary& dictionary,
                         const catalog::Composition& composition,
                         const std::vector<SpeciesCap>& caps,
                         const std::vector<catalog::Caution>& cautions,
                         const std::vector<catalog::Source>& sources) {
    Document document;
    document.title = ingredient.name + " (" + ingredient.id + ')';
    Facts facts;
    facts.key = "ingredient";
    if (!ingredient.category.empty())
        facts.items.emplace_back("category", text_cell(ingredient.category));
    if (!ingredient.kin.empty()) {
        facts.items.emplace_back("extends", text_cell(base::join_words(ingredient.kin, ", ")));
    }
    if (!ingredient.also_called.empty()) {
        facts.items.emplace_back("also called",
                                 text_cell(base::join_words(ingredient.also_called, ", ")));
    }
    if (!ingredient.processing.empty()) {
        facts.items.emplace_back(
            "before use", text_cell(base::join_words(ingredient.processing, ", "), Tone::warn));
    }
    if (ingredient.rate_percent) {
        facts.items.emplace_back("label rate",
                                 Cell{base::compact(*ingredient.rate_percent, 4) + " % of the feed",
                                      ingredient.rate_percent, Tone::plain});
    }
    if (!ingredient.made_for.empty()) {
        std::string animals = base::join_words(ingredient.made_for, ", ");
        if (!ingredient.made_for_stages.empty()) {
            animals += " (" + base::join_words(ingredient.made_for_stages, ", ") + ')';
        }
        facts.items.emplace_back("made for", text_cell(std::move(animals)));
    }
    document.blocks.push_back(std::move(facts));
    if (!ingredient.note.empty())
        document.blocks.push_back(Paragraph{ingredient.note, Tone::plain});
    Values(ingredient, dictionary, composition).add_to(document);
    add_zeros(document, ingredient, dictionary, composition);
    add_missing(document, ingredient, dictionary, composition);
    add_digestibility(document, ingredient, dictionary);
    if (!caps.empty()) {
        document.blocks.push_back(Heading{"Limits by species", Depth::full, "caps"});
        document.blocks.push_back(caps_table(caps, CapsBy::species));
    }
    std::vector<limits::CautionResult> shown;
    for (const catalog::Caution& caution : cautions) {
        shown.push_back({caution.text, caution.source, caution.jurisdiction, caution.year});
    }
    add_cautions(document, shown);
    add_notes(document, ingredient);
    add_citations(document, sources);
    return document;
}

std::string ingredient_json(const catalog::Ingredient& ingredient,
                            const catalog::NutrientDictionary& dictionary,
                            const catalog::Composition& composition,
                            const std::vector<SpeciesCap>& caps,
                            const std::vector<catalog::Caution>& cautions) {
    JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-ingredient-page/1");
    json.member("id", ingredient.id).member("name", ingredient.name);
    if (!ingredient.category.empty()) json.member("category", ingredient.category);
    if (!ingredient.kin.empty()) json.member("extends", ingredient.kin);
    if (!ingredient.note.empty()) json.member("note", ingredient.note);
    json.member("also_called", ingredient.also_called);
    json.member("processing", ingredient.processing);
    json.member("rate_percent", ingredient.rate_percent);
    if (!ingredient.made_for.empty()) json.member("made_for", ingredient.made_for);
    if (!ingredient.made_for_stages.empty())
        json.member("made_for_stages", ingredient.made_for_stages);
    write_stated(json, ingredient, dictionary);
    write_as_fed(json, dictionary, composition);
    write_digestibility(json, ingredient);
    write_caps(json, caps);
    write_cautions(json, cautions);
    json.end_object();
    return json.take();
}

}  // namespace feedwright::report
