// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/mix/conflict_report.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "report/json_sections.hpp"
#include "report/mix/answer_fields.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::report {

namespace {

using limits::AskedSide;
using limits::LimitKind;
using search::Conflict;

std::string with_unit(double value, const std::string& unit) {
    return base::compact(value, 4) + (unit.empty() ? "" : ' ' + unit);
}

// "lysine, at least 1.6 %"
std::string asked(const AskedSide& side) {
    return fmt::format("{}, {} {}", side.name, side.is_min ? "at least" : "at most",
                       with_unit(side.wanted, side.unit));
}

// What one limit would have to be for the others of the set.
std::string reason(const search::Clash& clash, bool alone) {
    std::string text = asked(clash.side);
    if (!clash.best) return text;
    const std::string best = with_unit(*clash.best, clash.side.unit);
    const bool of_amounts =
        clash.side.kind == LimitKind::inclusion || clash.side.kind == LimitKind::group;
    if (of_amounts) {
        text += fmt::format(": the other limits on this list need {} or {}", best,
                            clash.side.is_min ? "less" : "more");
    } else if (alone) {
        text += fmt::format(": the {} possible with these ingredients is {}",
                            clash.side.is_min ? "highest" : "lowest", best);
    } else {
        text += fmt::format(": if the other limits on this list are kept, the {} possible is {}",
                            clash.side.is_min ? "highest" : "lowest", best);
    }
    return text;
}

// At least `percent`, in two digits.
std::string enough(double percent) {
    if (!(percent > 0)) return "0";  // a conflict by no more than rounding
    const double unit = std::pow(10, std::floor(std::log10(percent)) - 1);
    return base::compact(std::ceil(percent / unit - 1e-9) * unit, 2);
}

void add_reasons(Document& document, const job::Job& job, const Conflict& conflict) {
    const bool alone = conflict.limits.size() == 1;
    document.blocks.push_back(
        Heading{alone ? "Why: this limit cannot be met" : "Why: these limits cannot all be met"});
    Bullets bullets;
    for (const search::Clash& clash : conflict.limits) {
        bullets.items.push_back({reason(clash, alone), Tone::bad});
    }
    document.blocks.push_back(std::move(bullets));
    std::string note = alone ? "" : "Removing any one of them solves the conflict";
    if (conflict.with_whole_numbers) {
        note += alone ? "This is so" : ", ";
        if (alone) note += ' ';
        note += job.at_most ? fmt::format("with at most {} ingredients", *job.at_most)
                            : "with the minimum amounts of what is used";
    } else if (job.at_most && !alone) {
        note += ", with any number of ingredients";
    }
    if (!note.empty()) document.blocks.push_back(Paragraph{note + '.', Tone::plain});
    for (const search::Clash& clash : conflict.limits) {
        if (!clash.side.is_min || clash.unknown_in.empty()) continue;
        document.blocks.push_back(Paragraph{
            fmt::format("No value for {} in {}: counted as zero. If you know one, put it into a "
                        "library of your own (--library).",
                        clash.side.name, base::join_words(clash.unknown_in)),
            Tone::warn});
    }
}

void add_nearest(Document& document, const job::Job& job, const search::NearestMix& nearest) {
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
        Paragraph{fmt::format("It costs {} per kg and meets every limit except:",
                              money(nearest.cost_per_kg, job.currency)),
                  Tone::plain});
    Table missed;
    missed.key = "nearest_misses";
    missed.columns = {{"limit", Align::left, "limit"},
                      {"this mix", Align::right, "value"},
                      {"misses by", Align::right, "miss"},
                      {"% of the limit", Align::right, "miss_percent"}};
    for (const search::Miss& miss : nearest.misses) {
        missed.rows.push_back(
            {text_cell(asked(miss.side)), amount_cell(miss.value), amount_cell(miss.miss),
             miss.miss_percent
                 ? Cell{base::fixed(*miss.miss_percent, 1) + " %", miss.miss_percent, Tone::bad}
                 : Cell{}});
    }
    document.blocks.push_back(std::move(missed));
    document.blocks.push_back(Paragraph{
        std::string("Nearest = smallest total shortfall, in percent of the limits. ") +
            (nearest.keeps_amounts ? "Limits on amounts of ingredients are kept."
                                   : "Limits on amounts of ingredients are missed too, because "
                                     "they cannot all be met."),
        Tone::quiet});
}

