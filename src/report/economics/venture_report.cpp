// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "document/plot.hpp"
#include "report/economics/economics_plots.hpp"
#include "report/economics/economics_reports.hpp"
#include "report/economics/economics_words.hpp"
#include "report/json_sections.hpp"
#include "report/sections.hpp"
#include "report/verdict_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::report {

namespace {

using economics::Swing;
using economics::VentureResult;
using economics::YieldKind;

// Yearly differences below this share of what is at stake are called equal.
constexpr double even_share = 1e-9;
// No feed given dry turns into gain at less than this.
constexpr double lowest_real_fcr = 0.5;

bool is_even(const VentureResult& r) {
    return std::abs(r.yearly_difference) <=
           even_share * r.amounts.bought_feed_kg * r.bought_cost_per_kg;
}

Cell money_cell(double value, int decimals) {
    return number_cell(value, decimals);
}

std::string with_currency(const std::string& text, const std::string& currency) {
    return currency.empty() ? text : text + ", " + currency;
}

void add_guard(Document& document, const VentureResult& r) {
    const auto& context = r.context;
    if (!context.short_of.empty()) {
        document.blocks.push_back(Paragraph{
            fmt::format("The home feed does not meet {}. Below, a feed that does not meet the "
                        "requirements is compared with one that may. Mend it first.",
                        context.profile.empty() ? "its limits" : context.profile),
            Tone::bad});
        Bullets list;
        for (const std::string& text : in_words(context.short_of))
            list.items.push_back({text, Tone::bad});
        document.blocks.push_back(std::move(list));
    } else if (!context.checked) {
        document.blocks.push_back(
            Paragraph{"The home feed was not checked against the animals' requirements. Give a job "
                      "or a recipe in place of the cost of materials.",
                      Tone::warn});
    }
}

std::string verdict(const VentureResult& r) {
    const bool gain = r.make_cost_per_kg_gain.has_value();
    const double make = gain ? *r.make_cost_per_kg_gain : r.make.total;
    const double buy = gain ? *r.buy_cost_per_kg_gain : r.bought_cost_per_kg;
    const std::string of = gain ? "one kg of " + r.gain_of : std::string("one kg of feed");
    const std::string year =
        r.amounts.gain_kg
            ? fmt::format("{} kg of {} a year", base::compact(*r.amounts.gain_kg, 4), r.gain_of)
            : fmt::format("{} kg of feed a year", base::compact(r.amounts.home_feed_kg, 4));
    const std::string pair =
        fmt::format("{} costs {} on home feed and {} on {}", of, money(make, r.currency, 3),
                    money(buy, r.currency, 3), r.bought_name);
    if (is_even(r)) return fmt::format("The two cost the same: {}.", pair);
    const std::string amount = money(std::abs(r.yearly_difference), r.currency, 2);
    if (r.yearly_difference > 0) {
        return fmt::format("Making is cheaper: {}, so making saves {} over {}.", pair, amount,
                           year);
    }
    return fmt::format("Buying is cheaper: {}, so making costs {} more over {}.", pair, amount,
                       year);
}

// Never 0 or 100 of something that happened in some draws and not in others.
std::string chance_percent(double share) {
    const double percent = 100 * share;
    if (percent > 0 && percent < 0.5) return "below 0.5";
    if (percent < 100 && percent > 99.5) return "above 99.5";
    return base::fixed(percent, 0);
}

// Where no draw turns the answer over there is nothing to measure for it.
std::string measure_first(const VentureResult& r) {
    const double share = r.chance->making_wins;
    if (!(share > 0) || !(share < 1)) return " No value in your ranges changes the answer.";
    return fmt::format(" The number to measure first: {}.", r.chance->measure_first);
}

// How sure the verdict is, in a line beneath it; the section on it has the rest.
void add_certainty(Document& document, const VentureResult& r) {
    if (!r.chance) return;
    document.blocks.push_back(
        Paragraph{fmt::format("Chance that making is cheaper, over the ranges you gave: {} %.{}",
                              chance_percent(r.chance->making_wins), measure_first(r)),
                  Tone::plain});
}

void add_labour(Document& document, const VentureResult& r) {
    const std::string hours = base::compact(r.hours_per_year, 3);
    if (r.labour_is_free) {
        std::string text = fmt::format("Your time is valued at 0: {} hours a year.", hours);
        if (r.yearly_difference > 0) {
            text += fmt::format(" What making saves is {} for each of these hours.",
                                money(r.yearly_difference / r.hours_per_year, r.currency, 2));
        }
        document.blocks.push_back(Paragraph{std::move(text), Tone::warn});
    } else if (r.hours_per_year > 0) {
        document.blocks.push_back(
            Paragraph{fmt::format("Making takes {} hours a year: {} batches of {} kg.", hours,
                                  base::fixed(std::ceil(r.batches_per_year - 1e-9), 0),
                                  base::compact(r.saleable_kg_per_batch, 3)),
                      Tone::plain});
    }
    if (!r.not_counted.empty()) {
        document.blocks.push_back(
            Paragraph{fmt::format("Not counted on the home side, because it was not given: {}.",
                                  base::join_words(r.not_counted)),
                      Tone::warn});
    }
}

void add_parts(Document& document, const VentureResult& r) {
    document.blocks.push_back(Heading{"Cost of making and of buying"});
    Table table;
    table.key = "parts";
    table.columns = {{with_currency("per kg of feed", r.currency), Align::left, "part"},
                     {"make", Align::right, "make"},
                     {"buy", Align::right, "buy"}};
    const auto row = [&](std::string name, double make, std::optional<double> buy, bool always) {
        if (!always && make == 0 && !buy) return;
        table.rows.push_back(
            {text_cell(std::move(name)), money_cell(make, 3), buy ? money_cell(*buy, 3) : Cell{}});
    };
    const auto& m = r.make;
    row("materials (home) or purchase price (bought)", m.materials,
        r.bought_cost_per_kg - r.bought_delivery_part, true);
    if (r.bought_delivery_part > 0) {
        table.rows.push_back(
            {text_cell("delivery"), Cell{}, money_cell(r.bought_delivery_part, 3)});
    }
    row("premix", m.premix, {}, false);
    row("labour", m.labour, {}, true);
    row("energy", m.energy, {}, true);
    row("drying", m.drying, {}, false);
    row("other", m.other, {}, true);
    row("packaging", m.packaging, {}, false);
    row("equipment", m.equipment, {}, true);
    row("learning batches and other start-up", m.start_up, {}, false);
    row("total", m.total, r.bought_cost_per_kg, true);
    document.blocks.push_back(std::move(table));

    Table outcome;
    outcome.key = "outcome";
    outcome.columns = {
        {"", Align::left, "item"}, {"make", Align::right, "make"}, {"buy", Align::right, "buy"}};
    const auto line = [&](std::string name, double make, double buy, int decimals) {
        outcome.rows.push_back(
            {text_cell(std::move(name)), number_cell(make, decimals), number_cell(buy, decimals)});
    };
    if (r.make_cost_per_kg_gain) {
        line("FCR, yours (kg feed per kg gain)", r.make_fcr, r.buy_fcr, 2);
        line(with_currency("per kg of " + r.gain_of, r.currency), *r.make_cost_per_kg_gain,
             *r.buy_cost_per_kg_gain, 3);
    }
    if (r.make_cost_per_kg_protein && r.buy_cost_per_kg_protein) {
        line(with_currency("per kg of crude protein", r.currency), *r.make_cost_per_kg_protein,
             *r.buy_cost_per_kg_protein, 2);
    }
    line("kg of feed a year", r.amounts.home_feed_kg, r.amounts.bought_feed_kg, 0);
    line(with_currency("a year", r.currency), r.amounts.home_feed_kg * r.make.total,
         r.amounts.bought_feed_kg * r.bought_cost_per_kg, 2);
    document.blocks.push_back(std::move(outcome));
    if (r.water_kg_per_batch > 0) {
        document.blocks.push_back(Paragraph{
            fmt::format("Evaporate {} of water from each batch.", weight(r.water_kg_per_batch)),
            Tone::plain});
    }
}

void add_fcr(Document& document, const VentureResult& r) {
    if (!r.make_cost_per_kg_gain) return;
    std::string text =
        "The FCRs are yours. Animals seldom grow as well on a home feed as on a complete feed, "
        "unless a trial shows it.";
    if (const auto& published = r.context.published_fcr) {
        text += fmt::format(
            " FCR quoted in the library for {} (source quality low): {} to {} [{}].",
            r.context.profile, base::shortest(published->range.low),
            base::shortest(published->range.high), base::join_words(published->sources));
    } else {
        text += " The library has no FCR for this animal and stage.";
    }
    document.blocks.push_back(Paragraph{std::move(text), Tone::plain});
}

void add_break_even(Document& document, const VentureResult& r) {
    document.blocks.push_back(Heading{"Break-even values, each with all else unchanged"});
    Table table;
    table.key = "break_even";
    table.columns = {{"input", Align::left, "input"},
                     {"break-even", Align::right, "break_even"},
                     {"now", Align::right, "now"}};
    const auto row = [&](std::string name, const std::optional<double>& at,
                         const std::optional<double>& now, int decimals,
                         const std::string& never = "none") {
        if (!now) return;
        table.rows.push_back({text_cell(std::move(name)),
                              at ? number_cell(*at, decimals) : text_cell(never),
                              number_cell(*now, decimals)});
    };
    const auto& even = r.break_even;
    const auto& now = r.present;
    row(with_currency("value of one hour", r.currency), even.value_of_hour, now.value_of_hour, 2);
    row(with_currency("bought price per kg", r.currency), even.bought_price_per_kg,
        now.bought_price_per_kg, 3);
    row("FCR on the home feed", even.make_fcr, now.make_fcr, 2);
    if (even.make_fcr && *even.make_fcr < lowest_real_fcr) {
        table.rows.back()[1].text = "none";
    }
    row(with_currency(r.grown.empty() ? "materials per kg" : "bought materials per kg", r.currency),
        even.materials_per_kg, now.materials_per_kg, 3);
    row("batch, kg", even.batch_kg, now.batch_kg, 1);
    row("kg of " + r.gain_of + " a year", even.gain_kg_per_year, now.gain_kg_per_year, 1);
    row("kg of feed a year", even.feed_kg_per_year, now.feed_kg_per_year, 1);
    document.blocks.push_back(std::move(table));
    if (!(r.equipment_outlay > 0)) return;
    const std::string outlay = money(r.equipment_outlay, r.currency, 2);
    std::string text =
        fmt::format("The equipment ({}) is never paid back: nothing is saved.", outlay);
    if (const auto& years = r.break_even.payback_years) {
        text = *years > r.equipment_life_years
                   ? fmt::format(
                         "The equipment ({}) would need {} years to be paid back, longer than it "
                         "lasts.",
                         outlay, base::fixed(*years, 1))
                   : fmt::format("The equipment ({}) is paid back after {} years.", outlay,
                                 base::fixed(*years, 1));
    }
    document.blocks.push_back(Paragraph{std::move(text), Tone::plain});
}

std::string signed_money(double value, const std::string& currency) {
    return (value > 0 ? "+" : "") + money(value, currency, 0);
}

void add_chance(Document& document, const VentureResult& r) {
    document.blocks.push_back(Heading{"Uncertainty", Depth::full, "uncertainty"});
    if (!r.chance) {
        document.blocks.push_back(
            Paragraph{"All numbers were given as certain. Write those you guessed as [low, likely, "
                      "high] to see the chance that making is cheaper.",
                      Tone::quiet});
        return;
    }
    const auto& chance = *r.chance;
    document.blocks.push_back(Paragraph{
        fmt::format(
            "Chance that making is cheaper: {} % ({} random cases from your ranges). Yearly result "
            "(positive: making saves): 90 % of cases between {} and {}, median {}.",
            chance_percent(chance.making_wins), chance.draws, signed_money(chance.low, r.currency),
            signed_money(chance.high, r.currency), signed_money(chance.middle, r.currency)),
        Tone::plain});
    std::vector<document::Bar> bars;
    Table table;
    table.key = "tornado";
    table.columns = {{"input", Align::left, "input"},
                     {"low", Align::right, "low"},
                     {"likely", Align::right, "likely"},
                     {"high", Align::right, "high"},
                     {"yearly result at low", Align::right, "at_low"},
                     {"at high", Align::right, "at_high"},
                     {"changes the answer", Align::left, "flips"}};
    for (const Swing& swing : chance.tornado) {
        bars.push_back(
            {swing.name, swing.at_low, swing.at_high, swing.flips ? "changes the answer" : ""});
        table.rows.push_back(
            {text_cell(swing.unit.empty() ? swing.name : swing.name + ", " + swing.unit),
             amount_cell(swing.range.low), amount_cell(swing.range.likely),
             amount_cell(swing.range.high), number_cell(swing.at_low, 0),
             number_cell(swing.at_high, 0), text_cell(swing.flips ? "yes" : "no")});
    }
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(Paragraph{
        fmt::format(
            "Each bar shows the yearly difference when one input goes from its low to its high "
            "value and the others stay at their likely value (|: {}). Right is better for making.",
            signed_money(r.yearly_difference, r.currency)),
        Tone::quiet});
    document.blocks.push_back(BarPlot{"", std::move(bars), r.yearly_difference});
    const bool flips = std::any_of(chance.tornado.begin(), chance.tornado.end(),
                                   [](const Swing& s) { return s.flips; });
    document.blocks.push_back(
        Paragraph{fmt::format("{} has the largest effect{}.", capitalised(chance.measure_first),
                              flips ? " of those that can change the answer alone"
                                    : ", but no single input changes the answer"),
                  Tone::plain});
}

void add_grown(Document& document, const VentureResult& r) {
    if (r.grown.empty()) return;
    document.blocks.push_back(Heading{"What you grow yourself", Depth::full, "grown"});
    Table table;
    table.key = "own_grown";
    table.columns = {{"ingredient", Align::left, "ingredient"},
                     {"grown, kg dry matter a year", Align::right, "grown_kg_dry_matter_per_year"},
                     {"needed", Align::right, "needed_kg_dry_matter_per_year"},
                     {with_currency("cost per kg dry matter", r.currency), Align::right,
                      "cost_per_kg_dry_matter"},
                     {"in small packs", Align::right, "small_pack_cost_per_kg_dry_matter"}};
    Bullets notes;
    for (const auto& g : r.grown) {
        table.rows.push_back({text_cell(g.ingredient), number_cell(g.grown_kg_per_year, 1),
                              number_cell(g.needed_kg_per_year, 1),
                              number_cell(g.cost_per_kg_dry_matter, 2),
                              g.small_pack_cost_per_kg_dry_matter
                                  ? number_cell(*g.small_pack_cost_per_kg_dry_matter, 2)
                                  : Cell{}});
        const std::string need =
            g.kind == YieldKind::area
                ? fmt::format("{} m2", base::compact(g.needed_area_m2, 3))
                : fmt::format("{} kg of substrate a week",
                              base::compact(g.needed_substrate_kg_per_week, 3));
        const bool enough = g.grown_kg_per_year >= g.needed_kg_per_year * (1 - 1e-9);
        notes.items.push_back(
            {fmt::format("{}: the feed needs {} at a yield of {} {}{}.{}", g.ingredient, need,
                         base::shortest(g.yield), economics::yield_unit(g.kind),
                         g.own_yield ? " (yours)" : " (published)",
                         enough ? "" : " That is more than you have, so the rest must be bought."),
             enough ? Tone::plain : Tone::warn});
        if (!g.own_yield && !g.note.empty()) {
            notes.items.push_back(
                {fmt::format("Published yield: {} ({}).", g.note, base::join_words(g.sources)),
                 Tone::quiet});
        }
    }
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(std::move(notes));
}

std::string label_text(const economics::NutrientComparison& row) {
    if (row.bought_min && row.bought_max && *row.bought_min == *row.bought_max) {
        return base::shortest(*row.bought_min);
    }
    std::string text;
    if (row.bought_min) text = "at least " + base::shortest(*row.bought_min);
    if (row.bought_max) {
        text += (text.empty() ? "" : ", ") + ("at most " + base::shortest(*row.bought_max));
    }
    return text;
}

std::string plain_name(std::string id) {
    std::replace(id.begin(), id.end(), '_', ' ');
    return id;
}

void add_label(Document& document, const VentureResult& r) {
    if (r.nutrients.empty()) return;
    document.blocks.push_back(
        Heading{"Home feed against the label of the bought feed, % as fed", Depth::full, "label"});
    Table table;
    table.key = "label";
    table.columns = {{"content", Align::left, "nutrient"},
                     {"bought label", Align::left, "label"},
                     {"home feed", Align::right, "home"},
                     {"", Align::left, "comparison"}};
    for (const auto& row : r.nutrients) {
        Cell note = text_cell("met", Tone::good);
        if (!row.home) note = text_cell("not known", Tone::warn);
        if (row.home_below) note = text_cell("below", Tone::bad);
        if (row.home_above) note = text_cell("above", Tone::bad);
        if (row.home && row.known_percent < 100) {
            note.text +=
                fmt::format(", {} % of the mix has a value", base::fixed(row.known_percent, 0));
        }
        table.rows.push_back({text_cell(plain_name(row.nutrient)), text_cell(label_text(row)),
                              amount_cell(row.home), std::move(note)});
    }
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(
        Paragraph{"A label guarantees few contents. It says nothing of amino acids, vitamins or "
                  "digestibility.",
                  Tone::quiet});
}

void add_no_price(Document& document) {
    document.blocks.push_back(Heading{"Not in the money", Depth::full, "notes"});
    document.blocks.push_back(
        Bullets{{{"For making: you choose the ingredients, the feed is fresh, "
                  "and you use what you grow.",
                  Tone::plain},
                 {"Against making: home batches differ, learning takes months, "
                  "and a mistake in premix, drying or storage can kill the "
                  "animals.",
                  Tone::plain},
                 {"First try the home feed on some animals beside a complete "
                  "feed (the control).",
                  Tone::plain}}});
}

void add_end(Document& document, const VentureResult& r) {
    if (!r.cautions.empty()) {
        document.blocks.push_back(Heading{"Storage"});
        Bullets list;
        for (const economics::KeepingCaution& caution : r.cautions)
            list.items.push_back({in_words(caution), Tone::warn});
        document.blocks.push_back(std::move(list));
    }
    std::vector<std::string> sources = r.sources;
    for (const auto& g : r.grown) {
        if (!g.own_yield) sources.insert(sources.end(), g.sources.begin(), g.sources.end());
    }
    if (const auto& published = r.context.published_fcr) {
        sources.push_back(base::join_words(published->sources));
    }
    std::sort(sources.begin(), sources.end());
    sources.erase(std::unique(sources.begin(), sources.end()), sources.end());
    std::string text = "Prices, hours, losses and FCRs are yours.";
    if (!sources.empty()) {
        text += " Published figures come from " + base::join_words(sources) +
                "; \"feedwright show SOURCE\" gives the citation.";
    }
    document.blocks.push_back(Heading{"Sources", Depth::full, "sources"});
    document.blocks.push_back(Paragraph{std::move(text), Tone::quiet});
}

void write_break_even(base::JsonWriter& json, const economics::BreakEven& even) {
    json.begin_object();
    json.member("value_of_hour", even.value_of_hour);
    json.member("bought_price_per_kg", even.bought_price_per_kg);
    json.member("make_fcr", even.make_fcr);
    json.member("materials_per_kg", even.materials_per_kg);
    json.member("batch_kg", even.batch_kg);
    json.member("gain_kg_per_year", even.gain_kg_per_year);
    json.member("feed_kg_per_year", even.feed_kg_per_year);
    json.member("payback_years", even.payback_years);
    json.end_object();
}

void write_make(base::JsonWriter& json, const VentureResult& r) {
    const auto& m = r.make;
    json.begin_object();
    json.member("cost_per_kg", m.total);
    json.member("cost_per_kg_gain", r.make_cost_per_kg_gain);
    json.member("materials", m.materials);
    json.member("labour", m.labour);
    json.member("energy", m.energy);
    json.member("other", m.other);
    json.member("equipment", m.equipment);
    // Parts that only some ventures have.
    for (const auto& [name, part] :
         {std::pair("premix", m.premix), std::pair("drying", m.drying),
          std::pair("packaging", m.packaging), std::pair("start_up", m.start_up)}) {
        if (part != 0) json.member(name, part);
    }
    json.member("feed_kg_per_year", r.amounts.home_feed_kg);
    json.member("saleable_kg_per_batch", r.saleable_kg_per_batch);
    json.member("batches_per_year", r.batches_per_year);
    json.member("hours_per_year", r.hours_per_year);
    json.member("cost_per_kg_protein", r.make_cost_per_kg_protein);
    if (r.water_kg_per_batch > 0) json.member("water_kg_per_batch", r.water_kg_per_batch);
    json.end_object();
}

void write_chance(base::JsonWriter& json, const economics::Chance& chance) {
    json.member("chance_making_wins", chance.making_wins);
    json.key("draws").begin_object();
    json.member("number", chance.draws);
    json.member("seed", std::to_string(chance.seed));
    json.member("yearly_difference_5_percent", chance.low);
    json.member("yearly_difference_50_percent", chance.middle);
    json.member("yearly_difference_95_percent", chance.high);
    json.end_object();
    json.key("tornado").begin_array();
    for (const Swing& swing : chance.tornado) {
        json.begin_object();
        json.member("input", swing.name);
        if (!swing.unit.empty()) json.member("unit", swing.unit);
        json.member("low", swing.range.low);
        json.member("likely", swing.range.likely);
        json.member("high", swing.range.high);
        json.member("yearly_difference_at_low", swing.at_low);
        json.member("yearly_difference_at_high", swing.at_high);
        json.member("flips", swing.flips);
        json.end_object();
    }
    json.end_array();
    json.member("measure_first", chance.measure_first);
}

void write_grown(base::JsonWriter& json, const VentureResult& r) {
    json.key("own_grown").begin_array();
    for (const auto& g : r.grown) {
        json.begin_object();
        json.member("ingredient", g.ingredient);
        if (!g.organism.empty()) json.member("organism", g.organism);
        json.member("yield_kind", economics::yield_kind_word(g.kind));
        json.member("yield", g.yield);
        json.member("own_yield", g.own_yield);
        json.member("grown_kg_dry_matter_per_year", g.grown_kg_per_year);
        json.member("needed_kg_dry_matter_per_year", g.needed_kg_per_year);
        if (g.kind == YieldKind::area) {
            json.member("needed_area_m2", g.needed_area_m2);
        } else {
            json.member("needed_substrate_kg_per_week", g.needed_substrate_kg_per_week);
        }
        json.member("cost_per_kg_dry_matter", g.cost_per_kg_dry_matter);
        json.member("price_per_kg", g.price_per_kg);
        json.member("small_pack_cost_per_kg_dry_matter", g.small_pack_cost_per_kg_dry_matter);
        json.member("sources", g.sources);
        json.end_object();
    }
    json.end_array();
}

void write_label(base::JsonWriter& json, const VentureResult& r) {
    json.key("label").begin_array();
    for (const auto& row : r.nutrients) {
        json.begin_object();
        json.member("nutrient", row.nutrient);
        json.member("min", row.bought_min);
        json.member("max", row.bought_max);
        json.member("home", row.home);
        if (row.home) json.member("home_known_percent", row.known_percent);
        json.end_object();
    }
    json.end_array();
}

void write_quality(base::JsonWriter& json, const VentureResult& r,
                   const std::optional<tasks::HomeFeed>& home) {
    json.key("quality").begin_object();
    json.member("checked", r.context.checked);
    if (!r.context.profile.empty()) json.member("profile", r.context.profile);
    json.member("short_of", in_words(r.context.short_of));
    if (home) write_fields(json, judged_fields(), {home->job, home->judgement});
    if (const auto& published = r.context.published_fcr) {
        json.member("published_fcr_low", published->range.low);
        json.member("published_fcr_high", published->range.high);
        json.member("published_fcr_source", base::join_words(published->sources));
    }
    json.end_object();
}

}  // namespace

