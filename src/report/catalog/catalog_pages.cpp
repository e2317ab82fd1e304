// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/catalog/catalog_pages.hpp"

#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "report/catalog/caps.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::report {

namespace {

using base::JsonWriter;

// Shorter words where a table has to keep within the width of a page.
struct BasisWords {
    std::string_view dry_matter = " of dry matter";
    std::string_view protein = "% of protein";
};
constexpr BasisWords short_words{" of DM", "% of CP"};

std::string unit_text(const catalog::Nutrient& nutrient, catalog::Basis basis,
                      const BasisWords& words = {}) {
    switch (basis) {
        case catalog::Basis::as_fed:
            return nutrient.unit;
        case catalog::Basis::dry_matter:
            return nutrient.unit + std::string(words.dry_matter);
        case catalog::Basis::of_protein:
            return std::string(words.protein);
    }
    return nutrient.unit;
}

std::string range_text(const std::optional<catalog::Range>& range, std::string_view unit) {
    if (!range) return "";
    std::string text = base::shortest(range->low);
    if (range->high != range->low) text += " to " + base::shortest(range->high);
    return unit.empty() ? text : text + ' ' + std::string(unit);
}

// "30 or more", "5 to 12", "up to 8.5"; short, for a column a stage.
std::string sides_text(const std::optional<double>& min, const std::optional<double>& max) {
    const auto number = [](double value) { return base::compact(value, 4); };
    if (min && max) return *min == *max ? number(*min) : number(*min) + " to " + number(*max);
    return min ? "min " + number(*min) : "max " + number(max.value_or(0));
}

std::string temperature_text(const catalog::TemperatureRange& water) {
    std::vector<std::string> parts;
    const auto range = [](const std::optional<double>& low, const std::optional<double>& high) {
        if (low && high) return base::shortest(*low) + " to " + base::shortest(*high) + " °C";
        return (low ? "from " + base::shortest(*low) : "to " + base::shortest(*high)) + " °C";
    };
    if (water.low || water.high) parts.push_back("kept at " + range(water.low, water.high));
    if (water.best_low || water.best_high)
        parts.push_back("grows best at " + range(water.best_low, water.best_high));
    return base::join_words(parts, ", ");
}

void add_conflicts(Document& document, const catalog::Profile& profile,
                   const catalog::NutrientDictionary& dictionary) {
    if (profile.conflicts.empty()) return;
    document.blocks.push_back(Heading{"Where sources disagree", Depth::full, "conflicts"});
    Bullets bullets;
    for (const catalog::SourceConflict& conflict : profile.conflicts) {
        const catalog::Nutrient* nutrient = dictionary.find(conflict.nutrient);
        bullets.items.push_back(
            {(nutrient != nullptr ? nutrient->name + ": " : "") + conflict.text, Tone::plain});
    }
    document.blocks.push_back(std::move(bullets));
}

std::size_t shaping(const catalog::Stage& stage) {
    const auto counts = [](const auto& limit) { return !limit.advisory; };
    return static_cast<std::size_t>(
        std::count_if(stage.limits.begin(), stage.limits.end(), counts) +
        std::count_if(stage.ratios.begin(), stage.ratios.end(), counts));
}

// What shapes the mix, a row a nutrient and a column a stage.
Table limits_by_stage(const catalog::Profile& profile,
                      const catalog::NutrientDictionary& dictionary) {
    struct Line {
        std::string nutrient;
        catalog::Basis basis = catalog::Basis::as_fed;
    };
    std::vector<Line> lines;
    for (const catalog::Nutrient& nutrient : dictionary.all()) {
        for (const catalog::Stage& stage : profile.stages) {
            for (const catalog::RequirementLimit& limit : stage.limits) {
                if (limit.advisory || limit.nutrient != nutrient.id) continue;
                const bool there = std::any_of(lines.begin(), lines.end(), [&](const Line& line) {
                    return line.nutrient == limit.nutrient && line.basis == limit.basis;
                });
                if (!there) lines.push_back({limit.nutrient, limit.basis});
            }
        }
    }
    Table table;
    table.key = "limits";
    table.columns = {{"nutrient", Align::left, "nutrient"}, {"unit", Align::left, "unit"}};
    for (const catalog::Stage& stage : profile.stages)
        table.columns.push_back({stage.id, Align::right, stage.id});
    for (const Line& line : lines) {
        const catalog::Nutrient& nutrient = *dictionary.find(line.nutrient);
        std::vector<Cell> row{text_cell(nutrient.name), text_cell(unit_text(nutrient, line.basis))};
        for (const catalog::Stage& stage : profile.stages) {
            const auto at =
                std::find_if(stage.limits.begin(), stage.limits.end(), [&](const auto& limit) {
                    return !limit.advisory && limit.nutrient == line.nutrient &&
                           limit.basis == line.basis;
                });
            row.push_back(text_cell(at == stage.limits.end() ? "" : sides_text(at->min, at->max)));
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

// A stage's limits that shape the mix, or those that do not.
Table limits_table(const catalog::Stage& stage, bool advisory,
                   const catalog::NutrientDictionary& dictionary) {
    const auto chosen = [](const std::optional<double>& value) {
        return value ? Cell{base::compact(*value, 4), *value, Tone::plain} : Cell{};
    };
    Table table;
    table.key = advisory ? "advisory" : "limits";
    table.columns = {{"nutrient", Align::left, "nutrient"}, {"at least", Align::right, "min"},
                     {"at most", Align::right, "max"},      {"unit", Align::left, "unit"},
                     {"level", Align::left, "level"},       {"source", Align::left, "source"}};
    for (const catalog::RequirementLimit& limit : stage.limits) {
        if (limit.advisory != advisory) continue;
        const catalog::Nutrient& nutrient = *dictionary.find(limit.nutrient);
        table.rows.push_back({text_cell(nutrient.name), chosen(limit.min), chosen(limit.max),
                              text_cell(unit_text(nutrient, limit.basis, short_words)),
                              text_cell(limit.level), text_cell(limit.source)});
    }
    for (const catalog::RequirementRatio& ratio : stage.ratios) {
        if (ratio.advisory != advisory) continue;
        table.rows.push_back(
            {text_cell(dictionary.find(ratio.of)->name + " : " + dictionary.find(ratio.to)->name),
             chosen(ratio.min), chosen(ratio.max), text_cell("ratio"), text_cell(ratio.level),
             text_cell(ratio.source)});
    }
    return table;
}

}  // namespace

Document species_page(const catalog::Profile& profile,
                      const catalog::NutrientDictionary& dictionary) {
    Document document;
    document.title = profile.name + " (" + profile.species + ')';
    Facts facts;
    facts.key = "species";
    if (!profile.scientific_name.empty()) {
        facts.items.emplace_back("species", text_cell(profile.scientific_name));
    }
    if (profile.temperature) {
        facts.items.emplace_back("water", text_cell(temperature_text(*profile.temperature)));
    }
    if (!profile.lacks.empty()) {
        facts.items.emplace_back("no requirements known for",
                                 text_cell(base::join_words(profile.lacks), Tone::warn));
    }
    document.blocks.push_back(std::move(facts));
    if (!profile.note.empty()) document.blocks.push_back(Paragraph{profile.note, Tone::plain});
    Table stages;
    stages.key = "stages";
    stages.columns = {{"profile", Align::left, "id"},
                      {"stage", Align::left, "name"},
                      {"body weight", Align::left, "weight_g"},
                      {"enforced limits", Align::right, "shaping"},
                      {"for information", Align::right, "advisory"}};
    for (const catalog::Stage& stage : profile.stages) {
        const std::size_t all = stage.limits.size() + stage.ratios.size();
        const std::size_t shape = shaping(stage);
        stages.rows.push_back({text_cell(profile.species + '/' + stage.id), text_cell(stage.name),
                               text_cell(range_text(stage.weight_g, "g")),
                               number_cell(static_cast<double>(shape), 0),
                               number_cell(static_cast<double>(all - shape), 0)});
    }
    document.blocks.push_back(Heading{"Stages"});
    document.blocks.push_back(std::move(stages));
    document.blocks.push_back(Heading{"Enforced limits by stage"});
    document.blocks.push_back(limits_by_stage(profile, dictionary));
    document.blocks.push_back(Paragraph{fmt::format("\"feedwright show {}/{}\" shows one stage: "
                                                    "all its limits with their sources, how it is "
                                                    "fed, and how much of which ingredient.",
                                                    profile.species, profile.stages.back().id),
                                        Tone::plain});
    add_conflicts(document, profile, dictionary);
    return document;
}

std::string species_json(const catalog::Profile& profile) {
    JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-species-page/1");
    json.member("id", profile.species).member("name", profile.name);
    json.member("scientific_name", profile.scientific_name).member("group", profile.group);
    json.member("lacks", profile.lacks);
    json.key("stages").begin_array();
    for (const catalog::Stage& stage : profile.stages) {
        json.begin_object();
        json.member("profile", profile.species + '/' + stage.id).member("name", stage.name);
        if (stage.weight_g) {
            json.key("weight_g").begin_array();
            json.value(stage.weight_g->low).value(stage.weight_g->high);
            json.end_array();
        }
        const std::size_t shape = shaping(stage);
        json.member("shaping", static_cast<int>(shape));
        json.member("advisory",
                    static_cast<int>(stage.limits.size() + stage.ratios.size() - shape));
        json.end_object();
    }
    json.end_array();
    json.end_object();
    return json.take();
}

Document profile_page(const catalog::Profile& profile, const catalog::Stage& stage,
                      const catalog::NutrientDictionary& dictionary,
                      const std::vector<SpeciesCap>& caps) {
    Document document;
    document.title =
        profile.name + ", " + stage.name + " (" + profile.species + '/' + stage.id + ')';
    Facts facts;
    facts.key = "profile";
    if (!profile.scientific_name.empty()) {
        facts.items.emplace_back("species", text_cell(profile.scientific_name));
    }
    if (stage.weight_g)
        facts.items.emplace_back("body weight", text_cell(range_text(stage.weight_g, "g")));
    if (profile.temperature) {
        facts.items.emplace_back("water", text_cell(temperature_text(*profile.temperature)));
    }
    if (!profile.lacks.empty()) {
        facts.items.emplace_back("no figures for",
                                 text_cell(base::join_words(profile.lacks), Tone::warn));
    }
    document.blocks.push_back(std::move(facts));
    for (const std::string& note : {profile.note, stage.note}) {
        if (!note.empty()) document.blocks.push_back(Paragraph{note, Tone::plain});
    }
    for (const bool advisory : {false, true}) {
        Table table = limits_table(stage, advisory, dictionary);
        if (table.rows.empty()) continue;
        document.blocks.push_back(
            advisory ? Heading{"Advisory requirements (reported; enforced where possible or with "
                               "--enforce)",
                               Depth::full, "advisory"}
                     : Heading{"Requirements and maxima that are enforced"});
        document.blocks.push_back(std::move(table));
    }
    document.blocks.push_back(Paragraph{
        "Amounts are as fed; of DM: of the dry matter; of CP: of the crude protein.", Tone::plain});
    Bullets notes;
    for (const catalog::RequirementLimit& limit : stage.limits) {
        if (limit.note.empty()) continue;
        notes.items.push_back(
            {dictionary.find(limit.nutrient)->name + ": " + limit.note, Tone::plain});
    }
    if (!notes.items.empty()) {
        document.blocks.push_back(Heading{"Notes on these limits", Depth::full, "notes"});
        document.blocks.push_back(std::move(notes));
    }
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
                                    text_cell(range_text(rate.temperature_c, "°C")),
                                    text_cell(range_text(rate.ration_percent, "%")),
                                    text_cell(range_text(rate.meals_per_day, "")),
                                    text_cell(range_text(rate.pellet_mm, "mm")),
                                    text_cell(range_text(rate.expected_fcr, "")),
                                    text_cell(rate.source)});
        }
        document.blocks.push_back(Heading{"Feeding", Depth::full, "feeding"});
        document.blocks.push_back(std::move(feeding));
    }
    if (!caps.empty()) {
        document.blocks.push_back(Heading{"Ingredient limits", Depth::full, "caps"});
        document.blocks.push_back(caps_table(caps, CapsBy::ingredient));
    }
    add_conflicts(document, profile, dictionary);
    return document;
}

std::string profile_json(const catalog::Profile& profile, const catalog::Stage& stage,
                         const catalog::NutrientDictionary& dictionary,
                         const std::vector<SpeciesCap>& caps) {
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
                sum += fmt::format("{}{} {}",
                                   sum.empty()  ? ""
                                   : factor < 0 ? " - "
                                                : " + ",
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
    facts.items.emplace_back(
        "how known",
        text_cell(source.how_known, source.how_known == "unverified" ? Tone::warn : Tone::plain));
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