// Which ingredients of the library would do, each alone.
void add_ingredients(Document& document, const job::Job& job,
                     const std::vector<search::IngredientFix>& fixes) {
    const auto any = [&](auto member) {
        return std::any_of(fixes.begin(), fixes.end(),
                           [&](const auto& fix) { return (fix.*member).has_value(); });
    };
    const bool rest = any(&search::IngredientFix::rest_cost_per_kg);
    const bool pays = any(&search::IngredientFix::pays_below);
    Table table;
    table.key = "adding";
    table.columns = {{"ingredient to add", Align::left, "ingredient"},
                     {"at least, % of mix", Align::right, "percent"}};
    if (rest) table.columns.push_back({"cost of the rest", Align::right, "rest_cost_per_kg"});
    if (pays) table.columns.push_back({"worth it below, per kg", Align::right, "pays_below"});
    for (const search::IngredientFix& fix : fixes) {
        std::vector<Cell> row{text_cell(fmt::format("{} ({})", fix.name, fix.id)),
                              {enough(fix.least_percent), fix.least_percent, Tone::plain}};
        const auto add = [&](const std::optional<double>& price) {
            row.push_back(price ? price_cell(*price) : Cell{});
        };
        if (rest) add(fix.rest_cost_per_kg);
        if (pays) add(fix.pays_below);
        table.rows.push_back(std::move(row));
    }
    document.blocks.push_back(std::move(table));
    std::string note;
    if (rest) {
        note = fmt::format(
            "Cost of the rest of the mix{} per kg of feed: add the share times your price of the "
            "new ingredient.",
            job.currency.empty() ? "" : ", " + job.currency);
    }
    if (pays) note += " Below the last price, adding it is cheaper than relaxing a limit.";
    if (!note.empty()) document.blocks.push_back(Paragraph{std::move(note), Tone::quiet});
}

// Which of them would do together, where none does alone.
void add_sets(Document& document, const std::vector<search::IngredientSet>& sets) {
    if (sets.empty()) return;
    document.blocks.push_back(Paragraph{
        sets.size() == 1
            ? "No common ingredient is enough alone. These together are, with every limit kept:"
            : "No common ingredient is enough alone. The ingredients of each line together are, "
              "with every limit kept:",
        Tone::plain});
    Bullets bullets;
    for (const search::IngredientSet& set : sets) {
        std::string text;
        for (const search::IngredientFix& part : set.parts) {
            text += fmt::format("{}{} ({}), at least {} % of the mix", text.empty() ? "" : "; ",
                                part.name, part.id, enough(part.least_percent));
        }
        bullets.items.push_back({std::move(text), Tone::plain});
    }
    document.blocks.push_back(std::move(bullets));
}

void add_help(Document& document, const job::Job& job, const Conflict& conflict) {
    document.blocks.push_back(Heading{"What would help"});
    if (conflict.fewest) {
        document.blocks.push_back(Paragraph{
            fmt::format("With {} ingredients in place of {} (--at-most {}) there is a mix.",
                        *conflict.fewest, *job.at_most, *conflict.fewest),
            Tone::plain});
    }
    if (conflict.fixes.empty()) {
        document.blocks.push_back(
            Paragraph{"Relaxing one requirement is not enough; see \"The nearest mix\" for "
                      "several. Safe levels and caps are not relaxed.",
                      Tone::plain});
    } else {
        document.blocks.push_back(Paragraph{
            conflict.fixes.size() == 1 ? "Relaxing this limit is enough, with all others kept:"
                                       : "Relaxing one of these is enough, with all others kept:",
            Tone::plain});
        Bullets bullets;
        for (const search::Fix& fix : conflict.fixes) {
            if (fix.to == 0 && fix.side.is_min) {
                bullets.items.push_back(
                    {fmt::format("remove {}; the cheapest mix then costs {} per kg",
                                 asked(fix.side), money(fix.cost_per_kg, job.currency)),
                     Tone::plain});
                continue;
            }
            bullets.items.push_back(
                {fmt::format("{} {} from {} to {} ({:.1f} %); the cheapest mix then costs {} per "
                             "kg",
                             fix.side.is_min ? "lower" : "raise", fix.side.name,
                             with_unit(fix.side.wanted, {}), with_unit(fix.to, fix.side.unit),
                             fix.change_percent, money(fix.cost_per_kg, job.currency)),
                 Tone::plain});
        }
        document.blocks.push_back(std::move(bullets));
    }
    if (!conflict.ingredients.empty()) {
        document.blocks.push_back(
            Paragraph{std::string(conflict.fixes.empty() ? "Adding" : "So is adding") +
                          (conflict.ingredients.size() == 1 ? " this ingredient"
                                                            : " one of these ingredients") +
                          (conflict.fixes.empty() ? " is enough, with every limit kept:"
                                                  : ", with every limit kept:"),
                      Tone::plain});
        add_ingredients(document, job, conflict.ingredients);
    }
    add_sets(document, conflict.sets);
    if (!conflict.premix) return;
    document.blocks.push_back(Paragraph{
        fmt::format(
            "The list has no vitamin and mineral premix. Buy one too: {} ({}), {} % of the feed.",
            conflict.premix->name, conflict.premix->id,
            base::compact(conflict.premix->least_percent, 3)),
        Tone::plain});
}

