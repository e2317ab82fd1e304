// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/catalog/rules.hpp"

#include <algorithm>

namespace feedwright::catalog {

int fit(const std::vector<std::string>& ingredients, const std::vector<std::string>& categories,
        const Ingredient& ingredient) {
    if (ingredients.empty() && categories.empty()) return 1;
    const bool named = std::any_of(ingredients.begin(), ingredients.end(), [&](const std::string& id) {
        return is_or_extends(ingredient.id, ingredient.kin, id);
    });
    if (named) return 2;
    const bool of_kind = std::find(categories.begin(), categories.end(), ingredient.category) !=
                         categories.end();
    return of_kind ? 1 : 0;
}

}  // namespace feedwright::catalog
