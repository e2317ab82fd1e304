// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
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

using economics::FeedCost;
using economics::PlanResult;
using economics::PlanRow;
using economics::ShoppingLine;
using economics::YieldKind;

constexpr std::size_t most_batches_listed = 60;

std::string span(const catalog::Range& range) {
    if (range.low == range.high) return base::shortest(range.low);
    return base::shortest(range.low) + "-" + base::shortest(range.high);
}

std::string animals(const PlanResult& r) {
    return r.species_name.empty() ? "animals" : r.species_name;
}

// The share that survives is seldom a whole number of animals; the kilograms are of that share.
std::string alive(const PlanResult& r) {
    const std::string whole = base::fixed(r.harvested, 0);
    const bool exact = base::fixed(r.harvested, 1) == whole + ".0";
    return (exact ? "" : "about ") + whole + " alive";
}

std::string outcome(const PlanResult& r) {
    // Growth that is not expected has no day of harvest.
    const bool dated = !r.harvest_date.empty() && !r.growth_caution;
    const std::string until = dated ? " (" + r.harvest_date + ")" : "";
    const std::string eaten = base::compact(r.feed_kg, 3);
    if (!r.fcr) {
        return fmt::format("{} {} eat {} kg of feed in {} days{}.", base::fixed(r.stocked, 0),
                           animals(r), eaten, r.days, until);
    }
    return fmt::format(
        "{} {} of {} g each grow to {} g each in {} days{}: {}, {} kg in all. They eat {} kg of "
        "feed.",
        base::fixed(r.stocked, 0), animals(r), base::compact(r.start_g, 3),
        base::compact(r.end_g, 3), r.days, until, alive(r), base::compact(r.end_biomass_kg, 3),
        eaten);
}

void add_spread(Document& document, const PlanResult& r) {
    std::string text;
    if (r.feed_low_kg) {
        text = fmt::format(
            "The published rations give {} to {} kg of feed; the table uses the middle.",
            base::compact(*r.feed_low_kg, 3), base::compact(*r.feed_high_kg, 3));
    }
    if (r.fcr) {
        text += fmt::format("{}That is {} kg of feed per kg of gain, losses of animals included",
                            text.empty() ? "" : " ", base::fixed(*r.fcr, 2));
        if (r.expected_fcr) {
            text += fmt::format("; FCR quoted in the library (source quality low): {} to {}",
                                base::shortest(r.expected_fcr->low),
                                base::shortest(r.expected_fcr->high));
        }
        text += '.';
        const bool far = r.expected_fcr && (*r.fcr < r.expected_fcr->low / 1.5 ||
                                            *r.fcr > r.expected_fcr->high * 1.5);
        if (far || *r.fcr < 0.6) {
            document.blocks.push_back(Paragraph{std::move(text), Tone::plain});
            document.blocks.push_back(Paragraph{
                "This growth and these rations do not agree: check the growth rate against "
                "your own weighings.",
                Tone::warn});
            return;
        }
    }
    if (!text.empty()) document.blocks.push_back(Paragraph{std::move(text), Tone::plain});
}

// The load, what its feed asks of the water, and whose figure stands beside it.
Paragraph in_words(const economics::WaterLoad& load) {
    const auto two_digits = [](double x) {
        const double step = std::pow(10, std::floor(std::log10(x)) - 1);
        return base::shortest(std::round(x / step) * step);
    };
    std::string text =
        fmt::format("At most {} kg of animals per m3 of water.", base::compact(load.kg_per_m3, 3));
    bool warn = false;
    if (load.oxygen_g_per_m3_day > 0) {
        text += fmt::format(" The feed of one day uses up to {} g of oxygen per m3 ({})",
                            two_digits(load.oxygen_g_per_m3_day), load.oxygen_source);
        text += load.saturated_g_per_m3
                    ? fmt::format("; water saturated with air holds {} g at {} °C.",
                                  base::fixed(*load.saturated_g_per_m3, 1),
                                  base::fixed(*load.celsius, 0))
                    : ".";
        // Plants and wind give some back, but seldom more a day than the water holds at once.
        warn = load.saturated_g_per_m3 && load.oxygen_g_per_m3_day > *load.saturated_g_per_m3;
        if (warn && !load.breathes_air)
            text += " Without aeration or fresh water, day and night, the animals suffocate.";
    }
    if (load.published) {
        const bool above = load.kg_per_m3 > load.published->kg_per_m3;
        warn = warn || above;
        text += fmt::format(
            " The load is {} the {} kg per m3 that a source reports from {} ({}). That figure is "
            "no permission.",
            above ? "above" : "not above", base::shortest(load.published->kg_per_m3),
            load.published->where, load.published->source);
    }
    return Paragraph{std::move(text), warn ? Tone::bad : Tone::plain};
}

