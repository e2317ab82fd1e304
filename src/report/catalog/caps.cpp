// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/catalog/caps.hpp"

#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "report/sections.hpp"

#include <algorithm>
#include <string>
#include <utility>

namespace feedwright::report {

namespace {

std::string cap_basis_text(catalog::Cap::Basis basis) {
    switch (basis) {
        case catalog::Cap::Basis::diet:
            return "the diet";
        case catalog::Cap::Basis::fish_meal:
            return "the fish meal it replaces";
        case catalog::Cap::Basis::fish_meal_protein:
            return "fish-meal protein";
        case catalog::Cap::Basis::dietary_protein:
            return "dietary protein";
    }
    return "";
}

std::string cap_kind_text(catalog::Cap::Kind kind) {
    switch (kind) {
        case catalog::Cap::Kind::tried:
            return "highest tried without loss";
        case catalog::Cap::Kind::first_loss:
            return "lowest with a loss";
        case catalog::Cap::Kind::handbook:
            return "handbook";
        case catalog::Cap::Kind::rule_of_thumb:
            return "rule of thumb";
        case catalog::Cap::Kind::by_default:
            return "cautious default";
    }
    return "";
}

}  // namespace

Table caps_table(const std::vector<SpeciesCap>& caps, CapsBy by) {
    const bool by_species = by == CapsBy::species;
    // The page of a stage lists what holds for it.
    const bool by_stage =
        by_species && std::any_of(caps.begin(), caps.end(),
                                  [](const SpeciesCap& item) { return !item.cap.stages.empty(); });
    const std::string subject = by_species ? "species" : "ingredient";
    Table table;
    table.key = "caps";
    table.columns = {{subject, Align::left, subject},
                     {"at most", Align::right, "max_percent"},
                     {"percent of", Align::left, "basis"}};
    if (by_stage) table.columns.push_back({"stages", Align::left, "stages"});
    table.columns.push_back({"basis of the limit", Align::left, "kind"});
    table.columns.push_back({"source", Align::left, "source"});
    for (const auto& [species, cap] : caps) {
        std::vector<Cell> row{text_cell(by_species ? species : cap.subject),
                              {base::shortest(cap.max) + " %", cap.max, Tone::plain},
                              text_cell(cap_basis_text(cap.basis))};
        if (by_stage) {
            row.push_back(
                text_cell(cap.stages.empty() ? "all" : base::join_words(cap.stages, ", ")));
        }
        row.push_back(text_cell(cap_kind_text(cap.kind)));
        row.push_back(text_cell(cap.source));
        table.rows.push_back(std::move(row));
    }
    return table;
}

void write_caps(base::JsonWriter& json, const std::vector<SpeciesCap>& caps) {
    json.key("caps").begin_array();
    for (const auto& [species, cap] : caps) {
        json.begin_object();
        if (!species.empty()) json.member("species", species);
        json.member("ingredient", cap.subject);
        if (!cap.animals.empty()) json.member("animals", cap.animals);
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

}  // namespace feedwright::report
