// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "base/text.hpp"
#include "report/json_sections.hpp"
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
    std::vector<std::string> tight;
    for (const LimitResult& limit : result.assessment.limits) {
        if (limit.limit.advisory || limit.limit.kind == LimitKind::balance) continue;
        ++asked;
        if (limit.binding) tight.push_back(limit.limit.name);
    }
    if (!(result.weighed_in > 0)) {
        document.blocks.push_back(Paragraph{
            "Nothing is asked that a mix would be needed for: the cheapest is none at all. Give "
            "limits.",
            Tone::warn});
        return;
    }
    if (asked == 0) {
        document.blocks.push_back(Paragraph{
            fmt::format("No requirement was set, so nothing was checked: this is only the cheapest "
                        "of these {}. Name a profile (--for) or give limits.",
                        count_of(job.ingredients.size(), "ingredient", "ingredients")),
            Tone::warn});
        return;
    }
    add_verdict(document, job, result.judgement, job.free_total ? "ration" : "mix");
    std::string text = asked == 1 ? "The mix meets the one limit that was set"
                                  : fmt::format("The mix meets all {} limits that were set", asked);
    text += result.proven_best
                ? fmt::format(", and no cheaper mix of {}these {} does.", at_most_of(job),
                              count_of(job.ingredients.size(), "ingredient", "ingredients"))
                : fmt::format(". It is not proven best: {}.{}", result.message, room_left(result));
    if (tight.size() > 6) {
        text += fmt::format(" {} limits have nothing to spare.", tight.size());
    } else if (!tight.empty()) {
        text += fmt::format(" Nothing to spare on {}.", base::join_words(tight));
    }
    if (result.unique == false) {
        text +=
            " Other mixes cost as much; of those this one has the least of the ingredients whose "
            "ids come last.";
    }
    document.blocks.push_back(
        Paragraph{std::move(text), result.proven_best ? Tone::plain : Tone::warn});
}

Shown batch_column(const job::Job& job) {
    return {fmt::format("for {} kg", base::compact(*job.batch_kg, 6)), "batch_kg", [](double kg) {
                return Cell{weight(kg), kg, Tone::plain};
            }};
}

void add_weighing(Document& document, const job::Job& job, const Formulation& result) {
    document.blocks.push_back(Heading{"Weigh out"});
    const bool batch = job.batch_kg && !job.free_total;
    std::vector<Shown> columns{{"ingredient", "name", {}, "ingredient"},
                               {"% of mix", "percent", as_number(2)}};
    if (job.finished_moisture) {
        columns.push_back(
            {"% of dry", "dry_matter_percent", as_number(2), "percent_of_dry_matter"});
    }
    if (batch) columns.push_back(batch_column(job));
    if (job.free_total) columns.push_back({"kg", "amount_kg", as_number(3)});
    columns.push_back({"price", "price", as_price(), "price_per_kg"});
    columns.push_back({"share of cost", "cost_percent", as_percent(1)});
    document.blocks.push_back(table_of("mix", item_fields(), shown(job, result.items), columns));
    if (!job.finished_moisture) return;
    const double water = result.weighed_in - 1;
    const double batch_size = job.batch_kg.value_or(1);
    document.blocks.push_back(Paragraph{
        fmt::format("These weigh {} and are to give {} of finished feed at {} % moisture: {} {} of "
                    "water.",
                    weight(result.weighed_in * batch_size), weight(batch_size),
                    base::shortest(*job.finished_moisture), water >= 0 ? "dry off" : "add",
                    weight(std::abs(water) * batch_size)),
        Tone::plain});
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
    for (const limits::AnalysisItem& item : result.assessment.analysis) {
        if (item.nutrient != "crude_protein" || !(item.value > 0)) continue;
        const double per_protein = 100 * result.cost_per_kg / item.value;
        facts.items.emplace_back("per kg of protein", Cell{money(per_protein, job.currency, 2),
                                                           per_protein, Tone::plain});
    }
    document.blocks.push_back(std::move(facts));
    document.blocks.push_back(Paragraph{
        "Materials only: labour, energy, losses and equipment come on top.", Tone::quiet});
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
    document.blocks.push_back(Heading{"Proof"});
    document.blocks.push_back(std::move(facts));
}

