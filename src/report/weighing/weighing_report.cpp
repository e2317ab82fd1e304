// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/weighing/weighing_report.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "report/chance_words.hpp"
#include "report/json_sections.hpp"
#include "report/limit_sections.hpp"
#include "report/notes.hpp"
#include "report/sections.hpp"
#include "report/weighing/weighing_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::report {

namespace {

using search::Obstacle;
using search::Weighing;

double ounce_g() {
    return 1000 * *base::kilograms_per("oz");
}

// Rounded: nobody weighs it.
std::string exact_text(double grams, const search::WeighingScale& scale) {
    if (scale.in_ounces) {
        const double unit = ounce_g() / 10;
        return weight_text(std::round(grams / unit) * unit, scale);
    }
    return base::fixed(grams, grams < 10 ? 2 : 1) + " g";
}

Cell weight_cell(double grams, const search::WeighingScale& scale) {
    return {weight_text(grams, scale), grams, Tone::plain};
}

std::string scale_text(const search::WeighingScale& scale) {
    std::string text = fmt::format("steps of {}", weight_text(scale.step_g, scale));
    if (scale.fine_step_g) {
        text += fmt::format(" ({} for what weighs less than {})",
                            weight_text(*scale.fine_step_g, scale),
                            weight_text(scale.fine_below_g, scale));
    }
    return text;
}

std::string percent_text(double percent) {
    return base::significant(percent, 2) + " %";
}

std::string bounds_text(const std::optional<double>& min, const std::optional<double>& max,
                        const std::string& unit) {
    const std::string suffix = unit.empty() ? "" : ' ' + unit;
    if (min && max && *min == *max) return "exactly " + base::shortest(*min) + suffix;
    std::string text;
    if (min) text = "at least " + base::shortest(*min) + suffix;
    if (max) text += (text.empty() ? "at most " : " and at most ") + base::shortest(*max) + suffix;
    return text;
}

std::string obstacle_text(const Obstacle& obstacle, const search::WeighingScale& scale) {
    std::string text =
        obstacle.name + ": " + bounds_text(obstacle.min, obstacle.max, obstacle.unit);
    if (obstacle.min_g || obstacle.max_g) {
        const double unit = scale.in_ounces ? ounce_g() : 1;
        const auto rounded = [&](const std::optional<double>& grams) -> std::optional<double> {
            if (!grams) return std::nullopt;
            return std::round(*grams / unit * 1e6) / 1e6;
        };
        if (obstacle.min || obstacle.max) text += ", that is ";
        text += fmt::format("{}, and no whole number of {} steps is",
                            bounds_text(rounded(obstacle.min_g), rounded(obstacle.max_g),
                                        scale.in_ounces ? "oz" : "g"),
                            weight_text(obstacle.step_g, scale));
        return text + '.';
    }
    if (obstacle.nearest) {
        text += fmt::format("; the nearest mix in these steps has {}{}",
                            base::significant(*obstacle.nearest, 8),
                            obstacle.unit.empty() ? "" : ' ' + obstacle.unit);
    }
    return text + '.';
}

void add_no_weighing(Document& document, const Weighing& weighing) {
    if (weighing.status != lp::Status::infeasible) {
        document.blocks.push_back(
            Paragraph{"No mix in whole steps was found: " + weighing.message + '.', Tone::bad});
        return;
    }
    document.blocks.push_back(Paragraph{
        fmt::format("A mix exists, but none in {}. What prevents it:", scale_text(weighing.scale)),
        Tone::bad});
    Bullets bullets;
    for (const Obstacle& obstacle : weighing.obstacles) {
        bullets.items.push_back({obstacle_text(obstacle, weighing.scale), Tone::bad});
    }
    if (bullets.items.empty()) {
        bullets.items.push_back(
            {"whole steps for the total, the stocks and the number of ingredients.", Tone::bad});
    }
    document.blocks.push_back(std::move(bullets));
}

double rounding_percent(const Weighing& weighing) {
    if (!(weighing.exact_cost_per_kg > 0)) return 0;
    return 100 * (weighing.cost_per_kg / weighing.exact_cost_per_kg - 1);
}

void add_verdict(Document& document, const Weighing& weighing) {
    std::size_t asked = 0;
    for (const auto& limit : weighing.assessment.limits) {
        if (!limit.limit.advisory) ++asked;
    }
    std::string text = fmt::format(
        "In {} this mix meets all {} that were set and costs {} more than the exact mix.",
        scale_text(weighing.scale), count_of(asked, "limit", "limits"),
        percent_text(std::max(0.0, rounding_percent(weighing))));
    if (!weighing.same_ingredients) {
        text += " It has other ingredients than the exact mix.";
    }
    const bool proven = weighing.status == lp::Status::optimal;
    text += proven ? " No cheaper mix of these ingredients in these steps meets them."
                   : fmt::format(
                         " It is not proven best: {}. At most {} of the cost could still be "
                         "saved.",
                         weighing.message, percent_text(weighing.gap_percent));
    document.blocks.push_back(Paragraph{std::move(text), proven ? Tone::good : Tone::warn});
}

void add_weights(Document& document, const job::Job& job, const Weighing& weighing) {
    document.blocks.push_back(Heading{"Weigh out"});
    Table table;
    table.key = "weights";
    table.columns = {
        {"ingredient", Align::left, "ingredient"},
        {"weigh out", Align::right, "grams"},
        {"exact mix", Align::right, "exact_grams"},
        {"% of mix", Align::right, "percent"},
        {job.currency.empty() ? "cost" : "cost, " + job.currency, Align::right, "cost"}};
    for (const search::WeighedItem& item : weighing.mix) {
        table.rows.push_back(
            {text_cell(item.name + (item.fine ? " (fine scale)" : "")),
             weight_cell(item.grams, weighing.scale),
             {exact_text(item.exact_grams, weighing.scale), item.exact_grams, Tone::plain},
             number_cell(item.percent, 3),
             number_cell(item.cost, 2)});
    }
    const double total = std::round(weighing.weighed_kg * 1e9) / 1e6;
    table.rows.push_back({text_cell("total"), weight_cell(total, weighing.scale), Cell{},
                          number_cell(100, 3), number_cell(weighing.cost, 2)});
    document.blocks.push_back(std::move(table));
}

// What can be weighed in place of what was asked for.
void add_near(Document& document, const job::Job& job, const search::NearWeighing* near) {
    if (near == nullptr) {
        document.blocks.push_back(Paragraph{
            "No batch of half to twice the size can be weighed on this scale, and no finer "
            "scale that was tried can weigh it either. Write an exact limit as a small range.",
            Tone::plain});
        return;
    }
    const Weighing& weighing = near->weighing;
    const bool pounds = weighing.scale.in_ounces;
    const double size = near->batch_kg / (pounds ? *base::kilograms_per("lb") : 1);
    const std::string batch = base::shortest(std::round(size * 1e4) / 1e4) + (pounds ? "lb" : "kg");
    const std::string how = near->other_batch
                                ? "--weight " + batch
                                : fmt::format("--fine-scale {}g --fine-below {}g",
                                              base::compact(*weighing.scale.fine_step_g, 6),
                                              base::compact(weighing.scale.fine_below_g, 6));
    document.blocks.push_back(Heading{"The nearest batch that can be weighed"});
    document.blocks.push_back(Paragraph{
        fmt::format("{} in {}, at {} per kg of feed; the exact mix costs {}. To print it with its "
                    "limits or as a sheet, use {}.",
                    batch, scale_text(weighing.scale), money(weighing.cost_per_kg, job.currency, 4),
                    money(weighing.exact_cost_per_kg, job.currency, 4), how),
        Tone::plain});
    add_weights(document, job, weighing);
}

}  // namespace