// What each need can come to; all of them, or those that cannot be met.
void add_reachable(Document& document, const search::Formulation& result, bool all) {
    Table table;
    table.key = "reachable";
    table.columns = {{"requirement", Align::left, "limit"},
                     {"limit", Align::right, "wanted"},
                     {"best possible", Align::right, "best"}};
    if (all) table.columns.push_back({"", Align::left, "state"});
    for (const search::Reachable& item : result.reachable) {
        if (item.possible && !all) continue;
        const AskedSide& side = item.side;
        std::vector<Cell> row{text_cell(side.name + (side.is_min ? ", at least" : ", at most") +
                                        (side.unit.empty() ? "" : ", " + side.unit)),
                              amount_cell(side.wanted), amount_cell(item.best)};
        if (all) {
            row.push_back(item.possible ? text_cell("possible", Tone::good)
                                        : text_cell("not possible", Tone::bad));
        }
        table.rows.push_back(std::move(row));
    }
    if (table.rows.empty()) return;
    // A conflict of one need has told all of this.
    const bool told = result.conflict && result.conflict->limits.size() == 1;
    if (!all && told && table.rows.size() == 1) return;
    document.blocks.push_back(Heading{all ? "Best value possible for each requirement alone"
                                          : "Cannot be met with these ingredients at any price"});
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(Paragraph{
        "Each value is for a mix made for that requirement alone, ingredient limits kept.",
        Tone::quiet});
}

// One thing that would help: one of the three is there.
struct Help {
    const search::Fix* fix = nullptr;
    const search::IngredientFix* ingredient = nullptr;
    const search::IngredientSet* set = nullptr;
};

std::vector<Help> helps_of(const Conflict& conflict) {
    std::vector<Help> list;
    for (const search::Fix& fix : conflict.fixes)
        list.push_back({.fix = &fix});
    for (const search::IngredientFix& fix : conflict.ingredients)
        list.push_back({.ingredient = &fix});
    for (const search::IngredientSet& set : conflict.sets)
        list.push_back({.set = &set});
    return list;
}

struct Near {
    const job::Job& job;
    const search::NearestMix& mix;
};

// In the order of the job.
std::vector<ShownItem> items_of(const Near& near) {
    std::vector<ShownItem> list;
    for (std::size_t i = 0; i < near.mix.amounts.size(); ++i) {
        ShownItem item;
        item.id = near.job.ingredients[i].id;
        item.name = near.job.ingredients[i].name;
        item.amount = near.mix.amounts[i];
        item.percent = 100 * item.amount / near.mix.weighed_in;
        item.ration = near.job.free_total;
        if (item.amount > 0) list.push_back(std::move(item));
    }
    return list;
}

const Fields<AskedSide>& side_fields() {
    static const Fields<AskedSide> list{
        {"limit", limits::to_text, anything, "id of the limit, with :min or :max"},
        {"name", &AskedSide::name},
        {"unit", &AskedSide::unit},
        {"wanted", &AskedSide::wanted}};
    return list;
}

