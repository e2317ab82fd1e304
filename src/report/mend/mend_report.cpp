// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/mend/mend_report.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "report/chance_words.hpp"
#include "report/json_sections.hpp"
#include "report/notes.hpp"
#include "report/sections.hpp"
#include "report/verdict_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::report {

namespace {

using limits::LimitResult;
using search::Change;
using search::MendedItem;
using search::Mending;

// Grams of a change for the batch, or for one kg where there is none.
double batch_kg(const job::Job& recipe) {
    return recipe.free_total ? 1 : recipe.batch_kg.value_or(1);
}

std::string per_what(const job::Job& recipe) {
    if (recipe.free_total) return "for the ration";
    return "for " + base::shortest(batch_kg(recipe)) + " kg";
}

std::string signed_weight(double kg) {
    constexpr double a_microgram = 1e-9;
    if (std::abs(kg) < a_microgram) return "none";
    return (kg > 0 ? "+" : "-") + weight(std::abs(kg));
}

bool same_mix(const Change& a, const Change& b) {
    for (std::size_t i = 0; i < a.amounts.size(); ++i) {
        if (std::abs(a.amounts[i] - b.amounts[i]) > 1e-7 * a.weighed_in) return false;
    }
    return true;
}

std::string moved_text(const job::Job& recipe, const Change& change) {
    const double kg = change.moved * batch_kg(recipe);
    return fmt::format("{} of {} is replaced ({} %)", weight(kg),
                       recipe.free_total ? std::string("the ration")
                                         : "every " + base::shortest(batch_kg(recipe)) + " kg",
                       base::significant(100 * change.moved / change.weighed_in, 3));
}

std::vector<std::string> missed(const limits::Assessment& assessment) {
    std::vector<std::string> names;
    for (const LimitResult& limit : assessment.limits) {
        const bool fails = !limit.limit.advisory && !limit.limit.weak && !limit.within_tolerance;
        if (fails && !limit.met) names.push_back(limit.limit.name);
    }
    return names;
}

// Names that may hold commas themselves.
std::string listed(const std::vector<std::string>& names) {
    const bool plain = std::none_of(names.begin(), names.end(), [](const std::string& name) {
        return name.find(',') != std::string::npos;
    });
    if (plain || names.size() == 1) return base::join_words(names);
    std::string text;
    for (const std::string& name : names)
        text += (text.empty() ? "" : "; ") + name;
    return text;
}

// "The recipe is short of lysine; it has too much maize grain."
std::string what_is_wrong(const limits::Check& before) {
    std::vector<std::string> little;
    std::vector<std::string> much;
    for (const LimitResult& limit : before.assessment.limits) {
        if (limit.limit.advisory || limit.limit.weak || limit.met || limit.within_tolerance)
            continue;
        const bool low = limit.limit.min && limit.value && *limit.value < *limit.limit.min;
        (low ? little : much).push_back(limit.limit.name);
    }
    std::string text;
    for (const limits::Finding& one : before.judgement.findings) {
        if (one.severity != limits::Severity::stop) continue;
        // What is past a safe maximum may stand among the limits; it is said once, and first.
        std::erase(much, one.name);
        text += sentence(one) + ' ';
    }
    if (!little.empty()) text += "Too little: " + listed(little) + ". ";
    if (!much.empty()) text += "Too much: " + listed(much) + ". ";
    if (!text.empty()) text.pop_back();
    return text;
}

void add_change(Document& document, const job::Job& recipe, const Change& change,
                const std::string& key) {
    Table table;
    table.key = key;
    table.columns = {{"ingredient", Align::left, "ingredient"},
                     {"now, %", Align::right, "before_percent"},
                     {"after, %", Align::right, "after_percent"},
                     {"change " + per_what(recipe), Align::right, "change_kg"}};
    for (const MendedItem& item : change.changes) {
        const double kg = (item.after - item.before) * batch_kg(recipe);
        table.rows.push_back({text_cell(item.name + (item.added ? " (new)" : "")),
                              number_cell(item.before_percent, 2),
                              number_cell(item.after_percent, 2),
                              {signed_weight(kg), kg, Tone::plain}});
    }
    document.blocks.push_back(std::move(table));
}

void add_costs(Document& document, const job::Job& recipe, const Mending& mending,
               const Change& change) {
    const auto cost = change.known_cost_per_kg();
    if (!cost) return;
    std::string text = "Cost of materials per kg of feed: ";
    if (const auto before = mending.before.known_cost_per_kg())
        text += fmt::format("{} now, ", money(*before, recipe.currency));
    text += fmt::format("{} after the change{}", money(*cost, recipe.currency),
                        recipe.currency.empty() ? " (currency of your price list)" : "");
    document.blocks.push_back(Paragraph{text + '.', Tone::plain});
}

// Needs that were met and are not after the change: nobody should lose one unawares.
void add_lost(Document& document, const Change& change) {
    if (change.lost.empty()) return;
    Bullets bullets;
    for (const LimitResult& result : change.lost) {
        const limits::Limit& limit = result.limit;
        const std::string unit = limit.unit.empty() ? "" : ' ' + unit_in_words(limit);
        const bool low = limit.min && (!result.value || *result.value < *limit.min);
        bullets.items.push_back(
            {fmt::format(
                 "{}: {}{}, {} {}{}", limit.name,
                 result.value ? digits_apart(*result.value, low ? limit.min : limit.max) : "none",
                 unit, low ? "below the minimum of" : "above the maximum of",
                 base::compact(low ? *limit.min : *limit.max, 4), unit),
             Tone::warn});
    }
    document.blocks.push_back(
        Paragraph{"Advisory requirements that are met now but not after the change:", Tone::warn});
    document.blocks.push_back(std::move(bullets));
}

void add_stopped(Document& document, const Change& change) {
    if (change.status == lp::Status::optimal) return;
    document.blocks.push_back(
        Paragraph{fmt::format("It is not proven best: {}.", change.message), Tone::warn});
}

Cell value_cell(const std::optional<double>& value, bool met) {
    Cell cell = amount_cell(value);
    cell.tone = met ? Tone::good : Tone::bad;
    return cell;
}

// What a limit comes to in a mended recipe.
Cell cell_after(const Change& change, const std::string& limit) {
    const auto& limits = change.assessment.limits;
    const auto at = std::find_if(limits.begin(), limits.end(), [&](const LimitResult& result) {
        return result.limit.id == limit;
    });
    // A least amount of what is used is no limit any more where nothing is left of it.
    return at == limits.end() ? value_cell(0.0, true) : value_cell(at->value, at->met);
}

// The limits that were missed, before and after.
void add_limits_mended(Document& document, const Mending& mending) {
    Table table;
    table.key = "mended_limits";
    const bool both = mending.cheapest && !same_mix(*mending.smallest, *mending.cheapest);
    table.columns = {{"limit", Align::left, "limit"},
                     {"minimum", Align::right, "min"},
                     {"maximum", Align::right, "max"},
                     {"now", Align::right, "before"},
                     {"smallest change", Align::right, "after_smallest"}};
    if (both) table.columns.push_back({"cheapest", Align::right, "after_cheapest"});
    for (const LimitResult& before : mending.before.assessment.limits) {
        if (before.limit.advisory || before.met) continue;
        std::string name = before.limit.name;
        if (!before.limit.unit.empty()) name += ", " + unit_in_words(before.limit);
        std::vector<Cell> row{text_cell(std::move(name)), amount_cell(before.limit.min),
                              amount_cell(before.limit.max), value_cell(before.value, false),
                              cell_after(*mending.smallest, before.limit.id)};
        if (both) row.push_back(cell_after(*mending.cheapest, before.limit.id));
        table.rows.push_back(std::move(row));
    }
    document.blocks.push_back(Heading{"What was too low or too high", Depth::full, "limits"});
    document.blocks.push_back(std::move(table));
}

void add_no_change(Document& document, const Mending& mending, const search::MendOptions& options) {
    if (mending.status != lp::Status::infeasible) {
        document.blocks.push_back(
            Paragraph{"No change was found: " + mending.message + '.', Tone::bad});
        return;
    }
    if (mending.additions_needed) {
        document.blocks.push_back(Paragraph{
            fmt::format(
                "No change with at most {} makes the recipe pass; with {} one does.",
                count_of(static_cast<std::size_t>(*options.add_at_most), "addition", "additions"),
                *mending.additions_needed),
            Tone::bad});
        return;
    }
    document.blocks.push_back(Paragraph{
        "No change of the amounts of these ingredients makes the recipe pass.", Tone::bad});
    Bullets bullets;
    for (const search::Reachable& item : mending.reachable) {
        if (item.possible) continue;
        const limits::AskedSide& side = item.side;
        const std::string unit = side.unit.empty() ? "" : ' ' + side.unit;
        bullets.items.push_back(
            {fmt::format(
                 "{}: the limit is {} {}{}; the {} possible with these ingredients is {}{}.",
                 side.name, side.is_min ? "at least" : "at most", base::shortest(side.wanted), unit,
                 side.is_min ? "highest" : "lowest", base::significant(item.best, 4), unit),
             Tone::bad});
    }
    if (bullets.items.empty()) {
        document.blocks.push_back(Paragraph{
            mending.reachable.empty()
                ? "The maximum shares of these ingredients add up to less than a whole feed. "
                  "Other ingredients are needed."
                : "Each limit can be met alone, but not all of them together.",
            Tone::bad});
    } else {
        document.blocks.push_back(Heading{"Limits that cannot be met"});
        document.blocks.push_back(std::move(bullets));
    }
    document.blocks.push_back(
        Paragraph{"If you have other ingredients, allow them: --with ID,ID or --from PRICES.csv.",
                  Tone::plain});
}

// Whether an animal can live on a mended recipe.
void add_verdict_after(Document& document, const job::Job& recipe,
                       const limits::Judgement& judgement) {
    if (judgement.verdict) add_verdict(document, recipe, judgement, "mended recipe");
}

void add_purchases(Document& document, const search::Purchases& purchases, bool mends) {
    const job::Job& recipe = purchases.recipe;
    document.blocks.push_back(Heading{"What to buy"});
    const std::string one = purchases.items.size() == 1 ? "this" : "these";
    document.blocks.push_back(Paragraph{
        fmt::format("Buy {}, then weigh the recipe below. {}", one,
                    mends ? "No other purchase is needed to make the recipe pass."
                          : "That recipe meets more requirements than the changes above."),
        Tone::plain});
    Table table;
    table.key = "purchases";
    const std::string batch = base::shortest(recipe.batch_kg.value_or(100));
    table.columns = {
        {"buy", Align::left, "ingredient"},
        {recipe.finished_moisture ? "% weighed in" : "% of the feed", Align::right, "percent"},
        {"kg for " + batch + " kg", Align::right, "kg"}};
    for (const search::Purchase& item : purchases.items) {
        table.rows.push_back({text_cell(fmt::format("{} ({})", item.name, item.id)),
                              number_cell(item.percent, 2),
                              {base::significant(item.kg, 3), item.kg, Tone::plain}});
    }
    document.blocks.push_back(std::move(table));
    for (const search::Purchase& item : purchases.items) {
        if (!item.at_label_rate) continue;
        document.blocks.push_back(Paragraph{
            "If you buy another premix for this animal, use the rate on its label.", Tone::quiet});
    }
    document.blocks.push_back(Heading{"The recipe with what you buy"});
    document.blocks.push_back(
        Paragraph{fmt::format("{}.", moved_text(recipe, purchases.change)), Tone::plain});
    add_change(document, recipe, purchases.change, "purchases_change");
    add_lost(document, purchases.change);
    add_verdict_after(document, recipe, purchases.change.judgement);
}

struct ChangeOf {
    const job::Job& recipe;
    const Change& change;
};

struct Told {
    const job::Job& recipe;
    const Mending& mending;
    const std::optional<search::Purchases>& purchases;

