// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/mix/explain_sections.hpp"

#include "base/number.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::report {

namespace {

using limits::LimitKind;
using limits::LimitResult;
using limits::Response;
using search::Formulation;

// The side the mix rests on.
bool rests_on_min(const LimitResult& limit) {
    const auto distance = [&](const std::optional<double>& number) {
        return number ? std::abs(*limit.value - *number) : HUGE_VAL;
    };
    return distance(limit.limit.min) <= distance(limit.limit.max);
}

double number_of(const LimitResult& limit) {
    return *(rests_on_min(limit) ? limit.limit.min : limit.limit.max);
}

// A change of the limit that is small beside it, and within what its cost holds over: a power of
// ten.
double step_of(const LimitResult& limit) {
    const double number = number_of(limit);
    double step = number == 0 ? 1 : std::pow(10, std::floor(std::log10(std::abs(number))) - 1);
    for (const auto& response : {limit.rise, limit.fall}) {
        if (!response || !response->until) continue;
        const double room = std::abs(*response->until - number);
        const double least = step / 1000;  // a kink right here leaves no room at all
        while (step > room && step > least)
            step /= 10;
    }
    return step;
}

Cell end_cell(const std::optional<double>& price) {
    return price ? price_cell(*price) : text_cell("no limit");
}

bool costs(const LimitResult& limit) {
    constexpr double nothing = 1e-12;
    const auto does = [&](const std::optional<Response>& response) {
        return response && (!response->per_unit || std::abs(*response->per_unit) > nothing);
    };
    return does(limit.rise) || does(limit.fall);
}

// What a tight limit costs, seen from its tighter side.
struct TightLimit {
    const LimitResult* result = nullptr;
    bool tighter_up = false;  // a larger number asks more
    double step = 0;          // of the number, above zero
};

// More of an "at least" and less of an "at most" is tighter; of an "exactly", what costs.
TightLimit tight_limit(const LimitResult& result) {
    const limits::Limit& limit = result.limit;
    const bool fixed = limit.min && limit.max && *limit.min == *limit.max;
    bool up = rests_on_min(result);
    if (fixed && result.rise) up = !result.rise->per_unit || *result.rise->per_unit > 0;
    return {&result, up, step_of(result)};
}

// By how much the cost changes with one step up or down; nothing when that leaves no mix.
std::optional<double> change_of(const TightLimit& tight, bool up) {
    const auto& response = up ? tight.result->rise : tight.result->fall;
    if (!response || !response->per_unit) return std::nullopt;
    return *response->per_unit * (up ? tight.step : -tight.step);
}

std::string change_text(double change) {
    const std::string text = base::significant(std::abs(change), 3);
    if (text.find_first_of("123456789") == std::string::npos) return "0";
    return (change > 0 ? "+" : "-") + text;
}

Cell change_cell(const TightLimit& tight, bool up) {
    const auto& response = up ? tight.result->rise : tight.result->fall;
    if (!response) return {};
    const auto change = change_of(tight, up);
    if (!change) return text_cell("no mix", Tone::bad);
    return {change_text(*change), change, Tone::plain};
}

// What the one direction costs the other saves, to the digits shown.
bool mirrors(const TightLimit& tight) {
    const auto up = change_of(tight, true);
    const auto down = change_of(tight, false);
    return up && down && change_text(*up) == change_text(-*down);
}

Cell until_cell(const LimitResult& limit, const std::optional<Response>& response) {
    if (limit.drifts) return text_cell("small changes");
    if (!response || !response->per_unit) return {};
    return response->until ? amount_cell(response->until) : text_cell("no limit");
}

}  // namespace

void add_price_ranges(Document& document, const job::Job& job, const Formulation& result) {
    if (result.items.empty()) return;
    document.blocks.push_back(
        Heading{"Price range over which this mix stays cheapest, one price at a time", Depth::full,
                "prices"});
    Table table;
    table.key = "price_ranges";
    table.columns = {{"ingredient", Align::left, "ingredient"},
                     price_column(job),
                     {"from", Align::right, "price_low"},
                     {"to", Align::right, "price_high"}};
    std::vector<std::string> ids;
    for (const limits::MixItem& item : result.items) {
        ids.push_back(item.id);
        table.rows.push_back({text_cell(item.name), price_cell(*item.price),
                              end_cell(item.price_low), end_cell(item.price_high)});
    }
    add_with_ids(document, std::move(table), ids);
    if (!result.bound) return;
    document.blocks.push_back(Paragraph{
        "These ranges hold while the same ingredients are used. Another choice of ingredients may "
        "become cheaper within them.",
        Tone::quiet});
}

