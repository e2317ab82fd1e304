// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/coverage.hpp"

#include <algorithm>
#include <set>
#include <utility>

namespace feedwright::catalog {

Coverage coverage_of(Library& library) {
    const NutrientDictionary& dictionary = library.dictionary();
    const std::vector<std::string> ids = library.ingredient_ids();
    Coverage coverage;
    coverage.ingredients = ids.size();
    for (const std::string& species : library.species()) {
        const Profile& profile = *library.profile(species);
        std::vector<std::size_t> known(dictionary.all().size(), 0);
        for (const std::string& id : ids) {
            const Composition made =
                compose(*library.ingredient(id), dictionary, {profile.species, profile.group});
            for (std::size_t n = 0; n < known.size(); ++n) {
                if (made.find(dictionary.all()[n].id) != nullptr) ++known[n];
            }
        }
        for (const Stage& stage : profile.stages) {
            // Two limits on one nutrient, by feed and by protein, are covered alike.
            std::set<std::pair<std::size_t, bool>> limits;
            for (const RequirementLimit& limit : stage.limits) {
                limits.emplace(dictionary.position(limit.nutrient), limit.advisory);
            }
            for (const auto& [position, advisory] : limits) {
                coverage.limits.push_back({species + '/' + stage.id, dictionary.all()[position].id,
                                           advisory, known[position]});
            }
        }
    }
    return coverage;
}

}  // namespace feedwright::catalog
