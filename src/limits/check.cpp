// SPDX-License-Identifier: GPL-3.0-or-later
#include "limits/check.hpp"

#include "base/diagnostics.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace feedwright::limits {

namespace {

// Parts to kg per kg of feed.
std::vector<double> scaled(const job::Job& recipe) {
    std::vector<double> x;
    for (const job::Choice& choice : recipe.ingredients)
        x.push_back(choice.amount.value_or(0));
    if (recipe.free_total) return x;
    double whole = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double share = recipe.finished_moisture
                                 ? recipe.ingredients[i].composition.find("dry_matter")->value / 100
                                 : 1;
        whole += share * x[i];
    }
    if (!(whole > 0)) {
        throw base::DataError(base::Diagnostic{recipe.file, "", "no dry matter in the recipe",
                                               "at least one ingredient with dry matter", ""});
    }
    const double wanted = 1 - recipe.finished_moisture.value_or(0) / 100;
    for (double& amount : x)
        amount *= wanted / whole;
    return x;
}

// A label declares contents as fed: a share of dry matter or of protein is compared as what it is
// of this feed.
void mark_tolerated(const job::Job& recipe, const std::vector<double>& amounts,
                    LimitResult& result) {
    const Limit& limit = result.limit;
    if (result.met || !result.value || limit.kind != LimitKind::nutrient) return;
    if (!limit.harms.empty() || limit.source == "job") return;
    const catalog::Nutrient& nutrient = *recipe.dictionary.find(limit.nutrient);
    if (limit.basis == "of_protein" && nutrient.unit != "%") return;
    const double whole = scale_of(limit, amounts);
    const bool over = limit.max && *result.value > *limit.max;
    result.within_tolerance =
        is_tolerated(recipe.tolerances, limit.nutrient, whole * (over ? *limit.max : *limit.min),
                     whole * *result.value);
}

}  // namespace

Check check(const job::Job& recipe) {
    Check result;
    result.amounts = scaled(recipe);
    result.weighed_in = std::accumulate(result.amounts.begin(), result.amounts.end(), 0.0);
    result.assessment = assess(recipe, limits_of(recipe, result.amounts), result.amounts);
    for (LimitResult& limit : result.assessment.limits) {
        mark_tolerated(recipe, result.amounts, limit);
        if (limit.limit.advisory || limit.limit.weak) continue;
        if (!limit.met && !limit.within_tolerance) result.passes = false;
        if (limit.limit.kind != LimitKind::balance) ++result.asked;
    }
    result.judgement = judge(recipe, result.amounts, result.assessment);
    if (result.judgement.verdict == Verdict::unsafe) result.passes = false;
    double cost = 0;
    bool any_price = false;
    for (std::size_t i = 0; i < result.amounts.size(); ++i) {
        const job::Choice& choice = recipe.ingredients[i];
        const double x = result.amounts[i];
        if (!(x > 0)) continue;
        CheckedItem item;
        item.id = choice.id;
        item.name = choice.name;
        item.percent = 100 * x / result.weighed_in;
        if (recipe.batch_kg && !recipe.free_total) item.batch_kg = x * *recipe.batch_kg;
        item.price = choice.price;
        if (choice.price) {
            any_price = true;
            item.cost_per_kg = *choice.price * x;
            cost += *item.cost_per_kg;
        } else {
            result.no_price.push_back(choice.id);
        }
        result.mix.push_back(std::move(item));
    }
    std::stable_sort(
        result.mix.begin(), result.mix.end(),
        [](const CheckedItem& a, const CheckedItem& b) { return a.percent > b.percent; });
    if (any_price && result.no_price.empty()) {
        result.cost_per_kg = recipe.free_total ? cost / result.weighed_in : cost;
    }
    if (!any_price) result.no_price.clear();
    return result;
}

}  // namespace feedwright::limits
