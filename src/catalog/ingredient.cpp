// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/catalog/ingredient.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

namespace feedwright::catalog {

namespace {

// How closely a value or coefficient is meant for the animal: 3 its species, 2 its group, 1 any
// animal, 0 another one.
int closeness(const std::vector<std::string>& animals, const Animal& animal) {
    if (animals.empty()) return 1;
    const auto names = [&](const std::string& name) {
        return !name.empty() && std::find(animals.begin(), animals.end(), name) != animals.end();
    };
    if (names(animal.species)) return 3;
    return names(animal.group) ? 2 : 0;
}

template <class Item>
const Item* closest(const std::vector<Item>& items, std::string_view nutrient,
                    const Animal& animal) {
    const Item* best = nullptr;
    int best_closeness = 0;
    for (const Item& item : items) {
        if (item.nutrient != nutrient) continue;
        const int c = closeness(item.animals, animal);
        if (c > best_closeness) {
            best_closeness = c;
            best = &item;
        }
    }
    return best;
}

Origin less_sure(Origin a, Origin b) { return unsureness(b) > unsureness(a) ? b : a; }

// Works out derived amounts, terms before what is made of them.
class Deriver {
  public:
    Deriver(const Ingredient& ingredient, const NutrientDictionary& dictionary,
            const Animal& animal, Composition& composition)
        : ingredient_(ingredient),
          dictionary_(dictionary),
          animal_(animal),
          composition_(composition) {}

    const Amount* amount(std::string_view id, int depth = 0) {
        if (const Amount* known = composition_.find(id)) return known;
        const Nutrient* nutrient = dictionary_.find(id);
        if (nutrient == nullptr || !nutrient->derived || depth > deepest) return nullptr;
        // Asked for in vain before, or being asked for: entries that refer to each other in a circle stay unknown.
        if (!asked_.insert(nutrient).second) return nullptr;
        const Derivation& rule = *nutrient->derived;
        if (!rule.digestible_of.empty()) {
            if (const Digestibility* share =
                    closest(ingredient_.digestibility, rule.digestible_of, animal_)) {
                if (const Amount* whole = amount(rule.digestible_of, depth + 1)) {
                    return keep(*nutrient, {whole->value * share->percent / 100,
                                            less_sure(Origin::derived, whole->origin),
                                            share->source});
                }
            }
            // Nothing of it can be digested where there is none of it.
            const Amount* whole = amount(rule.digestible_of, depth + 1);
            if (whole != nullptr && whole->origin == Origin::zero) return keep(*nutrient, *whole);
        }
        if (rule.terms.empty() || closeness(rule.animals, animal_) == 0) return nullptr;
        Amount sum{rule.constant, Origin::derived, rule.source};
        if (rule.kind == Derivation::Kind::estimate) sum.origin = Origin::estimated;
        bool all_zero = rule.constant == 0;
        for (const auto& [term, factor] : rule.terms) {
            const Amount* part = amount(term, depth + 1);
            if (part == nullptr) return nullptr;
            sum.origin = less_sure(sum.origin, part->origin);
            all_zero = all_zero && part->origin == Origin::zero;
            sum.value += factor * part->value;
        }
        if (all_zero) sum.origin = Origin::zero;
        if (sum.value < 0) sum.value = 0;
        return keep(*nutrient, std::move(sum));
    }

  private:
    static constexpr int deepest = 64;

    const Amount* keep(const Nutrient& nutrient, Amount amount) {
        if (!std::isfinite(amount.value)) return nullptr;  // absurd factors, multiplied up
        composition_.set(nutrient.id, std::move(amount));
        return composition_.find(nutrient.id);
    }

