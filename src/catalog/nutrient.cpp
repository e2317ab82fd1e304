// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/nutrient.hpp"

#include "catalog/rules.hpp"

namespace feedwright::catalog {

NutrientDictionary::NutrientDictionary() : rules_(std::make_shared<CompositionRules>()) {}

bool NutrientDictionary::add(Nutrient nutrient) {
    const auto [at, added] = index_.emplace(nutrient.id, list_.size());
    if (added) list_.push_back(std::move(nutrient));
    return added;
}

const Nutrient* NutrientDictionary::find(std::string_view id) const {
    const auto at = index_.find(id);
    return at == index_.end() ? nullptr : &list_[at->second];
}

std::vector<std::string> NutrientDictionary::ids() const {
    std::vector<std::string> ids;
    ids.reserve(list_.size());
    for (const Nutrient& nutrient : list_)
        ids.push_back(nutrient.id);
    return ids;
}

std::vector<std::string> NutrientDictionary::in_group(std::string_view group) const {
    std::vector<std::string> ids;
    for (const Nutrient& nutrient : list_) {
        if (nutrient.group == group) ids.push_back(nutrient.id);
    }
    return ids;
}

std::size_t NutrientDictionary::position(std::string_view id) const {
    const auto at = index_.find(id);
    return at == index_.end() ? list_.size() : at->second;
}

}  // namespace feedwright::catalog
