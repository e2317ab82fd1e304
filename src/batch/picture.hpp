// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "limits/findings.hpp"
#include "lp/repricer.hpp"
#include "search/program.hpp"

#include <cstddef>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::batch {

/// What a mix is, whatever it costs: the part of a line that lists with the same mix share.
struct Picture {
    std::vector<std::size_t> used;  ///< ingredients in the mix, ascending
    std::vector<double> amounts;    ///< of those, as search::Formulation::amounts
    double weighed_in = 0;
    std::vector<double> percent;       ///< of every ingredient, as fed, of what is weighed in
    std::vector<std::size_t> binding;  ///< limits with nothing to spare, advisory ones left out

    /// Where the shadow price of a binding limit comes from: the dual of a row or the reduced cost
    /// of a column, times a factor.
    struct Source {
        std::size_t limit = 0;
        search::Place place;
        double factor = 1;
        bool varies = false;  ///< a share of a varying whole, with a price where one mix is best
    };
    std::vector<Source> sources;  ///< in the order of `binding`
    /// Those are what limits are worth. Where it is false, and shadow prices are wanted, the mix
    /// has to be explained for every list.
    bool has_one_price_each = false;

    std::string mix_text;      ///< as it stands in a line
    std::string binding_text;  ///< likewise
    std::string judgement_text;
    limits::Judgement judgement;

    /// Shadow price of every binding limit that has one, in order; `result` is used again.
    void shadow_prices(const lp::Repriced& priced,
                       std::vector<std::pair<std::size_t, double>>& result) const;
};

/// Without the texts. `primal` starts with the amounts of the job's ingredients; `priced`: shadow
/// prices will be wanted.
void draw(const job::Job& job, const search::FeedProgram& program, std::span<const double> primal,
          std::size_t ingredients, bool priced, Picture& picture);

}  // namespace feedwright::batch