const Fields<Help>& help_fields() {
    using search::Fix, search::IngredientFix, search::IngredientSet;
    static const Fields<Fix> fix{
        {here, &Fix::side, side_fields()},
        {"to", &Fix::to},
        {"change", [](auto& of) { return of.to - of.side.wanted; }},
        {"change_percent", &Fix::change_percent},
        {"cost_per_kg", &Fix::cost_per_kg, anything, "of the cheapest mix then"}};
    static const Fields<IngredientFix> ingredient{
        {"ingredient", &IngredientFix::id, kebab},
        {"name", &IngredientFix::name},
        {"change", &IngredientFix::least_percent, anything, "percent of the mix that is enough"},
        {"unit", [](const IngredientFix&) { return "%"; }},
        {"rest_cost_per_kg", &IngredientFix::rest_cost_per_kg, anything, "what the others cost"},
        {"pays_below", &IngredientFix::pays_below, anything,
         "the price below which it is cheaper than giving way on a limit"}};
    static const Fields<IngredientSet> set{
        {"ingredients", &IngredientSet::parts,
         only(ingredient, {"ingredient", "name", "change", "unit"})},
        {"rest_cost_per_kg", &IngredientSet::rest_cost_per_kg}};
    static const Fields<Help> list{
        {here, &Help::fix, fix}, {here, &Help::ingredient, ingredient}, {here, &Help::set, set}};
    return list;
}

const Fields<Near>& nearest_fields() {
    using search::Miss;
    static const Fields<Miss> miss{{here, &Miss::side, side_fields()},
                                   {"value", &Miss::value},
                                   {"miss", &Miss::miss},
                                   {"miss_percent", &Miss::miss_percent}};
    static const Fields<Near> list{
        {"cost_per_kg", [](auto& of) { return of.mix.cost_per_kg; }},
        {"keeps_amounts", [](auto& of) { return of.mix.keeps_amounts; }},
        {"mix", items_of, only(item_fields(), {"id", "name", "percent", "amount_kg"})},
        {"misses", part_of([](auto& of) { return &of.mix.misses; }), miss}  // namespace
    };  // namespace feedwright::report
    return list;
}

}  // namespace

void add_conflict(Document& document, const job::Job& job, const search::Formulation& result,
                  bool all) {
    if (const auto& conflict = result.conflict) {
        if (!conflict->limits.empty()) add_reasons(document, job, *conflict);
        if (conflict->unfinished) {
            document.blocks.push_back(Paragraph{
                "Which limits exclude each other was not found in the time given (--time-limit), "
                "and the mix below may not be the nearest.",
                Tone::warn});
        }
        add_reachable(document, result, all);
        if (!conflict->limits.empty()) add_help(document, job, *conflict);
        if (conflict->nearest) add_nearest(document, job, *conflict->nearest);
    } else {
        add_reachable(document, result, all);
    }
}

const Fields<Answer>& conflict_fields() {
    using search::Clash, search::IngredientFix, search::Reachable;
    static const Fields<Clash> clash{{here, &Clash::side, side_fields()},
                                     {"best", &Clash::best, anything, "with only the others"},
                                     {"unknown_in", if_any(&Clash::unknown_in)}};
    static const Fields<Conflict> reasons{
        {"limits",
         [](auto& of) {
             std::vector<std::string> ids;
             for (const Clash& one : of.limits)
                 ids.push_back(to_text(one.side));
             return ids;
         }},
        {"with_whole_numbers", if_any(&Conflict::with_whole_numbers), when_true},
        {"unfinished", if_any(&Conflict::unfinished), when_true},
        {"fewest_ingredients", &Conflict::fewest, from_zero},
        {"clash", &Conflict::limits, clash}};
    static const Fields<Reachable> reachable{{here, &Reachable::side, side_fields()},
                                             {"best", &Reachable::best},
                                             {"possible", &Reachable::possible}};
    static const Fields<IngredientFix> premix{{"ingredient", &IngredientFix::id, kebab},
                                              {"name", &IngredientFix::name},
                                              {"percent", &IngredientFix::least_percent}};
    static const Fields<Conflict> remedies{{"would_fix", helps_of, help_fields()},
                                           {"premix", &Conflict::premix, premix}};
    const auto conflict = [](auto& of) {
        return of.result.conflict ? &*of.result.conflict : nullptr;
    };
    static const Fields<Answer> list{
        {here, conflict, reasons},
        {"reachable", part_of([](auto& of) { return &of.result.reachable; }), reachable},
        {"nearest",
         [](auto& of) {
             const auto& found = of.result.conflict;
             return found && found->nearest ? std::optional<Near>({of.job, *found->nearest})
                                            : std::nullopt;
         },
         nearest_fields()},
        {here, conflict, remedies}};
    return list;
}

}  // namespace feedwright::report
