// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/conflict_report.hpp"

#include "feedwright/base/number.hpp"
#include "feedwright/base/text.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::report {

namespace {

using formulate::Conflict;
using formulate::LimitKind;
using formulate::LimitSide;

std::string with_unit(double value, const std::string& unit) {
    return base::compact(value, 4) + (unit.empty() ? "" : ' ' + unit);
}

// "lysine, at least 1.6 %"
std::string asked(const LimitSide& side) {
    return fmt::format("{}, {} {}", side.name, side.is_min ? "at least" : "at most",
                       with_unit(side.wanted, side.unit));
}

void add_reasons(Document& document, const job::Job& job, const Conflict& conflict) {
    const bool alone = conflict.limits.size() == 1;
    document.blocks.push_back(Heading{alone ? "Why: this limit is out of reach"
                                            : "Why: these limits exclude each other"});
    Bullets bullets;
    for (const formulate::Clash& clash : conflict.limits) {
        std::string text = asked(clash.side);
        if (clash.best) {
            text += fmt::format(
                ": {} {} is {}", alone ? "the" : "with the others of this list kept, the",
                clash.side.is_min ? "most" : "least", with_unit(*clash.best, clash.side.unit));
        }
        bullets.items.push_back({std::move(text), Tone::bad});
    }
    document.blocks.push_back(std::move(bullets));
    std::string note = alone ? "No mix of these ingredients comes nearer to it"
                             : "Each of them counts: without any one of them, the others on the "
                               "list can be met";
    if (conflict.with_whole_numbers) {
        note += job.at_most ? fmt::format(", with at most {} ingredients", *job.at_most)
                            : ", with the least amounts asked of what is used";
    }
    document.blocks.push_back(Paragraph{note + '.', Tone::plain});
}

void add_nearest(Document& document, const job::Job& job, const formulate::NearestMix& nearest) {
    document.blocks.push_back(Heading{"The nearest mix"});
    Table mix;
    mix.key = "nearest_mix";
    mix.columns = {{"ingredient", Align::left, "ingredient"},
                   {"% of mix", Align::right, "percent"}};
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < nearest.amounts.size(); ++i) {
        if (nearest.amounts[i] > 0) order.push_back(i);
    }
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return nearest.amounts[a] > nearest.amounts[b];
    });
    for (const std::size_t i : order) {
        mix.rows.push_back({text_cell(job.ingredients[i].name),
                            number_cell(100 * nearest.amounts[i] / nearest.weighed_in, 2)});
    }
    document.blocks.push_back(std::move(mix));
    document.blocks.push_back(
        Paragraph{fmt::format("It costs {} per kg and meets every limit but these:",
                              money(nearest.cost_per_kg, job.currency)),
                  Tone::plain});
    Table missed;
    missed.key = "nearest_misses";
    missed.columns = {{"limit", Align::left, "limit"},
                      {"it has", Align::right, "value"},
                      {"off by", Align::right, "miss"},
                      {"that is", Align::right, "miss_percent"}};
    for (const formulate::Miss& miss : nearest.misses) {
        missed.rows.push_back(
            {text_cell(asked(miss.side)), amount_cell(miss.value), amount_cell(miss.miss),
             miss.miss_percent
                 ? Cell{base::fixed(*miss.miss_percent, 1) + " %", miss.miss_percent, Tone::bad}
                 : Cell{}});
    }
    document.blocks.push_back(std::move(missed));
    document.blocks.push_back(Paragraph{
        std::string("Nearest: the misses, each as a share of its limit, add up to the least; of "
                    "such mixes this is the cheapest. ") +
            (nearest.keeps_amounts
                 ? "Limits on amounts of ingredients are kept."
                 : "Limits on amounts of ingredients are missed too, because they exclude each "
                   "other."),
        Tone::quiet});
}

void add_help(Document& document, const job::Job& job, const Conflict& conflict) {
    document.blocks.push_back(Heading{"What would help"});
    Bullets bullets;
    for (const formulate::Fix& fix : conflict.fixes) {
        bullets.items.push_back(
            {fmt::format("{} {} from {} to {} ({:.1f} %): the cheapest mix then costs {} per kg.",
                         fix.side.is_min ? "Lower" : "Raise", fix.side.name,
                         with_unit(fix.side.wanted, {}), with_unit(fix.to, fix.side.unit),
                         fix.change_percent, money(fix.cost_per_kg, job.currency)),
             Tone::plain});
    }
    for (const formulate::IngredientFix& fix : conflict.ingredients) {
        std::string text = fmt::format("Add {} ({}): {} % of the mix is enough.", fix.name, fix.id,
                                       base::significant(fix.least_percent, 2));
        if (fix.pays_below) {
            text += fmt::format(" Below {} per kg it is cheaper than giving way on a limit.",
                                money(*fix.pays_below, job.currency));
        }
        bullets.items.push_back({std::move(text), Tone::plain});
    }
    if (conflict.fixes.empty()) {
        bullets.items.push_back(
            {"No single limit is enough: several have to give way, as in the nearest mix.",
             Tone::plain});
    }
    document.blocks.push_back(std::move(bullets));
}

