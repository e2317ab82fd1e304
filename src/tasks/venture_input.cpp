// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/venture_input.hpp"

#include "base/text.hpp"
#include "job/meant.hpp"
#include "job/portion.hpp"
#include "limits/check.hpp"
#include "tasks/answering.hpp"
#include "tasks/recipe.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::tasks {

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

void set_grown_prices(economics::Venture& venture, job::Job& job, catalog::Library& library) {
    for (OwnGrown& grown : venture.make.own_grown) {
        grown.ingredient = job::named_in(job, library, grown.ingredient);
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

// A premix of the venture's own stands beside the job, so that what it is for is not missing.
limits::Judgement with_own_premix(limits::Judgement judgement) {
    if (!judgement.verdict) return judgement;
    const auto is_mended = [](const limits::Finding& one) {
        return one.severity == limits::Severity::warn &&
               (one.kind == limits::FindingKind::premix ||
                one.kind == limits::FindingKind::vitamins ||
                (one.kind == limits::FindingKind::minerals && one.unit != "%"));
    };
    std::erase_if(judgement.findings, is_mended);
    if (judgement.verdict == limits::Verdict::incomplete &&
        std::none_of(judgement.findings.begin(), judgement.findings.end(),
                     [](const auto& one) { return one.severity != limits::Severity::note; })) {
        judgement.verdict = limits::Verdict::complete;
    }
    return judgement;
}

void take_home(PricedVenture& priced, job::Job job, limits::Judgement judgement) {
    if (priced.venture.make.premix) judgement = with_own_premix(std::move(judgement));
    priced.home = HomeFeed{std::move(job), std::move(judgement)};
}

void price_job(PricedVenture& priced, catalog::Library& library) {
    const std::string& file = priced.venture.make.materials_file;
    job::Job read = read_job({file, {}, false}, library);
    take_profile(priced, read);
    set_grown_prices(priced.venture, read, library);
    Solved solved = solve(read, {});
    auto& [job, answer] = solved;
    if (answer.status != lp::Status::optimal) {
        say_why(solved, {});
        priced.unsolved = Answer{std::move(job), std::move(answer), {}};
        return;
    }
    split_cost(priced, job, answer, answer.cost_per_kg);
    take_analysis(priced, answer.assessment);
    priced.context.materials = {false, file, answer.cost_per_kg, job::Portion(job).is_finished()};
    take_home(priced, std::move(job), std::move(answer.judgement));
}

void price_recipe(PricedVenture& priced, catalog::Library& library) {
    const std::string& file = priced.venture.make.materials_file;
    JobSource source{file, {}, false};
    // A recipe in CSV names no profile; the venture may.
    if (!priced.venture.profile.empty()) source.options.profile = priced.venture.profile;
    job::Job recipe = read_recipe(source, library);
    take_profile(priced, recipe);
    set_grown_prices(priced.venture, recipe, library);
    const Checked checked = tasks::check(std::move(recipe), library);
    const limits::Check& check = checked.check;
    const auto cost_per_kg = check.known_cost_per_kg();
    if (!cost_per_kg) {
        refuse(file, "",
               check.no_price.empty() ? "no prices"
                                      : "no price for " + base::join_words(check.no_price),
               "a price for every ingredient");
    }
    split_cost(priced, checked.recipe, check, *cost_per_kg);
    take_analysis(priced, check.assessment);
    for (const limits::LimitResult& limit : check.assessment.limits) {
        if (!limit.met && !limit.within_tolerance && !limit.limit.advisory && !limit.limit.weak) {
            priced.context.short_of.push_back({limit.limit.name, limit.value,
                                               limits::unit_in_words(limit.limit), limit.limit.min,
                                               limit.limit.max});
        }
    }
    priced.context.materials = {true, file, *cost_per_kg,
                                job::Portion(checked.recipe).is_finished()};
    take_home(priced, checked.recipe, check.judgement);
}

void find_published_fcr(PricedVenture& priced, catalog::Library& library) {
    auto& known = priced.context;
    if (known.profile.empty()) known.profile = priced.venture.profile;
    if (known.profile.empty()) return;
    const auto [species, stage_id] = catalog::parse_profile_id(known.profile);
    const catalog::Profile* profile = library.profile(species);
    const catalog::Stage* stage = profile == nullptr ? nullptr : profile->stage(stage_id);
    if (stage == nullptr) {
        refuse(priced.venture.file, "/profile", fmt::format("\"{}\"", known.profile),
               "a profile of the library",
               base::did_you_mean(known.profile, library.profile_ids()));
    }
    known.published_fcr = economics::published_fcr(*stage);
}

}  // namespace

PricedVenture price_venture(const VentureSource& source, catalog::Library& library) {
    const economics::OwnProduction own = economics::load_own_production(*library.files());
    PricedVenture priced;
    priced.venture = source.file.empty() ? economics::parse_venture(source.text, "", own)
                                         : economics::load_venture(source.file, own);
    priced.context.keeping = own.keeping;
    if (!source.file.empty()) priced.inputs.push_back(source.file);
    switch (priced.venture.make.materials_from) {
        case MaterialsFrom::job:
            price_job(priced, library);
            break;
        case MaterialsFrom::recipe:
            price_recipe(priced, library);
            break;
        case MaterialsFrom::number:
            break;
    }
    find_published_fcr(priced, library);
    return priced;
}

}  // namespace feedwright::tasks
