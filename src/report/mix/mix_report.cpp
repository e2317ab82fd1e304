// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "base/text.hpp"
#include "report/chance_words.hpp"
#include "report/json_sections.hpp"
#include "report/limit_sections.hpp"
#include "report/mix/conflict_report.hpp"
#include "report/mix/explain_sections.hpp"
#include "report/mix/mix_plots.hpp"
#include "report/notes.hpp"
#include "report/results.hpp"
#include "report/sections.hpp"
#include "report/verdict_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::report {

namespace {

using limits::LimitKind;
using limits::LimitResult;
using search::Formulation;

// What a search that was ended could still have found.
std::string room_left(const Formulation& result) {
    if (!result.bound || !(result.cost > 0)) return "";
    return fmt::format(" At most {} % of the cost could still be saved.",
                       base::significant(100 * (result.cost - *result.bound) / result.cost, 2));
}

// Of how many of the ingredients a mix may be, where that is asked.
std::string at_most_of(const job::Job& job) {
    return job.at_most ? fmt::format("at most {} of ", *job.at_most) : "";
}

void add_answer(Document& document, const job::Job& job, const Formulation& result) {
    std::size_t asked = 0;
    for (const LimitResult& limit : result.assessment.limits) {
        if (limit.limit.advisory || limit.limit.kind == LimitKind::balance) continue;
        ++asked;
    }
    if (!(result.weighed_in > 0)) {
        document.blocks.push_back(Paragraph{
            "No limit requires any feed, so the cheapest ration is zero kg. Add at least one "
            "minimum.",
            Tone::warn});
        return;
    }
    if (asked == 0) {
        document.blocks.push_back(Paragraph{
            fmt::format("No limits were set, so nothing was checked: this is only the cheapest of "
                        "these {}. Name a profile (--for) or give limits.",
                        count_of(job.ingredients.size(), "ingredient", "ingredients")),
            Tone::warn});
        return;
    }
    add_verdict(document, job, result.judgement, job.free_total ? "ration" : "mix");
    const std::string price =
        fmt::format("{} {}", money(result.cost_per_kg, job.currency),
                    job.free_total ? "per kg of the ration" : "per kg of feed");
    const std::string meets = asked == 1 ? "meets the one limit that was set"
                                         : fmt::format("meets all {} limits that were set", asked);
    std::string text =
        result.proven_best
            ? fmt::format("Cheapest mix found: {}. It {}. No cheaper mix of {}these {} meets them.",
                          price, meets, at_most_of(job),
                          count_of(job.ingredients.size(), "ingredient", "ingredients"))
            : fmt::format("This mix costs {} and {}. It is not proven to be the cheapest: {}.{}",
                          price, meets, result.message, room_left(result));
    if (result.unique == false) {
        text +=
            " Other mixes cost the same. A fixed rule picks one, so the answer is always the "
            "same.";
    }
    document.blocks.push_back(
        Paragraph{std::move(text), result.proven_best ? Tone::plain : Tone::warn});
    add_chance(document, result.assessment);
    add_assumed_spreads(document, result.assessment);
}

// For people, and for CSV with the ids of the ingredients.
void add_mix(Document& document, const std::vector<ShownItem>& rows,
             const std::vector<Shown>& columns) {
    std::vector<std::string> ids;
    for (const ShownItem& row : rows)
        ids.push_back(row.id);
    add_with_ids(document, table_of("mix", item_fields(), rows, columns), ids);
}

Shown batch_column(const job::Job& job) {
    return {fmt::format("for {} kg", base::compact(*job.batch_kg, 6)), "batch_kg", [](double kg) {
                return Cell{weight(kg), kg, Tone::plain};
            }};
}

void add_weighing(Document& document, const job::Job& job, const Formulation& result) {
    const bool batch = job.batch_kg && !job.free_total;
    std::vector<Shown> columns{{"ingredient", "name", {}, "ingredient"},
                               {"% of mix", "percent", as_number(2)}};
    if (job.finished_moisture) {
        columns.push_back(
            {"% of dry matter", "dry_matter_percent", as_number(2), "percent_of_dry_matter"});
    }
    if (batch) columns.push_back(batch_column(job));
    if (job.free_total) columns.push_back({"kg", "amount_kg", as_number(3)});
    columns.push_back({price_column(job).header, "price", as_price(), "price_per_kg"});
    const auto rows = shown(job, result.items);
    document.blocks.push_back(Heading{"Weigh out", Depth::brief, "prices"});
    add_mix(document, rows, columns);
    columns.push_back({"% of cost", "cost_percent", as_number(1)});
    document.blocks.push_back(Heading{"Weigh out", Depth::full, "prices"});
    add_mix(document, rows, columns);
    document.blocks.push_back(Heading{""});
    if (!job.finished_moisture) return;
    const double water = result.weighed_in - 1;
    const double batch_size = job.batch_kg.value_or(1);
    document.blocks.push_back(Paragraph{
        fmt::format("Weighed in: {}. {} {} of water to get {} of feed at {} % moisture.",
                    weight(result.weighed_in * batch_size), water >= 0 ? "Evaporate" : "Add",
                    weight(std::abs(water) * batch_size), weight(batch_size),
                    base::shortest(*job.finished_moisture)),
        Tone::plain});
}

// What topping up a bought feed saves against it alone.
void add_saving(Facts& facts, const job::Job& job, const Formulation& result) {
    for (const limits::MixItem& item : result.items) {
        const job::Choice& bag = *job.find(item.id);
        if (!bag.label || bag.label->use_percent || !bag.price || !(*bag.price > 0)) continue;
        if (job.free_total || job.finished_moisture || result.items.size() < 2) continue;
        const double saved = *bag.price - result.cost_per_kg;
        facts.items.emplace_back(fmt::format("{} alone, per kg", bag.name),
                                 Cell{money(*bag.price, job.currency), bag.price, Tone::plain});
        facts.items.emplace_back("saved against it, per kg",
                                 Cell{money(saved, job.currency), saved, Tone::plain});
    }
}

void add_cost(Document& document, const job::Job& job, const Formulation& result) {
    document.blocks.push_back(Heading{"Cost of materials"});
    Facts facts;
    facts.key = "cost";
    if (job.free_total) {
        facts.items.emplace_back("the ration",
                                 Cell{money(result.cost, job.currency), result.cost, Tone::plain});
    }
    facts.items.emplace_back("per kg of feed", Cell{money(result.cost_per_kg, job.currency),
                                                    result.cost_per_kg, Tone::plain});
    if (job.batch_kg && !job.free_total) {
        const double batch = result.cost_per_kg * *job.batch_kg;
        facts.items.emplace_back("per batch",
                                 Cell{money(batch, job.currency, 2), batch, Tone::plain});
    }
    add_saving(facts, job, result);
    for (const limits::AnalysisItem& item : result.assessment.analysis) {
        if (item.nutrient != "crude_protein" || !(item.value > 0)) continue;
        const double per_protein = 100 * result.cost_per_kg / item.value;
        facts.items.emplace_back(
            "per kg of crude protein",
            Cell{money(per_protein, job.currency, 2), per_protein, Tone::plain});
    }
    document.blocks.push_back(std::move(facts));
    document.blocks.push_back(Paragraph{
        "Labour, energy, losses and equipment are extra: feedwright make-or-buy.", Tone::quiet});
}

void add_proof(Document& document, const Formulation& result) {
    Facts facts;
    facts.key = "proof";
    const auto add = [&](const char* name, double value) {
        facts.items.emplace_back(name, Cell{fmt::format("{:.1e}", value), value, Tone::plain});
    };
    add("primal residual", result.proof.primal_residual);
    add("dual residual", result.proof.dual_residual);
    add("duality gap", result.proof.duality_gap);
    if (result.sure) {
        add("largest shortfall of a sure limit", result.sure->shortfall);
        facts.items.emplace_back("planes",
                                 Cell{std::to_string(result.sure->planes),
                                      static_cast<double>(result.sure->planes), Tone::plain});
    }
    document.blocks.push_back(Heading{"Proof", Depth::full});
    document.blocks.push_back(std::move(facts));
}

// What stands in the way of a mix as sure as was asked.
void add_sure_conflict(Document& document, const search::SureConflict& conflict) {
    document.blocks.push_back(Paragraph{
        fmt::format("No mix holds every limit in {} of 100 lots, although one meets them all on "
                    "average: each can be sure in {} of 100 lots at most.",
                    base::compact(conflict.asked_percent, 4),
                    base::fixed(std::floor(10 * conflict.possible_percent) / 10, 1)),
        Tone::bad});
    if (!conflict.tight.empty()) {
        document.blocks.push_back(
            Paragraph{fmt::format("What keeps it from more: {}.", base::join_words(conflict.tight)),
                      Tone::plain});
    }
    document.blocks.push_back(Paragraph{
        conflict.relax.empty()
            ? "No limit alone stands in the way of what was asked: ask for less (--sure), add "
              "ingredients, or have those that vary most analysed."
            : fmt::format("There is a mix as sure as was asked in all else if one of these has to "
                          "hold on average alone: {}.",
                          base::join_words(conflict.relax, " or ")),
        Tone::plain});
}

void add_no_mix(Document& document, const job::Job& job, const Formulation& result, bool detail) {
    if (result.status == lp::Status::unbounded) {
        document.blocks.push_back(
            Paragraph{fmt::format("There is no cheapest mix: the price of {} is below zero and no "
                                  "maximum is set. Set one.",
                                  base::join_words(result.unbounded_by)),
                      Tone::bad});
        return;
    }
    if (result.status != lp::Status::infeasible) {
        document.blocks.push_back(Paragraph{"No answer: " + result.message + ".", Tone::bad});
        return;
    }
    if (result.sure_conflict) {
        add_sure_conflict(document, *result.sure_conflict);
        return;
    }
    document.blocks.push_back(
        Paragraph{fmt::format("No mix of {}these {} meets all the limits.", at_most_of(job),
                              count_of(job.ingredients.size(), "ingredient", "ingredients")),
                  Tone::bad});
    add_conflict(document, job, result, detail);
}

}  // namespace

