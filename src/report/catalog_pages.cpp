// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/report/catalog_pages.hpp"

#include <algorithm>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "feedwright/base/json_writer.hpp"
#include "feedwright/base/number.hpp"
#include "feedwright/base/text.hpp"
#include "report/sections.hpp"

namespace feedwright::report {

namespace {

using base::JsonWriter;

std::string unit_text(const catalog::Nutrient& nutrient, catalog::Basis basis) {
    switch (basis) {
        case catalog::Basis::as_fed: return nutrient.unit;
        case catalog::Basis::dry_matter: return nutrient.unit + " of dry matter";
        case catalog::Basis::of_protein: return "% of protein";
    }
    return nutrient.unit;
}

std::string range_text(const std::optional<catalog::Range>& range, std::string_view unit) {
    if (!range) return "";
    std::string text = base::shortest(range->low);
    if (range->high != range->low) text += " to " + base::shortest(range->high);
    return unit.empty() ? text : text + ' ' + std::string(unit);
}

std::string cap_basis_text(catalog::Cap::Basis basis) {
    switch (basis) {
        case catalog::Cap::Basis::diet: return "of the diet";
        case catalog::Cap::Basis::fish_meal: return "of the fish meal it replaces";
        case catalog::Cap::Basis::fish_meal_protein: return "of fish-meal protein";
        case catalog::Cap::Basis::dietary_protein: return "of dietary protein";
    }
    return "";
}

std::string cap_kind_text(catalog::Cap::Kind kind) {
    switch (kind) {
        case catalog::Cap::Kind::authors_limit: return "authors' limit";
        case catalog::Cap::Kind::highest_tested: return "highest tested without loss";
        case catalog::Cap::Kind::rule_of_thumb: return "rule of thumb, from memory";
    }
    return "";
}

Table caps_table(const std::vector<SpeciesCap>& caps, bool by_species) {
    Table table;
    table.key = "caps";
    table.columns = {{by_species ? "species" : "ingredient", Align::left, by_species ? "species" : "ingredient"},
                     {"at most", Align::right, "max_percent"},
                     {"of what", Align::left, "basis"},
                     {"stages", Align::left, "stages"},
                     {"what kind", Align::left, "kind"},
                     {"source", Align::left, "source"}};
    for (const auto& [species, cap] : caps) {
        table.rows.push_back(
            {text_cell(by_species ? species : cap.ingredient),
             {base::shortest(cap.max) + " %", cap.max, Tone::plain},
             text_cell(cap_basis_text(cap.basis)),
             text_cell(cap.stages.empty() ? "all" : base::join_words(cap.stages, ", ")),
             text_cell(cap_kind_text(cap.kind)), text_cell(cap.source)});
    }
    return table;
}

void write_caps(JsonWriter& json, const std::vector<SpeciesCap>& caps) {
    json.key("caps").begin_array();
    for (const auto& [species, cap] : caps) {
        json.begin_object();
        if (!species.empty()) json.member("species", species);
        json.member("ingredient", cap.ingredient);
        json.member("max", cap.max);
        json.member("basis", catalog::to_string(cap.basis));
        json.member("kind", catalog::to_string(cap.kind));
        if (!cap.stages.empty()) json.member("stages", cap.stages);
        json.member("source", cap.source);
        if (!cap.note.empty()) json.member("note", cap.note);
        json.end_object();
    }
    json.end_array();
}

void add_values(Document& document, const catalog::Ingredient& ingredient,
                const catalog::NutrientDictionary& dictionary) {
    Table table;
    table.key = "values";
    table.columns = {{"nutrient", Align::left, "nutrient"}, {"value", Align::right, "value"},
                     {"unit", Align::left, "unit"},         {"SD", Align::right, "sd"},
                     {"n", Align::right, "n"},              {"source", Align::left, "source"}};
    std::vector<const catalog::StatedValue*> values;
    for (const auto& value : ingredient.stated) values.push_back(&value);
    std::stable_sort(values.begin(), values.end(), [&](const auto* a, const auto* b) {
        return dictionary.position(a->nutrient) < dictionary.position(b->nutrient);
    });
    for (const catalog::StatedValue* value : values) {
        const catalog::Nutrient& nutrient = *dictionary.find(value->nutrient);
        std::string name = nutrient.name;
        if (!value->animals.empty()) name += " (" + base::join_words(value->animals, ", ") + ')';
        table.rows.push_back({text_cell(name), {base::shortest(value->amount), value->amount, Tone::plain},
                              text_cell(unit_text(nutrient, value->basis)), amount_cell(value->sd),
                              amount_cell(value->n), text_cell(value->source)});
    }
    document.blocks.push_back(Heading{"Values as their sources give them"});
    document.blocks.push_back(std::move(table));
}

void add_worked_out(Document& document, const catalog::NutrientDictionary& dictionary,
                    const catalog::Composition& composition) {
    Table table;
    table.key = "worked_out";
    table.columns = {{"nutrient", Align::left, "nutrient"},
                     {"as fed", Align::right, "value"},
                     {"unit", Align::left, "unit"},
                     {"how", Align::left, "origin"}};
    for (const catalog::Nutrient& nutrient : dictionary.all()) {
        const catalog::Amount* amount = composition.find(nutrient.id);
        if (amount == nullptr) continue;
        if (amount->origin != catalog::Origin::derived &&
            amount->origin != catalog::Origin::estimated) {
            continue;
        }
        table.rows.push_back({text_cell(nutrient.name), amount_cell(amount->value),
                              text_cell(nutrient.unit),
                              text_cell(std::string(catalog::to_string(amount->origin)))});
    }
    if (table.rows.empty()) return;
    document.blocks.push_back(Heading{"Worked out from them, as fed"});
    document.blocks.push_back(std::move(table));
}

void add_missing(Document& document, const catalog::NutrientDictionary& dictionary,
                 const catalog::Composition& composition) {
    std::vector<std::string> missing;
    static const std::set<std::string> groups{"proximate", "energy", "amino_acid", "macro_mineral",
                                              "trace_mineral"};
    for (const catalog::Nutrient& nutrient : dictionary.all()) {
        if (groups.contains(nutrient.group) && composition.find(nutrient.id) == nullptr) {
            missing.push_back(nutrient.name);
        }
    }
    if (missing.empty()) return;
    document.blocks.push_back(Heading{"Not known of it"});
    document.blocks.push_back(Paragraph{base::join_words(missing) + ".", Tone::warn});
}

void add_notes(Document& document, const catalog::Ingredient& ingredient) {
    std::vector<std::string> seen;
    Bullets bullets;
    for (const catalog::StatedValue& value : ingredient.stated) {
        if (value.note.empty() ||
            std::find(seen.begin(), seen.end(), value.note) != seen.end()) {
            continue;
        }
        seen.push_back(value.note);
        bullets.items.push_back({value.source + ": " + value.note, Tone::plain});
    }
    if (bullets.items.empty()) return;
    document.blocks.push_back(Heading{"Notes"});
    document.blocks.push_back(std::move(bullets));
}

void add_citations(Document& document, const std::vector<catalog::Source>& sources) {
    if (sources.empty()) return;
    document.blocks.push_back(Heading{"Sources"});
    Bullets bullets;
    for (const catalog::Source& source : sources) {
        bullets.items.push_back({fmt::format("{} ({}): {}", source.id, source.how_known,
                                             source.citation),
                                 source.how_known == "memory" ? Tone::warn : Tone::plain});
    }
    document.blocks.push_back(std::move(bullets));
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
    facts.items.emplace_back("category", text_cell(ingredient.category));
    if (!ingredient.also_called.empty()) {
        facts.items.emplace_back("also called", text_cell(base::join_words(ingredient.also_called, ", ")));
    }
    if (!ingredient.processing.empty()) {
        facts.items.emplace_back("before use", text_cell(base::join_words(ingredient.processing, ", "), Tone::warn));
    }
    document.blocks.push_back(std::move(facts));
    if (!ingredient.note.empty()) document.blocks.push_back(Paragraph{ingredient.note, Tone::plain});
    add_values(document, ingredient, dictionary);
    add_worked_out(document, dictionary, composition);
    if (!ingredient.zeros.empty()) {
        std::set<std::string> stated;
        for (const auto& value : ingredient.stated) stated.insert(value.nutrient);
        const auto zeros = static_cast<std::size_t>(
            std::count_if(ingredient.zeros.begin(), ingredient.zeros.end(),
                          [&](const std::string& id) { return !stated.contains(id); }));
        document.blocks.push_back(Paragraph{
            fmt::format("It holds none of {} ({}).", count_of(zeros, "other nutrient", "other nutrients"),
                        ingredient.zeros_source),
            Tone::plain});
    }
    add_missing(document, dictionary, composition);
    if (!ingredient.digestibility.empty()) {
        Table table;
        table.key = "digestibility";
        table.columns = {{"digested of", Align::left, "nutrient"},
                         {"percent", Align::right, "percent"},
                         {"by", Align::left, "animals"},
                         {"source", Align::left, "source"}};
        for (const catalog::Digestibility& item : ingredient.digestibility) {
            table.rows.push_back({text_cell(dictionary.find(item.nutrient)->name),
                                  {base::shortest(item.percent), item.percent, Tone::plain},
                                  text_cell(base::join_words(item.animals, ", ")),
                                  text_cell(item.source)});
        }
        document.blocks.push_back(Heading{"Digestibility"});
        document.blocks.push_back(std::move(table));
    }
    if (!caps.empty()) {
        document.blocks.push_back(Heading{"How much of it, by species"});
        document.blocks.push_back(caps_table(caps, true));
    }
    std::vector<formulate::CautionResult> shown;
    for (const catalog::Caution& caution : cautions) {
        shown.push_back({caution.text, caution.source, caution.jurisdiction, caution.year, false});
    }
    add_cautions(document, shown);
    add_notes(document, ingredient);
    add_citations(document, sources);
    return document;
}

std::string ingredient_json(const catalog::Ingredient& ingredient,
                            const catalog::NutrientDictionary& dictionary,
                            const catalog::Composition& composition,
                            const std::vector<SpeciesCap>& caps) {
    JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-ingredient-page/1");
    json.member("id", ingredient.id).member("name", ingredient.name);
    json.member("category", ingredient.category);
    if (!ingredient.note.empty()) json.member("note", ingredient.note);
    json.member("also_called", ingredient.also_called);
    json.member("processing", ingredient.processing);
    json.key("stated").begin_array();
    for (const catalog::StatedValue& value : ingredient.stated) {
        json.begin_object();
        json.member("nutrient", value.nutrient).member("value", value.amount);
        json.member("unit", value.basis == catalog::Basis::of_protein
                                ? std::string("%")
                                : dictionary.find(value.nutrient)->unit);
        json.member("basis", catalog::to_string(value.basis));
        json.member("sd", value.sd).member("n", value.n);
        if (!value.animals.empty()) json.member("for", value.animals);
        json.member("source", value.source);
        if (!value.note.empty()) json.member("note", value.note);
        json.end_object();
    }
    json.end_array();
    json.key("as_fed").begin_array();
    for (const catalog::Nutrient& nutrient : dictionary.all()) {
        const catalog::Amount* amount = composition.find(nutrient.id);
        if (amount == nullptr) continue;
        json.begin_object();
        json.member("nutrient", nutrient.id).member("value", amount->value);
        json.member("unit", nutrient.unit).member("origin", catalog::to_string(amount->origin));
        json.member("source", amount->source);
        json.end_object();
    }
    json.end_array();
    write_caps(json, caps);
    json.end_object();
    return json.take();
}

Document profile_page(const catalog::Profile& profile, const catalog::Stage& stage,
                      const catalog::NutrientDictionary& dictionary) {
    Document document;
    document.title = profile.name + ", " + stage.name + " (" + profile.species + '/' + stage.id + ')';
    Facts facts;
    facts.key = "profile";
    if (!profile.scientific_name.empty()) {
        facts.items.emplace_back("species", text_cell(profile.scientific_name));
    }
    if (stage.weight_g) facts.items.emplace_back("body weight", text_cell(range_text(stage.weight_g, "g")));
    if (!profile.lacks.empty()) {
        facts.items.emplace_back("no figures for", text_cell(base::join_words(profile.lacks), Tone::warn));
    }
    document.blocks.push_back(std::move(facts));
    for (const std::string& note : {profile.note, stage.note}) {
        if (!note.empty()) document.blocks.push_back(Paragraph{note, Tone::plain});
    }
    Table table;
    table.key = "limits";
    table.columns = {{"nutrient", Align::left, "nutrient"}, {"at least", Align::right, "min"},
                     {"at most", Align::right, "max"},      {"unit", Align::left, "unit"},
                     {"level", Align::left, "level"},       {"shapes mix", Align::left, "shapes_mix"},
                     {"source", Align::left, "source"}};
    for (const catalog::RequirementLimit& limit : stage.limits) {
        const catalog::Nutrient& nutrient = *dictionary.find(limit.nutrient);
        table.rows.push_back({text_cell(nutrient.name), amount_cell(limit.min),
                              amount_cell(limit.max), text_cell(unit_text(nutrient, limit.basis)),
                              text_cell(limit.level), text_cell(limit.advisory ? "no" : "yes"),
                              text_cell(limit.source)});
    }
    for (const catalog::RequirementRatio& ratio : stage.ratios) {
        table.rows.push_back({text_cell(dictionary.find(ratio.of)->name + " : " +
                                        dictionary.find(ratio.to)->name),
                              amount_cell(ratio.min), amount_cell(ratio.max), text_cell("ratio"),
                              text_cell(ratio.level), text_cell(ratio.advisory ? "no" : "yes"),
                              text_cell(ratio.source)});
    }
    document.blocks.push_back(Heading{"What it needs and tolerates"});
    document.blocks.push_back(std::move(table));
    if (!stage.feeding.empty()) {
        Table feeding;
        feeding.key = "feeding";
        feeding.columns = {{"body weight", Align::left, "weight_g"},
                           {"water", Align::left, "temperature_c"},
                           {"ration a day", Align::left, "ration_percent"},
                           {"meals", Align::left, "meals_per_day"},
                           {"pellet", Align::left, "pellet_mm"},
                           {"FCR", Align::left, "expected_fcr"},
                           {"source", Align::left, "source"}};
        for (const catalog::FeedingRate& rate : stage.feeding) {
            feeding.rows.push_back({text_cell(range_text(rate.weight_g, "g")),
                                    text_cell(range_text(rate.temperature_c, "C")),
                                    text_cell(range_text(rate.ration_percent, "%")),
                                    text_cell(range_text(rate.meals_per_day, "")),
                                    text_cell(range_text(rate.pellet_mm, "mm")),
                                    text_cell(range_text(rate.expected_fcr, "")),
                                    text_cell(rate.source)});
        }
        document.blocks.push_back(Heading{"How it is fed"});
        document.blocks.push_back(std::move(feeding));
    }
    std::vector<SpeciesCap> caps;
    for (const catalog::Cap& cap : profile.caps) {
        if (cap.stages.empty() ||
            std::find(cap.stages.begin(), cap.stages.end(), stage.id) != cap.stages.end()) {
            caps.push_back({"", cap});
        }
    }
    if (!caps.empty()) {
        document.blocks.push_back(Heading{"How much of which ingredient"});
        document.blocks.push_back(caps_table(caps, false));
    }
    if (!profile.conflicts.empty()) {
        document.blocks.push_back(Heading{"Where the sources disagree"});
        Bullets bullets;
        for (const catalog::Conflict& conflict : profile.conflicts) {
            bullets.items.push_back({conflict.text, Tone::plain});
        }
        document.blocks.push_back(std::move(bullets));
    }
    return document;
}

std::string profile_json(const catalog::Profile& profile, const catalog::Stage& stage,
                         const catalog::NutrientDictionary& dictionary) {
    JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-profile-page/1");
    json.member("id", profile.species + '/' + stage.id).member("name", profile.name);
    json.member("stage", stage.name).member("lacks", profile.lacks);
    json.key("limits").begin_array();
    for (const catalog::RequirementLimit& limit : stage.limits) {
        json.begin_object();
        json.member("nutrient", limit.nutrient).member("min", limit.min).member("max", limit.max);
        json.member("unit", limit.basis == catalog::Basis::of_protein
                                ? std::string("%")
                                : dictionary.find(limit.nutrient)->unit);
        json.member("basis", catalog::to_string(limit.basis)).member("level", limit.level);
        json.member("advisory", limit.advisory).member("source", limit.source);
        if (!limit.note.empty()) json.member("note", limit.note);
        json.end_object();
    }
    json.end_array();
    json.key("ratios").begin_array();
    for (const catalog::RequirementRatio& ratio : stage.ratios) {
        json.begin_object();
        json.member("of", ratio.of).member("to", ratio.to);
        json.member("min", ratio.min).member("max", ratio.max);
        json.member("advisory", ratio.advisory).member("source", ratio.source);
        json.end_object();
    }
    json.end_array();
    std::vector<SpeciesCap> caps;
    for (const catalog::Cap& cap : profile.caps) caps.push_back({"", cap});
    write_caps(json, caps);
    json.end_object();
    return json.take();
}

Document nutrient_page(const catalog::Nutrient& nutrient) {
    Document document;
    document.title = nutrient.name + " (" + nutrient.id + ')';
    Facts facts;
    facts.key = "nutrient";
    facts.items.emplace_back("unit", text_cell(nutrient.unit));
    facts.items.emplace_back("group", text_cell(nutrient.group));
    if (nutrient.derived) {
        std::string how;
        if (!nutrient.derived->digestible_of.empty()) {
            how = nutrient.derived->digestible_of + " times its digestibility";
        }
        if (!nutrient.derived->terms.empty()) {
            std::string sum;
            if (nutrient.derived->constant != 0) sum = base::shortest(nutrient.derived->constant);
            for (const auto& [id, factor] : nutrient.derived->terms) {
                sum += fmt::format("{}{} {}", sum.empty() ? "" : factor < 0 ? " - " : " + ",
                                   base::shortest(sum.empty() ? factor : std::abs(factor)), id);
            }
            how += (how.empty() ? "" : "; where that is not known, ") + sum;
        }
        facts.items.emplace_back("where no value is given", text_cell(how));
        if (!nutrient.derived->source.empty()) {
            facts.items.emplace_back("source of the rule", text_cell(nutrient.derived->source));
        }
    }
    document.blocks.push_back(std::move(facts));
    if (!nutrient.note.empty()) document.blocks.push_back(Paragraph{nutrient.note, Tone::plain});
    return document;
}

Document source_page(const catalog::Source& source) {
    Document document;
    document.title = source.id;
    Facts facts;
    facts.key = "source";
    facts.items.emplace_back("citation", text_cell(source.citation));
    facts.items.emplace_back("how known", text_cell(source.how_known,
                                                    source.how_known == "memory" ? Tone::warn : Tone::plain));
    if (!source.url.empty()) facts.items.emplace_back("address", text_cell(source.url));
    document.blocks.push_back(std::move(facts));
    return document;
}

Document list_page(const std::string& title, const Table& table) {
    Document document;
    document.title = title;
    document.blocks.push_back(table);
    return document;
}

std::string table_json(const std::string& name, const Table& table) {
    JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-list/1");
    json.key(name).begin_array();
    for (const auto& row : table.rows) {
        json.begin_object();
        for (std::size_t c = 0; c < row.size(); ++c) {
            if (row[c].number) {
                json.member(table.columns[c].key, *row[c].number);
            } else if (!row[c].text.empty()) {
                json.member(table.columns[c].key, row[c].text);
            }
        }
        json.end_object();
    }
    json.end_array();
    json.end_object();
    return json.take();
}

}  // namespace feedwright::report
