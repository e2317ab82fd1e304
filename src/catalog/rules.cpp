// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/rules.hpp"

#include <algorithm>

namespace feedwright::catalog {

int fit(const std::vector<std::string>& ingredients, const std::vector<std::string>& categories,
        const Ingredient& ingredient) {
    if (ingredients.empty() && categories.empty()) return 1;
    const bool named = std::any_of(
        ingredients.begin(), ingredients.end(),
        [&](const std::string& id) { return is_or_extends(ingredient.id, ingredient.kin, id); });
    if (named) return 2;
    const bool of_kind =
        std::find(categories.begin(), categories.end(), ingredient.category) != categories.end();
    return of_kind ? 1 : 0;
}

namespace {

// 0: the entry says nothing of it. An entry for the ingredient outranks every default, the nearer
// kin the farther.
int rank_of(const Variation& entry, const Ingredient& ingredient, const Nutrient& nutrient) {
    const bool exact = entry.nutrient == nutrient.id;
    constexpr std::string_view mark = "group:";
    const std::string_view named(entry.nutrient);
    const bool of_group = named.starts_with(mark) && named.substr(mark.size()) == nutrient.group;
    if (!exact && !of_group) return 0;
    if (entry.ingredient.empty()) {
        if (entry.category.empty()) return exact ? 2 : 1;
        return entry.category == ingredient.category ? (exact ? 4 : 3) : 0;
    }
    std::size_t distance = 0;
    if (entry.ingredient != ingredient.id) {
        const auto at = std::find(ingredient.kin.begin(), ingredient.kin.end(), entry.ingredient);
        if (at == ingredient.kin.end()) return 0;
        distance = 1 + static_cast<std::size_t>(at - ingredient.kin.begin());
    }
    return 1000 - 2 * static_cast<int>(distance) + (exact ? 1 : 0);
}

}  // namespace

std::vector<Variation> variations_near(const std::vector<Variation>& entries,
                                       const Ingredient& ingredient) {
    std::vector<Variation> near;
    for (const Variation& entry : entries) {
        const bool is_default = entry.ingredient.empty();
        const bool fits = is_default
                              ? entry.category.empty() || entry.category == ingredient.category
                              : is_or_extends(ingredient.id, ingredient.kin, entry.ingredient);
        if (fits) near.push_back(entry);
    }
    return near;
}

const Variation* variation_of(const std::vector<Variation>& entries, const Ingredient& ingredient,
                              const Nutrient& nutrient) {
    const Variation* best = nullptr;
    int best_rank = 0;
    for (const Variation& entry : entries) {
        const int rank = rank_of(entry, ingredient, nutrient);
        if (rank > best_rank) {
            best = &entry;
            best_rank = rank;
        }
    }
    return best;
}

}  // namespace feedwright::catalog
