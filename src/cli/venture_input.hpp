// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/context.hpp"
#include "economics/make_or_buy.hpp"
#include "economics/plan.hpp"
#include "job/job.hpp"
#include "search/formulation.hpp"

#include <optional>
#include <string>
#include <vector>

namespace feedwright::cli {

/// A venture with its materials priced, and what else its job or recipe tells.
struct PricedVenture {
    economics::Venture venture;
    economics::VentureContext context;
    std::vector<economics::PlanIngredient> mix;  ///< empty when the materials are a bare number
    std::vector<std::string> inputs;
    /// The job and its answer when no mix meets it; then nothing else here is priced.
    std::optional<std::pair<job::Job, search::Formulation>> unsolved;
};

/// Reads the venture and prices its materials: own-grown ingredients enter the job or recipe at
/// what they cost to grow. Throws base::DataError.
PricedVenture price_venture(const std::string& file, Context& context);

/// Shows why the venture's job has no mix.
ExitStatus show_unsolved(const PricedVenture& priced, const Context& context);

}  // namespace feedwright::cli
