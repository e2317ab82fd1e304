// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/catalog/profile.hpp"

#include "feedwright/catalog/ingredient.hpp"

#include <algorithm>

namespace feedwright::catalog {

std::string_view to_string(Cap::Basis basis) {
    switch (basis) {
        case Cap::Basis::diet:
            return "diet";
        case Cap::Basis::fish_meal:
            return "fish_meal";
        case Cap::Basis::fish_meal_protein:
            return "fish_meal_protein";
        case Cap::Basis::dietary_protein:
            return "dietary_protein";
    }
    return "";
}

std::string_view to_string(Cap::Kind kind) {
    switch (kind) {
        case Cap::Kind::authors_limit:
            return "authors_limit";
        case Cap::Kind::highest_tested:
            return "highest_tested";
        case Cap::Kind::rule_of_thumb:
            return "rule_of_thumb";
    }
    return "";
}

bool Cap::covers(const std::string& id, const std::string& of_category,
                 const std::vector<std::string>& kin) const {
    constexpr std::string_view category = "category:";
    if (ingredient.starts_with(category)) return of_category == ingredient.substr(category.size());
    return is_or_extends(id, kin, ingredient) ||
           std::any_of(members.begin(), members.end(),
                       [&](const std::string& member) { return is_or_extends(id, kin, member); });
}

const Stage* Profile::stage(std::string_view id) const {
    for (const Stage& s : stages) {
        if (s.id == id) return &s;
    }
    return nullptr;
}

}  // namespace feedwright::catalog
