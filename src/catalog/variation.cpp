// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/variation.hpp"

#include <algorithm>
#include <cmath>

namespace feedwright::catalog {

namespace {

// The value that compose() takes for each nutrient: the nearest to the animal, of equals the first.
std::vector<const StatedValue*> used_values(const Ingredient& ingredient, const Animal& animal) {
    std::vector<std::pair<int, const StatedValue*>> nearest;
    for (const StatedValue& value : ingredient.stated) {
        const int close = closeness(value.animals, animal);
        if (close == 0) continue;
        const auto known = std::find_if(nearest.begin(), nearest.end(), [&](const auto& one) {
            return one.second->nutrient == value.nutrient;
        });
        if (known == nearest.end()) {
            nearest.emplace_back(close, &value);
        } else if (close > known->first) {
            *known = {close, &value};
        }
    }
    std::vector<const StatedValue*> used;
    for (const auto& [close, value] : nearest)
        used.push_back(value);
    return used;
}

bool is_of_lots(const StatedValue& value) {
    return value.sd && (value.spread == Spread::lots || value.spread == Spread::regions ||
                        value.spread == Spread::assumed);
}

class Contents {
  public:
    Contents(const Composition& composition, const Variability& variability)
        : composition_(composition), variability_(variability) {}

    FactorSum of(std::string_view nutrient, int depth = 0) const {
        const Amount* amount = composition_.find(nutrient);
        if (amount == nullptr || depth > deepest) return {};
        if (!amount->parts.empty()) return of_parts(*amount, depth);
        const bool is_stated = amount->origin == Origin::stated || amount->origin == Origin::scaled;
        const Factor* factor = is_stated ? variability_.find(nutrient) : nullptr;
        if (factor == nullptr) return {amount->value, {}};
        return of_factor(*factor, 1);
    }

  private:
    static constexpr int deepest = 64;

    FactorSum of_factor(const Factor& factor, double coefficient) const {
        const auto place = static_cast<std::size_t>(&factor - variability_.factors.data());
        if (factor.basis == Basis::as_fed) return {0, {{coefficient, {place}}}};
        const Factor* whole =
            variability_.find(factor.basis == Basis::dry_matter ? "dry_matter" : "crude_protein");
        if (whole == nullptr) return {coefficient * factor.mean, {}};
        FactorSum content = of_factor(*whole, coefficient / 100);
        for (FactorSum::Term& term : content.terms)
            term.factors.push_back(place);
        return content;
    }

    FactorSum of_parts(const Amount& amount, int depth) const {
        FactorSum sum;
        double parts = 0;
        for (const auto& [nutrient, coefficient] : amount.parts) {
            FactorSum part = of(nutrient, depth + 1);
            if (const Amount* known = composition_.find(nutrient))
                parts += coefficient * known->value;
            sum.constant += coefficient * part.constant;
            for (FactorSum::Term& term : part.terms) {
                term.coefficient *= coefficient;
                sum.terms.push_back(std::move(term));
            }
        }
        sum.constant += amount.value - parts;  // the constant of a sum
        return sum;
    }

    const Composition& composition_;
    const Variability& variability_;
};

}  // namespace

const Factor* Variability::find(std::string_view nutrient) const {
    const auto at = std::find_if(factors.begin(), factors.end(),
                                 [&](const Factor& factor) { return factor.nutrient == nutrient; });
    return at == factors.end() ? nullptr : &*at;
}

Variability variability_of(const Ingredient& ingredient, const NutrientDictionary& dictionary,
                           const Animal& animal, const std::vector<Variation>& table) {
    const std::vector<Variation> near = variations_near(table, ingredient);
    Variability result;
    for (const StatedValue* value : used_values(ingredient, animal)) {
        Factor factor{value->nutrient, value->amount, value->basis, 0, Spread::assumed, {}, {}};
        if (is_of_lots(*value)) {
            factor.sd = *value->sd;
            factor.spread = value->spread;
            factor.n = value->n;
            factor.source = value->source;
        } else if (const Nutrient* nutrient = dictionary.find(value->nutrient)) {
            if (const Variation* entry = variation_of(near, ingredient, *nutrient)) {
                factor.sd = std::abs(value->amount) * entry->cv_percent / 100;
                factor.n = entry->n;
                factor.source = entry->source;
            }
        }
        result.factors.push_back(std::move(factor));
    }
    const Factor* protein = result.find("crude_protein");
    for (Factor& factor : result.factors) {
        const bool is_share = factor.basis == Basis::of_protein && factor.spread == Spread::assumed;
        if (!is_share || protein == nullptr || !(protein->mean > 0) || !(factor.mean > 0)) continue;
        const double cv = factor.sd / factor.mean;
        const double of_protein = protein->sd / protein->mean;
        factor.sd = factor.mean * std::sqrt(std::max(0.0, cv * cv - of_protein * of_protein));
    }
    return result;
}

FactorSum content_of(const Composition& composition, const Variability& variability,
                     std::string_view nutrient) {
    return Contents(composition, variability).of(nutrient);
}

}  // namespace feedwright::catalog