std::string weight_text(double grams, const search::WeighingScale& scale) {
    if (!scale.in_ounces) return base::shortest(std::round(grams * 1e6) / 1e6) + " g";
    // Steps are kept to a microgram, so that 60 lb of them are off by less than a thousandth of an
    // ounce.
    const double ounces = std::round(grams / ounce_g() * 1e3) / 1e3;
    constexpr double ounces_in_pound = 16;
    const double pounds = std::trunc(ounces / ounces_in_pound);
    const double rest = std::round((ounces - pounds * ounces_in_pound) * 1e3) / 1e3;
    if (pounds == 0) return base::shortest(rest) + " oz";
    return base::shortest(pounds) + " lb" + (rest == 0 ? "" : ' ' + base::shortest(rest) + " oz");
}

void add_coarse(Document& document, const Weighing& weighing) {
    // Half a step is then more than a twentieth of the weight.
    constexpr double fewest_steps = 10;
    std::vector<std::string> items;
    for (const search::WeighedItem& item : weighing.mix) {
        const double step = item.fine ? *weighing.scale.fine_step_g : weighing.scale.step_g;
        if (item.grams < fewest_steps * step) {
            items.push_back(
                fmt::format("{} ({})", item.name, weight_text(item.grams, weighing.scale)));
        }
    }
    if (items.empty()) return;
    document.blocks.push_back(Paragraph{
        fmt::format("Too small for this scale: {}. Use a finer scale (--fine-scale) or a larger "
                    "batch.",
                    base::join_words(items)),
        Tone::warn});
}