    const Ingredient& ingredient_;
    const NutrientDictionary& dictionary_;
    const Animal& animal_;
    Composition& composition_;
    std::set<const Nutrient*> asked_;
};

}  // namespace

std::string_view to_string(Basis basis) {
    switch (basis) {
        case Basis::as_fed: return "as_fed";
        case Basis::dry_matter: return "dry_matter";
        case Basis::of_protein: return "of_protein";
    }
    return "";
}

std::optional<Basis> basis_from(std::string_view text) {
    for (const Basis basis : {Basis::as_fed, Basis::dry_matter, Basis::of_protein}) {
        if (text == to_string(basis)) return basis;
    }
    return std::nullopt;
}

std::string_view to_string(Origin origin) {
    switch (origin) {
        case Origin::stated: return "stated";
        case Origin::zero: return "zero";
        case Origin::derived: return "derived";
        case Origin::scaled: return "scaled";
        case Origin::estimated: return "estimated";
    }
    return "";
}

int unsureness(Origin origin) {
    switch (origin) {
        case Origin::stated:
        case Origin::zero: return 0;
        case Origin::derived: return 1;
        case Origin::scaled: return 2;
        case Origin::estimated: return 3;
    }
    return 0;
}

bool is_or_extends(std::string_view own_id, const std::vector<std::string>& kin,
                   std::string_view id) {
    return own_id == id || std::find(kin.begin(), kin.end(), id) != kin.end();
}

const Amount* Composition::find(std::string_view nutrient) const {
    const auto at = amounts_.find(nutrient);
    return at == amounts_.end() ? nullptr : &at->second;
}

void Composition::set(std::string nutrient, Amount amount) {
    amounts_.insert_or_assign(std::move(nutrient), std::move(amount));
}

std::vector<std::string> Composition::nutrients() const {
    std::vector<std::string> ids;
    for (const auto& [id, amount] : amounts_) ids.push_back(id);
    std::sort(ids.begin(), ids.end());
    return ids;
}

Composition compose(const Ingredient& ingredient, const NutrientDictionary& dictionary,
                    const Animal& animal) {
    Composition composition;
    const StatedValue* dry_matter = closest(ingredient.stated, "dry_matter", animal);
    const StatedValue* protein = closest(ingredient.stated, "crude_protein", animal);
    const auto as_fed = [&](const StatedValue& value) -> std::optional<double> {
        switch (value.basis) {
            case Basis::as_fed: return value.amount;
            case Basis::dry_matter:
                if (dry_matter == nullptr) return std::nullopt;
                return value.amount * dry_matter->amount / 100;
            case Basis::of_protein: break;
        }
        if (protein == nullptr) return std::nullopt;
        if (protein->basis == Basis::dry_matter) {
            if (dry_matter == nullptr) return std::nullopt;
            return value.amount * (protein->amount * dry_matter->amount / 100) / 100;
        }
        return value.amount * protein->amount / 100;
    };
    std::vector<int> closeness_of(ingredient.stated.size());
    for (std::size_t i = 0; i < ingredient.stated.size(); ++i) {
        closeness_of[i] = closeness(ingredient.stated[i].animals, animal);
    }
    // What is meant for the animal replaces what is not; of equals, the first of the file stands.
    for (const int wanted : {1, 2, 3}) {
        for (std::size_t i = ingredient.stated.size(); i-- > 0;) {
            const StatedValue& value = ingredient.stated[i];
            if (closeness_of[i] != wanted) continue;
            if (const auto amount = as_fed(value)) {
                composition.set(value.nutrient,
                                {*amount, value.scaled ? Origin::scaled : Origin::stated,
                                 value.source});
            }
        }
    }
    for (const std::string& id : ingredient.zeros) {
        if (composition.find(id) == nullptr) {
            composition.set(id, {0, Origin::zero, ingredient.zeros_source});
        }
    }
    Deriver deriver(ingredient, dictionary, animal, composition);
    for (const Nutrient& nutrient : dictionary.all()) {
        if (nutrient.derived) deriver.amount(nutrient.id);
    }
    return composition;
}

}  // namespace feedwright::catalog
