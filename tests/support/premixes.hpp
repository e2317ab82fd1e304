// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"

#include <string>

namespace feedwright::test {

/// The animal and stage of `profile_id`, "species/stage".
inline catalog::Animal animal_of(catalog::Library& library, const std::string& profile_id) {
    const std::size_t slash = profile_id.find('/');
    const catalog::Profile& profile = *library.profile(profile_id.substr(0, slash));
    return {profile.species, profile.group, profile.feeds_as, profile_id.substr(slash + 1)};
}

/// The library's premix that is made for that animal and stage, the nearest one; empty where there
/// is none.
inline std::string premix_for(catalog::Library& library, const std::string& profile_id) {
    const catalog::Animal animal = animal_of(library, profile_id);
    std::string best;
    int nearest = 0;
    for (const std::string& id : library.ingredient_ids()) {
        const catalog::Ingredient& ingredient = *library.ingredient(id);
        if (ingredient.role != "premix" || ingredient.made_for.empty()) continue;
        const int near =
            catalog::closeness(ingredient.made_for, ingredient.made_for_stages, animal);
        if (near <= nearest) continue;
        nearest = near;
        best = id;
    }
    return best;
}

}  // namespace feedwright::test