Document venture_document(const VentureResult& r, const Run&,
                          const std::optional<tasks::HomeFeed>& home) {
    Document document;
    document.title = r.title.empty() ? "Make or buy" : r.title;
    add_note(document, r.note);
    add_guard(document, r);
    add_home_verdict(document, home);
    document.blocks.push_back(
        Paragraph{verdict(r), r.yearly_difference > 0 ? Tone::good : Tone::plain});
    add_certainty(document, r);
    add_labour(document, r);
    add_parts(document, r);
    document.blocks.push_back(cost_bars(r));
    if (r.context.materials) {
        document.blocks.push_back(Paragraph{sentence(*r.context.materials), Tone::plain});
    }
    add_fcr(document, r);
    add_break_even(document, r);
    add_chance(document, r);
    add_grown(document, r);
    add_label(document, r);
    add_no_price(document);
    add_end(document, r);
    return document;
}

std::string venture_json(const VentureResult& r, const Run& run,
                         const std::optional<tasks::HomeFeed>& home) {
    base::JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-venture-result/1");
    json.member("program", run.program);
    if (!r.title.empty()) json.member("title", r.title);
    if (!r.currency.empty()) json.member("currency", r.currency);
    write_quality(json, r, home);
    json.key("make");
    write_make(json, r);
    json.key("buy").begin_object();
    json.member("name", r.bought_name);
    json.member("cost_per_kg", r.bought_cost_per_kg);
    json.member("cost_per_kg_gain", r.buy_cost_per_kg_gain);
    json.member("feed_kg_per_year", r.amounts.bought_feed_kg);
    json.member("cost_per_kg_protein", r.buy_cost_per_kg_protein);
    json.end_object();
    json.member("gain_kg_per_year", r.amounts.gain_kg);
    json.member("yearly_difference", r.yearly_difference);
    json.key("break_even");
    write_break_even(json, r.break_even);
    if (r.chance) write_chance(json, *r.chance);
    if (!r.grown.empty()) write_grown(json, r);
    if (!r.nutrients.empty()) write_label(json, r);
    json.member("labour_is_free", r.labour_is_free);
    json.member("not_counted", r.not_counted);
    std::vector<std::string> cautions;
    for (const economics::KeepingCaution& caution : r.cautions)
        cautions.push_back(in_words(caution));
    json.member("cautions", cautions);
    return inside::end_result(json, run);
}

}  // namespace feedwright::report
