// SPDX-License-Identifier: GPL-3.0-or-later
// Limits as lines that read like sentences: what each asks, what the mix has, how far it is away.
#include "report/limit_sections.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace feedwright::report {

namespace {

using limits::LimitKind;
using limits::LimitResult;

constexpr std::string_view basis_note = "(contents as fed, ingredients as % of the mix)";

bool is_share(const limits::Limit& limit) {
    return limit.kind == LimitKind::inclusion || limit.kind == LimitKind::group;
}

bool is_maximum_alone(const limits::Limit& limit) {
    return is_share(limit) && limit.max && !limit.min;
}

std::string label(const limits::Limit& limit, const job::Job& job) {
    const std::string name = is_share(limit) ? short_name(job, limit.name) : limit.name;
    if (limit.kind == LimitKind::replacement) return name + ", % of the two";
    if (is_share(limit) && limit.unit == "%")
        return name + (limit.basis == "dry_matter" ? ", % of dry mix" : ", %");
    return limit.unit.empty() ? name : name + ", " + unit_in_words(limit);
}

// A limit as somebody wrote it, without digits that arithmetic on units may have added.
std::string asked(const limits::Limit& limit) {
    const auto number = [](double value) { return base::compact(value, 6); };
    if (limit.min && limit.max) {
        if (*limit.min == *limit.max) return "exactly " + number(*limit.min);
        return number(*limit.min) + " to " + number(*limit.max);
    }
    if (limit.min) return "at least " + number(*limit.min);
    return limit.max ? "at most " + number(*limit.max) : "";
}

// The side that the value is nearer to, or on the wrong side of.
std::optional<double> near_side(const limits::Limit& limit, double value) {
    if (!limit.min || !limit.max) return limit.min ? limit.min : limit.max;
    return std::abs(value - *limit.min) <= std::abs(value - *limit.max) ? limit.min : limit.max;
}

std::string has(const LimitResult& result, const std::string& what) {
    if (!result.value) return what + " none";
    if (result.nothing_known) return what + " no value";
    const auto side = near_side(result.limit, *result.value);
    // A limit that is met exactly differs from its number by rounding alone.
    if (result.binding && side) return what + ' ' + base::compact(*side, 6);
    return what + ' ' + digits_apart(*result.value, side);
}

Cell standing(const LimitResult& result) {
    const limits::Limit& limit = result.limit;
    if (!result.value)
        return text_cell("no amount to compare", result.met ? Tone::warn : Tone::bad);
    if (result.nothing_known) return text_cell("not known", Tone::bad);
    const std::string by = result.margin ? base::compact(std::abs(*result.margin), 2) : "";
    if (!result.met) {
        const std::string way = limit.max && *result.value > *limit.max ? "over by " : "short by ";
        if (result.within_tolerance) return text_cell(way + by + ", within tolerance", Tone::warn);
        const bool unknown = way == "short by " && result.known_percent < 100;
        return text_cell(way + by + (unknown ? ", or not known" : ""), Tone::bad);
    }
    const std::string unproven = result.proven ? "" : ", not proven";
    const Tone tone = result.proven && !result.binding ? Tone::plain : Tone::warn;
    if (result.binding) return text_cell("no margin" + unproven, tone);
    return text_cell(by.empty() ? "met" + unproven : "margin " + by + unproven, tone);
}

// Tightest first: missed, then without a margin, then by relative margin.
std::vector<const LimitResult*> by_tightness(const std::vector<LimitResult>& limits,
                                             bool advisory) {
    std::vector<const LimitResult*> list;
    for (const LimitResult& limit : limits) {
        if (limit.limit.kind == LimitKind::balance || limit.limit.advisory != advisory) continue;
        if (!limit.limit.harms.empty()) continue;
        list.push_back(&limit);
    }
    const auto key = [](const LimitResult& limit) {
        if (!limit.margin_percent) return limit.binding ? 0.0 : 1e300;
        return limit.binding ? 0.0 : *limit.margin_percent;
    };
    std::stable_sort(list.begin(), list.end(),
                     [&](const LimitResult* a, const LimitResult* b) { return key(*a) < key(*b); });
    return list;
}

Table numbers(const std::vector<const LimitResult*>& list, bool advisory) {
    Table table;
    table.key = advisory ? "advisory_limits" : "limits";
    table.data_only = true;
    table.columns = {{"", Align::left, "id"},     {"", Align::left, "limit"},
                     {"", Align::right, "min"},   {"", Align::right, "max"},
                     {"", Align::right, "value"}, {"", Align::right, "margin"}};
    if (advisory) table.columns.push_back({"", Align::right, "known_percent"});
    table.columns.push_back({"", Align::left, "state"});
    for (const LimitResult* one : list) {
        const limits::Limit& limit = one->limit;
        const std::string unit =
            limit.kind == LimitKind::replacement ? ", % of the two"
            : limit.unit.empty()                 ? ""
            : is_share(limit) && limit.unit == "%"
                ? (limit.basis == "dry_matter" ? ", % of dry mix" : ", % of mix")
                : ", " + unit_in_words(limit);
        std::vector<Cell> row{text_cell(limit.id),     text_cell(limit.name + unit),
                              amount_cell(limit.min),  amount_cell(limit.max),
                              amount_cell(one->value), amount_cell(one->margin)};
        if (advisory) row.push_back(amount_cell(one->known_percent));
        row.push_back(standing(*one));
        table.rows.push_back(std::move(row));
    }
    return table;
}

Table lines(const job::Job& job, const std::vector<const LimitResult*>& list, bool with_known) {
    Table table;
    table.text_only = true;
    table.columns = {{"", Align::left}, {"", Align::left}, {"", Align::left}, {"", Align::left}};
    if (with_known) table.columns.push_back({"", Align::left});
    for (const LimitResult* one : list) {
        std::vector<Cell> row{text_cell(label(one->limit, job)), text_cell(asked(one->limit)),
                              text_cell(has(*one, "has")), standing(*one)};
        if (with_known) {
            row.push_back(text_cell(
                one->known_percent < 99.5
                    ? fmt::format("value for {} % of mix", base::fixed(one->known_percent, 0))
                    : ""));
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

// Maxima of what the mix does not use, or uses far less of, in one sentence.
std::string listed(const job::Job& job, const std::vector<const LimitResult*>& list, bool used) {
    std::string text;
    for (const LimitResult* one : list) {
        const std::string has =
            used ? fmt::format("{} of ", base::significant(*one->value, 3)) : std::string{};
        text +=
            fmt::format("{}{}: {}{}", text.empty() ? "" : "; ", short_name(job, one->limit.name),
                        has, base::compact(*one->limit.max, 3));
    }
    return text;
}

// What harms, with the share of its safe level that is reached, nearest first. Contents are known
// of risky kinds; what none is known of counts as none.
std::vector<std::pair<double, const LimitResult*>> harms_by_nearness(
    const std::vector<LimitResult>& limits) {
    std::vector<std::pair<double, const LimitResult*>> list;
    for (const LimitResult& limit : limits) {
        if (limit.limit.harms.empty() || !limit.limit.max || !limit.value) continue;
        // Of some substances nothing is safe.
        const double most = *limit.limit.max;
        const double none_of_it = *limit.value > 0 ? std::numeric_limits<double>::max() : 0;
        list.push_back({most > 0 ? 100 * *limit.value / most : none_of_it, &limit});
    }
    std::stable_sort(list.begin(), list.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    return list;
}

std::string of_safe_level(double percent, const limits::Limit& limit) {
    if (!(*limit.max > 0)) return percent > 0 ? "none is safe" : "none";
    return base::fixed(percent, 0) + " % of the safe level";
}

void add_harms(Document& document, const job::Job& job, const std::vector<LimitResult>& limits) {
    constexpr double far_below = 10;  // percent of the safe level
    const auto list = harms_by_nearness(limits);
    if (list.empty()) return;
    Table data;
    data.key = "safe_levels";
    data.data_only = true;
    data.columns = {{"", Align::left, "id"},
                    {"", Align::left, "limit"},
                    {"", Align::right, "max"},
                    {"", Align::right, "value"},
                    {"", Align::right, "percent_of_safe"},
                    {"", Align::left, "state"}};
    Table text;
    text.text_only = true;
    text.columns = {{"", Align::left}, {"", Align::left}, {"", Align::left}, {"", Align::left}};
    std::vector<std::string> others;
    for (const auto& [percent, limit] : list) {
        if (percent < far_below) {
            others.push_back(limit->limit.name);
            continue;
        }
        const Tone tone = !limit->met ? Tone::bad : limit->binding ? Tone::warn : Tone::plain;
        const std::string reached = of_safe_level(percent, limit->limit);
        text.rows.push_back({text_cell(label(limit->limit, job)),
                             text_cell("safe up to " + base::compact(*limit->limit.max, 6)),
                             text_cell(has(*limit, "has")), text_cell(reached, tone)});
        data.rows.push_back(
            {text_cell(limit->limit.id), text_cell(label(limit->limit, job)),
             amount_cell(limit->limit.max), amount_cell(limit->value),
             *limit->limit.max > 0 ? Cell{reached, percent, tone} : text_cell(reached),
             text_cell(limit->met ? "below" : "over")});
    }
    document.blocks.push_back(Heading{"Substances that can harm, nearest to the safe level first",
                                      Depth::full, "limits"});
    if (!text.rows.empty()) document.blocks.push_back(std::move(text));
    if (!data.rows.empty()) document.blocks.push_back(std::move(data));
    if (others.empty()) return;
    document.blocks.push_back(
        Paragraph{fmt::format("Below a tenth of the safe level, as far as contents are known: {}.",
                              base::join_words(others)),
                  Tone::quiet});
}

std::string harms_in_short(const std::vector<LimitResult>& limits) {
    const auto list = harms_by_nearness(limits);
    if (list.empty()) return "";
    std::size_t over = 0;
    for (const auto& [percent, limit] : list)
        over += limit->met ? 0 : 1;
    const auto& [percent, nearest] = list.front();
    if (over > 0) {
        return fmt::format("{} of {} substances that can harm {} above the safe level.", over,
                           list.size(), over == 1 ? "is" : "are");
    }
    return fmt::format(
        "All {} substances that can harm are below their safe levels, as far as known; the nearest "
        "is {}, {}.",
        list.size(), nearest->limit.name, of_safe_level(percent, nearest->limit));
}

std::string advisory_in_short(const std::vector<const LimitResult*>& list) {
    std::vector<std::string> missed;
    for (const LimitResult* one : list) {
        if (!one->met) missed.push_back(one->limit.name);
    }
    if (missed.empty()) {
        return fmt::format("All {} advisory requirements (reported, not enforced) are met.",
                           list.size());
    }
    return fmt::format(
        "Advisory requirements (reported, not enforced): {} of {} not shown to be "
        "met: {}.",
        missed.size(), list.size(), base::join_words(missed));
}

void add_in_short(Document& document, const job::Job& job, const std::vector<LimitResult>& limits) {
    constexpr double far = 25;  // percent of the maximum
    std::vector<const LimitResult*> told;
    std::vector<const LimitResult*> far_below;
    std::vector<const LimitResult*> unused;
    for (const LimitResult* one : by_tightness(limits, false)) {
        const bool is_cap = is_maximum_alone(one->limit) && one->value;
        if (is_cap && !(*one->value > 0)) {
            unused.push_back(one);
        } else if (is_cap && one->limit.source != "job" && one->margin_percent.value_or(0) > far) {
            far_below.push_back(one);
        } else {
            told.push_back(one);
        }
    }
    const auto advisory = by_tightness(limits, true);
    const std::string harms = harms_in_short(limits);
    if (told.empty() && far_below.empty() && unused.empty() && advisory.empty() && harms.empty())
        return;
    document.blocks.push_back(
        Heading{fmt::format("Limits, tightest first {}", basis_note), Depth::brief, "limits"});
    if (!told.empty()) document.blocks.push_back(lines(job, told, false));
    std::string rest;
    if (!far_below.empty()) {
        rest += fmt::format("Far below their maximum, % of the mix: {}. ",
                            listed(job, far_below, true));
    }
    if (!unused.empty()) {
        rest += fmt::format("Not used, with their maximum: {}. ", listed(job, unused, false));
    }
    if (!advisory.empty()) rest += advisory_in_short(advisory) + ' ';
    rest += harms;
    if (!rest.empty()) document.blocks.push_back(Paragraph{std::move(rest), Tone::plain});
}

}  // namespace

void add_limits(Document& document, const job::Job& job, const std::vector<LimitResult>& limits) {
    add_in_short(document, job, limits);
    const auto asked_of_it = by_tightness(limits, false);
    if (!asked_of_it.empty()) {
        document.blocks.push_back(Heading{fmt::format("Every limit, tightest first {}", basis_note),
                                          Depth::full, "limits"});
        document.blocks.push_back(lines(job, asked_of_it, false));
        document.blocks.push_back(numbers(asked_of_it, false));
    }
    const auto advisory = by_tightness(limits, true);
    if (!advisory.empty()) {
        document.blocks.push_back(
            Heading{"Advisory requirements (reported, not enforced)", Depth::full, "limits"});
        document.blocks.push_back(Paragraph{
            "Few ingredients have a value for these, or a premix supplies them. An unknown amount "
            "counts as zero here.",
            Tone::quiet});
        document.blocks.push_back(lines(job, advisory, true));
        document.blocks.push_back(numbers(advisory, true));
    }
    add_harms(document, job, limits);
}

}  // namespace feedwright::report