namespace {

void add_rounding(Document& document, const job::Job& job, const Weighing& weighing, bool detail) {
    document.blocks.push_back(Heading{"Cost of rounding to whole steps", Depth::full, "prices"});
    Facts facts;
    facts.key = "rounding";
    const auto add = [&](const char* label, double value) {
        facts.items.emplace_back(label, Cell{money(value, job.currency, 6), value, Tone::plain});
    };
    add("per kg of feed, as weighed", weighing.cost_per_kg);
    add("per kg of feed, exact mix", weighing.exact_cost_per_kg);
    const double batch = (weighing.cost_per_kg - weighing.exact_cost_per_kg) * weighing.finished_kg;
    facts.items.emplace_back("rounding, for the batch",
                             Cell{money(batch, job.currency, 4), batch, Tone::plain});
    if (detail) {
        add("no mix in these steps costs less than", weighing.bound_per_kg);
        facts.items.emplace_back(
            "gap", Cell{percent_text(weighing.gap_percent), weighing.gap_percent, Tone::plain});
    }
    document.blocks.push_back(std::move(facts));
}

std::string_view status_text(const Weighing& weighing) {
    switch (weighing.status) {
        case lp::Status::optimal:
            return "optimal";
        case lp::Status::infeasible:
        case lp::Status::unbounded:
            return "infeasible";
        case lp::Status::limit:
            return weighing.amounts.empty() ? "failed" : "stopped";
        case lp::Status::failed:
            return "failed";
    }
    return "failed";
}

using Cautions = std::vector<limits::CautionResult>;

struct Told {
    const job::Job& job;
    const Weighing& weighing;
    const search::NearWeighing* near;
    const Cautions& cautions;
};

const Fields<Weighing>& weighing_fields() {
    using search::WeighedItem, search::WeighingScale;
    static const Fields<WeighingScale> scale{
        {"step_g", &WeighingScale::step_g, above_zero},
        {"fine_step_g", &WeighingScale::fine_step_g, above_zero},
        {"fine_below_g", when(&WeighingScale::fine_step_g, &WeighingScale::fine_below_g),
         above_zero}};
    static const Fields<WeighedItem> item{
        {"id", &WeighedItem::id, kebab},
        {"name", &WeighedItem::name},
        {"grams", &WeighedItem::grams, from_zero, "a whole number of steps"},
        {"exact_grams", &WeighedItem::exact_grams, from_zero, "of the mix without steps"},
        {"fine_scale", &WeighedItem::fine},
        {"percent", &WeighedItem::percent, from_zero, "of all that is weighed in"},
        {"price", &WeighedItem::price},
        {"cost", &WeighedItem::cost, anything, "in the batch"}};
    static const Fields<Obstacle> obstacle{
        {"limit", &Obstacle::limit},
        {"name", &Obstacle::name},
        {"unit", if_any(&Obstacle::unit)},
        {"min", &Obstacle::min},
        {"max", &Obstacle::max},
        {"min_g", &Obstacle::min_g, anything, "least weight that the limit leaves"},
        {"max_g", &Obstacle::max_g, anything, "and most"},
        {"step_g", &Obstacle::step_g, above_zero},
        {"nearest", &Obstacle::nearest, anything,
         "its value in the mix of whole steps that misses least"}};
    static const Fields<Weighing> weighed{
        {"proven_best", [](auto& of) { return of.status == lp::Status::optimal; }},
        {"same_ingredients", &Weighing::same_ingredients, anything, "as the exact mix has"},
        {"weighed_kg", &Weighing::weighed_kg, above_zero},
        {"finished_kg", &Weighing::finished_kg, above_zero, "the feed it gives"},
        {"cost", &Weighing::cost, anything, "of the batch"},
        {"cost_per_kg", &Weighing::cost_per_kg, anything, "of feed"},
        {"exact_cost_per_kg", &Weighing::exact_cost_per_kg, anything, "of the mix without steps"},
        {"bound_per_kg", &Weighing::bound_per_kg, anything, "no mix in these steps costs less"},
        {"gap_percent", &Weighing::gap_percent, from_zero, "of the cost above that"},
        {"mix", &Weighing::mix, item},
        {here, &Weighing::assessment, assessment_fields()}};
    const auto none = [](auto& of) { return of.amounts.empty(); };
    static const Fields<Weighing> list{
        {"scale", &Weighing::scale, scale},
        {"obstacles", when(none, &Weighing::obstacles), obstacle, "what prevents it"},
        {here, [](auto& of) { return of.amounts.empty() ? nullptr : &of; }, weighed}};
    return list;
}

const Fields<search::NearWeighing>& near_fields() {
    using search::NearWeighing;
    static const Fields<NearWeighing> list{
        {"batch_kg", &NearWeighing::batch_kg, above_zero},
        {"other_batch", &NearWeighing::other_batch, anything, "else a finer scale"},
        {here, &NearWeighing::weighing, weighing_fields()}};
    return list;
}

const Format<Told>& weighing_format() {
    static const Format<Told> format{
        "weighing",
        "The result of formulate with --scale",
        {{"status", [](auto& of) { return status_text(of.weighing); }, {.ref = "mix_status"}},
         {"message", if_any([](auto& of) { return of.weighing.message; })},
         {here, [](auto& of) -> const job::Job& { return of.job; }, head_fields()},
         {here, [](auto& of) -> const Weighing& { return of.weighing; }, weighing_fields()},
         {"nearest", [](auto& of) { return of.near; }, near_fields(),
          "what can be weighed where this cannot"},
         {"cautions", [](auto& of) -> const Cautions& { return of.cautions; }, caution_fields()}},
        {"proven_best", "mix", "limits", "analysis"}};
    return format;
}

}  // namespace