    std::optional<ChangeOf> change(const std::optional<Change>& of) const {
        return of ? std::optional<ChangeOf>({recipe, *of}) : std::nullopt;
    }
};

struct Changed : MendedItem {
    double change_kg = 0;
};

std::vector<Changed> changes_of(const ChangeOf& of) {
    std::vector<Changed> list;
    for (const MendedItem& item : of.change.changes)
        list.push_back({item, (item.after - item.before) * batch_kg(of.recipe)});
    return list;
}

std::vector<std::string> lost_ids(const ChangeOf& of) {
    std::vector<std::string> ids;
    for (const LimitResult& limit : of.change.lost)
        ids.push_back(limit.limit.id);
    return ids;
}

const Fields<ChangeOf>& change_fields() {
    static const Fields<Changed> item{
        {"id", &Changed::id, kebab},
        {"name", &Changed::name},
        {"before_percent", &Changed::before_percent, from_zero, "of all that is weighed in"},
        {"after_percent", &Changed::after_percent, from_zero},
        {"before", &Changed::before, from_zero, "kg per kg of feed; kg when the total is free"},
        {"after", &Changed::after, from_zero},
        {"change_kg", &Changed::change_kg, anything, "for the batch, or for 1 kg"},
        {"added", if_any(&Changed::added), when_true, "the recipe had none of it"},
        {"price", &Changed::price, anything}};
    static const Fields<limits::Assessment> limits =
        only(assessment_fields(), {"chance_all_percent", "fails_first", "values_that_vary",
                                   "spreads_assumed", "without_spread", "limits"});
    static const Fields<ChangeOf> list{
        {"proven_best", [](auto& of) { return of.change.status == lp::Status::optimal; }},
        {"message", if_any([](auto& of) { return of.change.message; })},
        {"moved", [](auto& of) { return of.change.moved; }, from_zero,
         "half the sum of all changes: kg per kg of feed; kg when the total is free"},
        {"moved_percent", [](auto& of) { return 100 * of.change.moved / of.change.weighed_in; },
         from_zero, "of what is weighed in"},
        {"cost_per_kg", [](auto& of) { return of.change.known_cost_per_kg(); }},
        {"changes", changes_of, item},
        {"no_longer_met", lost_ids, anything, "ids of advisory needs that the recipe met"},
        {here,
         [](auto& of) {
             return Judged{of.recipe, of.change.judgement};
         },
         judged_fields()},
        {here, part_of([](auto& of) { return &of.change.assessment; }), limits}  // namespace
    };  // namespace feedwright::report
    return list;
}

const Fields<search::Purchases>& purchases_fields() {
    using search::Purchase, search::Purchases;
    static const Fields<Purchase> item{
        {"id", &Purchase::id, kebab},
        {"name", &Purchase::name},
        {"percent", &Purchase::percent, above_zero, "of all that is weighed in"},
        {"kg", &Purchase::kg, above_zero, "for for_kg of feed"}};
    static const Fields<Purchases> list{
        {"buy", &Purchases::items, item},
        {"for_kg", [](auto& of) { return of.recipe.batch_kg.value_or(100); }, above_zero},
        {"then",
         [](auto& of) {
             return ChangeOf{of.recipe, of.change};
         },
         change_fields(), "the change with them"}};
    return list;
}

const Format<Told>& mend_format() {
    using search::Reachable;
    static const Fields<Reachable> reachable{{"limit", [](auto& of) { return to_text(of.side); }},
                                             {"wanted", [](auto& of) { return of.side.wanted; }},
                                             {"best", &Reachable::best},
                                             {"possible", &Reachable::possible}};
    static const Format<Told> format{
        "mend",
        "The result of mend",
        {{"passes", [](auto& of) { return of.mending.before.passes; }},
         {"mended", [](auto& of) { return of.mending.smallest.has_value(); }},
         {here, part_of([](auto& of) { return &of.recipe; }), head_fields()},
         {here,
          [](auto& of) {
              return Judged{of.recipe, of.mending.before.judgement};
          },
          judged_fields()},
         {"measure", [](const Told&) { return "half the sum of the absolute changes of weight"; }},
         {"missed", [](auto& of) { return missed(of.mending.before.assessment); }, anything,
          "names of the limits"},
         {"cost_per_kg_before", [](auto& of) { return of.mending.before.known_cost_per_kg(); },
          from_zero},
         {"smallest", [](auto& of) { return of.change(of.mending.smallest); }, change_fields()},
         {"cheapest", [](auto& of) { return of.change(of.mending.cheapest); }, change_fields()},
         {"purchases", part_of([](auto& of) { return &of.purchases; }), purchases_fields(),
          "what to buy so that the recipe passes and is as complete as it can be"},
         {"no_price", if_any([](auto& of) { return of.mending.no_price; })},
         {"message", if_any([](auto& of) { return of.mending.message; })},
         {"additions_needed", [](auto& of) { return of.mending.additions_needed; }, from_zero},
         {"reachable", if_any([](auto& of) { return of.mending.reachable; }), reachable},
         {"cautions", [](const Told&) { return std::vector<limits::CautionResult>{}; },
          caution_fields()}}};
    return format;
}

// What brings a premix to its label rate in a recipe that passes.
void add_rate_change(Document& document, const job::Job& recipe, const Change& change) {
    document.blocks.push_back(Heading{"The premix at its label rate"});
    document.blocks.push_back(Paragraph{
        fmt::format("The smallest change: {}.", moved_text(recipe, change)), Tone::plain});
    add_stopped(document, change);
    add_change(document, recipe, change, "smallest_change");
    add_lost(document, change);
    add_verdict_after(document, recipe, change.judgement);
}

}  // namespace

