// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "limits/assessment.hpp"
#include "limits/findings.hpp"
#include "limits/mix.hpp"
#include "limits/side.hpp"
#include "lp/cones.hpp"
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

/// How it is proven that limits hold surely.
struct SureProof {
    std::size_t cones = 0;
    std::size_t planes = 0;
    double shortfall = 0;  ///< the most that a cone is short by, over its scale
    double gap = 0;        ///< of the cost over the bound of the program with planes
};

/// Why no mix is as sure as was asked.
struct SureConflict {
    double asked_percent = 0;     ///< the most that a limit was asked to be sure
    double possible_percent = 0;  ///< the most that is possible where every sure limit asks for it
    /// Names of the limits of which each, were it to hold on average alone, would make a mix
    /// possible.
    std::vector<std::string> relax;
    /// Names of those that keep the sureness from being higher than possible_percent.
    std::vector<std::string> tight;
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
    std::optional<SureProof> sure;  ///< where limits must hold surely
    std::vector<lp::Plane> planes;  ///< of that proof: they hold at any prices
    /// No other mix costs as little. Empty where that is not known: with least amounts that hold
    /// only if used, other choices of what to use are not compared.
    std::optional<bool> unique;
    /// The same among mixes of the ingredients that are in use.
    std::optional<bool> unique_in_use;
    std::vector<Reachable> reachable;           ///< when infeasible
    std::optional<Conflict> conflict;           ///< when infeasible and explained
    std::optional<SureConflict> sure_conflict;  ///< when infeasible for sureness alone
    std::vector<std::string> unbounded_by;  ///< when unbounded: nothing limits these ingredients
};

}  // namespace feedwright::search
