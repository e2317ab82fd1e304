// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/json.hpp"
#include "catalog/cap.hpp"
#include "catalog/nutrient.hpp"
#include "catalog/rules.hpp"

#include <vector>

// From the library's tables of rules to their types; what is wrong is recorded as in loading.hpp.
namespace feedwright::catalog {

std::vector<Estimate> load_estimates(const base::JsonView& root,
                                     const NutrientDictionary& dictionary);
Undesirables load_undesirables(const base::JsonView& root, const NutrientDictionary& dictionary);
CapTable load_caps(const base::JsonView& root, const NutrientDictionary& dictionary);
std::vector<Tolerance> load_tolerances(const base::JsonView& root,
                                       const NutrientDictionary& dictionary);
std::vector<Variation> load_variation(const base::JsonView& root,
                                      const NutrientDictionary& dictionary);
std::vector<Pond> load_ponds(const base::JsonView& root, const NutrientDictionary& dictionary);
std::vector<BulkDensity> load_bulk_densities(const base::JsonView& root,
                                             const NutrientDictionary& dictionary);

/// The entries of "caps" of caps.json, or of a user's library file.
std::vector<Cap> read_caps(const base::JsonView& root);

}  // namespace feedwright::catalog