Paragraph in_words(const economics::NitrogenLoss& loss) {
    const auto grams = [](const catalog::Range& range) {
        return base::fixed(range.low, 0) + " to " + base::fixed(range.high, 0) + " g";
    };
    const std::string beside =
        loss.bought ? fmt::format(", and {} on bought feed alone", grams(*loss.bought)) : "";
    return Paragraph{
        fmt::format("Nitrogen into the water: {} for each kg of gain{}. That is what is fed, less "
                    "the {} to {} % of it that is harvested from ponds ({}).",
                    grams(loss.home), beside, base::shortest(loss.retained_percent.low),
                    base::shortest(loss.retained_percent.high), loss.source),
        Tone::plain};
}

// Whether all animals together get less than in the period before, though they weigh more.
bool ration_steps_down(const PlanResult& r) {
    for (std::size_t i = 1; i < r.rows.size(); ++i) {
        const PlanRow& before = r.rows[i - 1];
        const PlanRow& row = r.rows[i];
        if (row.feed_from == economics::FeedFrom::ration && row.biomass_kg > before.biomass_kg &&
            row.feed_per_day_kg < before.feed_per_day_kg) {
            return true;
        }
    }
    return false;
}

// Some of the periods, evenly chosen, the first and the last among them.
Table some_rows(Table table, std::size_t most) {
    std::vector<std::vector<Cell>> chosen;
    for (std::size_t i = 0; i < most; ++i)
        chosen.push_back(table.rows[i * (table.rows.size() - 1) / (most - 1)]);
    table.rows = std::move(chosen);
    return table;
}

void add_rows(Document& document, const PlanResult& r) {
    constexpr std::size_t few = 10;
    const bool weekly = r.rows.front().days == 7 || r.rows.size() == 1;
    const std::string period = weekly ? "week" : "period";
    const bool weights = r.start_g > 0;
    bool dates = false;
    bool pellets = false;
    bool two_feeds = false;
    for (const PlanRow& row : r.rows) {
        dates |= !row.date.empty();
        pellets |= row.pellet_mm.has_value();
        two_feeds |= !row.home;
    }
    Table table;
    table.key = "plan";
    table.columns = {{weekly ? "week" : "period", Align::right, "period"}};
    table.columns.push_back(dates ? TableColumn{"from", Align::left, "date"}
                                  : TableColumn{"day", Align::right, "day"});
    if (weights) table.columns.push_back({"g each", Align::right, "weight_g"});
    table.columns.push_back({"alive", Align::right, "animals"});
    if (weights) table.columns.push_back({"kg in all", Align::right, "biomass_kg"});
    table.columns.push_back({"feed kg/day", Align::right, "feed_per_day_kg"});
    if (weights) table.columns.push_back({"% of weight", Align::right, "ration_percent"});
    if (pellets) table.columns.push_back({"pellet mm", Align::right, "pellet_mm"});
    table.columns.push_back({"fed so far, kg", Align::right, "cumulative_feed_kg"});
    if (two_feeds) table.columns.push_back({"feed", Align::left, "feed"});
    for (const PlanRow& row : r.rows) {
        std::vector<Cell> cells{{std::to_string(row.number), row.number}};
        cells.push_back(dates ? text_cell(row.date)
                              : Cell{std::to_string(row.first_day), row.first_day});
        if (weights) cells.push_back(amount_cell(row.weight_g));
        cells.push_back(number_cell(row.animals, 0));
        if (weights) cells.push_back(amount_cell(row.biomass_kg));
        cells.push_back({base::significant(row.feed_per_day_kg, 3), row.feed_per_day_kg});
        if (weights) {
            const double percent = 100 * row.feed_per_day_kg / row.biomass_kg;
            cells.push_back({base::significant(percent, 2), percent});
        }
        if (pellets) cells.push_back(text_cell(row.pellet_mm ? span(*row.pellet_mm) : ""));
        cells.push_back(number_cell(row.cumulative_feed_kg, 1));
        if (two_feeds) cells.push_back(text_cell(row.home ? "home" : "bought"));
        table.rows.push_back(std::move(cells));
    }
    if (table.rows.size() > few + 2) {
        document.blocks.push_back(
            Heading{fmt::format("Feeding by {}: {} of {}", period, few,
                                count_of(table.rows.size(), period, period + "s")),
                    Depth::brief, "schedule"});
        document.blocks.push_back(some_rows(table, few));
        document.blocks.push_back(
            Heading{fmt::format("Feeding by {}", period), Depth::full, "schedule"});
    } else {
        document.blocks.push_back(Heading{fmt::format("Feeding by {}", period)});
    }
    document.blocks.push_back(std::move(table));
    if (!weights) return;
    if (ration_steps_down(r)) {
        document.blocks.push_back(
            Paragraph{"Daily feed can drop from one week to the next because published rations "
                      "change in steps. Change over a few days.",
                      Tone::quiet});
    }
    document.blocks.push_back(Paragraph{
        "Weights are those of the first day of the period. Weigh a sample each time and feed by "
        "the weight you find; feed less when feed is left over.",
        Tone::quiet});
}