Document mix_document(const job::Job& job, const Formulation& result,
                      const std::vector<limits::CautionResult>& cautions, const Run& run) {
    Document document;
    document.title = job.title.empty() ? "Least-cost mix" : job.title;
    // The verdict names the animal.
    add_profile(document, job, result.amounts.empty() ? Depth::always : Depth::full);
    if (result.amounts.empty()) {
        add_no_mix(document, job, result, run.detail);
        return document;
    }
    add_answer(document, job, result);
    add_notes(document, job, &result.judgement);
    add_weighing(document, job, result);
    document.blocks.push_back(mix_bars(result));
    add_cost(document, job, result);
    document.blocks.push_back(margin_bars(result.assessment));
    add_limits(document, job, result.assessment.limits);
    add_tight_limits(document, job, result);
    add_analysis(document, result.assessment);
    add_unknown(document, job, result.assessment);
    add_price_ranges(document, job, result);
    add_unused(document, job, result);
    add_cautions(document, cautions);
    add_sources(document, job, result.assessment.limits);
    if (run.detail) add_proof(document, result);
    return document;
}

namespace {

// How many of the limits are met, and each miss that no finding tells of.
void add_misses(Document& document, const limits::Check& result) {
    if (result.asked == 0) {
        document.blocks.push_back(Paragraph{
            "No profile or limits were given, so nothing was checked. Below is the composition "
            "only. Name a profile (--for) or give limits.",
            Tone::warn});
        return;
    }
    std::size_t missed = 0;
    std::size_t too_high = 0;
    std::size_t no_value = 0;
    std::size_t not_known = 0;
    Bullets bullets;
    for (const LimitResult& result_of : result.assessment.limits) {
        const limits::Limit& limit = result_of.limit;
        if (limit.advisory || limit.weak || limit.kind == LimitKind::balance) continue;
        if (result_of.met || result_of.within_tolerance) continue;
        if (result_of.nothing_known) {
            ++not_known;
            continue;
        }
        ++missed;
        if (!result_of.value) ++no_value;
        if (limit.max && result_of.value && *result_of.value > *limit.max) ++too_high;
        const bool told = result.judgement.verdict &&
                          (limit.kind == LimitKind::nutrient || limit.kind == LimitKind::ratio ||
                           (limit.kind == LimitKind::inclusion && limit.source != "job"));
        if (!result_of.value) {
            bullets.items.push_back(
                {fmt::format("{}: the recipe has nothing to work this share out of.", limit.name),
                 Tone::bad});
            continue;
        }
        if (told) continue;
        const bool low = limit.min && *result_of.value < *limit.min;
        const std::string unit = limit.unit.empty() ? "" : ' ' + unit_in_words(limit);
        bullets.items.push_back(
            {fmt::format(
                 "{}: it has {}{}, and should have {} {}{}{}.", limit.name,
                 digits_apart(*result_of.value, low ? limit.min : limit.max), unit,
                 low ? "at least" : "at most", base::shortest(low ? *limit.min : *limit.max), unit,
                 result_of.unknown_in.empty()
                     ? ""
                     : fmt::format(" (no value for {})", base::join_words(result_of.unknown_in))),
             Tone::bad});
    }
    const auto add_not_known = [&] {
        if (not_known == 0) return;
        document.blocks.push_back(Paragraph{
            fmt::format("Whether it meets {} of {} is not known: no ingredient has a value. Ask "
                        "the maker for the contents, or describe a bought feed by its \"label\".",
                        not_known, count_of(result.asked, "limit", "limits")),
            Tone::bad});
    };
    if (missed == 0 && not_known > 0) {
        add_not_known();
        return;
    }
    if (missed == 0) {
        document.blocks.push_back(Paragraph{fmt::format("The recipe meets all {} that were set.",
                                                        count_of(result.asked, "limit", "limits")),
                                            Tone::plain});
        return;
    }
    std::vector<std::string> how;
    const auto add = [&how](std::size_t n, const char* what) {
        if (n > 0) how.push_back(fmt::format("{} {}", n, what));
    };
    add(missed - too_high - no_value, "too low");
    add(too_high, "too high");
    add(no_value, "cannot be worked out");
    document.blocks.push_back(
        Paragraph{fmt::format("The recipe fails {} of {}: {}.", missed,
                              count_of(result.asked, "limit", "limits"), base::join_words(how)),
                  Tone::bad});
    add_not_known();
    if (!bullets.items.empty()) document.blocks.push_back(std::move(bullets));
}

}  // namespace

