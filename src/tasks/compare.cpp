// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/compare.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::tasks {

namespace {

// Below it two shares are one but for rounding.
constexpr double rounding = 1e-9;

double percent_of(const Checked& checked, const std::string& id) {
    for (const limits::MixItem& item : checked.check.items) {
        if (item.id == id) return item.percent;
    }
    return 0;
}

void add_change(const limits::MixItem& item, const Checked& first, ComparedRecipe& recipe) {
    const bool told = std::any_of(recipe.ingredients.begin(), recipe.ingredients.end(),
                                  [&](const auto& other) { return other.id == item.id; });
    if (told) return;
    ChangedIngredient changed;
    changed.id = item.id;
    changed.name = item.name;
    changed.first = percent_of(first, item.id);
    changed.percent = percent_of(recipe.checked, item.id);
    changed.change = changed.percent - changed.first;
    if (std::abs(changed.change) <= rounding) return;
    if (changed.change < 0) changed.replaced_percent = -100 * changed.change / changed.first;
    recipe.ingredients.push_back(std::move(changed));
}

void add_needs(const Checked& first, ComparedRecipe& recipe) {
    using limits::LimitKind;
    for (const limits::LimitResult& result : recipe.checked.check.assessment.limits) {
        const limits::Limit& limit = result.limit;
        if (limit.kind != LimitKind::nutrient && limit.kind != LimitKind::ratio) continue;
        for (const limits::LimitResult& other : first.check.assessment.limits) {
            if (other.limit.id != limit.id || other.limit.unit != limit.unit) continue;
            recipe.needs.push_back({limit.id, limit.name, limits::unit_in_words(limit), other.value,
                                    result.value, other.met, result.met});
        }
    }
}

void compare_with(const Checked& first, ComparedRecipe& recipe) {
    const auto cost = recipe.checked.check.known_cost_per_kg();
    const auto cost_of_first = first.check.known_cost_per_kg();
    if (cost && cost_of_first) recipe.cost_change = *cost - *cost_of_first;
    for (const limits::MixItem& item : recipe.checked.check.items)
        add_change(item, first, recipe);
    for (const limits::MixItem& item : first.check.items)
        add_change(item, first, recipe);
    std::stable_sort(recipe.ingredients.begin(), recipe.ingredients.end(),
                     [](const ChangedIngredient& a, const ChangedIngredient& b) {
                         return std::abs(a.change) > std::abs(b.change);
                     });
    add_needs(first, recipe);
}

}  // namespace

std::vector<ComparedRecipe> compare(const JobSource& how, const std::vector<std::string>& files,
                                    catalog::Library& library) {
    std::vector<ComparedRecipe> recipes;
    for (const std::string& file : files) {
        JobSource source = how;
        source.file = file;
        ComparedRecipe recipe{file, check(source, library), {}, {}, {}};
        if (!recipes.empty()) compare_with(recipes.front().checked, recipe);
        recipes.push_back(std::move(recipe));
    }
    return recipes;
}

}  // namespace feedwright::tasks