Document mend_document(const job::Job& recipe, const Mending& mending,
                       const search::MendOptions& options, const Run&,
                       const std::optional<search::Purchases>& purchases) {
    Document document;
    document.title = recipe.title.empty() ? "Mending a recipe" : recipe.title;
    add_profile(document, recipe);
    if (mending.before.passes) {
        document.blocks.push_back(Paragraph{"No change is needed: the recipe passes.", Tone::good});
        if (mending.before.judgement.verdict) {
            add_verdict(document, recipe, mending.before.judgement, "recipe");
        }
        add_chance(document, mending.before.assessment);
        if (mending.smallest) add_rate_change(document, recipe, *mending.smallest);
        if (purchases) add_purchases(document, *purchases, false);
        return document;
    }
    const std::string wrong = what_is_wrong(mending.before);
    if (!mending.smallest) {
        document.blocks.push_back(Paragraph{wrong, Tone::bad});
        add_no_change(document, mending, options);
        if (purchases) {
            add_purchases(document, *purchases, true);
        } else if (recipe.profile && mending.status == lp::Status::infeasible &&
                   !mending.additions_needed) {
            document.blocks.push_back(Paragraph{
                "Three common ingredients added would not be enough. Make a new feed from a "
                "list of all that you can buy or grow (feedwright formulate).",
                Tone::bad});
        }
        return document;
    }
    const Change& smallest = *mending.smallest;
    const std::string keeping = !mending.keeps_needs ? ""
                                : smallest.lost.empty()
                                    ? " and keeps the advisory requirements that "
                                      "are met now"
                                    : " and keeps as many advisory requirements "
                                      "as possible";
    const bool both = mending.cheapest && !same_mix(smallest, *mending.cheapest);
    document.blocks.push_back(
        Paragraph{fmt::format("The recipe fails. {} {} it pass.", wrong,
                              both ? "Either of two changes makes" : "This change makes"),
                  Tone::warn});
    add_notes(document, recipe);
    document.blocks.push_back(Heading{mending.cheapest && !both
                                          ? "The smallest change, and the cheapest"
                                          : "The smallest change"});
    document.blocks.push_back(
        Paragraph{fmt::format("{}. No smaller change makes the recipe pass{}.",
                              moved_text(recipe, smallest), keeping),
                  Tone::plain});
    add_stopped(document, smallest);
    add_change(document, recipe, smallest, "smallest_change");
    add_lost(document, smallest);
    add_costs(document, recipe, mending, smallest);
    add_verdict_after(document, recipe, smallest.judgement);
    add_chance(document, smallest.assessment);
    if (both) {
        document.blocks.push_back(Heading{"The cheapest change", Depth::brief, "changes"});
        document.blocks.push_back(
            Paragraph{fmt::format("{}.", moved_text(recipe, *mending.cheapest)), Tone::plain});
        add_costs(document, recipe, mending, *mending.cheapest);
        document.blocks.push_back(Heading{"The cheapest change", Depth::full, "changes"});
        const std::string within =
            options.add_at_most == 0 ? " without additions"
            : options.add_at_most
                ? fmt::format(" with at most {}",
                              count_of(static_cast<std::size_t>(*options.add_at_most), "addition",
                                       "additions"))
                : "";
        document.blocks.push_back(
            Paragraph{fmt::format("{}. No recipe of these ingredients{} that passes{} costs less.",
                                  moved_text(recipe, *mending.cheapest), within, keeping),
                      Tone::plain});
        add_stopped(document, *mending.cheapest);
        add_change(document, recipe, *mending.cheapest, "cheapest_change");
        add_lost(document, *mending.cheapest);
        add_costs(document, recipe, mending, *mending.cheapest);
        add_verdict_after(document, recipe, mending.cheapest->judgement);
        add_chance(document, mending.cheapest->assessment);
    } else if (!mending.no_price.empty()) {
        document.blocks.push_back(
            Paragraph{fmt::format("The cheapest change is not known: no price for {}.",
                                  base::join_words(mending.no_price)),
                      Tone::warn});
    } else if (!mending.cheapest) {
        document.blocks.push_back(
            Paragraph{"Give prices (--prices) to find the cheapest change too.", Tone::quiet});
    }
    if (purchases) add_purchases(document, *purchases, false);
    add_limits_mended(document, mending);
    add_unknown(document, recipe, smallest.assessment);
    return document;
}

std::string mend_json(const job::Job& recipe, const Mending& mending, const Run& run,
                      const std::optional<search::Purchases>& purchases) {
    return to_json(mend_format(), {recipe, mending, purchases}, run);
}

std::string mend_schema() {
    return schema_of(mend_format());
}

}  // namespace feedwright::report
