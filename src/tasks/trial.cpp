// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/trial.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "base/normal.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "job/meant.hpp"
#include "limits/chance.hpp"
#include "search/series.hpp"
#include "sheet/practice.hpp"
#include "tasks/answering.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>
#include <utility>

namespace feedwright::tasks {

namespace {

// Nutrients worth a row: proximates, energy, and whatever the job limits or the series holds equal.
std::vector<trial::DesignValue> values_of(const job::Job& job, const search::SeriesDiet& diet,
                                          const std::vector<std::string>& equal) {
    std::set<std::string> wanted(equal.begin(), equal.end());
    for (const job::NutrientLimit& limit : job.limits)
        wanted.insert(limit.nutrient);
    std::vector<trial::DesignValue> values;
    for (const limits::AnalysisItem& item : diet.assessment.analysis) {
        const bool basic = item.group == "proximate" || item.group == "energy";
        if (!basic && !wanted.contains(item.nutrient)) continue;
        values.push_back({item.nutrient, item.name, item.unit, item.value, item.known_percent});
    }
    return values;
}

trial::DesignDiet diet_of(const job::Job& job, const search::SeriesDiet& diet,
                          const trial::DesignSeries& series) {
    trial::DesignDiet out;
    out.level = diet.level;
    out.name = diet.level > 0 ? series.test + "-" + base::compact(diet.level, 4) : "control";
    out.possible = !diet.amounts.empty();
    if (!out.possible) return out;
    const double total = std::accumulate(diet.amounts.begin(), diet.amounts.end(), 0.0);
    for (std::size_t i = 0; i < diet.amounts.size(); ++i) {
        const job::Choice& choice = job.ingredients[i];
        out.parts.push_back({choice.id, choice.name, 100 * diet.amounts[i] / total, 0});
    }
    out.values = values_of(job, diet, series.equal);
    out.cost_per_kg = diet.cost_per_kg;
    out.distance = 100 * diet.distance;
    return out;
}

// Weights of a diet, and the crude protein that they come to.
void take_weights(const job::Job& job, const search::Weighing& weighing, trial::DesignDiet& diet) {
    double protein = 0;
    for (std::size_t i = 0; i < weighing.amounts.size(); ++i) {
        diet.parts[i].grams = static_cast<double>(weighing.micrograms[i]) / 1e6;
        const catalog::Amount* content = job.ingredients[i].composition.find("crude_protein");
        if (content != nullptr) protein += weighing.amounts[i] * content->value;
    }
    diet.protein_weighed = protein;
}

// The variation that a pilot trial shows in growth, percent of the mean.
double pilot_cv(const std::string& file) {
    const trial::AnalysisResult pilot = analyse_trial({file, {}, {}, {}});
    for (const trial::ResponseResult& response : pilot.responses) {
        if (response.id != "sgr") continue;
        if (!response.layout) {
            throw base::DataError(base::Diagnostic{
                file, "--pilot", "no measure of how much tanks on one diet vary in growth",
                "tanks that vary within a diet",
                "\"feedwright trial analyse " + file + "\" says why"});
        }
        const auto& means = response.layout->means;
        const double mean =
            std::accumulate(means.begin(), means.end(), 0.0) / static_cast<double>(means.size());
        if (mean > 0) return 100 * response.layout->anova.residual_sd / mean;
    }
    throw base::DataError(
        base::Diagnostic{file, "--pilot", "no growth", "a trial in which fish grew", {}});
}

void add_sensitivities(const TrialDesignRequest& request, int diets, trial::DesignSeries& series) {
    if (diets < 2) return;
    const std::vector<double> differences{5, 10, 15, 20, 30};
    trial::PowerQuestion question;
    question.diets = diets;
    question.blocked = series.plan.blocks > 0;
    const auto add = [&](double cv, std::string source) {
        question.sd = cv;
        series.sensitivities.push_back(
            {cv, std::move(source), trial::power_table(question, differences)});
    };
    if (!request.pilot.empty()) {
        add(pilot_cv(request.pilot), "From the specific growth rate in " + request.pilot + ".");
    } else if (request.cv_percent) {
        add(*request.cv_percent, "As given with --cv.");
    } else {
        for (const double cv : {5.0, 10.0}) {
            add(cv, "An example, as neither --cv nor --pilot is given: measure your own tanks.");
        }
    }
}

// What two diets differ by is what the amounts that differ bring in: a lot is in both.
void add_variation(const job::Job& job, const std::vector<search::SeriesDiet>& diets,
                   trial::DesignSeries& series) {
    constexpr double lots = 0.95;
    const double z = base::normal_quantile((1 + lots) / 2);
    for (const std::string& nutrient : series.equal) {
        limits::Limit content;
        content.kind = limits::LimitKind::nutrient;
        content.nutrient = nutrient;
        for (const job::Choice& choice : job.ingredients) {
            const catalog::Amount* amount = choice.composition.find(nutrient);
            content.amount.push_back(amount != nullptr ? amount->value : 0);
        }
        const std::vector<double> spreads = limits::spreads_of(job, content, 0);
        double largest = 0;
        for (std::size_t a = 0; a < diets.size(); ++a) {
            for (std::size_t b = 0; b < a; ++b) {
                if (diets[a].amounts.empty() || diets[b].amounts.empty()) continue;
                double variance = 0;
                for (std::size_t i = 0; i < spreads.size(); ++i) {
                    const double apart = diets[a].amounts[i] - diets[b].amounts[i];
                    variance += apart * apart * spreads[i] * spreads[i];
                }
                largest = std::max(largest, std::sqrt(variance));
            }
        }
        if (!(largest > 0)) continue;
        const catalog::Nutrient& entry = *job.dictionary.find(nutrient);
        series.variation.push_back({nutrient, entry.name, entry.unit, z * largest});
    }
}

trial::DesignSeries series_of(const job::Job& job, const search::SeriesQuestion& question) {
    trial::DesignSeries series;
    series.title = job.title;
    series.test = question.test;
    series.test_name = job.find(question.test)->name;
    series.reference = question.reference;
    series.reference_name = job.find(question.reference)->name;
    series.equal = {"crude_protein"};
    for (const std::string& nutrient : question.equal) {
        if (std::find(series.equal.begin(), series.equal.end(), nutrient) == series.equal.end())
            series.equal.push_back(nutrient);
    }
    series.currency = job.currency;
    series.batch_kg = *job.batch_kg;
    if (const auto held = search::held_alike(job, question); !held.empty()) {
        series.notes.push_back(fmt::format(
            "A content that is to be equal is unknown for {}, so its amount is the same in "
            "every diet.",
            base::join_words(held)));
    }
    return series;
}

}  // namespace

TrialDesign design_trial(const TrialDesignRequest& request, catalog::Library& library) {
    const lp::SolveOptions& options = request.job.solve;
    TrialDesign result;
    const job::Job asked = read_job(request.job.job, library);
    refuse_sureness(asked, "trial design");
    result.job = solve(asked, options).job;
    job::Job& job = result.job;
    if (!job.batch_kg) job.batch_kg = 1;
    const search::SeriesQuestion question{job::named_in(job, library, request.test),
                                          job::named_in(job, library, request.reference),
                                          request.levels, request.equal};
    const auto diets = search::design_series(job, question, options);
    trial::DesignSeries& series = result.series;
    series = series_of(job, question);
    std::vector<double> proteins;
    std::vector<std::string> names;
    for (std::size_t d = 0; d < diets.size(); ++d) {
        trial::DesignDiet diet = diet_of(job, diets[d], series);
        result.judgements.emplace_back();
        result.missing.push_back(diets[d].missing);
        if (!diet.possible) {
            result.whole = false;
            series.diets.push_back(std::move(diet));
            continue;
        }
        result.judgements.back() = limits::judge(job, diets[d].amounts, diets[d].assessment);
        names.push_back(diet.name);
        search::Weighing weighing =
            search::weigh_diet(job, question, diets, d, request.scale, options);
        if (weighing.amounts.empty()) {
            result.whole = false;
            diet.weighing_reason =
                "no weights in these steps meet every limit; try a finer scale or a larger batch";
        } else {
            take_weights(job, weighing, diet);
            proteins.push_back(*diet.protein_weighed);
            if (request.sheets) {
                job::Job named = job;
                named.title = diet.name;
                sheet::MixingPlan plan =
                    sheet::plan_mixing(named, weighing, sheet::load_practice(*library.files()));
                result.sheets.push_back({std::move(named), std::move(weighing), std::move(plan)});
            }
        }
        series.diets.push_back(std::move(diet));
    }
    if (proteins.size() > 1) {
        series.protein_spread = trial::spread(proteins);
        result.whole = result.whole && *series.protein_spread <= trial::equal_protein_points;
    }
    add_variation(job, diets, series);
    if (names.size() > 1)
        series.plan = trial::draw_plan(names, request.tanks, request.blocks, request.seed);
    add_sensitivities(request, static_cast<int>(names.size()), series);
    if (!request.pilot.empty()) job.inputs.push_back(request.pilot);
    return result;
}

trial::AnalysisResult analyse_trial(const TrialAnalysisRequest& request) {
    const std::string text = base::read_file(request.file);
    if (request.group.empty())
        return trial::analyse(trial::read_trial(text, request.file), request.options);
    return trial::analyse(trial::read_one_way(text, request.file, request.group, request.response),
                          request.options);
}

}  // namespace feedwright::tasks