void add_stages(Document& document, const PlanResult& r) {
    if (r.stages.size() < 2) return;
    document.blocks.push_back(Heading{"Feed by stage", Depth::full, "schedule"});
    Table table;
    table.key = "stages";
    table.columns = {{"stage", Align::left, "stage"},
                     {"days", Align::right, "days"},
                     {"feed, kg", Align::right, "feed_kg"}};
    for (const auto& stage : r.stages) {
        table.rows.push_back(
            {text_cell(stage.stage.empty() ? "outside the profile's stages" : stage.stage),
             {std::to_string(stage.days), stage.days},
             number_cell(stage.feed_kg, 1)});
    }
    document.blocks.push_back(std::move(table));
}

void add_shopping(Document& document, const std::string& title, const std::string& key,
                  const std::vector<ShoppingLine>& lines, const std::string& currency,
                  Depth shown = Depth::always) {
    if (lines.empty()) return;
    document.blocks.push_back(Heading{title, shown, shown == Depth::full ? "shopping" : ""});
    Table table;
    table.key = key;
    const auto any = [&lines](const auto& member) {
        return std::any_of(lines.begin(), lines.end(), [&member](const ShoppingLine& line) {
            return member(line).has_value();
        });
    };
    const bool packs = any([](const ShoppingLine& line) { return line.packs; });
    const bool costs = any([](const ShoppingLine& line) { return line.cost; });
    table.columns = {{"buy", Align::left, "item"}, {"amount", Align::right, "kg"}};
    if (packs) {
        table.columns.push_back({"packs", Align::right, "packs"});
        table.columns.push_back({"kg a pack", Align::right, "pack_kg"});
    }
    if (costs) {
        table.columns.push_back(
            {currency.empty() ? "cost" : "cost, " + currency, Align::right, "cost"});
    }
    double total = 0;
    for (const ShoppingLine& line : lines) {
        total += line.cost.value_or(0);
        std::vector<Cell> cells{
            text_cell(name_of(line)),
            {line.kg < 1 ? weight(line.kg) : base::fixed(line.kg, 1) + " kg", line.kg}};
        if (packs) {
            cells.push_back(line.packs ? Cell{std::to_string(*line.packs), *line.packs} : Cell{});
            cells.push_back(amount_cell(line.pack_kg));
        }
        if (costs) cells.push_back(line.cost ? number_cell(*line.cost, 2) : Cell{});
        table.rows.push_back(std::move(cells));
    }
    if (lines.size() > 1 && total > 0) {
        std::vector<Cell> cells(table.columns.size());
        cells.front() = text_cell("total");
        cells.back() = number_cell(total, 2);
        table.rows.push_back(std::move(cells));
    }
    document.blocks.push_back(std::move(table));
}

