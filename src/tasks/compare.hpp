// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "tasks/recipe.hpp"

#include <optional>
#include <string>
#include <vector>

// Several recipes beside one another.
namespace feedwright::tasks {

/// How much of an ingredient a recipe has against the first one.
struct ChangedIngredient {
    std::string id;
    std::string name;
    double first = 0;  ///< percent of the mix
    double percent = 0;
    double change = 0;                       ///< points
    std::optional<double> replaced_percent;  ///< of what the first has, where this has less
};

/// How a recipe stands to a need against the first one.
struct ChangedNeed {
    std::string id;  ///< of the limit
    std::string name;
    std::string unit;
    std::optional<double> first;
    std::optional<double> value;
    bool met_in_first = true;
    bool met = true;
};

/// A recipe, and what differs from the first; of the first nothing does.
struct ComparedRecipe {
    std::string file;
    Checked checked;
    std::optional<double> cost_change;           ///< per kg, where both have a cost
    std::vector<ChangedIngredient> ingredients;  ///< the greatest change first
    std::vector<ChangedNeed> needs;              ///< in the order of the limits
};

/// Every file read and checked as `how` says. Throws base::DataError for the first that is wrong.
std::vector<ComparedRecipe> compare(const JobSource& how, const std::vector<std::string>& files,
                                    catalog::Library& library);

}  // namespace feedwright::tasks
