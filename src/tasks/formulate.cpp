// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/formulate.hpp"

#include "base/diagnostics.hpp"
#include "base/text.hpp"
#include "job/meant.hpp"
#include "job/portion.hpp"
#include "limits/chance.hpp"
#include "sheet/practice.hpp"
#include "tasks/answering.hpp"

#include <cmath>
#include <utility>

namespace feedwright::tasks {

namespace {

// The cost of the batch by which weights may miss the cheapest ones: prices are not known to this
// share, and to close the last of it can take a search of minutes.
double fair_gap(const Answer& exact) {
    constexpr double share = 0.0005;
    const auto batch_kg = job::Portion(exact.job).weighed_per_kg();
    return share * std::abs(exact.mix.cost) * batch_kg.value_or(0);
}

}  // namespace

Answer formulate(const FormulateRequest& request, catalog::Library& library) {
    return answer(request.job, request.solve, library);
}

Weighed weigh(const WeighRequest& request, catalog::Library& library) {
    Weighed result{formulate(request.mix, library), {}, {}, {}, {}};
    const Answer& exact = result.exact;
    if (!exact.has_mix()) return result;
    lp::SolveOptions options = request.mix.solve;
    options.cost_gap = fair_gap(exact);
    result.weighing = search::weigh(exact.job, exact.mix, request.scale, options);
    search::Weighing& weighing = *result.weighing;
    if (weighing.amounts.empty()) {
        result.near = search::weigh_near(exact.job, exact.mix, weighing, options);
        return result;
    }
    limits::add_chance(exact.job, weighing.amounts, weighing.assessment);
    result.cautions = limits::cautions_for(exact.job, weighing.amounts, library.cautions());
    if (request.sheet) {
        result.plan =
            sheet::plan_mixing(exact.job, weighing, sheet::load_practice(*library.files()));
    }
    return result;
}

CurveOf curve(const CurveRequest& request, catalog::Library& library) {
    job::Job job = read_job(request.mix.job, library);
    const std::string ingredient = job::named_in(job, library, request.ingredient);
    if (job.find(ingredient) == nullptr) {
        throw base::DataError(base::Diagnostic{
            "", "--curve", '"' + request.ingredient + '"', "an ingredient of the job",
            base::did_you_mean(request.ingredient, job.ingredient_ids())});
    }
    refuse_sureness(job, "--curve");
    job = solve(job, request.mix.solve).job;
    search::Curve curve =
        search::inclusion_curve(job, ingredient, request.steps, request.mix.solve);
    return {std::move(job), std::move(curve)};
}

}  // namespace feedwright::tasks