void add_batches(Document& document, const PlanResult& r) {
    if (r.batches.empty()) return;
    const std::string summary = fmt::format(
        "{} of up to {} kg, {} kg in all. Each must be ready before the one before is "
        "used up.",
        count_of(r.batches.size(), "batch", "batches"),
        base::compact(r.batches.front().mixed_kg, 3), base::compact(r.mixed_kg, 3));
    constexpr std::size_t few = 5;
    std::vector<std::string> first;
    for (const auto& batch : r.batches) {
        if (first.size() < few)
            first.push_back(batch.date.empty() ? std::to_string(batch.day) : batch.date);
    }
    document.blocks.push_back(Heading{"Batches to mix", Depth::brief, "batches"});
    document.blocks.push_back(Paragraph{
        fmt::format("{} {} {}: {}.", summary,
                    first.size() < r.batches.size() ? fmt::format("The first {} by", first.size())
                                                    : std::string("Ready by"),
                    r.batches.front().date.empty() ? "day" : "date", base::join_words(first)),
        Tone::plain});
    document.blocks.push_back(Heading{"Batches to mix", Depth::full, "batches"});
    document.blocks.push_back(Paragraph{summary, Tone::plain});
    Table table;
    table.key = "batches";
    const bool dates = !r.batches.front().date.empty();
    table.columns = {{"batch", Align::right, "batch"}, {"ready by day", Align::right, "day"}};
    if (dates) table.columns.push_back({"date", Align::left, "date"});
    table.columns.push_back({"mix, kg", Align::right, "mixed_kg"});
    for (const auto& batch : r.batches) {
        if (table.rows.size() == most_batches_listed) break;
        std::vector<Cell> cells{{std::to_string(batch.number), batch.number},
                                {std::to_string(batch.day), batch.day}};
        if (dates) cells.push_back(text_cell(batch.date));
        cells.push_back(number_cell(batch.mixed_kg, 1));
        table.rows.push_back(std::move(cells));
    }
    document.blocks.push_back(std::move(table));
    if (r.batches.size() > most_batches_listed) {
        document.blocks.push_back(
            Paragraph{fmt::format("and {} more at the same distance; the JSON result lists all.",
                                  r.batches.size() - most_batches_listed),
                      Tone::quiet});
    }
}

void add_growing(Document& document, const PlanResult& r) {
    if (r.growing.empty()) return;
    document.blocks.push_back(Heading{"What to grow"});
    Bullets list;
    for (const auto& need : r.growing) {
        const bool area = need.kind == YieldKind::area;
        const double peak = area ? need.peak_area_m2 : need.peak_substrate_kg_per_week;
        const bool enough = peak <= need.have * (1 + 1e-9);
        list.items.push_back(
            {fmt::format(
                 "{}: at most {} of dry matter a day = {} {}; on average {} a day. You have "
                 "{} {}.{}",
                 need.ingredient, weight(need.peak_kg_per_day), base::compact(peak, 3),
                 area ? "m2" : "kg of substrate a week", weight(need.mean_kg_per_day),
                 base::compact(need.have, 3), area ? "m2" : "kg of substrate a week",
                 enough ? "" : " Store some in advance or buy the rest."),
             enough ? Tone::plain : Tone::warn});
    }
    document.blocks.push_back(std::move(list));
}

void add_costs(Document& document, const PlanResult& r) {
    if (!r.home_cost) return;
    document.blocks.push_back(Heading{"Cost of feed until harvest"});
    Table table;
    table.key = "cost";
    table.columns = {{"", Align::left, "feeding"},
                     {"feed, kg", Align::right, "feed_kg"},
                     {r.currency.empty() ? "cost" : "cost, " + r.currency, Align::right, "cost"}};
    const bool gain = r.home_cost->cost_per_kg_gain.has_value();
    if (gain) table.columns.push_back({"per kg of gain", Align::right, "cost_per_kg_gain"});
    const auto row = [&](std::string name, const FeedCost& cost) {
        table.rows.push_back(
            {text_cell(std::move(name)), number_cell(cost.feed_kg, 1), number_cell(cost.cost, 2)});
        if (gain) table.rows.back().push_back(price_cell(*cost.cost_per_kg_gain, 3));
    };
    row(r.bought.empty() ? "home feed" : "home feed, with bought feed for small animals",
        *r.home_cost);
    row("bought feed only", *r.bought_cost);
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(
        Paragraph{"Home feed at its full cost: labour, losses and equipment included. The same "
                  "growth is assumed on bought feed, with your FCR of each feed.",
                  Tone::quiet});
}

void write_shopping(base::JsonWriter& json, std::string_view key,
                    const std::vector<ShoppingLine>& lines) {
    json.key(key).begin_array();
    for (const ShoppingLine& line : lines) {
        json.begin_object();
        if (!line.id.empty()) json.member("id", line.id);
        json.member("name", name_of(line));
        json.member("kg", line.kg);
        json.member("pack_kg", line.pack_kg);
        json.member("packs", line.packs);
        json.member("cost", line.cost);
        json.end_object();
    }
    json.end_array();
}