Document weighing_document(const job::Job& job, const Weighing& weighing,
                           const search::NearWeighing* near,
                           const std::vector<limits::CautionResult>& cautions, const Run& run) {
    Document document;
    document.title = job.title.empty() ? "Mix to weigh out" : job.title;
    add_profile(document, job);
    if (weighing.amounts.empty()) {
        add_no_weighing(document, weighing);
        add_near(document, job, near);
        return document;
    }
    add_verdict(document, weighing);
    add_chance(document, weighing.assessment);
    add_assumed_spreads(document, weighing.assessment);
    add_notes(document, job);
    add_weights(document, job, weighing);
    add_coarse(document, weighing);
    add_rounding(document, job, weighing, run.detail);
    add_limits(document, job, weighing.assessment.limits);
    add_analysis(document, weighing.assessment);
    add_unknown(document, job, weighing.assessment);
    add_cautions(document, cautions);
    add_sources(document, job, weighing.assessment.limits);
    return document;
}

std::string weighing_json(const job::Job& job, const Weighing& weighing,
                          const search::NearWeighing* near,
                          const std::vector<limits::CautionResult>& cautions, const Run& run) {
    return to_json(weighing_format(), {job, weighing, near, cautions}, run);
}

std::string weighing_schema() {
    return schema_of(weighing_format());
}

}  // namespace feedwright::report
