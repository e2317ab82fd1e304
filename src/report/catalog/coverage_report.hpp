// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/coverage.hpp"
#include "catalog/nutrient.hpp"
#include "report/vocabulary.hpp"

#include <string>

namespace feedwright::report {

/// For how many ingredients the limits can be worked out: one table by nutrient, one by profile.
Document coverage_document(const catalog::Coverage& coverage,
                           const catalog::NutrientDictionary& dictionary);
/// Every limit of every profile.
std::string coverage_json(const catalog::Coverage& coverage);

}  // namespace feedwright::report