void write_range(base::JsonWriter& json, std::string_view key,
                 const std::optional<catalog::Range>& range) {
    if (!range) return;
    json.key(key).begin_array();
    json.value(range->low);
    json.value(range->high);
    json.end_array();
}

void write_row(base::JsonWriter& json, const PlanRow& row) {
    json.begin_object();
    json.member("period", row.number);
    json.member("day", row.first_day);
    json.member("days", row.days);
    if (!row.date.empty()) json.member("date", row.date);
    if (!row.stage.empty()) json.member("stage", row.stage);
    if (row.weight_g > 0) json.member("weight_g", row.weight_g);
    json.member("animals", row.animals);
    if (row.weight_g > 0) json.member("biomass_kg", row.biomass_kg);
    json.member("temperature_c", row.temperature_c);
    write_range(json, "ration_percent", row.ration_percent);
    write_range(json, "meals_per_day", row.meals_per_day);
    write_range(json, "pellet_mm", row.pellet_mm);
    json.member("feed_per_day_kg", row.feed_per_day_kg);
    json.member("feed_kg", row.feed_kg);
    json.member("cumulative_feed_kg", row.cumulative_feed_kg);
    json.member("home_feed", row.home);
    json.end_object();
}

void write_cost(base::JsonWriter& json, std::string_view key, const std::optional<FeedCost>& cost) {
    if (!cost) return;
    json.key(key).begin_object();
    json.member("feed_kg", cost->feed_kg);
    json.member("cost", cost->cost);
    json.member("cost_per_kg_gain", cost->cost_per_kg_gain);
    json.end_object();
}

void write_growing(base::JsonWriter& json, const PlanResult& r) {
    json.key("growing").begin_array();
    for (const auto& need : r.growing) {
        json.begin_object();
        json.member("ingredient", need.ingredient);
        json.member("peak_kg_dry_matter_per_day", need.peak_kg_per_day);
        json.member("mean_kg_dry_matter_per_day", need.mean_kg_per_day);
        if (need.kind == YieldKind::area) {
            json.member("peak_area_m2", need.peak_area_m2);
            json.member("mean_area_m2", need.mean_area_m2);
            json.member("area_m2", need.have);
        } else {
            json.member("peak_substrate_kg_per_week", need.peak_substrate_kg_per_week);
            json.member("substrate_kg_per_week", need.have);
        }
        json.end_object();
    }
    json.end_array();
}

void write_totals(base::JsonWriter& json, const PlanResult& r) {
    json.member("days", r.days);
    if (!r.harvest_date.empty()) json.member("end_date", r.harvest_date);
    json.member("stocked", r.stocked);
    json.member("harvested", r.harvested);
    if (r.start_g > 0) {
        json.member("start_g", r.start_g);
        json.member("end_g", r.end_g);
        json.member("start_biomass_kg", r.start_biomass_kg);
        json.member("end_biomass_kg", r.end_biomass_kg);
        json.member("gain_kg", r.gain_kg);
    }
    json.member("feed_kg", r.feed_kg);
    json.member("feed_low_kg", r.feed_low_kg);
    json.member("feed_high_kg", r.feed_high_kg);
    json.member("fcr", r.fcr);
    if (r.expected_fcr) {
        json.member("published_fcr_low", r.expected_fcr->low);
        json.member("published_fcr_high", r.expected_fcr->high);
    }
    if (r.nitrogen) {
        const auto range = [&](const char* key, const catalog::Range& of) {
            json.key(key).begin_array().value(of.low).value(of.high).end_array();
        };
        json.key("nitrogen_into_water").begin_object();
        range("g_per_kg_gain", r.nitrogen->home);
        if (r.nitrogen->bought) range("g_per_kg_gain_bought", *r.nitrogen->bought);
        json.member("source", r.nitrogen->source);
        json.end_object();
    }
    if (!r.load) return;
    json.member("peak_density_kg_per_m3", r.load->kg_per_m3);
    json.key("water").begin_object();
    json.member("feed_kg_per_m3_day", r.load->feed_kg_per_m3_day);
    if (r.load->oxygen_g_per_m3_day > 0)
        json.member("oxygen_g_per_m3_day", r.load->oxygen_g_per_m3_day);
    json.member("saturated_oxygen_g_per_m3", r.load->saturated_g_per_m3);
    if (r.load->published) {
        json.member("published_kg_per_m3", r.load->published->kg_per_m3);
        json.member("published_where", r.load->published->where);
        json.member("published_source", r.load->published->source);
    }
    json.end_object();
}

}  // namespace

