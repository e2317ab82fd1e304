// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "lp/solver.hpp"
#include "search/formulation.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::search {

/// What weights are read from. An ingredient of which the exact mix holds less than `fine_below_g`
/// in the batch is weighed on the fine scale, if there is one, and stays at or below that weight.
struct WeighingScale {
    double step_g = 1;
    std::optional<double> fine_step_g;
    double fine_below_g = 100;
    bool in_ounces = false;  ///< the balance shows pounds and ounces
};

/// One weight to read off.
struct WeighedItem {
    std::string id;
    std::string name;
    double grams = 0;
    double exact_grams = 0;  ///< in the exact mix
    bool fine = false;       ///< on the fine scale
    double percent = 0;      ///< of all that is weighed in
    double price = 0;
    double cost = 0;  ///< in the batch
};

/// A limit that keeps the mix from being weighed.
struct Obstacle {
    std::string limit;  ///< id
    std::string name;
    std::string unit;
    std::optional<double> min;
    std::optional<double> max;
    /// For a limit on one ingredient: the weights it leaves, none of them a whole number of steps.
    std::optional<double> min_g;
    std::optional<double> max_g;
    double step_g = 0;
    std::optional<double> nearest;  ///< its value in the mix of whole steps that misses least
};

/// The cheapest mix in whole steps of a scale.
struct Weighing {
    /// optimal: no other mix of whole steps costs less, up to `gap_percent`; limit: the search was
    /// ended, and the weights, if there are any, may not be the best; infeasible: see `obstacles`.
    lp::Status status = lp::Status::failed;
    std::string message;
    /// False when the ingredients of the exact mix could not be weighed so that every limit is met,
    /// and the job's other ingredients were let in.
    bool same_ingredients = true;
    WeighingScale scale;
    std::vector<std::int64_t> micrograms;  ///< in the job's ingredient order; empty: no mix
    std::vector<double> amounts;   ///< kg per kg of finished feed; kg when the total is free
    std::vector<WeighedItem> mix;  ///< heaviest first
    double weighed_kg = 0;
    double finished_kg = 0;  ///< at the finished moisture, where one is asked; else as weighed
    double cost = 0;         ///< of the batch
    double cost_per_kg = 0;  ///< of finished feed
    double exact_cost_per_kg = 0;
    double bound_per_kg = 0;        ///< no mix in these steps costs less per kg of finished feed
    double gap_percent = 0;         ///< of cost_per_kg over bound_per_kg
    limits::Assessment assessment;  ///< of the mix as weighed
    std::vector<Obstacle> obstacles;
};

/// Solves for whole steps by a mixed-integer program (docs/method.md gives it); it does not round
/// the exact mix. The ingredients are those of the exact mix, or, if no weights of those will do,
/// all of the job's; "cheapest", bound and gap are among mixes of them. The weights add up to the
/// batch exactly; with a fine scale in use, or a finished moisture, the finished feed is within one
/// step of it. Every limit is met by the very weights, as shares of what they add up to, checked in
/// exact decimal arithmetic.
///
/// `exact` is the job's Formulation and has amounts. Throws base::DataError when the job has no
/// batch_kg (and its total is not free), the batch is no whole number of steps, or the fine step
/// does not divide the other.
Weighing weigh(const job::Job& job, const Formulation& exact, const WeighingScale& scale,
               const lp::SolveOptions& options = {});

/// True when weights meet `limit` of the job exactly; every number counts as the decimal it prints
/// as. The total of the mix and a stock are not looked at.
bool meets_exactly(const job::Job& job, const limits::Limit& limit,
                   const std::vector<std::int64_t>& micrograms);

}  // namespace feedwright::search