void add_no_mix(Document& document, const job::Job& job, const Formulation& result, bool detail) {
    if (result.status == lp::Status::unbounded) {
        document.blocks.push_back(Paragraph{
            fmt::format("There is no cheapest mix: {} earns money and nothing limits it. Give it a "
                        "max.",
                        base::join_words(result.unbounded_by)),
            Tone::bad});
        return;
    }
    if (result.status != lp::Status::infeasible) {
        document.blocks.push_back(Paragraph{"No answer: " + result.message + ".", Tone::bad});
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
    add_profile(document, job);
    if (result.amounts.empty()) {
        add_no_mix(document, job, result, run.detail);
        return document;
    }
    add_answer(document, job, result);
    add_notes(document, job);
    add_weighing(document, job, result);
    document.blocks.push_back(mix_bars(result));
    add_cost(document, job, result);
    document.blocks.push_back(margin_bars(result.assessment));
    add_limits(document, result.assessment.limits);
    add_tight_limits(document, job, result);
    add_analysis(document, result.assessment, run.detail);
    add_unknown(document, job, result.assessment);
    add_price_ranges(document, result);
    add_unused(document, result);
    add_cautions(document, cautions);
    add_sources(document, job, result.assessment.limits, run.detail);
    if (run.detail) add_proof(document, result);
    return document;
}

namespace {

// How many of the limits are met, and each miss that no finding tells of.
void add_misses(Document& document, const limits::Check& result) {
    if (result.asked == 0) {
        document.blocks.push_back(Paragraph{
            "Nothing was checked: there is nothing to hold this recipe against. Name a profile "
            "(--for) or give limits. Below is only what the recipe holds.",
            Tone::warn});
        return;
    }
    std::vector<std::string> missed;
    Bullets bullets;
    for (const LimitResult& result_of : result.assessment.limits) {
        const limits::Limit& limit = result_of.limit;
        if (limit.advisory || limit.weak || limit.kind == LimitKind::balance) continue;
        if (result_of.met || result_of.within_tolerance) continue;
        missed.push_back(limit.name);
        const bool told = result.judgement.verdict &&
                          (limit.kind == LimitKind::nutrient || limit.kind == LimitKind::ratio ||
                           (limit.kind == LimitKind::inclusion && limit.source != "job"));
        if (!result_of.value) {
            bullets.items.push_back(
                {fmt::format("{}: the recipe has nothing that it is a share of.", limit.name),
                 Tone::bad});
            continue;
        }
        if (told) continue;
        const bool low = limit.min && *result_of.value < *limit.min;
        const std::string unit = limit.unit.empty() ? "" : ' ' + unit_in_words(limit);
        bullets.items.push_back(
            {fmt::format(
                 "{}: it has {}{}, and should have {} {}{}{}.", limit.name,
                 base::significant(*result_of.value, 4), unit, low ? "at least" : "at most",
                 base::shortest(low ? *limit.min : *limit.max), unit,
                 result_of.unknown_in.empty()
                     ? ""
                     : fmt::format(" (no value for {})", base::join_words(result_of.unknown_in))),
             Tone::bad});
    }
    if (missed.empty()) {
        document.blocks.push_back(Paragraph{fmt::format("The recipe meets all {} that were set.",
                                                        count_of(result.asked, "limit", "limits")),
                                            Tone::plain});
        return;
    }
    document.blocks.push_back(
        Paragraph{fmt::format("The recipe misses {} of {}: {}.", missed.size(),
                              count_of(result.asked, "limit", "limits"), base::join_words(missed)),
                  Tone::bad});
    if (!bullets.items.empty()) document.blocks.push_back(std::move(bullets));
}

}  // namespace

Document check_document(const job::Job& recipe, const limits::Check& result,
                        const std::vector<limits::CautionResult>& cautions, const Run& run) {
    Document document;
    document.title = recipe.title.empty() ? "Recipe check" : recipe.title;
    add_profile(document, recipe);
    if (result.asked > 0) add_verdict(document, recipe, result.judgement, "recipe");
    add_misses(document, result);
    add_notes(document, recipe);
    document.blocks.push_back(Heading{"The recipe"});
    const bool batch = recipe.batch_kg && !recipe.free_total;
    std::vector<Shown> columns{{"ingredient", "name", {}, "ingredient"},
                               {"% of mix", "percent", as_number(2)}};
    if (batch) columns.push_back(batch_column(recipe));
    columns.push_back({"price", "price", as_price(), "price_per_kg"});
    columns.push_back({"adds per kg", "cost_per_kg", as_number(4)});
    document.blocks.push_back(table_of("mix", item_fields(), shown(recipe, result.items), columns));
    if (const auto cost_per_kg = result.known_cost_per_kg()) {
        Facts facts;
        facts.key = "cost";
        facts.items.emplace_back(
            "materials, per kg of feed",
            Cell{money(*cost_per_kg, recipe.currency), cost_per_kg, Tone::plain});
        document.blocks.push_back(std::move(facts));
    } else if (!result.no_price.empty()) {
        document.blocks.push_back(Paragraph{
            fmt::format("No cost: {} without a price.", base::join_words(result.no_price)),
            Tone::warn});
    }
    document.blocks.push_back(margin_bars(result.assessment));
    add_limits(document, result.assessment.limits);
    add_analysis(document, result.assessment, run.detail);
    add_unknown(document, recipe, result.assessment);
    add_cautions(document, cautions);
    add_sources(document, recipe, result.assessment.limits, run.detail);
    return document;
}

}  // namespace feedwright::report