Document plan_document(const PlanResult& r, const Run&,
                       const std::optional<tasks::HomeFeed>& home) {
    Document document;
    document.title = r.title.empty() ? "Feeding plan" : r.title;
    add_note(document, r.note);
    if (!r.short_of.empty()) {
        document.blocks.push_back(Paragraph{
            "The home feed does not meet the requirements, so do not expect this growth: " +
                base::join_words(in_words(r.short_of), "; ") + ".",
            Tone::bad});
    }
    add_home_verdict(document, home);
    document.blocks.push_back(
        r.growth_caution ? Paragraph{sentence(*r.growth_caution) + ": " + outcome(r), Tone::warn}
                         : Paragraph{outcome(r), Tone::good});
    add_spread(document, r);
    if (r.load) document.blocks.push_back(in_words(*r.load));
    if (r.nitrogen) document.blocks.push_back(in_words(*r.nitrogen));
    Bullets notes;
    for (const economics::PlanNote& note : r.notes)
        notes.items.push_back({sentence(note, r), Tone::warn});
    document.blocks.push_back(std::move(notes));
    add_rows(document, r);
    document.blocks.push_back(growth_line(r));
    document.blocks.push_back(feed_bars(r));
    add_stages(document, r);
    add_shopping(document, "To buy for the home feed", "ingredients", r.ingredients, r.currency);
    add_shopping(document, "Bought feed for small animals", "bought_feed", r.bought, r.currency);
    add_batches(document, r);
    add_growing(document, r);
    add_costs(document, r);
    add_shopping(document, r.home_cost ? "If all feed were bought" : "Feed to buy",
                 "all_bought_feed", r.all_bought, r.currency,
                 r.home_cost ? Depth::full : Depth::always);
    std::string text = "Numbers, weights, prices and whatever growth you gave are yours.";
    if (!r.sources.empty()) {
        text += " Published figures come from " + base::join_words(r.sources) +
                "; \"feedwright show SOURCE\" gives the citation.";
    }
    document.blocks.push_back(Heading{"Sources", Depth::full, "sources"});
    document.blocks.push_back(Paragraph{std::move(text), Tone::quiet});
    return document;
}

std::string plan_json(const PlanResult& r, const Run& run,
                      const std::optional<tasks::HomeFeed>& home) {
    base::JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-plan-result/1");
    json.member("program", run.program);
    if (!r.title.empty()) json.member("title", r.title);
    if (!r.currency.empty()) json.member("currency", r.currency);
    if (r.growth_caution) json.member("growth_caution", sentence(*r.growth_caution));
    write_totals(json, r);
    json.key("rows").begin_array();
    for (const PlanRow& row : r.rows)
        write_row(json, row);
    json.end_array();
    json.key("stages").begin_array();
    for (const auto& stage : r.stages) {
        json.begin_object();
        json.member("stage", stage.stage);
        json.member("days", stage.days);
        json.member("feed_kg", stage.feed_kg);
        json.end_object();
    }
    json.end_array();
    if (r.home_cost) {
        json.member("home_feed_kg", r.home_feed_kg);
        json.member("mixed_kg", r.mixed_kg);
        write_shopping(json, "ingredients", r.ingredients);
    }
    write_shopping(json, "bought", r.bought);
    write_shopping(json, "all_bought", r.all_bought);
    json.key("batches").begin_array();
    for (const auto& batch : r.batches) {
        json.begin_object();
        json.member("batch", batch.number);
        json.member("day", batch.day);
        if (!batch.date.empty()) json.member("date", batch.date);
        json.member("mixed_kg", batch.mixed_kg);
        json.end_object();
    }
    json.end_array();
    if (!r.growing.empty()) write_growing(json, r);
    write_cost(json, "home_cost", r.home_cost);
    write_cost(json, "bought_cost", r.bought_cost);
    json.member("short_of", in_words(r.short_of));
    if (home) write_fields(json, judged_fields(), {home->job, home->judgement});
    std::vector<std::string> notes;
    for (const economics::PlanNote& note : r.notes)
        notes.push_back(sentence(note, r));
    json.member("notes", notes);
    json.member("sources", r.sources);
    return inside::end_result(json, run);
}

}  // namespace feedwright::report
