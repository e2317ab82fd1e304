// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "limits/mix.hpp"
#include "limits/side.hpp"
#include "lp/solver.hpp"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::search {

/// A member of the conflicting set.
struct Clash {
    limits::AskedSide side;
    /// The nearest to it that its limit comes under the other members of the set; empty when they
    /// leave it without a value.
    std::optional<double> best;
    /// Names of the ingredients without a value for it, which count as holding none: where it is a
    /// minimum, the conflict may come of that alone.
    std::vector<std::string> unknown_in;
};

/// By how much the nearest mix misses a limit; `miss` is above zero, in the limit's unit.
struct Miss {
    limits::AskedSide side;
    double value = 0;
    double miss = 0;
    std::optional<double> miss_percent;  ///< of the limit's number, where that is not zero
};

/// The mix that comes nearest to what was asked.
struct NearestMix : limits::Mix {
    limits::Assessment assessment;
    std::vector<Miss> misses;  ///< largest share first
    /// The limits on ingredients and groups are kept and only others missed. False when those alone
    /// leave no mix.
    bool keeps_amounts = true;
};

/// One thing that, changed alone, makes a mix possible.
struct Fix {
    limits::AskedSide side;     ///< the limit that gives way
    double to = 0;              ///< its number then
    double cost_per_kg = 0;     ///< of the cheapest mix then
    double change_percent = 0;  ///< how much it gives way, of its number (of 1 where that is zero)
};

/// An ingredient that, added, makes a mix possible.
struct IngredientFix {
    std::string id;
    std::string name;
    double least_percent = 0;  ///< of the mix: the least of it that will do
    /// What the other ingredients of the cheapest mix with so much of it cost per kg of feed; empty
    /// when the total is free.
    std::optional<double> rest_cost_per_kg;
    /// The price at which the cheapest mix with it, with as much of it as pays, costs as much as
    /// with the cheapest Fix; empty when there is no Fix or it does not even pay at no price.
    std::optional<double> pays_below;
};

/// Ingredients that make a mix possible when added together, each needed for that.
struct IngredientSet {
    std::vector<IngredientFix> parts;        ///< of which the least together is given
    std::optional<double> rest_cost_per_kg;  ///< as in IngredientFix
};

/// Why there is no mix, and what to do about it.
struct Conflict {
    /// Limits that cannot all be met, each needed for that: without any one of them the others can
    /// be. A set with a single need and limits on amounts comes before others; of a few such sets
    /// the one with the fewest limits. Needs come first.
    std::vector<Clash> limits;
    /// The set conflicts only together with what is asked of whole ingredients: at most so many, or
    /// a least amount of one that is used. False: it conflicts without that; `nearest` and `fixes`
    /// keep to it all the same.
    bool with_whole_numbers = false;
    /// Time was up, or the search was interrupted, before a set was found that has no limit to
    /// spare: `limits` and `fixes` are empty, and `nearest` may not be the nearest.
    bool unfinished = false;
    std::optional<NearestMix> nearest;
    /// With whole numbers: the number of ingredients in one mix that would be enough, if any is.
    std::optional<int> fewest;
    std::vector<Fix> fixes;  ///< the smallest change first; none: no limit alone is enough
    // Filled by find_ingredients():
    std::vector<IngredientFix> ingredients;
    std::vector<IngredientSet>
        sets;  ///< where no ingredient alone is enough: pairs, else triples, ...
    /// A premix to add besides, at its label rate: none is in the job, and the animal needs one.
    std::optional<IngredientFix> premix;
};

/// Explains a job that formulate() calls infeasible. The time limit of `options` is one for the
/// whole explanation; the limit on iterations is left aside. Throws as cheapest_program does.
Conflict explain_conflict(const job::Job& job, const lp::SolveOptions& options = {});

/// Reads the job with these library ingredients added.
using JobWith = std::function<job::Job(const std::vector<std::string>&)>;

/// Looks for further ingredients that make a mix possible: five that do so alone, or where none
/// does the smallest sets that do. `wide` is the job with all candidates added, `with` reads the
/// job with some of them added; their prices do not matter. Of sets that do the same those of
/// ingredients that come first in `preferred` are taken. Candidates are screened on `wide`; what is
/// reported is worked out from the job that `with` reads. Does nothing for a job with whole
/// numbers, or a conflict that is unfinished.
void find_ingredients(const job::Job& job, const job::Job& wide, const JobWith& with,
                      Conflict& conflict, const lp::SolveOptions& options = {},
                      const std::vector<std::string>& preferred = {});

}  // namespace feedwright::search
