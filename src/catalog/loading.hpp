// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/json.hpp"
#include "feedwright/catalog/ingredient.hpp"
#include "feedwright/catalog/library.hpp"
#include "feedwright/catalog/nutrient.hpp"
#include "feedwright/catalog/profile.hpp"
#include "feedwright/catalog/source.hpp"

// From JSON to the catalog's types. Every function records what is wrong in the view's diagnostics and goes on.
namespace feedwright::catalog {

/// Records a value that is not a well-formed id: snake_case with `separator` '_', kebab-case with '-'.
void require_id(const base::JsonView& view, std::string_view id, char separator);

/// A bare number in `unit`, or a text that carries its own unit. Not negative.
std::optional<double> read_amount(const base::JsonView& view, const Nutrient& nutrient, Basis basis);

/// The nutrient that `view` names; an unknown one is a problem, with the nearest known id.
const Nutrient* read_nutrient_id(const base::JsonView& view, const NutrientDictionary& dictionary);
const Nutrient* find_nutrient(const base::JsonView& at, std::string_view id,
                              const NutrientDictionary& dictionary);

Basis read_basis(const base::JsonView& parent, Basis otherwise = Basis::as_fed);

/// Reads member "min" or "max" and the like as an amount of `nutrient`.
std::optional<double> read_limit(const base::JsonView& parent, std::string_view key,
                                 const Nutrient& nutrient, Basis basis);

/// Records min > max at `parent`.
void require_order(const base::JsonView& parent, const std::optional<double>& min,
                   const std::optional<double>& max);

/// One entry of nutrients.json or of a job's "nutrients".
std::optional<Nutrient> read_nutrient(const base::JsonView& view);

NutrientDictionary load_nutrients(const base::JsonView& root);
std::optional<Ingredient> load_ingredient(const base::JsonView& root,
                                          const NutrientDictionary& dictionary);
std::optional<Profile> load_profile(const base::JsonView& root,
                                    const NutrientDictionary& dictionary);
std::vector<Source> load_sources(const base::JsonView& root);
std::vector<Caution> load_cautions(const base::JsonView& root);

}  // namespace feedwright::catalog
