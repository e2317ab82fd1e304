// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/job.hpp"

#include <algorithm>

namespace feedwright::job {

const Choice* Job::find(std::string_view ingredient) const {
    const auto at = std::find_if(ingredients.begin(), ingredients.end(),
                                 [&](const Choice& choice) { return choice.id == ingredient; });
    return at == ingredients.end() ? nullptr : &*at;
}

std::vector<std::string> Job::ingredient_ids() const {
    std::vector<std::string> ids;
    for (const Choice& choice : ingredients)
        ids.push_back(choice.id);
    return ids;
}

double covered_share(const CapLimit& cap, const Choice& choice, bool of_dry_matter) {
    const auto names = [](const std::vector<std::string>& ids, const std::string& id) {
        return std::find(ids.begin(), ids.end(), id) != ids.end();
    };
    if (!names(cap.ingredients, choice.id)) return 0;
    if (choice.parts.empty()) return 1;
    double share = 0;
    for (const Part& part : choice.parts) {
        if (names(cap.parts, part.id)) share += of_dry_matter ? part.dry_share : part.share;
    }
    return share;
}

}  // namespace feedwright::job
