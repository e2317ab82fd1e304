// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/venture_input.hpp"

#include "base/text.hpp"
#include "job/portion.hpp"
#include "limits/check.hpp"
#include "search/cheapest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::cli {

namespace {

using economics::MaterialsFrom;
using economics::OwnGrown;

// A nutrient is compared with a label only when nearly all of the mix has a value for it.
constexpr double known_enough = 95;

[[noreturn]] void refuse(const std::string& file, std::string place, std::string found,
                         std::string expected, std::string hint = {}) {
    throw base::DataError(base::Diagnostic{file, std::move(place), std::move(found),
                                           std::move(expected), std::move(hint)});
}

void set_grown_prices(const economics::Venture& venture, job::Job& job) {
    for (const OwnGrown& grown : venture.make.own_grown) {
        const auto choice =
            std::find_if(job.ingredients.begin(), job.ingredients.end(),
                         [&](const job::Choice& c) { return c.id == grown.ingredient; });
        if (choice == job.ingredients.end()) {
            refuse(venture.file, "/make/own_grown", fmt::format("\"{}\"", grown.ingredient),
                   "an ingredient of " + job.file,
                   base::did_you_mean(grown.ingredient, job.ingredient_ids()));
        }
        choice->price = economics::grown_price_per_kg(grown);
    }
}

// Shares out the cost per kg: what is grown is followed by its own price from here on.
void split_cost(PricedVenture& priced, const job::Job& job, const limits::Mix& mix,
                double cost_per_kg) {
    const std::vector<double>& amounts = mix.amounts;
    for (OwnGrown& grown : priced.venture.make.own_grown) {
        for (std::size_t i = 0; i < job.ingredients.size(); ++i) {
            if (job.ingredients[i].id != grown.ingredient) continue;
            grown.name = job.ingredients[i].name;
            grown.percent_of_mix = 100 * amounts[i];
            cost_per_kg -= amounts[i] * economics::grown_price_per_kg(grown);
        }
    }
    priced.venture.make.materials_per_kg = std::max(0.0, cost_per_kg);
    for (const limits::MixItem& item : mix.items) {
        priced.mix.push_back({item.id, item.name, 100 * item.amount, item.price});
    }
}

void take_analysis(PricedVenture& priced, const limits::Assessment& assessment) {
    for (const limits::AnalysisItem& item : assessment.analysis) {
        if (item.unit == "%" && item.known_percent >= known_enough) {
            priced.context.home_analysis.push_back({item.nutrient, item.value, item.known_percent});
        }
    }
}

void take_profile(PricedVenture& priced, const job::Job& job) {
    if (job.profile) priced.context.profile = job.profile->id;
    priced.context.checked = job.profile.has_value() || !job.limits.empty();
    auto& currency = priced.venture.currency;
    if (currency.empty()) currency = job.currency;
    if (!job.currency.empty() && job.currency != currency) {
        refuse(priced.venture.file, "/currency", fmt::format("\"{}\"", currency),
               fmt::format("\"{}\", as in {}", job.currency, job.file));
    }
    priced.inputs.insert(priced.inputs.end(), job.inputs.begin(), job.inputs.end());
    if (job::Portion(job).is_ration()) {
        refuse(priced.venture.file, "/make", "a daily ration (\"total\": \"free\")",
               "a job or recipe for a feed");
    }
}

void price_job(PricedVenture& priced, Context& context) {
    const std::string& file = priced.venture.make.materials_file;
    job::Job job = job::read_job(file, context.library(), {});
    take_profile(priced, job);
    set_grown_prices(priced.venture, job);
    job = search::settle(std::move(job));
    search::Formulation answer = search::formulate(job);
    if (answer.status != lp::Status::optimal) {
        priced.unsolved.emplace(std::move(job), std::move(answer));
        return;
    }
    split_cost(priced, job, answer, answer.cost_per_kg);
    take_analysis(priced, answer.assessment);
    priced.context.materials = {false, file, answer.cost_per_kg};
}

void price_recipe(PricedVenture& priced, Context& context) {
    const std::string& file = priced.venture.make.materials_file;
    job::ReadOptions options;
    // A recipe in CSV names no profile; the venture may.
    if (!priced.venture.profile.empty()) options.profile = priced.venture.profile;
    job::Job recipe = job::read_recipe(file, context.library(), options);
    take_profile(priced, recipe);
    set_grown_prices(priced.venture, recipe);
    const limits::Check check = limits::check(recipe);
    const auto cost_per_kg = check.known_cost_per_kg();
    if (!cost_per_kg) {
        refuse(file, "",
               check.no_price.empty() ? "no prices"
                                      : "no price for " + base::join_words(check.no_price),
               "a price for every ingredient");
    }
    split_cost(priced, recipe, check, *cost_per_kg);
    take_analysis(priced, check.assessment);
    for (const limits::LimitResult& limit : check.assessment.limits) {
        if (!limit.met && !limit.within_tolerance && !limit.limit.advisory && !limit.limit.weak) {
            priced.context.short_of.push_back({limit.limit.name, limit.value,
                                               limits::unit_in_words(limit.limit), limit.limit.min,
                                               limit.limit.max});
        }
    }
    priced.context.materials = {true, file, *cost_per_kg};
}

void find_published_fcr(PricedVenture& priced, Context& context) {
    auto& known = priced.context;
    if (known.profile.empty()) known.profile = priced.venture.profile;
    if (known.profile.empty()) return;
    const auto [species, stage_id] = catalog::parse_profile_id(known.profile);
    const catalog::Profile* profile = context.library().profile(species);
    const catalog::Stage* stage = profile == nullptr ? nullptr : profile->stage(stage_id);
    if (stage == nullptr) {
        refuse(priced.venture.file, "/profile", fmt::format("\"{}\"", known.profile),
               "a profile of the library",
               base::did_you_mean(known.profile, context.library().profile_ids()));
    }
    known.published_fcr = economics::published_fcr(*stage);
}

}  // namespace

PricedVenture price_venture(const std::string& file, Context& context) {
    const economics::OwnProduction own = economics::load_own_production(*context.library().files());
    PricedVenture priced;
    priced.venture = economics::load_venture(file, own);
    priced.context.keeping = own.keeping;
    priced.inputs.push_back(file);
    switch (priced.venture.make.materials_from) {
        case MaterialsFrom::job:
            price_job(priced, context);
            break;
        case MaterialsFrom::recipe:
            price_recipe(priced, context);
            break;
        case MaterialsFrom::number:
            break;
    }
    find_published_fcr(priced, context);
    return priced;
}

ExitStatus show_unsolved(const PricedVenture& priced, const Context& context) {
    const auto& [job, answer] = *priced.unsolved;
    const report::Run about = context.run(priced.inputs, {});
    context.show(report::mix_document(job, answer, {}, about),
                 [&job = job, &answer = answer, &about] {
                     return report::mix_json(job, answer, {}, about);
                 });
    const bool no_mix =
        answer.status == lp::Status::infeasible || answer.status == lp::Status::unbounded;
    return no_mix ? ExitStatus::no_mix : ExitStatus::data_error;
}

}  // namespace feedwright::cli
