// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/sure_curve.hpp"

#include "limits/chance.hpp"
#include "search/cheapest.hpp"
#include "tasks/answering.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace feedwright::tasks {

namespace {

constexpr double on_average = 50;
constexpr std::array places{50.0, 55.0, 60.0, 65.0, 70.0, 75.0, 80.0, 85.0,
                            90.0, 92.5, 95.0, 97.5, 99.0, 99.5, 99.9};

// As sure as `percent`, but for limits that say it themselves.
job::Job asking(job::Job job, double percent) {
    job.sure_percent = percent > on_average ? std::optional(percent) : std::nullopt;
    return job;
}

SurePoint point_of(Solved& solved, double percent) {
    SurePoint point;
    point.sure_percent = percent;
    point.status = solved.mix.status;
    if (!solved.has_mix()) return point;
    point.cost_per_kg = solved.mix.cost_per_kg;
    limits::Assessment& assessment = solved.mix.assessment;
    limits::add_chance(solved.job, solved.mix.amounts, assessment);
    if (assessment.chance) {
        point.chance_all_percent = assessment.chance->all_percent;
        if (assessment.chance->weakest)
            point.fails_first = assessment.limits[*assessment.chance->weakest].limit.name;
    }
    if (percent > on_average) {
        for (const limits::LimitResult& limit : assessment.limits) {
            const bool could = limits::is_on_contents(limit.limit) && !limit.limit.advisory;
            if (could && limit.limit.sure_percent == on_average) ++point.on_average;
        }
    }
    return point;
}

bool varies(const job::Choice& choice) {
    const auto& factors = choice.variability.factors;
    return std::any_of(factors.begin(), factors.end(),
                       [](const catalog::Factor& factor) { return factor.sd > 0; });
}

void add_analyses(const Solved& solved, const lp::SolveOptions& options, SureCurve& curve) {
    const search::Formulation& mix = solved.mix;
    const double whole = mix.weighed_in;
    for (std::size_t i = 0; i < solved.job.ingredients.size(); ++i) {
        const job::Choice& choice = solved.job.ingredients[i];
        if (!varies(choice)) continue;
        job::Job known = solved.job;
        for (catalog::Factor& factor : known.ingredients[i].variability.factors)
            factor.sd = 0;
        const search::Formulation with = search::formulate(known, options);
        if (with.status != lp::Status::optimal) continue;
        const double saves = mix.cost_per_kg - with.cost_per_kg;
        constexpr double least = 1e-4;  // of the cost: for less nobody has a lot analysed
        if (saves <= least * mix.cost_per_kg) continue;
        curve.analyses.push_back(
            {choice.id, choice.name, 100 * mix.amounts[i] / whole, with.cost_per_kg, saves});
    }
    std::stable_sort(curve.analyses.begin(), curve.analyses.end(),
                     [](const AnalysisWorth& a, const AnalysisWorth& b) {
                         return a.saves_per_kg > b.saves_per_kg;
                     });
}

}  // namespace

std::optional<std::size_t> knee_of(const std::vector<SurePoint>& points) {
    std::vector<std::size_t> alike;
    std::optional<std::size_t> held;
    for (std::size_t i = 0; i < points.size() && points[i].cost_per_kg; ++i) {
        if (points[i].sure_percent > on_average && !held) held = points[i].on_average;
        if (held && points[i].on_average != *held) break;
        alike.push_back(i);
    }
    if (alike.size() < 3) return std::nullopt;
    const SurePoint& first = points[alike.front()];
    const SurePoint& last = points[alike.back()];
    const double rise = *last.cost_per_kg - *first.cost_per_kg;
    constexpr double flat = 1e-6;
    if (!(rise > flat * *first.cost_per_kg)) return std::nullopt;
    std::optional<std::size_t> knee;
    double farthest = 0;
    for (const std::size_t i : alike) {
        const double along = (points[i].sure_percent - first.sure_percent) /
                             (last.sure_percent - first.sure_percent);
        const double below = along - (*points[i].cost_per_kg - *first.cost_per_kg) / rise;
        if (below <= farthest) continue;
        farthest = below;
        knee = i;
    }
    return knee;
}

SureCurve sure_curve(const FormulateRequest& request, catalog::Library& library) {
    const job::Job job = read_job(request.job, library);
    SureCurve curve;
    for (const double percent : places) {
        Solved solved = solve(asking(job, percent), request.solve);
        curve.points.push_back(point_of(solved, percent));
        if (percent == on_average) curve.job = std::move(solved.job);
        if (percent == on_average && !curve.points.back().cost_per_kg) return curve;
    }
    for (std::size_t i = 0; i + 1 < curve.points.size(); ++i) {
        SurePoint& point = curve.points[i];
        const SurePoint& next = curve.points[i + 1];
        if (!point.cost_per_kg || !next.cost_per_kg) continue;
        point.further_percent_costs =
            (*next.cost_per_kg - *point.cost_per_kg) / (next.sure_percent - point.sure_percent);
    }
    curve.knee = knee_of(curve.points);
    std::optional<double> analysed = job.sure_percent;
    if (!analysed && curve.knee) analysed = curve.points[*curve.knee].sure_percent;
    if (!analysed) return curve;
    const Solved solved = solve(asking(job, *analysed), request.solve);
    if (!solved.has_mix()) return curve;
    curve.analysed_percent = analysed;
    curve.analysed_cost_per_kg = solved.mix.cost_per_kg;
    add_analyses(solved, request.solve, curve);
    return curve;
}

}  // namespace feedwright::tasks