void add_reachable(Document& document, const formulate::Formulation& result, bool all) {
    Table table;
    table.key = "reachable";
    table.columns = {{"limit", Align::left, "limit"},
                     {"asked", Align::right, "wanted"},
                     {"best possible", Align::right, "best"},
                     {"", Align::left, "state"}};
    for (const formulate::Reachable& item : result.reachable) {
        if (item.possible && !all) continue;
        const bool is_min = item.limit.ends_with(":min");
        table.rows.push_back({text_cell(item.name + (is_min ? ", at least" : ", at most") +
                                        (item.unit.empty() ? "" : ", " + item.unit)),
                              amount_cell(item.wanted), amount_cell(item.best),
                              item.possible ? text_cell("within reach", Tone::good)
                                            : text_cell("out of reach", Tone::bad)});
    }
    if (table.rows.empty()) return;
    document.blocks.push_back(Heading{all ? "How far these ingredients can go, one limit at a time"
                                          : "Out of reach, whatever the price"});
    document.blocks.push_back(std::move(table));
    if (all) return;
    document.blocks.push_back(Paragraph{
        "With limits on amounts of ingredients kept and all others put aside.", Tone::quiet});
}

void write_side(base::JsonWriter& json, const LimitSide& side) {
    json.member("limit", side.limit);
    json.member("name", side.name);
    json.member("unit", side.unit);
    json.member("wanted", side.wanted);
}

void write_nearest(base::JsonWriter& json, const job::Job& job,
                   const formulate::NearestMix& nearest) {
    json.key("nearest").begin_object();
    json.member("cost_per_kg", nearest.cost_per_kg);
    json.member("keeps_amounts", nearest.keeps_amounts);
    json.key("mix").begin_array();
    for (std::size_t i = 0; i < nearest.amounts.size(); ++i) {
        if (!(nearest.amounts[i] > 0)) continue;
        json.begin_object();
        json.member("id", job.ingredients[i].id);
        json.member("name", job.ingredients[i].name);
        json.member("percent", 100 * nearest.amounts[i] / nearest.weighed_in);
        if (job.free_total) json.member("amount_kg", nearest.amounts[i]);
        json.end_object();
    }
    json.end_array();
    json.key("misses").begin_array();
    for (const formulate::Miss& miss : nearest.misses) {
        json.begin_object();
        write_side(json, miss.side);
        json.member("value", miss.value);
        json.member("miss", miss.miss);
        json.member("miss_percent", miss.miss_percent);
        json.end_object();
    }
    json.end_array();
    json.end_object();
}

void write_fixes(base::JsonWriter& json, const Conflict& conflict) {
    json.key("would_fix").begin_array();
    for (const formulate::Fix& fix : conflict.fixes) {
        json.begin_object();
        write_side(json, fix.side);
        json.member("to", fix.to);
        json.member("change", fix.to - fix.side.wanted);
        json.member("change_percent", fix.change_percent);
        json.member("cost_per_kg", fix.cost_per_kg);
        json.end_object();
    }
    for (const formulate::IngredientFix& fix : conflict.ingredients) {
        json.begin_object();
        json.member("ingredient", fix.id);
        json.member("name", fix.name);
        json.member("change", fix.least_percent);
        json.member("unit", "%");
        json.member("pays_below", fix.pays_below);
        json.end_object();
    }
    json.end_array();
}

}  // namespace

void add_conflict(Document& document, const job::Job& job, const formulate::Formulation& result,
                  bool all) {
    if (const auto& conflict = result.conflict) {
        if (!conflict->limits.empty()) add_reasons(document, job, *conflict);
        if (!conflict->limits.empty()) add_help(document, job, *conflict);
        if (conflict->nearest) add_nearest(document, job, *conflict->nearest);
    }
    add_reachable(document, result, all);
}

void write_conflict(base::JsonWriter& json, const job::Job& job,
                    const formulate::Formulation& result) {
    json.key("conflict").begin_object();
    if (const auto& conflict = result.conflict) {
        std::vector<std::string> ids;
        for (const formulate::Clash& clash : conflict->limits)
            ids.push_back(clash.side.limit);
        json.member("limits", ids);
        if (conflict->with_whole_numbers) json.member("with_whole_numbers", true);
        json.key("clash").begin_array();
        for (const formulate::Clash& clash : conflict->limits) {
            json.begin_object();
            write_side(json, clash.side);
            json.member("best", clash.best);
            json.end_object();
        }
        json.end_array();
    }
    json.key("reachable").begin_array();
    for (const formulate::Reachable& item : result.reachable) {
        json.begin_object();
        json.member("limit", item.limit);
        json.member("name", item.name);
        json.member("unit", item.unit);
        json.member("wanted", item.wanted);
        json.member("best", item.best);
        json.member("possible", item.possible);
        json.end_object();
    }
    json.end_array();
    if (const auto& conflict = result.conflict) {
        if (conflict->nearest) write_nearest(json, job, *conflict->nearest);
        write_fixes(json, *conflict);
    }
    json.end_object();
}

}  // namespace feedwright::report
