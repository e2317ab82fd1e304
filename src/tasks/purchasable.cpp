// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/purchasable.hpp"

#include <algorithm>
#include <string>

namespace feedwright::tasks {

namespace {

bool holds(const std::vector<std::string>& list, const std::string& word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

std::vector<std::string> often_sold(const catalog::LibraryFiles& files) {
    if (!files.has("often-sold.json")) return {};
    return catalog::load_file(files, "often-sold.json", [](const base::JsonView& root) {
        if (!root.require_format("feedwright-often-sold/1")) return std::vector<std::string>{};
        root.allow_only({"format", "source", "note", "ingredients"});
        return root.strings("ingredients");
    });
}

}  // namespace

std::vector<std::string> purchasable(const job::Job& job, catalog::Library& library) {
    std::vector<std::string> all = often_sold(*library.files());
    if (all.empty()) all = library.ingredient_ids();
    const auto is_forbidden = [&](const catalog::Ingredient& ingredient) {
        return std::any_of(
            library.cautions().begin(), library.cautions().end(), [&](const catalog::Caution& one) {
                if (!one.forbids) return false;
                const bool it = holds(one.ingredients, ingredient.id) ||
                                holds(one.categories, ingredient.category);
                const bool animal = one.species.empty() || holds(one.species, job.animal.species);
                const bool stage = one.stages.empty() || holds(one.stages, job.stage);
                return it && animal && stage;
            });
    };
    std::vector<std::string> ids;
    for (const std::string& id : all) {
        const catalog::Ingredient* ingredient = library.ingredient(id);
        if (ingredient == nullptr || job.find(id) != nullptr) continue;
        // A premix made for other animals is none for this one.
        const bool for_others =
            ingredient->role == "premix" && job.profile &&
            catalog::closeness(ingredient->made_for, ingredient->made_for_stages, job.animal) == 0;
        if (!for_others && !is_forbidden(*ingredient)) ids.push_back(id);
    }
    return ids;
}

}  // namespace feedwright::tasks
