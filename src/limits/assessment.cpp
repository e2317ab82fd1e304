// SPDX-License-Identifier: GPL-3.0-or-later
#include "limits/assessment.hpp"

#include "job/portion.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

namespace feedwright::limits {

namespace {

double sum(const std::vector<double>& x) {
    return std::accumulate(x.begin(), x.end(), 0.0);
}

// A nutrient whose unknown amounts may as well lower the total as raise it.
bool may_be_negative(const job::Job& job, const Limit& limit) {
    const catalog::Nutrient* nutrient = job.dictionary.find(limit.nutrient);
    return nutrient != nullptr && nutrient->derived &&
           nutrient->derived->kind == catalog::Derivation::Kind::balance;
}

LimitResult measure(const job::Job& job, const Limit& limit, const std::vector<double>& x,
                    double total) {
    LimitResult result;
    result.limit = limit;
    result.value = value_of(limit, x);
    double unknown = 0;
    for (const std::size_t i : limit.unknown) {
        if (!(x[i] > 0)) continue;
        unknown += x[i];
        result.unknown_in.push_back(job.ingredients[i].id);
    }
    for (const std::size_t i : limit.assumed) {
        if (!(x[i] > 0)) continue;
        unknown += x[i];
        result.assumed_in.push_back(job.ingredients[i].id);
    }
    if (total > 0) result.known_percent = 100 * (total - unknown) / total;
    if (result.unknown_in.empty() && result.assumed_in.empty()) result.known_percent = 100;
    if (!result.value) {
        // Multiplied out, as the search for a mix has it: of something that there is none of
        // nothing may be there, so any of it is over a maximum; a minimum asks nothing.
        const double part = std::inner_product(x.begin(), x.end(), limit.amount.begin(), 0.0);
        result.met = !(limit.max && part > 0);
        return result;
    }
    double whole_unknown = 0;
    for (const std::size_t i : limit.unknown_whole)
        whole_unknown += std::max(0.0, x[i]);
    // A premix of one percent whose protein nobody states changes no share worth speaking of.
    constexpr double negligible = 0.02;
    if (limit.min && whole_unknown > negligible * total) result.proven = false;
    if (limit.min && !result.unknown_in.empty() && may_be_negative(job, limit))
        result.proven = false;
    if (limit.max && !result.unknown_in.empty()) {
        // At worst the unknown ingredients are nothing but this nutrient.
        const bool share = limit.unit == "%" && limit.per.empty();
        result.proven = result.proven && share && *result.value + 100 * unknown <= *limit.max;
    }
    const auto nearest = margin_of(limit, *result.value);
    if (!nearest) return result;
    result.margin = nearest->margin;
    result.binding = nearest->binds();
    result.met = nearest->met();
    result.nothing_known =
        !result.met && limit.min && *result.value == 0 && !result.unknown_in.empty();
    if (nearest->side != 0) result.margin_percent = 100 * nearest->margin / std::abs(nearest->side);
    return result;
}

bool holds(const std::vector<std::string>& list, const std::string& word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

}  // namespace

Assessment assess(const job::Job& job, const std::vector<Limit>& limits,
                  const std::vector<double>& x) {
    Assessment assessment;
    const double total = sum(x);
    for (const Limit& limit : limits) {
        assessment.limits.push_back(measure(job, limit, x, total));
    }
    if (!(total > 0)) return assessment;
    const double per = job::Portion(job).feed_kg(total);
    for (const catalog::Nutrient& nutrient : job.dictionary.all()) {
        AnalysisItem item{nutrient.id, nutrient.name,          nutrient.unit, nutrient.group, 0,
                          0,           catalog::Origin::stated};
        double known = 0;
        bool all_known = true;
        bool all_zero = true;
        for (std::size_t i = 0; i < x.size(); ++i) {
            if (!(x[i] > 0)) continue;
            const catalog::Amount* amount = job.ingredients[i].composition.find(nutrient.id);
            if (amount == nullptr) {
                all_known = false;
                continue;
            }
            const auto& partly = job.ingredients[i].partly;
            if (std::binary_search(partly.begin(), partly.end(), nutrient.id)) {
                all_known = false;
            } else {
                known += x[i];
            }
            all_zero = all_zero && amount->origin == catalog::Origin::zero;
            item.value += amount->value * x[i] / per;
            if (catalog::unsureness(amount->origin) > catalog::unsureness(item.origin)) {
                item.origin = amount->origin;
            }
        }
        if (!(known > 0) || (all_zero && !all_known)) continue;
        item.known_percent = all_known ? 100 : 100 * known / total;
        if (nutrient.id == "dry_matter" && all_known) assessment.dry_matter = item.value;
        assessment.analysis.push_back(std::move(item));
    }
    return assessment;
}

std::vector<CautionResult> cautions_for(const job::Job& job, const std::vector<double>& x,
                                        const std::vector<catalog::Caution>& cautions) {
    const double total = sum(x);
    std::vector<CautionResult> shown;
    for (const catalog::Caution& caution : cautions) {
        if (!caution.species.empty() && !holds(caution.species, job.animal.species)) continue;
        if (!caution.stages.empty() && !holds(caution.stages, job.stage)) continue;
        bool touches = caution.ingredients.empty() && caution.categories.empty();
        for (std::size_t i = 0; i < x.size() && !touches; ++i) {
            const job::Choice& choice = job.ingredients[i];
            const auto is_meant = [&](const auto& one, double kg) {
                return kg > 0 && 100 * kg / total > caution.above_percent &&
                       (holds(caution.categories, one.category) ||
                        std::any_of(caution.ingredients.begin(), caution.ingredients.end(),
                                    [&](const std::string& id) {
                                        return catalog::is_or_extends(one.id, one.kin, id);
                                    }));
            };
            touches = is_meant(choice, x[i]);
            for (const job::Part& part : choice.parts)
                touches = touches || is_meant(part, x[i] * part.share);
        }
        if (touches) {
            const bool general = caution.ingredients.empty() && caution.categories.empty() &&
                                 caution.species.empty() && caution.stages.empty();
            shown.push_back({caution.text, caution.source, caution.jurisdiction, caution.year,
                             general, caution.danger});
        }
    }
    std::stable_sort(shown.begin(), shown.end(),
                     [](const CautionResult& a, const CautionResult& b) {
                         return std::pair(a.general, a.danger) < std::pair(b.general, b.danger);
                     });
    return shown;
}

}  // namespace feedwright::limits
