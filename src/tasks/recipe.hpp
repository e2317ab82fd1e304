// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "limits/check.hpp"
#include "lp/solver.hpp"
#include "search/mend.hpp"
#include "search/purchases.hpp"
#include "tasks/reading.hpp"

#include <optional>
#include <string>
#include <vector>

namespace feedwright::tasks {

/// A recipe held against what the animal needs and tolerates.
struct Checked {
    job::Job recipe;  ///< dried to the common moisture where it is too wet to compare as it is
    limits::Check check;
    std::vector<limits::CautionResult> cautions;
};

Checked check(const JobSource& recipe, catalog::Library& library);
/// The same for a recipe that was read.
Checked check(job::Job recipe, catalog::Library& library);

struct MendRequest {
    JobSource recipe;
    /// What may come in: these ids, and every ingredient of the price list `from`. Without either,
    /// and with `add_at_most`, it is every ingredient of the recipe's price list.
    std::vector<std::string> with;
    std::string from;
    std::optional<int> add_at_most;
    lp::SolveOptions solve;
};

struct Mended {
    job::Job recipe;
    search::MendOptions options;
    search::Mending mending;
    /// What to buy, where the recipe cannot be made to pass without, or lacks something even so.
    std::optional<search::Purchases> purchases;
};

/// The changes to a recipe that make it pass. Throws base::DataError for a recipe of which nothing
/// is asked.
Mended mend(const MendRequest& request, catalog::Library& library);

}  // namespace feedwright::tasks
