// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/explain_sections.hpp"

#include "feedwright/base/number.hpp"
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

using formulate::Formulation;
using formulate::LimitKind;
using formulate::LimitResult;
using formulate::Response;

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
    return price ? number_cell(*price, 4) : text_cell("any");
}

bool costs(const LimitResult& limit) {
    constexpr double nothing = 1e-12;
    const auto does = [&](const std::optional<Response>& response) {
        return response && (!response->per_unit || std::abs(*response->per_unit) > nothing);
    };
    return does(limit.rise) || does(limit.fall);
}

Cell change_cell(const std::optional<Response>& response, double step) {
    if (!response) return {};
    if (!response->per_unit) return text_cell("no mix", Tone::bad);
    const double change = *response->per_unit * step;
    const std::string text = base::significant(std::abs(change), 3);
    if (text.find_first_of("123456789") == std::string::npos) {
        return {"0", response->per_unit, Tone::plain};
    }
    return {(change > 0 ? "+" : "-") + text, response->per_unit, Tone::plain};
}

Cell until_cell(const LimitResult& limit, const std::optional<Response>& response) {
    if (limit.drifts) return text_cell("near it");
    if (!response || !response->per_unit) return {};
    return response->until ? amount_cell(response->until) : text_cell("any");
}

}  // namespace

void add_price_ranges(Document& document, const Formulation& result) {
    if (result.mix.empty()) return;
    document.blocks.push_back(Heading{"How far one price can move before this mix changes"});
    Table table;
    table.key = "price_ranges";
    table.columns = {{"ingredient", Align::left, "ingredient"},
                     {"price now", Align::right, "price_per_kg"},
                     {"the same mix from", Align::right, "price_low"},
                     {"up to", Align::right, "price_high"}};
    for (const formulate::MixItem& item : result.mix) {
        table.rows.push_back({text_cell(item.name), number_cell(item.price, 4),
                              end_cell(item.price_low), end_cell(item.price_high)});
    }
    document.blocks.push_back(std::move(table));
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
    document.blocks.push_back(Heading{"What the tight limits cost"});
    Table table;
    table.key = "tight_limits";
    table.columns = {{"limit", Align::left, "limit"},
                     {"step", Align::right, "step"},
                     {"one step more", Align::right, "cost_per_unit_raised"},
                     {"one step less", Align::right, "cost_per_unit_lowered"},
                     {"holds from", Align::right, "shadow_low"},
                     {"to", Align::right, "shadow_high"}};
    bool drifts = false;
    for (const LimitResult* limit : tight) {
        const formulate::Limit& l = limit->limit;
        const bool fixed = l.min && l.max && *l.min == *l.max;
        const bool is_min = rests_on_min(*limit);
        const double number = number_of(*limit);
        const double step = step_of(*limit);
        const std::string unit = l.unit.empty() ? "" : ' ' + l.unit;
        auto lowered = limit->fall;
        if (lowered && lowered->per_unit) lowered->per_unit = -*lowered->per_unit;
        table.rows.push_back({text_cell(fmt::format("{}, {} {}{}", l.name,
                                                    fixed    ? "exactly"
                                                    : is_min ? "at least"
                                                             : "at most",
                                                    base::significant(number, 4), unit)),
                              {base::shortest(step), step, Tone::plain},
                              change_cell(limit->rise, step),
                              change_cell(lowered, step),
                              until_cell(*limit, limit->fall),
                              until_cell(*limit, limit->rise)});
        drifts = drifts || limit->drifts;
    }
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(Paragraph{
        fmt::format("By how much {} of {} changes when the limit's number is raised or lowered by "
                    "one step, "
                    "as long as that number stays within the last two columns.{}",
                    job.currency.empty() ? "the cost" : "the cost in " + job.currency,
                    job.free_total ? "the ration" : "one kg of feed",
                    drifts ? " \"Near it\": the change itself changes as the limit moves." : ""),
        Tone::quiet});
}

void add_unused(Document& document, const Formulation& result) {
    if (result.unused.empty()) return;
    document.blocks.push_back(Heading{"Not in the mix"});
    Table table;
    table.key = "unused";
    table.columns = {{"ingredient", Align::left, "ingredient"},
                     {"price now", Align::right, "price_per_kg"},
                     {"comes in below", Align::right, "enters_below"},
                     {"a fall of", Align::right, "fall_percent"},
                     {"then % of mix", Align::right, "enters_percent"}};
    for (const formulate::UnusedItem& item : result.unused) {
        std::vector<Cell> row{text_cell(item.name), number_cell(item.price, 4)};
        if (item.enters_below) {
            const double fall = item.price > 0 ? 100 * (1 - *item.enters_below / item.price) : 0;
            row.push_back(number_cell(*item.enters_below, 4));
            row.push_back({base::fixed(fall, 1) + " %", fall, Tone::plain});
            row.push_back(item.enters_percent ? number_cell(*item.enters_percent, 2) : Cell{});
        } else {
            row.push_back(text_cell("no price"));
            row.push_back({});
            row.push_back({});
        }
        table.rows.push_back(std::move(row));
    }
    document.blocks.push_back(std::move(table));
}

}  // namespace feedwright::report
