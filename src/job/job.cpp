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

}  // namespace feedwright::job