Document check_document(const job::Job& recipe, const limits::Check& result,
                        const std::vector<limits::CautionResult>& cautions, const Run&) {
    Document document;
    document.title = recipe.title.empty() ? "Recipe check" : recipe.title;
    add_profile(document, recipe, Depth::full);
    if (result.asked > 0) add_verdict(document, recipe, result.judgement, "recipe");
    add_misses(document, result);
    add_chance(document, result.assessment);
    add_assumed_spreads(document, result.assessment);
    add_notes(document, recipe, &result.judgement);
    document.blocks.push_back(Heading{"The recipe"});
    const bool batch = recipe.batch_kg && !recipe.free_total;
    std::vector<Shown> columns{{"ingredient", "name", {}, "ingredient"},
                               {"% of mix", "percent", as_number(2)}};
    if (batch) columns.push_back(batch_column(recipe));
    const bool priced = std::any_of(result.items.begin(), result.items.end(),
                                    [](const limits::MixItem& item) { return item.price; });
    if (priced) {
        columns.push_back({price_column(recipe).header, "price", as_price(), "price_per_kg"});
        columns.push_back({"cost per kg of feed", "cost_per_kg", as_number(4)});
    }
    add_mix(document, shown(recipe, result.items), columns);
    if (const auto cost_per_kg = result.known_cost_per_kg()) {
        Facts facts;
        facts.key = "cost";
        facts.items.emplace_back(
            "materials, per kg of feed",
            Cell{money(*cost_per_kg, recipe.currency), cost_per_kg, Tone::plain});
        document.blocks.push_back(std::move(facts));
    } else if (!result.no_price.empty()) {
        document.blocks.push_back(Paragraph{fmt::format("No cost can be given: no price for {}.",
                                                        base::join_words(result.no_price)),
                                            Tone::warn});
    }
    document.blocks.push_back(margin_bars(result.assessment));
    add_limits(document, recipe, result.assessment.limits);
    add_analysis(document, result.assessment);
    add_unknown(document, recipe, result.assessment);
    add_cautions(document, cautions);
    add_sources(document, recipe, result.assessment.limits);
    return document;
}

}  // namespace feedwright::report
