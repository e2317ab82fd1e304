// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "lp/solver.hpp"
#include "search/formulation.hpp"
#include "search/weighing.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::search {

/// Diets for a trial of `test` in place of `reference`, both ids of ingredients of the job.
struct SeriesQuestion {
    std::string test;
    std::string reference;
    /// Percent of the reference's protein in the control that the tested ingredient supplies
    /// instead; above 0, at most 100.
    std::vector<double> levels;
    std::vector<std::string>
        equal;  ///< nutrients held at the control's amount, besides crude protein
};

/// Why there is no diet; the words are made in reports.
struct NoDiet {
    enum class Why {
        no_control,    ///< no mix without the tested ingredient (`name`) meets the job's limits
        no_protein,    ///< the tested ingredient has no crude protein
        past_limit,    ///< it takes `wanted` % of `name` in the mix, and limits stop at `number` %
        out_of_reach,  ///< no mix holds all limits and what is to be equal at once
        search         ///< the search ended without an answer; `message` says why
    };
    Why why = Why::search;
    std::string name;
    double wanted = 0;
    double number = 0;
    /// Out of reach: each of these, given up alone, leaves a mix. Names of nutrients that are to be
    /// equal, and limits.
    std::vector<std::string> equal;
    std::vector<limits::AskedSide> limits;
    std::string message;
};

struct SeriesDiet : limits::Mix {
    double level = 0;
    lp::Status status = lp::Status::failed;
    std::optional<NoDiet> missing;  ///< where there is no diet; it then has no amounts
    double distance =
        0;  ///< sum of |amount - amount in the control| but for the two, kg per kg of feed
    limits::Assessment assessment;
};

/// Control first, then one diet a level.
///
/// The control is the job's cheapest mix without the tested ingredient. At a level of r percent the
/// test supplies r percent of the protein that the reference supplies in the control, and the
/// reference the rest; crude protein and the nutrients of `equal` are exactly the control's; every
/// limit of the job holds; and of all such mixes the one is taken whose other ingredients are
/// nearest to the control's: the sum of absolute differences of their amounts, each over its
/// amount in the control (or 0.01, where that is less), is least, among equals the cheapest.
///
/// An ingredient whose amount of crude protein or of an equal nutrient is unknown is held at the
/// control's amount in every diet, so that what it adds, whatever it is, is the same in all.
///
/// Throws base::DataError for a minimum of the tested ingredient, an id that is not in the job, a
/// free total, a nutrient nobody knows, a level out of range, a test or reference whose amount of
/// an equal nutrient is unknown, or a control without the reference.
std::vector<SeriesDiet> design_series(const job::Job& job, const SeriesQuestion& question,
                                      const lp::SolveOptions& options = {});

/// Ids of the ingredients held at the control's amount because an amount of theirs is unknown.
std::vector<std::string> held_alike(const job::Job& job, const SeriesQuestion& question);

/// A diet of the series in whole steps of a scale, within a few steps of each exact weight: every
/// limit of the job holds for the very weights, crude protein stays within `protein_tolerance`
/// percentage points of the control's and other equal nutrients within 0.5 % of theirs. Among such
/// weights the cheapest. `diets` is what design_series gave and has a control; diets[which] has
/// amounts. Throws as weigh() does.
Weighing weigh_diet(const job::Job& job, const SeriesQuestion& question,
                    const std::vector<SeriesDiet>& diets, std::size_t which,
                    const WeighingScale& scale, const lp::SolveOptions& options = {});
inline constexpr double protein_tolerance = 0.0045;

}  // namespace feedwright::search
