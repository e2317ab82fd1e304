// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/json.hpp"
#include "catalog/extension.hpp"
#include "catalog/ingredient.hpp"
#include "catalog/library.hpp"
#include "catalog/nutrient.hpp"
#include "catalog/profile.hpp"
#include "catalog/source.hpp"

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

// From JSON to the catalog's types. Every function records what is wrong in the view's diagnostics
// and goes on.
namespace feedwright::catalog {

/// Records a value that is not a well-formed id: snake_case with `separator` '_', kebab-case with
/// '-'.
void require_id(const base::JsonView& view, std::string_view id, char separator);

/// The most of a nutrient in percent that there can be: 100, more for protein (N x 6.25).
double most_percent(const Nutrient& nutrient);

/// A bare number in `unit`, or a text that carries its own unit. Not negative.
std::optional<double> read_amount(const base::JsonView& view, const Nutrient& nutrient,
                                  Basis basis);

/// { "value", "sd", "n", "min", "max", "spread", "note" }, numbers as read_amount() reads them.
/// nullopt without a value.
std::optional<StatedValue> read_spread_value(const base::JsonView& view, const Nutrient& nutrient,
                                             Basis basis);

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

/// Where an ingredient to extend is looked for, and what may be meant by a word that names none.
struct IngredientLookup {
    std::function<const Ingredient*(std::string_view)> find;
    std::function<std::vector<std::string>()> ids;
};

/// `own`, read from `item`, completed as its "extend" and "scale" ask; as it is when it has
/// neither.
Ingredient extend_as_asked(const base::JsonView& item, Ingredient own,
                           const NutrientDictionary& dictionary, const IngredientLookup& lookup);

/// Reads the "label" of a bought feed into `ingredient`: what it states are values of it too, by
/// the source "label". Whether the animal is known is for who uses it.
void read_label(const base::JsonView& view, const NutrientDictionary& dictionary,
                Ingredient& ingredient);

/// One entry of nutrients.json or of a job's "nutrients".
std::optional<Nutrient> read_nutrient(const base::JsonView& view);

/// Records terms of the entry's derivation that are no nutrients. For when all entries are read: a
/// term may stand later.
void require_terms(const base::JsonView& nutrient, const NutrientDictionary& dictionary);

NutrientDictionary load_nutrients(const base::JsonView& root);
std::optional<Ingredient> load_ingredient(const base::JsonView& root,
                                          const NutrientDictionary& dictionary);
/// An entry of "ingredients" of a user's library file: no "format", and it may extend another.
std::optional<Ingredient> read_library_ingredient(const base::JsonView& item,
                                                  const NutrientDictionary& dictionary,
                                                  const IngredientLookup& lookup);
std::optional<Profile> load_profile(const base::JsonView& root,
                                    const NutrientDictionary& dictionary);
/// An entry of "profiles" of a user's library file: no "format".
std::optional<Profile> read_library_profile(const base::JsonView& item,
                                            const NutrientDictionary& dictionary);
std::vector<Source> load_sources(const base::JsonView& root);
/// The entries of "sources", here or of a user's library file.
std::vector<Source> read_sources(const base::JsonView& root);
std::vector<Caution> load_cautions(const base::JsonView& root,
                                   const NutrientDictionary& dictionary);

/// Complains of what the values of `ingredient`, read from `item`, say and cannot be
/// (catalog/plausible.hpp), each at the nutrient that says too much, or at `item`.
void require_possible(const base::JsonView& item, const Ingredient& ingredient,
                      const NutrientDictionary& dictionary);

}  // namespace feedwright::catalog
