// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/sections.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "report/table_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <utility>

namespace feedwright::report {

namespace {

using limits::LimitKind;
using limits::LimitResult;

std::string limit_label(const limits::Limit& limit) {
    const bool dry = limit.basis == "dry_matter";
    switch (limit.kind) {
        case LimitKind::replacement:
            return limit.name + ", % of the two";
        case LimitKind::inclusion:
        case LimitKind::group:
            if (limit.unit != "%") break;
            return limit.name + (dry ? ": % of dry mix" : ": % of mix");
        default:
            break;
    }
    if (limit.unit.empty()) return limit.name;
    return limit.name + ", " + unit_in_words(limit);
}

// A limit as somebody wrote it, without digits that arithmetic on units may have added.
Cell limit_cell(std::optional<double> value) {
    if (!value) return {};
    return {base::compact(*value, 6), value, Tone::plain};
}

Cell state_cell(const LimitResult& limit) {
    if (!limit.value) return text_cell("no base", limit.met ? Tone::warn : Tone::bad);
    if (!limit.met) {
        if (limit.within_tolerance) return text_cell("within tolerance", Tone::warn);
        if (limit.limit.max && *limit.value > *limit.limit.max) return text_cell("over", Tone::bad);
        return text_cell(limit.known_percent < 100 ? "short or unknown" : "short", Tone::bad);
    }
    if (!limit.proven) return text_cell(limit.binding ? "tight, unproven" : "unproven", Tone::warn);
    return limit.binding ? text_cell("tight", Tone::warn) : text_cell("ok", Tone::good);
}

// Tightest first: missed, then binding, then by relative margin.
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

Table limits_table(const std::vector<const LimitResult*>& list, bool advisory) {
    Table table;
    table.key = advisory ? "advisory_limits" : "limits";
    table.columns = {{"limit", Align::left, "limit"},
                     {"at least", Align::right, "min"},
                     {"at most", Align::right, "max"},
                     {"this mix", Align::right, "value"},
                     {"to spare", Align::right, "margin"}};
    if (advisory) table.columns.push_back({"known for", Align::right, "known_percent"});
    table.columns.push_back({"state", Align::left, "state"});
    for (const LimitResult* limit : list) {
        std::vector<Cell> row{text_cell(limit_label(limit->limit)), limit_cell(limit->limit.min),
                              limit_cell(limit->limit.max), amount_cell(limit->value),
                              amount_cell(limit->margin)};
        if (limit->binding) row[4] = {"0", limit->margin, Tone::plain};
        if (advisory) {
            row.push_back(
                {base::fixed(limit->known_percent, 0) + " %", limit->known_percent, Tone::plain});
        }
        row.push_back(state_cell(*limit));
        table.rows.push_back(std::move(row));
    }
    return table;
}

// What harms, nearest to its safe level first. Contents are known of risky kinds; what none is
// known of counts as none.
void add_harms(Document& document, const std::vector<LimitResult>& limits) {
    constexpr double far_below = 10;  // percent of the safe level
    std::vector<std::pair<double, const LimitResult*>> list;
    for (const LimitResult& limit : limits) {
        if (limit.limit.harms.empty() || !limit.limit.max || !limit.value) continue;
        // Of some substances nothing is safe.
        const double most = *limit.limit.max;
        const double none_of_it = *limit.value > 0 ? std::numeric_limits<double>::max() : 0;
        list.push_back({most > 0 ? 100 * *limit.value / most : none_of_it, &limit});
    }
    if (list.empty()) return;
    std::stable_sort(list.begin(), list.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    Table table;
    table.key = "safe_levels";
    table.columns = {{"substance", Align::left, "limit"},
                     {"safe up to", Align::right, "max"},
                     {"this mix", Align::right, "value"},
                     {"% of safe", Align::right, "percent_of_safe"},
                     {"state", Align::left, "state"}};
    std::vector<std::string> others;
    for (const auto& [percent, limit] : list) {
        if (percent < far_below) {
            others.push_back(limit->limit.name);
            continue;
        }
        const bool over = !limit->met;
        table.rows.push_back({text_cell(limit_label(limit->limit)), limit_cell(limit->limit.max),
                              amount_cell(limit->value),
                              *limit->limit.max > 0
                                  ? Cell{base::fixed(percent, 0) + " %", percent, Tone::plain}
                                  : text_cell("none is safe"),
                              text_cell(over             ? "over"
                                        : limit->binding ? "tight"
                                                         : "ok",
                                        over             ? Tone::bad
                                        : limit->binding ? Tone::warn
                                                         : Tone::good)});
    }
    document.blocks.push_back(Heading{"What can harm, nearest to its safe level first"});
    if (!table.rows.empty()) document.blocks.push_back(std::move(table));
    if (others.empty()) return;
    document.blocks.push_back(
        Paragraph{fmt::format("Less than a tenth of its safe level, by what is known: {}.",
                              base::join_words(others)),
                  Tone::quiet});
}

}  // namespace

Cell text_cell(std::string text, Tone tone) {
    return {std::move(text), {}, tone};
}

Cell number_cell(double value, int decimals) {
    return {base::fixed(value, decimals), value, Tone::plain};
}

Cell price_cell(double value, int decimals) {
    return {base::price(value, decimals), value, Tone::plain};
}

Cell amount_cell(std::optional<double> value) {
    if (!value) return {};
    return {base::significant(*value, 4), value, Tone::plain};
}

std::string money(double value, const std::string& currency, int decimals) {
    // An amount paid has two decimals, and less than that is nothing; a price can be any number.
    const std::string text =
        decimals > 2 ? base::price(value, decimals) : base::fixed(value, decimals);
    return text + (currency.empty() ? "" : ' ' + currency);
}

std::string weight(double kg) {
    if (std::abs(kg) >= 1) return base::fixed(kg, 3) + " kg";
    return base::fixed(1000 * kg, std::abs(kg) >= 0.01 ? 0 : 1) + " g";
}

std::string capitalised(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z')
        text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

std::string count_of(std::size_t n, std::string_view singular, std::string_view plural) {
    return fmt::format("{} {}", n, n == 1 ? singular : plural);
}

namespace {

// What was understood of tables that are not of the plain kind.
void add_tables(Document& document, const job::Job& job) {
    for (const base::TableReading& table : job.tables) {
        if (table.plain()) continue;
        document.blocks.push_back(Paragraph{
            reading_text(table, count_of(table.rows, "ingredient", "ingredients")), Tone::plain});
    }
}

}  // namespace

void add_profile(Document& document, const job::Job& job) {
    add_tables(document, job);
    if (!job.profile) return;
    document.blocks.push_back(Paragraph{fmt::format("For {}, {} (profile {}).", job.profile->name,
                                                    job.profile->stage_name, job.profile->id),
                                        Tone::plain});
}

void add_limits(Document& document, const std::vector<LimitResult>& limits) {
    const auto asked = by_tightness(limits, false);
    if (!asked.empty()) {
        document.blocks.push_back(Heading{"Every limit, tightest first"});
        document.blocks.push_back(limits_table(asked, false));
    }
    const auto advisory = by_tightness(limits, true);
    if (!advisory.empty()) {
        document.blocks.push_back(Heading{"For information: needs that did not shape the mix"});
        document.blocks.push_back(Paragraph{
            "Few ingredients have a value for these, or a premix supplies them. An unknown amount "
            "counts as none, so \"short or unknown\" may only mean unknown.",
            Tone::quiet});
        document.blocks.push_back(limits_table(advisory, true));
    }
    add_harms(document, limits);
}

void add_unknown(Document& document, const job::Job& job, const limits::Assessment& assessment) {
    Bullets bullets;
    if (job.profile && !job.profile->lacks.empty()) {
        bullets.items.push_back({fmt::format("The profile has no figures for {}. Meeting it does "
                                             "not show that the feed holds enough of them.",
                                             base::join_words(job.profile->lacks)),
                                 Tone::warn});
    }
    // Limits that lack the same ingredients are told in one line.
    std::vector<std::pair<std::vector<std::string>, std::vector<std::string>>> gaps;
    for (const LimitResult& limit : assessment.limits) {
        if (limit.unknown_in.empty() || limit.limit.advisory) continue;
        // Few feeds hold a poison; those of kinds that may have a value.
        if (!limit.limit.harms.empty()) continue;
        const auto same = std::find_if(gaps.begin(), gaps.end(), [&](const auto& gap) {
            return gap.first == limit.unknown_in;
        });
        if (same == gaps.end()) {
            gaps.push_back({limit.unknown_in, {limit.limit.name}});
        } else if (std::find(same->second.begin(), same->second.end(), limit.limit.name) ==
                   same->second.end()) {
            same->second.push_back(limit.limit.name);
        }
    }
    for (const auto& [ingredients, nutrients] : gaps) {
        bullets.items.push_back(
            {fmt::format("No value for {} in {}: counted as none.", base::join_words(nutrients),
                         base::join_words(ingredients)),
             Tone::plain});
    }
    std::string assumed;
    for (const LimitResult& limit : assessment.limits) {
        if (limit.assumed_in.empty() || limit.limit.advisory) continue;
        assumed += fmt::format("{}{} of {}", assumed.empty() ? "" : "; ", limit.limit.name,
                               base::join_words(limit.assumed_in));
    }
    if (!assumed.empty()) {
        bullets.items.push_back(
            {fmt::format("Assumed under a maximum, because no value is known: a high "
                         "content for its kind of {}.",
                         assumed),
             Tone::plain});
    }
    std::vector<std::string> estimated;
    std::vector<std::string> scaled;
    std::set<std::string> limited;
    for (const LimitResult& limit : assessment.limits)
        limited.insert(limit.limit.name);
    for (const limits::AnalysisItem& item : assessment.analysis) {
        if (item.origin == catalog::Origin::estimated && limited.contains(item.name)) {
            estimated.push_back(item.name);
        }
        if (item.origin == catalog::Origin::scaled && limited.contains(item.name)) {
            scaled.push_back(item.name);
        }
    }
    if (!estimated.empty()) {
        bullets.items.push_back({fmt::format("Estimated from other values, not measured: {}.",
                                             base::join_words(estimated)),
                                 Tone::plain});
    }
    if (!scaled.empty()) {
        bullets.items.push_back(
            {fmt::format("Scaled from the ingredient that one of your own extends, "
                         "not measured: {}.",
                         base::join_words(scaled)),
             Tone::plain});
    }
    if (bullets.items.empty()) return;
    document.blocks.push_back(Heading{"What is not known"});
    document.blocks.push_back(std::move(bullets));
}

void add_analysis(Document& document, const limits::Assessment& assessment, bool all) {
    static const std::set<std::string> first{
        "dry_matter",           "crude_protein", "crude_lipid",
        "crude_fibre",          "ash",           "nfe",
        "gross_energy",         "lysine",        "digestible_energy",
        "metabolisable_energy", "calcium",       "phosphorus",
        "methionine_cystine"};
    Table table;
    table.key = "analysis";
    table.columns = {{"nutrient", Align::left, "nutrient"},
                     {"amount", Align::right, "value"},
                     {"unit", Align::left, "unit"},
                     {"known for", Align::right, "known_percent"},
                     {"", Align::left, "origin"}};
    for (const limits::AnalysisItem& item : assessment.analysis) {
        if (!all && !first.contains(item.nutrient)) continue;
        const bool plain = catalog::unsureness(item.origin) == 0;
        table.rows.push_back(
            {text_cell(item.name),
             amount_cell(item.value),
             text_cell(item.unit),
             {base::fixed(item.known_percent, 0) + " %", item.known_percent, Tone::plain},
             text_cell(plain ? "" : std::string(catalog::to_string(item.origin)))});
    }
    if (table.rows.empty()) return;
    document.blocks.push_back(Heading{"What is in it"});
    document.blocks.push_back(std::move(table));
}

void add_cautions(Document& document, const std::vector<limits::CautionResult>& cautions) {
    if (cautions.empty()) return;
    document.blocks.push_back(Heading{"Cautions"});
    Bullets bullets;
    for (const limits::CautionResult& caution : cautions) {
        std::string text = caution.text;
        // Most texts name the country whose law it is.
        const bool named = !caution.jurisdiction.empty() &&
                           caution.text.find(caution.jurisdiction) != std::string::npos;
        std::string where = named ? "" : caution.jurisdiction;
        if (caution.year) where += (where.empty() ? "" : " ") + std::to_string(*caution.year);
        if (!where.empty()) text += " (" + where + ')';
        bullets.items.push_back({std::move(text), Tone::plain});
    }
    document.blocks.push_back(std::move(bullets));
}

void add_sources(Document& document, const job::Job& job, const std::vector<LimitResult>& limits,
                 bool all) {
    std::string text = "\"feedwright show INGREDIENT\" gives every value with its source";
    if (job.profile) text += fmt::format(", \"feedwright show {}\" every need", job.profile->id);
    text += '.';
    std::set<std::string> sources;
    for (const LimitResult& limit : limits) {
        if (limit.limit.source != "job") sources.insert(limit.limit.source);
    }
    if (all && !sources.empty()) {
        text += " The limits here come from " + base::join_words({sources.begin(), sources.end()}) +
                "; \"feedwright show SOURCE\" gives the citation.";
    }
    document.blocks.push_back(Heading{"Sources"});
    document.blocks.push_back(Paragraph{std::move(text), Tone::quiet});
}

}  // namespace feedwright::report
