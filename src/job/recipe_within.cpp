// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/recipe_within.hpp"

#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::job {

namespace {

namespace fs = std::filesystem;

using catalog::Amount;
using catalog::Origin;

// What is in the recipe, with its share of the weight.
struct Within {
    const Choice* choice;
    double share;
};

std::vector<Within> within(const Job& recipe) {
    double total = 0;
    for (const Choice& choice : recipe.ingredients)
        total += choice.amount.value_or(0);
    std::vector<Within> list;
    for (const Choice& choice : recipe.ingredients) {
        if (choice.amount.value_or(0) > 0) list.push_back({&choice, *choice.amount / total});
    }
    return list;
}

const Amount* stand_in(const Choice& choice, const std::string& nutrient) {
    const auto at = choice.assumed.find(nutrient);
    return at == choice.assumed.end() ? nullptr : &at->second;
}

Origin less_sure(Origin one, Origin other) {
    if (one == Origin::zero) return other;
    return catalog::unsureness(other) > catalog::unsureness(one) ? other : one;
}

void mix_contents(const std::vector<Within>& parts, const std::string& nutrient, Choice& into) {
    Amount mixed{0, Origin::zero, "recipe"};
    double high = 0;
    bool any = false;
    bool all = true;
    bool any_high = false;
    for (const Within& part : parts) {
        const Amount* amount = part.choice->composition.find(nutrient);
        const Amount* most = stand_in(*part.choice, nutrient);
        any = any || amount != nullptr;
        all = all && amount != nullptr;
        any_high = any_high || most != nullptr;
        if (amount != nullptr) {
            mixed.value += part.share * amount->value;
            mixed.origin = less_sure(mixed.origin, amount->origin);
        }
        if (most == nullptr) most = amount;
        if (most != nullptr) high += part.share * most->value;
    }
    if (any_high) into.assumed[nutrient] = {high, Origin::assumed, "recipe"};
    // A dry matter that is known in part is of no use.
    if (!any || (!all && nutrient == "dry_matter")) return;
    into.composition.set(nutrient, mixed);
    if (!all) into.partly.push_back(nutrient);
}

std::optional<double> price_of(const Reading& reading, const std::vector<Within>& parts) {
    double sum = 0;
    for (const Within& part : parts) {
        std::optional<double> price = part.choice->price;
        if (reading.options.prices) {
            const PricedIngredient* row = reading.options.prices->find(part.choice->id);
            if (row != nullptr) price = row->price;
        }
        if (!price) return std::nullopt;
        sum += part.share * *price;
    }
    return sum;
}

void add_parts(const Within& one, double dry_share, Choice& into) {
    const Choice& choice = *one.choice;
    if (choice.parts.empty()) {
        into.parts.push_back({choice.id, choice.name, choice.category, choice.role, choice.kin,
                              one.share, dry_share, choice.rate_percent, choice.made_for_animal});
        return;
    }
    for (Part part : choice.parts) {
        part.share *= one.share;
        part.dry_share *= dry_share;
        into.parts.push_back(std::move(part));
    }
}

}  // namespace

Choice recipe_within(Reading& reading, const base::JsonView& file) {
    Choice choice;
    const auto name = file.as_string();
    if (!name) return choice;
    const fs::path beside = fs::path(file.file()).parent_path();
    const std::string path = (beside / *name).string();
    const auto& inside = reading.options.inside;
    if (inside.size() > 8 || std::find(inside.begin(), inside.end(), path) != inside.end() ||
        path == reading.job.file) {
        file.problem_found(
            fmt::format("\"{}\", which is an ingredient of itself", base::printable(*name, 60)),
            "another recipe");
        return choice;
    }
    ReadOptions options;
    if (reading.job.profile) options.profile = reading.job.profile->id;
    options.inside = inside;
    options.inside.push_back(reading.job.file);
    const Job recipe = read_recipe(path, reading.library, options);
    auto& inputs = reading.job.inputs;
    for (const std::string& input : recipe.inputs) {
        const auto& own = reading.library.own_files();
        if (std::find(own.begin(), own.end(), input) == own.end()) inputs.push_back(input);
    }
    const std::vector<Within> parts = within(recipe);
    for (const std::string& nutrient : recipe.dictionary.ids())
        mix_contents(parts, nutrient, choice);
    std::sort(choice.partly.begin(), choice.partly.end());
    const Amount* dry = choice.composition.find("dry_matter");
    for (const Within& part : parts) {
        double dry_share = part.share;
        if (dry != nullptr && dry->value > 0) {
            dry_share *= part.choice->composition.find("dry_matter")->value / dry->value;
        }
        add_parts(part, dry_share, choice);
        for (const std::string& step : part.choice->processing) {
            auto& steps = choice.processing;
            if (std::find(steps.begin(), steps.end(), step) == steps.end()) steps.push_back(step);
        }
    }
    choice.price = price_of(reading, parts);
    return choice;
}

}  // namespace feedwright::job
