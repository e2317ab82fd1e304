// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/ingredient.hpp"
#include "catalog/nutrient.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace feedwright::catalog {

/// What the values that an extending ingredient takes over keep: their amount as fed, their share
/// of the dry matter, or their ratio to the crude protein. Amino acids keep their share of the
/// crude protein with any of the three.
enum class Scale { none, dry_matter, crude_protein };

std::string_view to_string(Scale scale);
std::optional<Scale> scale_from(std::string_view text);

/// `own` completed by what `base` knows and `own` does not say. Values of `own` replace those of
/// the same nutrient; the others are taken over by `scale`, and marked `scaled` where that changes
/// their amount as fed. A sum or difference that `base` states (such as methionine + cystine) is
/// dropped when `own` states one of its terms. Category, role, note and processing are `base`'s
/// where `own` has none (so is the name, when `own` goes by the same id; else the id serves); zeros
/// and digestibility are joined.
///
/// Throws Error when the scale has nothing to go by: `crude_protein` without one in both,
/// `dry_matter` when `own` states one and `base` has none.
Ingredient extended(const Ingredient& base, Ingredient own, Scale scale,
                    const NutrientDictionary& dictionary);

}  // namespace feedwright::catalog
