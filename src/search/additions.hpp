// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/limit.hpp"
#include "lp/solver.hpp"

#include <cstddef>
#include <functional>
#include <memory>
#include <vector>

namespace feedwright::search {

/// Looks among many candidates for the few that, let into a mix together, leave the least missed of
/// what is asked. A candidate's own caps and those on sums that it is part of hold throughout.
/// Every step is a linear program, and only the most promising sets are carried on, so that the
/// answer comes in time; it is a good one, not proven the best. The same job gives the same answer.
class Additions {
  public:
    using Set = std::vector<std::size_t>;  ///< places in the candidates, ascending
    struct Found {
        Set set;
        double missed = 0;  ///< misses, each as a share of its limit times its weight, added up
    };

    /// `wide` holds all candidates; its prices do not matter. `candidates` are places in its
    /// ingredients, what is best proposed first; `weight` tells what missing a limit counts.
    Additions(const job::Job& wide, std::vector<std::size_t> candidates,
              const std::function<double(const limits::Limit&)>& weight,
              const lp::SolveOptions& options);
    ~Additions();
    Additions(const Additions&) = delete;
    Additions& operator=(const Additions&) = delete;

    /// With no candidate but `set`.
    Found with(const Set& set);
    /// What one candidate more makes of each of `sets`: the sets that miss less, the least missed
    /// first, of equal ones what is best proposed.
    std::vector<Found> grow(const std::vector<Found>& sets, std::size_t most_tried);

    /// Below this `missed` is rounding.
    static constexpr double nothing = 1e-8;

  private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace feedwright::search
