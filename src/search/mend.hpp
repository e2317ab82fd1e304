// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "limits/check.hpp"
#include "lp/solver.hpp"
#include "search/formulation.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::search {

struct MendOptions {
    /// How many ingredients of which the recipe has none may come in; empty: any number.
    std::optional<int> add_at_most;
    bool even_if_it_passes =
        false;  ///< look for a change that meets what a passing recipe is only warned of
    lp::SolveOptions solve;
};

/// One ingredient before and after.
struct MendedItem {
    std::string id;
    std::string name;
    double before = 0;  ///< kg per kg of finished feed; kg when the total is free
    double after = 0;
    double before_percent = 0;  ///< of all that is weighed in
    double after_percent = 0;
    bool added = false;  ///< the recipe had none of it
    std::optional<double> price;
};

/// A recipe made to pass.
struct Change : limits::Mix {
    /// optimal, or limit with what was found before a limit ended the search (not proven best).
    lp::Status status = lp::Status::failed;
    std::string message;
    /// Weight moved: half the sum of |after - before|. As long as the total stays, what is taken
    /// out weighs as much as what is put in, and this is that weight. Unit of the amounts.
    double moved = 0;
    std::vector<MendedItem> changes;  ///< what the recipe has before or after, largest first
    limits::Assessment assessment;
    limits::Judgement judgement;
    /// Needs that the recipe met and this does not: advisory ones that no change that passes keeps
    /// all of.
    std::vector<limits::LimitResult> lost;
};

struct Mending {
    limits::Check before;
    /// Of the changes that make the recipe pass, one that moves the least weight; of those the
    /// cheapest, when every ingredient has a price.
    std::optional<Change> smallest;
    /// The cheapest recipe that passes, of those the one that moves least. Empty without prices.
    std::optional<Change> cheapest;
    bool keeps_needs = false;  ///< advisory needs that the recipe met were asked of the changes too
    std::vector<std::string> no_price;  ///< ingredients without one, when others have one
    /// When no change mends it: infeasible, or why nothing was found.
    lp::Status status = lp::Status::optimal;
    std::string message;
    std::vector<Reachable> reachable;  ///< what each limit could reach, when infeasible
    /// When `add_at_most` stands in the way: the fewest additions that will do.
    std::optional<int> additions_needed;
};

/// Finds the changes; a recipe that passes is left alone (no change is in the result). Ingredients
/// of the job without an amount are those that may be added. Of the advisory limits those that the
/// recipe meets are kept, as far as a change that passes can keep them; the others are not asked.
/// What is dosed is no filler: premixes made for the animal go to their label rate, other premixes,
/// vitamins and salt stay as they are or go back to their rate or cap; salt gives way within its
/// cap where nothing else mends the recipe. Throws base::DataError as check does.
Mending mend(const job::Job& recipe, const MendOptions& options = {});

}  // namespace feedwright::search
