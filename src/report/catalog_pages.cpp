// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/report/catalog_pages.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "feedwright/base/json_writer.hpp"
#include "feedwright/base/number.hpp"
#include "feedwright/base/text.hpp"
#include "report/caps.hpp"
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

}  // namespace

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
        document.blocks.push_back(caps_table(caps, CapsBy::ingredient));
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
