// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "limits/assessment.hpp"
#include "limits/findings.hpp"
#include "limits/mix.hpp"
#include "limits/side.hpp"
#include "lp/solution.hpp"
#include "search/conflict.hpp"

#include <optional>
#include <string>
#include <vector>

namespace feedwright::search {

/// An ingredient that is not in the mix and the price below which it would come in.
struct UnusedItem {
    std::string id;
    std::string name;
    double price = 0;
    std::optional<double> enters_below;  ///< empty when no price brings it in
    std::optional<double>
        enters_percent;  ///< when explained: its share of the mix at a price just under that
    /// Whether it is used at all was a choice in whole numbers (min_if_used, or at most so many
    /// ingredients), so that no price tells when it would be: `enters_below` is empty.
    bool enters_unknown = false;
};

/// For one limit: the best that the ingredients can give under the balance and the inclusion limits
/// alone.
struct Reachable {
    limits::AskedSide side;
    double best = 0;
    bool possible = true;
};

/// The answer to a job: a mix, where there is one.
struct Formulation : limits::Mix {
    lp::Status status = lp::Status::failed;
    std::string message;  ///< why, for failed and limit
    /// False when a limit on time or an interrupt ended the search over whole numbers (status
    /// limit): the amounts then meet every limit, but a cheaper mix may exist. Without amounts none
    /// was found.
    bool proven_best = true;
    std::optional<double> bound;  ///< whole numbers: no mix costs less than this (unit as `cost`)
    std::vector<UnusedItem> unused;  ///< nearest to coming in first
    limits::Assessment assessment;
    limits::Judgement judgement;
    lp::Certificate proof;
    /// No other mix costs as little. Empty where that is not known: with least amounts that hold
    /// only if used, other choices of what to use are not compared.
    std::optional<bool> unique;
    /// The same among mixes of the ingredients that are in use.
    std::optional<bool> unique_in_use;
    std::vector<Reachable> reachable;       ///< when infeasible
    std::optional<Conflict> conflict;       ///< when infeasible and explained
    std::vector<std::string> unbounded_by;  ///< when unbounded: nothing limits these ingredients
};

}  // namespace feedwright::search
