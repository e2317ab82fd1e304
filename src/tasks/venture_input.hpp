// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "tasks/economics.hpp"

#include <optional>
#include <string>
#include <vector>

namespace feedwright::tasks {

/// A venture with its materials priced, and what else its job or recipe tells.
struct PricedVenture {
    economics::Venture venture;
    economics::VentureContext context;
    std::vector<economics::PlanIngredient> mix;  ///< empty when the materials are a bare number
    std::optional<HomeFeed> home;                ///< likewise
    std::vector<std::string> inputs;
    /// The answer to the job when no mix meets it; then nothing else here is priced.
    std::optional<Answer> unsolved;
};

/// Reads the venture and prices its materials: own-grown ingredients enter the job or recipe at
/// what they cost to grow. Throws base::DataError.
PricedVenture price_venture(const VentureSource& source, catalog::Library& library);

}  // namespace feedwright::tasks