void add_tight_limits(Document& document, const job::Job& job, const Formulation& result) {
    std::vector<const LimitResult*> tight;
    for (const LimitResult& limit : result.assessment.limits) {
        if (limit.limit.kind != LimitKind::balance && costs(limit)) tight.push_back(&limit);
    }
    if (tight.empty()) return;
    const auto weight_of = [](const LimitResult* limit) {
        return std::abs(limit->shadow_price.value_or(0) * number_of(*limit));
    };
    std::stable_sort(tight.begin(), tight.end(), [&](const LimitResult* a, const LimitResult* b) {
        return weight_of(a) > weight_of(b);
    });
    std::vector<TightLimit> rows;
    for (const LimitResult* limit : tight)
        rows.push_back(tight_limit(*limit));
    const bool all_mirror = std::all_of(rows.begin(), rows.end(), mirrors);
    document.blocks.push_back(Heading{
        "What each limit without margin adds to the cost (shadow price)", Depth::full, "prices"});
    Table table;
    table.key = "tight_limits";
    table.columns = {{"limit", Align::left, "limit"},
                     {"tightened by", Align::right, "tightened_by"},
                     {"change in cost", Align::right, "cost_change"}};
    if (!all_mirror) table.columns.push_back({"if relaxed", Align::right, "cost_change_loosened"});
    table.columns.push_back({"valid from limit", Align::right, "shadow_low"});
    table.columns.push_back({"to limit", Align::right, "shadow_high"});
    bool drifts = false;
    for (const TightLimit& row : rows) {
        const limits::Limit& l = row.result->limit;
        const bool fixed = l.min && l.max && *l.min == *l.max;
        const std::string unit = l.unit.empty() ? "" : ' ' + unit_in_words(l);
        std::vector<Cell> cells{
            text_cell(fmt::format("{}, {} {}{}", l.name,
                                  fixed                       ? "exactly"
                                  : rests_on_min(*row.result) ? "at least"
                                                              : "at most",
                                  base::compact(number_of(*row.result), 4), unit)),
            {(row.tighter_up ? '+' : '-') + base::compact(row.step, 2),
             row.tighter_up ? row.step : -row.step, Tone::plain},
            change_cell(row, row.tighter_up)};
        if (!all_mirror) cells.push_back(change_cell(row, !row.tighter_up));
        cells.push_back(until_cell(*row.result, row.result->fall));
        cells.push_back(until_cell(*row.result, row.result->rise));
        table.rows.push_back(std::move(cells));
        drifts = drifts || row.result->drifts;
    }
    document.blocks.push_back(std::move(table));
    std::string note =
        fmt::format("Change in cost per {}{} if the limit is tightened by the step shown. ",
                    job.free_total ? "ration" : "kg of feed",
                    job.currency.empty() ? "" : ", in " + job.currency);
    note += all_mirror ? "Relaxing the limit by the same step saves the same amount."
                       : "\"If relaxed\": the change when the limit is relaxed by the same step.";
    note += " Valid while the limit is between the last two columns";
    note += result.bound ? " and the same ingredients are used." : ".";
    if (drifts) note += " \"Small changes\": the change per step itself varies with the limit.";
    document.blocks.push_back(Paragraph{std::move(note), Tone::quiet});
}

void add_unused(Document& document, const job::Job& job, const Formulation& result) {
    if (result.unused.empty()) return;
    document.blocks.push_back(Heading{"Unused ingredients: the price at which each would be used",
                                      Depth::full, "prices"});
    Table table;
    table.key = "unused";
    table.columns = {{"ingredient", Align::left, "ingredient"},
                     price_column(job),
                     {"used if price is below", Align::right, "enters_below"},
                     {"price cut needed", Align::right, "fall_percent"},
                     {"share then, % of mix", Align::right, "enters_percent"}};
    std::vector<std::string> ids;
    for (const search::UnusedItem& item : result.unused) {
        ids.push_back(item.id);
        std::vector<Cell> row{text_cell(item.name), price_cell(item.price)};
        if (item.enters_below) {
            const double fall = item.price > 0 ? 100 * (1 - *item.enters_below / item.price) : 0;
            row.push_back(price_cell(*item.enters_below));
            row.push_back({base::fixed(fall, 1) + " %", fall, Tone::plain});
            row.push_back(item.enters_percent ? number_cell(*item.enters_percent, 2) : Cell{});
        } else {
            row.push_back(text_cell(item.enters_unknown ? "not known" : "never used"));
            row.push_back({});
            row.push_back({});
        }
        table.rows.push_back(std::move(row));
    }
    add_with_ids(document, std::move(table), ids);
    const bool unknown = std::any_of(result.unused.begin(), result.unused.end(),
                                     [](const auto& item) { return item.enters_unknown; });
    if (!unknown) return;
    document.blocks.push_back(
        Paragraph{"Not known: not available with --at-most or \"min_if_used\". Try a price: --set "
                  "INGREDIENT.price=NUMBER.",
                  Tone::quiet});
}

}  // namespace feedwright::report
