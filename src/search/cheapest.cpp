// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/cheapest.hpp"

#include "lp/ties.hpp"

#include <utility>

namespace feedwright::search {

namespace {

void fill_unused(const job::Job& job, Formulation& result) {
    for (std::size_t i = 0; i < job.ingredients.size(); ++i) {
        if (result.amounts[i] > 0) continue;
        const job::Choice& choice = job.ingredients[i];
        UnusedItem unused{choice.id, choice.name, *choice.price, {}, {}, false};
        const bool allowed = !choice.max || *choice.max > 0;
        unused.enters_unknown = allowed && (choice.min_if_used || job.at_most);
        result.unused.push_back(std::move(unused));
    }
}

void fill(const job::Job& job, const FeedProgram& program, const lp::Solution& solution,
          Formulation& result) {
    static_cast<limits::Mix&>(result) =
        limits::mix_of(job, program.limits(), program.amounts_at(solution.primal));
    result.assessment = limits::assess(job, program.limits(), result.amounts);
    result.judgement = limits::judge(job, result.amounts, result.assessment);
    fill_unused(job, result);
}

// Whether a limit is one on what may be weighed in, and no need.
bool frames(const limits::Limit& limit) {
    return limit.kind == limits::LimitKind::balance || limit.kind == limits::LimitKind::inclusion ||
           limit.kind == limits::LimitKind::group;
}

// With limits that must hold surely. Of equally cheap mixes it is any one: a move among them along
// the planes could leave a cone.
Formulation formulate_surely(const job::Job& job, const FeedProgram& feed,
                             const std::vector<lp::Cone>& cones, const lp::SolveOptions& options,
                             const std::vector<lp::Plane>& planes) {
    Formulation result;
    lp::ConeSolution found = lp::solve(feed.program(), cones, options, planes);
    lp::Solution& solution = found.solution;
    result.status = solution.status;
    result.message = solution.message;
    const bool stopped = solution.status == lp::Status::limit && !solution.primal.empty();
    if (solution.status != lp::Status::optimal && !stopped) {
        if (solution.status == lp::Status::infeasible) result.reachable = reachable_limits(feed);
        return result;
    }
    result.proven_best = !stopped;
    if (feed.program().has_integers()) result.bound = solution.bound;
    result.proof = lp::certify(found.program, solution);
    if (!result.proof.holds()) {
        result.status = lp::Status::failed;
        result.message = "the solver's answer did not pass the program's own check";
        return result;
    }
    fill(job, feed, solution, result);
    result.sure = SureProof{cones.size(), found.planes.size(), found.shortfall, found.gap};
    result.planes = std::move(found.planes);
    const std::vector<limits::Side> sides = feed.sure_sides();
    for (std::size_t k = 0; k < sides.size(); ++k) {
        limits::LimitResult& limit = result.assessment.limits[sides[k].limit];
        const double slack = lp::slack_of(cones[k], solution.primal);
        if (slack <= 10 * limits::binding_margin * lp::scale_of(cones[k]))
            limit.sure_binding = true;
        const double scale = limits::scale_of(limit.limit, result.amounts);
        limit.sure_price += (sides[k].is_min ? 1 : -1) * scale * found.cone_dual[k];
    }
    return result;
}

}  // namespace

Formulation formulate(const job::Job& job, const lp::SolveOptions& options) {
    return formulate(job, cheapest_program(job), options);
}

Formulation formulate(const job::Job& job, const FeedProgram& feed,
                      const lp::SolveOptions& options) {
    Formulation result;
    const std::vector<lp::Cone> cones = feed.cones();
    if (!cones.empty()) return formulate_surely(job, feed, cones, options, {});
    lp::Solution solution = lp::solve(feed.program(), options);
    result.status = solution.status;
    result.message = solution.message;
    const bool integers = feed.program().has_integers();
    const bool stopped =
        solution.status == lp::Status::limit && integers && !solution.primal.empty();
    if (solution.status == lp::Status::optimal || stopped) {
        result.proven_best = !stopped;
        const lp::LinearProgram* program = &feed.program();
        lp::LinearProgram held;
        if (integers) {
            result.bound = solution.bound;
            held = hold_integers(feed.program(), solution.primal);
            program = &held;
            // What ended the search must not keep its result from being completed.
            solution = lp::solve(held);
        }
        if (solution.status == lp::Status::optimal) {
            lp::Settled settled = lp::settle_tie(*program, solution, job.ingredients.size(),
                                                 stopped ? lp::SolveOptions{} : options);
            solution = std::move(settled.solution);
            result.unique_in_use = settled.unique;
            if (!integers) result.unique = settled.unique;
        }
        result.proof = lp::certify(*program, solution);
        if (solution.status != lp::Status::optimal || !result.proof.holds()) {
            result.status = lp::Status::failed;
            result.message = "the solver's answer did not pass the program's own check";
            return result;
        }
        fill(job, feed, solution, result);
    } else if (solution.status == lp::Status::infeasible) {
        result.reachable = reachable_limits(feed);
    } else if (solution.status == lp::Status::unbounded) {
        for (const job::Choice& choice : job.ingredients) {
            if (*choice.price < 0) result.unbounded_by.push_back(choice.id);
        }
    }
    return result;
}

Formulation formulate(const job::Job& job, const FeedProgram& feed, const lp::SolveOptions& options,
                      const std::vector<lp::Cone>& cones, const std::vector<lp::Plane>& planes) {
    return formulate_surely(job, feed, cones, options, planes);
}

std::vector<Reachable> reachable_limits(const FeedProgram& feed) {
    const lp::LinearProgram frame = feed.relaxed(frames);
    std::vector<Reachable> list;
    const auto add = [&](const limits::Limit& limit, bool is_min) {
        const auto best = extreme(frame, limit, is_min);
        if (!best) return;
        const bool possible = limits::margin_to(limit, *best, is_min).met();
        list.push_back({limits::asked_side(limit, is_min), *best, possible});
    };
    for (const limits::Limit& limit : feed.limits()) {
        if (limit.advisory || frames(limit)) continue;
        if (limit.min) add(limit, true);
        if (limit.max) add(limit, false);
    }
    return list;
}

}  // namespace feedwright::search
