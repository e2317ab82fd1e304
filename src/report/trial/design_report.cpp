// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/trial/design_report.hpp"

#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "report/json_sections.hpp"
#include "report/sections.hpp"
#include "report/trial/no_diet.hpp"
#include "report/verdict_sections.hpp"
#include "report/weighing/weighing_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <set>
#include <utility>

namespace feedwright::report {

namespace {

using base::compact;
using trial::DesignDiet;
using trial::DesignSeries;

bool is_control(const DesignDiet& diet) {
    return diet.level == 0;
}

std::vector<const DesignDiet*> possible(const DesignSeries& series) {
    std::vector<const DesignDiet*> list;
    for (const DesignDiet& diet : series.diets) {
        if (diet.possible) list.push_back(&diet);
    }
    return list;
}

// A table with one column a diet that could be made.
Table diet_columns(const DesignSeries& series, std::string key, std::string first) {
    Table table{std::move(key), {{std::move(first), Align::left, "item"}}, {}};
    for (const DesignDiet* diet : possible(series)) {
        const std::string header = is_control(*diet) ? "control" : compact(diet->level, 4) + " %";
        table.columns.push_back({header, Align::right, diet->name});
    }
    return table;
}

// Below this percent of the diet, by weight, with a value for a nutrient its amount is marked.
constexpr double mostly_known = 95;

// What a paper's table holds; --detail and JSON have every nutrient.
bool is_usual(const DesignSeries& series, const std::string& nutrient) {
    static const std::set<std::string> usual{"dry_matter",
                                             "crude_protein",
                                             "crude_lipid",
                                             "crude_fibre",
                                             "ash",
                                             "nfe",
                                             "gross_energy",
                                             "digestible_energy",
                                             "metabolisable_energy",
                                             "calcium",
                                             "available_phosphorus",
                                             "lysine",
                                             "methionine",
                                             "methionine_cystine"};
    return usual.contains(nutrient) ||
           std::find(series.equal.begin(), series.equal.end(), nutrient) != series.equal.end();
}

const trial::DesignValue* value_of(const DesignDiet& diet, const std::string& nutrient) {
    for (const trial::DesignValue& value : diet.values) {
        if (value.nutrient == nutrient) return &value;
    }
    return nullptr;
}

// Energy for birds is known of few ingredients of a fish feed: a row of next to nothing tells
// nothing.
bool is_known_at_all(const std::vector<const DesignDiet*>& diets, const std::string& nutrient) {
    constexpr double half = 50;  // percent of a diet with a value
    return std::any_of(diets.begin(), diets.end(), [&](const DesignDiet* diet) {
        const trial::DesignValue* value = value_of(*diet, nutrient);
        return value != nullptr && value->known_percent >= half;
    });
}

// One value for each nutrient that any of the diets has an amount of, in the diets' order: a diet
// has none of a nutrient that none of its ingredients has a value for.
std::vector<const trial::DesignValue*> analysed(const std::vector<const DesignDiet*>& diets) {
    std::vector<const trial::DesignValue*> list;
    for (const DesignDiet* diet : diets) {
        auto place = list.begin();
        for (const trial::DesignValue& value : diet->values) {
            const auto known = std::find_if(
                list.begin(), list.end(),
                [&](const trial::DesignValue* v) { return v->nutrient == value.nutrient; });
            place = std::next(known == list.end() ? list.insert(place, &value) : known);
        }
    }
    return list;
}

// Ingredients, then calculated analysis, cost and distance: the table of a paper.
Table diet_table(const DesignSeries& series, bool all) {
    Table table = diet_columns(series, "diets", "as fed");
    const auto diets = possible(series);
    const auto row = [&](std::string label, auto cell) {
        std::vector<Cell> cells{text_cell(std::move(label))};
        for (const DesignDiet* diet : diets)
            cells.push_back(cell(*diet));
        table.rows.push_back(std::move(cells));
    };
    for (std::size_t i = 0; i < diets.front()->parts.size(); ++i) {
        const bool used = std::any_of(diets.begin(), diets.end(),
                                      [&](const DesignDiet* d) { return d->parts[i].percent > 0; });
        if (!used) continue;
        row(diets.front()->parts[i].name + ", %", [&](const DesignDiet& d) {
            const double percent = d.parts[i].percent;
            return percent > 0 ? number_cell(percent, percent < 0.1 ? 3 : 2) : text_cell("-");
        });
    }
    for (const trial::DesignValue* value : analysed(diets)) {
        if (!all &&
            (!is_usual(series, value->nutrient) || !is_known_at_all(diets, value->nutrient)))
            continue;
        row(value->name + ", " + value->unit, [&](const DesignDiet& d) {
            const trial::DesignValue* v = value_of(d, value->nutrient);
            if (v == nullptr) return text_cell("not known");
            Cell cell{base::significant(v->value, 4), v->value, Tone::plain};
            if (v->known_percent < mostly_known) cell.text += '?';
            return cell;
        });
    }
    row("cost of a kg" + (series.currency.empty() ? "" : ", " + series.currency),
        [](const DesignDiet& d) { return price_cell(d.cost_per_kg); });
    row("distance from the control, points",
        [](const DesignDiet& d) { return number_cell(d.distance, 2); });
    return table;
}

Table weights_table(const DesignSeries& series) {
    Table table = diet_columns(series, "weights_g", "grams in the batch");
    const auto diets = possible(series);
    for (std::size_t i = 0; i < diets.front()->parts.size(); ++i) {
        std::vector<Cell> cells{text_cell(diets.front()->parts[i].name)};
        bool used = false;
        for (const DesignDiet* diet : diets) {
            const double grams = diet->parts[i].grams;
            used = used || grams > 0;
            cells.push_back(grams > 0 ? Cell{compact(grams, 9), grams, Tone::plain}
                                      : text_cell("-"));
        }
        if (used) table.rows.push_back(std::move(cells));
    }
    std::vector<Cell> cells{text_cell("crude protein as weighed, %")};
    for (const DesignDiet* diet : diets) {
        cells.push_back(diet->protein_weighed ? number_cell(*diet->protein_weighed, 4) : Cell{});
    }
    table.rows.push_back(std::move(cells));
    return table;
}

Table plan_table(const DesignSeries& series) {
    Table table{"tank_plan", {}, {}};
    if (series.plan.blocks > 0) table.columns.push_back({"block", Align::right, "block"});
    table.columns.push_back({"tank", Align::right, "tank"});
    table.columns.push_back({"diet", Align::left, "diet"});
    for (const trial::PlacedTank& tank : series.plan.tanks) {
        std::vector<Cell> row;
        const auto whole = [](int n) {
            return Cell{std::to_string(n), static_cast<double>(n), Tone::plain};
        };
        if (series.plan.blocks > 0) row.push_back(whole(tank.block));
        row.push_back(whole(tank.tank));
        row.push_back(text_cell(tank.diet));
        table.rows.push_back(std::move(row));
    }
    return table;
}

Table power_table(const DesignSeries::Sensitivity& sensitivity) {
    Table table{"tanks_needed_cv_" + compact(sensitivity.cv_percent, 4),
                {{"difference, % of control", Align::right, "difference_percent"},
                 {"tanks for 80 %", Align::right, "tanks_80"},
                 {"for 90 %", Align::right, "tanks_90"},
                 {"chance with 3", Align::right, "power_3"},
                 {"4", Align::right, "power_4"},
                 {"5", Align::right, "power_5"},
                 {"6", Align::right, "power_6"}},
                {}};
    for (const trial::PowerRow& row : sensitivity.rows) {
        const auto tanks = [](const std::optional<int>& n) {
            return n ? Cell{std::to_string(*n), static_cast<double>(*n), Tone::plain}
                     : text_cell("over 1000");
        };
        std::vector<Cell> cells{{compact(row.difference, 4), row.difference, Tone::plain},
                                tanks(row.tanks_80),
                                tanks(row.tanks_90)};
        for (const double p : row.power_at)
            cells.push_back({base::fixed(100 * p, 0) + " %", p, Tone::plain});
        table.rows.push_back(std::move(cells));
    }
    return table;
}

std::vector<std::string> words(const std::vector<std::string>& ids) {
    std::vector<std::string> list = ids;
    for (std::string& id : list)
        std::replace(id.begin(), id.end(), '_', ' ');
    return list;
}

std::string equality(const DesignSeries& series) {
    std::string text =
        fmt::format("Every diet has the control's {} and meets every limit of the job. ",
                    base::join_words(words(series.equal)));
    text +=
        "The other ingredients change as little as possible from the control, each in proportion "
        "to its share there.";
    return text;
}

void add_protein(Document& document, const DesignSeries& series) {
    if (!series.protein_spread) return;
    const bool equal = *series.protein_spread <= trial::equal_protein_points;
    document.blocks.push_back(Paragraph{
        fmt::format("As weighed, the diets' crude protein differs by {} points{}.",
                    base::significant(*series.protein_spread, 2),
                    equal ? ""
                          : ", too much to call them equal: weigh on a finer scale or mix "
                            "a larger batch"),
        equal ? Tone::plain : Tone::bad});
}

void add_variation(Document& document, const DesignSeries& series) {
    if (series.variation.empty()) return;
    std::vector<std::string> list;
    for (const DesignSeries::Variation& one : series.variation) {
        list.push_back(fmt::format("{} by up to {} {}", one.name,
                                   base::significant(one.difference, 2),
                                   one.unit == "%" ? "points" : one.unit));
    }
    document.blocks.push_back(Paragraph{
        fmt::format("Lots of ingredients vary: mixed from the same lots, the diets differ in {} in "
                    "95 of 100 sets of lots. Analyse the lots before you mix.",
                    base::join_words(list)),
        Tone::plain});
}

void add_plan(Document& document, const DesignSeries& series) {
    if (series.plan.tanks.empty()) return;
    document.blocks.push_back(Heading{"Which tank gets which diet"});
    document.blocks.push_back(Paragraph{fmt::format(
        "Drawn by lot with seed {}{}. Number the tanks in the order they stand{}. Follow the list; "
        "do not choose by eye.",
        series.plan.seed,
        series.plan.blocks > 0 ? fmt::format(", within each of {} blocks", series.plan.blocks) : "",
        series.plan.blocks > 0
            ? " so that the tanks of a block are alike (one row, one filter, one group of fish)"
            : "")});
    document.blocks.push_back(plan_table(series));
}

void add_sensitivities(Document& document, const DesignSeries& series) {
    for (const DesignSeries::Sensitivity& s : series.sensitivities) {
        document.blocks.push_back(Heading{fmt::format(
            "How many tanks, if tanks on one diet vary by {} %", compact(s.cv_percent, 4))});
        document.blocks.push_back(
            Paragraph{fmt::format("{} The chance that the trial finds this difference between the "
                                  "best and the poorest of {} diets (analysis of variance, p = "
                                  "0.05).",
                                  s.source, possible(series).size())});
        document.blocks.push_back(power_table(s));
    }
}

// What each diet is mixed by, below its name.
void add_sheets(Document& document, const std::vector<tasks::DietSheet>& sheets) {
    for (const tasks::DietSheet& one : sheets) {
        Document sheet = sheet_document(one.job, one.weighing, one.plan, {});
        document.blocks.push_back(Heading{std::move(sheet.title)});
        for (Block& block : sheet.blocks)
            document.blocks.push_back(std::move(block));
    }
}

}  // namespace

Document design_document(const tasks::TrialDesign& design, const Run& run) {
    const DesignSeries& series = design.series;
    Document document;
    document.title = series.title.empty() ? "Trial design" : "Trial design: " + series.title;
    document.blocks.push_back(Paragraph{
        fmt::format("Ingredient tested: {}. Level: the percent of the protein of {} in the "
                    "control that it replaces.",
                    series.test_name, series.reference_name)});
    Bullets refused;
    for (std::size_t d = 0; d < series.diets.size(); ++d) {
        const DesignDiet& diet = series.diets[d];
        if (diet.possible) continue;
        refused.items.push_back(
            {fmt::format("{}: cannot be made: {}.",
                         is_control(diet) ? "The control" : compact(diet.level, 4) + " %",
                         in_words(*design.missing[d])),
             Tone::bad});
    }
    if (!refused.items.empty()) document.blocks.push_back(std::move(refused));
    if (possible(series).empty()) return document;
    std::vector<NamedJudgement> verdicts;
    for (std::size_t d = 0; d < series.diets.size(); ++d) {
        if (series.diets[d].possible)
            verdicts.push_back({series.diets[d].name, design.judgements[d]});
    }
    add_verdicts(document, design.job, verdicts);
    document.blocks.push_back(Paragraph{equality(series)});
    for (const std::string& note : series.notes)
        document.blocks.push_back(Paragraph{note});
    document.blocks.push_back(Heading{"Diets", Depth::full, "diets"});
    document.blocks.push_back(diet_table(series, run.detail));
    const auto diets = possible(series);
    const bool unknown = std::any_of(diets.begin(), diets.end(), [&](const DesignDiet* d) {
        return std::any_of(d->values.begin(), d->values.end(), [&](const trial::DesignValue& v) {
            return v.known_percent < mostly_known &&
                   (run.detail ||
                    (is_usual(series, v.nutrient) && is_known_at_all(diets, v.nutrient)));
        });
    });
    if (unknown) {
        document.blocks.push_back(Paragraph{
            "?: less than 95 % of the diet, by weight, has a value; the rest counts as zero.",
            Tone::quiet});
    }
    document.blocks.push_back(
        Heading{fmt::format("Weights for {} kg of each", compact(series.batch_kg, 6))});
    document.blocks.push_back(weights_table(series));
    Bullets unweighed;
    for (const DesignDiet* diet : diets) {
        if (!diet->weighing_reason.empty()) {
            unweighed.items.push_back({diet->name + ": " + diet->weighing_reason, Tone::bad});
        }
    }
    if (!unweighed.items.empty()) document.blocks.push_back(std::move(unweighed));
    add_protein(document, series);
    add_variation(document, series);
    add_plan(document, series);
    add_sensitivities(document, series);
    add_sheets(document, design.sheets);
    return document;
}

std::string design_json(const tasks::TrialDesign& design, const Run& run) {
    const DesignSeries& series = design.series;
    base::JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-trial-design/1");
    json.member("program", run.program);
    if (!series.title.empty()) json.member("title", series.title);
    json.member("test", series.test);
    json.member("reference", series.reference);
    json.member("equal", series.equal);
    if (!series.currency.empty()) json.member("currency", series.currency);
    json.member("batch_kg", series.batch_kg);
    json.member("notes", series.notes);
    json.key("diets").begin_array();
    for (std::size_t d = 0; d < series.diets.size(); ++d) {
        const DesignDiet& diet = series.diets[d];
        json.begin_object();
        json.member("diet", diet.name);
        json.member("level", diet.level);
        json.member("possible", diet.possible);
        if (!diet.possible) {
            json.member("reason", in_words(*design.missing[d]));
            json.end_object();
            continue;
        }
        write_fields(json, judged_fields(), {design.job, design.judgements[d]});
        json.member("cost_per_kg", diet.cost_per_kg);
        json.member("distance", diet.distance);
        json.key("ingredients").begin_array();
        for (const trial::DesignPart& part : diet.parts) {
            if (!(part.percent > 0)) continue;
            json.begin_object();
            json.member("id", part.id);
            json.member("percent", part.percent);
            if (part.grams > 0) json.member("grams", part.grams);
            json.end_object();
        }
        json.end_array();
        json.key("analysis").begin_array();
        for (const trial::DesignValue& value : diet.values) {
            json.begin_object();
            json.member("nutrient", value.nutrient);
            json.member("value", value.value);
            json.member("unit", value.unit);
            json.member("known_percent", value.known_percent);
            json.end_object();
        }
        json.end_array();
        json.member("crude_protein_weighed", diet.protein_weighed);
        if (!diet.weighing_reason.empty()) json.member("weighing_reason", diet.weighing_reason);
        json.end_object();
    }
    json.end_array();
    json.member("protein_spread", series.protein_spread);
    json.key("variation").begin_array();
    for (const DesignSeries::Variation& one : series.variation) {
        json.begin_object();
        json.member("nutrient", one.nutrient).member("unit", one.unit);
        json.member("difference_95", one.difference);
        json.end_object();
    }
    json.end_array();
    json.key("tank_plan").begin_object();
    json.member("seed", std::to_string(series.plan.seed));
    json.member("blocks", series.plan.blocks);
    json.key("tanks").begin_array();
    for (const trial::PlacedTank& tank : series.plan.tanks) {
        json.begin_object();
        json.member("tank", tank.tank);
        if (tank.block > 0) json.member("block", tank.block);
        json.member("diet", tank.diet);
        json.end_object();
    }
    json.end_array();
    json.end_object();
    json.key("tanks_needed").begin_array();
    for (const DesignSeries::Sensitivity& s : series.sensitivities) {
        json.begin_object();
        json.member("cv_percent", s.cv_percent);
        json.member("source", s.source);
        json.key("differences").begin_array();
        for (const trial::PowerRow& row : s.rows) {
            json.begin_object();
            json.member("difference_percent", row.difference);
            json.member("tanks_80", row.tanks_80);
            json.member("tanks_90", row.tanks_90);
            for (std::size_t i = 0; i < row.power_at.size(); ++i) {
                json.member("power_" + std::to_string(i + 3), row.power_at[i]);
            }
            json.end_object();
        }
        json.end_array();
        json.end_object();
    }
    json.end_array();
    return inside::end_result(json, run);
}

}  // namespace feedwright::report
