// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/cheapest.hpp"

#include "lp/ties.hpp"
#include "search/reach.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::search {

namespace {

void fill_unused(const job::Job& job, const lp::Solution& solution, Formulation& result) {
    for (std::size_t i = 0; i < job.ingredients.size(); ++i) {
        if (result.amounts[i] > 0) continue;
        const job::Choice& choice = job.ingredients[i];
        UnusedItem unused{choice.id, choice.name, *choice.price, {}, {}, false};
        const double enters = *choice.price - solution.reduced_cost[i];
        const bool allowed = !choice.max || *choice.max > 0;
        unused.enters_unknown = allowed && (choice.min_if_used || job.at_most);
        const bool may_enter = allowed && !unused.enters_unknown;
        if (may_enter && enters > 0) unused.enters_below = enters;
        result.unused.push_back(std::move(unused));
    }
    const auto distance = [](const UnusedItem& item) {
        return item.enters_below ? item.price - *item.enters_below : 1e300;
    };
    std::stable_sort(
        result.unused.begin(), result.unused.end(),
        [&](const UnusedItem& a, const UnusedItem& b) { return distance(a) < distance(b); });
}

void fill_shadow_prices(const Model& model, const lp::Solution& solution, Formulation& result) {
    for (const Side& side : model.sides) {
        limits::LimitResult& limit = result.assessment.limits[side.limit];
        const double dual = side.row ? solution.row_dual[*side.row]
                                     : solution.reduced_cost[*side.column] / side.unit_size;
        const double shadow = dual * limits::scale_of(limit.limit, result.amounts);
        // Of a range row, or of a column with two bounds, only the side it rests on has a price.
        const bool rests_here = side.is_fixed || (side.is_min ? dual > 0 : dual < 0);
        if (rests_here && limit.binding) limit.shadow_price = shadow;
    }
    for (limits::LimitResult& limit : result.assessment.limits) {
        if (limit.binding && !limit.limit.advisory && !limit.shadow_price) limit.shadow_price = 0.0;
    }
}

// The continuous program left when every integer column is held at its best value: it has duals.
lp::LinearProgram hold_integers(const lp::LinearProgram& program, const lp::Solution& best) {
    lp::LinearProgram held = program;
    for (std::size_t c = 0; c < program.columns().size(); ++c) {
        if (!program.columns()[c].integer) continue;
        held.set_integer(c, false);
        held.set_column_limits(c, std::round(best.primal[c]), std::round(best.primal[c]));
    }
    return held;
}

void fill(const job::Job& job, const Model& model, const lp::Solution& solution,
          Formulation& result) {
    static_cast<limits::Mix&>(result) =
        limits::mix_of(job, model.limits, ingredients_of(job, solution));
    result.assessment = limits::assess(job, model.limits, result.amounts);
    result.judgement = limits::judge(job, result.amounts, result.assessment);
    fill_unused(job, solution, result);
    fill_shadow_prices(model, solution, result);
}

}  // namespace

Formulation formulate(const job::Job& job, const lp::SolveOptions& options) {
    return formulate(job, build_model(job), options);
}

Formulation formulate(const job::Job& job, const Model& model, const lp::SolveOptions& options) {
    Formulation result;
    lp::Solution solution = lp::solve(model.program, options);
    result.status = solution.status;
    result.message = solution.message;
    const bool integers = model.program.has_integers();
    const bool stopped =
        solution.status == lp::Status::limit && integers && !solution.primal.empty();
    if (solution.status == lp::Status::optimal || stopped) {
        result.proven_best = !stopped;
        const lp::LinearProgram* program = &model.program;
        lp::LinearProgram held;
        if (integers) {
            result.bound = solution.bound;
            held = hold_integers(model.program, solution);
            program = &held;
            // What ended the search must not keep its result from being completed.
            solution = lp::solve(held);
        }
        if (solution.status == lp::Status::optimal) {
            lp::Settled settled = lp::settle_tie(*program, solution, job.ingredients.size(),
                                                 stopped ? lp::SolveOptions{} : options);
            solution = std::move(settled.solution);
            if (!integers) result.unique = settled.unique;
        }
        result.proof = lp::certify(*program, solution);
        if (solution.status != lp::Status::optimal || !result.proof.holds()) {
            result.status = lp::Status::failed;
            result.message = "the solver's answer did not pass the program's own check";
            return result;
        }
        fill(job, model, solution, result);
    } else if (solution.status == lp::Status::infeasible) {
        result.reachable = reachable_limits(model);
    } else if (solution.status == lp::Status::unbounded) {
        for (const job::Choice& choice : job.ingredients) {
            if (*choice.price < 0) result.unbounded_by.push_back(choice.id);
        }
    }
    return result;
}

}  // namespace feedwright::search
