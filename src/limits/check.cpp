// SPDX-License-Identifier: GPL-3.0-or-later
#include "limits/check.hpp"

#include "base/diagnostics.hpp"
#include "job/portion.hpp"

#include <vector>

namespace feedwright::limits {

namespace {

// Parts to kg per kg of feed; those of a ration are kg.
std::vector<double> scaled(const job::Job& recipe) {
    const job::Portion portion(recipe);
    std::vector<double> x;
    double feed = 0;
    for (const job::Choice& choice : recipe.ingredients) {
        feed += portion.makes(x.size()) * choice.amount.value_or(0);
        x.push_back(choice.amount.value_or(0));
    }
    if (portion.is_ration()) return x;
    if (!(feed > 0)) {
        throw base::DataError(base::Diagnostic{recipe.file, "", "no dry matter in the recipe",
                                               "at least one ingredient with dry matter", ""});
    }
    for (double& amount : x)
        amount /= feed;
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
    static_cast<Mix&>(result) = mix_of(recipe, scaled(recipe));
    result.assessment = assess(recipe, limits_of(recipe, result.amounts), result.amounts);
    for (LimitResult& limit : result.assessment.limits) {
        mark_tolerated(recipe, result.amounts, limit);
        if (limit.limit.advisory || limit.limit.weak) continue;
        if (!limit.met && !limit.within_tolerance) result.passes = false;
        if (limit.limit.kind != LimitKind::balance) ++result.asked;
    }
    result.judgement = judge(recipe, result.amounts, result.assessment);
    if (result.judgement.verdict == Verdict::unsafe) result.passes = false;
    return result;
}

}  // namespace feedwright::limits
