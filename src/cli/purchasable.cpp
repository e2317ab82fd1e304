// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/purchasable.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "base/json.hpp"

#include <algorithm>
#include <filesystem>
#include <string>
#include <system_error>

namespace feedwright::cli {

namespace {

bool holds(const std::vector<std::string>& list, const std::string& word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

// What `take` makes of a file of the library's folder; nothing where there is no such file.
template <class Take>
void read(const catalog::Library& library, const std::string& name, const Take& take) {
    const std::string file = library.directory() + '/' + name;
    std::error_code error;
    if (!std::filesystem::exists(file, error)) return;
    base::Diagnostics diagnostics;
    const auto document = base::parse_json(base::read_file(file), file);
    take(base::JsonView(document, diagnostics));
    diagnostics.throw_if_any();
}

std::vector<std::string> often_sold(const catalog::Library& library) {
    std::vector<std::string> ids;
    read(library, "often-sold.json", [&](const base::JsonView& root) {
        if (!root.require_format("feedwright-often-sold/1")) return;
        root.allow_only({"format", "source", "note", "ingredients"});
        ids = root.strings("ingredients");
    });
    return ids;
}

}  // namespace

std::vector<std::string> purchasable(const job::Job& job, catalog::Library& library) {
    std::vector<std::string> all = often_sold(library);
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

}  // namespace feedwright::cli
