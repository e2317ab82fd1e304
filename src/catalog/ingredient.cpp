// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/ingredient.hpp"

#include "catalog/rules.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <utility>

namespace feedwright::catalog {

namespace {

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

Origin less_sure(Origin a, Origin b) {
    return unsureness(b) > unsureness(a) ? b : a;
}

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
        if (nutrient == nullptr || depth > deepest) return nullptr;
        // Asked for in vain before, or being asked for: entries that refer to each other in a
        // circle stay unknown.
        if (!asked_.insert(nutrient).second) return nullptr;
        static const Derivation none;
        const Derivation& rule = nutrient->derived ? *nutrient->derived : none;
        if (!rule.digestible_of.empty()) {
            if (const Digestibility* share =
                    closest(ingredient_.digestibility, rule.digestible_of, animal_)) {
                if (const Amount* whole = amount(rule.digestible_of, depth + 1)) {
                    return keep(*nutrient, {whole->value * share->percent / 100,
                                            less_sure(Origin::derived, whole->origin),
                                            share->source,
                                            {{rule.digestible_of, share->percent / 100}}});
                }
            }
            // Nothing of it can be digested where there is none of it.
            const Amount* whole = amount(rule.digestible_of, depth + 1);
            if (whole != nullptr && whole->origin == Origin::zero) return keep(*nutrient, *whole);
        }
        for (const Estimate* estimate : estimates_of(nutrient->id)) {
            const Amount* made = add_up(*nutrient, estimate->constant, estimate->terms,
                                        Origin::estimated, estimate->source, depth);
            if (made != nullptr) return made;
        }
        if (rule.terms.empty() || closeness(rule.animals, animal_) == 0) return nullptr;
        const bool exact = rule.kind != Derivation::Kind::estimate;
        return add_up(*nutrient, rule.constant, rule.terms,
                      exact ? Origin::derived : Origin::estimated, rule.source, depth);
    }

  private:
    static constexpr int deepest = 64;

    // Equations for it, those nearest to the ingredient first, then to the animal: one may ask for
    // what the ingredient has no value of.
    std::vector<const Estimate*> estimates_of(const std::string& nutrient) const {
        std::vector<std::pair<std::pair<int, int>, const Estimate*>> found;
        for (const Estimate& one : dictionary_.rules().estimates) {
            if (one.nutrient != nutrient) continue;
            const int kind = fit(one.ingredients, one.categories, ingredient_);
            const int animal = closeness(one.animals, animal_);
            if (kind == 0 || animal == 0) continue;
            const bool names_kind = !one.ingredients.empty() || !one.categories.empty();
            found.push_back({{-(names_kind ? kind + 1 : 1), -animal}, &one});
        }
        std::stable_sort(found.begin(), found.end(),
                         [](const auto& a, const auto& b) { return a.first < b.first; });
        std::vector<const Estimate*> nearest;
        for (const auto& [place, one] : found)
            nearest.push_back(one);
        return nearest;
    }

    const Amount* add_up(const Nutrient& nutrient, double constant,
                         const std::vector<std::pair<std::string, double>>& terms, Origin origin,
                         const std::string& source, int depth) {
        Amount sum{constant, origin, source};
        bool all_zero = constant == 0;
        for (const auto& [term, factor] : terms) {
            const Amount* part = amount(term, depth + 1);
            if (part == nullptr) return nullptr;
            sum.origin = less_sure(sum.origin, part->origin);
            all_zero = all_zero && part->origin == Origin::zero;
            sum.value += factor * part->value;
        }
        if (all_zero) sum.origin = Origin::zero;
        const bool balance =
            nutrient.derived && nutrient.derived->kind == Derivation::Kind::balance;
        if (sum.value < 0 && !balance) {
            sum.value = 0;
        } else if (sum.origin != Origin::zero) {
            sum.parts = terms;
        }
        return keep(nutrient, std::move(sum));
    }

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

// What the rules know of undesirable substances in the ingredient, or else in its kind.
void add_contents(const Ingredient& ingredient, const NutrientDictionary& dictionary,
                  const std::function<std::optional<double>(double, Basis)>& as_fed,
                  Composition& composition) {
    std::map<std::string, std::pair<int, const Content*>, std::less<>> nearest;
    for (const Content& content : dictionary.rules().contents) {
        const int kind = fit(content.ingredients, content.categories, ingredient);
        if (kind == 0 || composition.find(content.substance) != nullptr) continue;
        auto& [best, of] = nearest[content.substance];
        if (kind > best) {
            best = kind;
            of = &content;
        }
    }
    for (const auto& [substance, found] : nearest) {
        const auto& [kind, content] = found;
        const bool own = kind == 2;
        const auto amount = as_fed(own ? content->typical : content->high, content->basis);
        if (!amount) continue;
        composition.set(substance,
                        {*amount, own ? Origin::stated : Origin::assumed, content->source});
    }
}

}  // namespace

int closeness(const std::vector<std::string>& animals, const Animal& animal) {
    const auto names = [&](std::string_view name) {
        return !name.empty() && std::find(animals.begin(), animals.end(), name) != animals.end();
    };
    if (names(animal.species)) return 4;
    if (names(animal.feeds_as)) return 3;
    if (names(animal.group)) return 2;
    return animals.empty() || names("all") ? 1 : 0;
}

int closeness(const std::vector<std::string>& animals, const std::vector<std::string>& stages,
              const Animal& animal) {
    const bool named = std::find(stages.begin(), stages.end(), animal.stage) != stages.end();
    if (!stages.empty() && !named) return 0;
    const int close = closeness(animals, animal);
    return close == 0 ? 0 : 2 * close + (named ? 1 : 0);
}

std::string_view to_string(Basis basis) {
    switch (basis) {
        case Basis::as_fed:
            return "as_fed";
        case Basis::dry_matter:
            return "dry_matter";
        case Basis::of_protein:
            return "of_protein";
    }
    return "";
}

std::optional<Basis> basis_from(std::string_view text) {
    for (const Basis basis : {Basis::as_fed, Basis::dry_matter, Basis::of_protein}) {
        if (text == to_string(basis)) return basis;
    }
    return std::nullopt;
}

std::string_view to_string(Spread spread) {
    switch (spread) {
        case Spread::unstated:
            return "";
        case Spread::lots:
            return "lots";
        case Spread::regions:
            return "regions";
        case Spread::replicates:
            return "replicates";
        case Spread::samples:
            return "samples";
        case Spread::assumed:
            return "assumed";
    }
    return "";
}

std::optional<Spread> spread_from(std::string_view text) {
    for (const Spread spread :
         {Spread::lots, Spread::regions, Spread::replicates, Spread::samples, Spread::assumed}) {
        if (text == to_string(spread)) return spread;
    }
    return std::nullopt;
}

std::string_view to_string(Origin origin) {
    switch (origin) {
        case Origin::stated:
            return "stated";
        case Origin::zero:
            return "zero";
        case Origin::derived:
            return "derived";
        case Origin::scaled:
            return "scaled";
        case Origin::estimated:
            return "estimated";
        case Origin::assumed:
            return "assumed";
    }
    return "";
}

int unsureness(Origin origin) {
    switch (origin) {
        case Origin::stated:
        case Origin::zero:
            return 0;
        case Origin::derived:
            return 1;
        case Origin::scaled:
            return 2;
        case Origin::estimated:
            return 3;
        case Origin::assumed:
            return 4;
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
    for (const auto& [id, amount] : amounts_)
        ids.push_back(id);
    std::sort(ids.begin(), ids.end());
    return ids;
}

Composition compose(const Ingredient& ingredient, const NutrientDictionary& dictionary,
                    const Animal& animal) {
    Composition composition;
    const StatedValue* dry_matter = closest(ingredient.stated, "dry_matter", animal);
    const StatedValue* protein = closest(ingredient.stated, "crude_protein", animal);
    const auto as_fed = [&](double amount, Basis basis) -> std::optional<double> {
        switch (basis) {
            case Basis::as_fed:
                return amount;
            case Basis::dry_matter:
                if (dry_matter == nullptr) return std::nullopt;
                return amount * dry_matter->amount / 100;
            case Basis::of_protein:
                break;
        }
        if (protein == nullptr) return std::nullopt;
        if (protein->basis == Basis::dry_matter) {
            if (dry_matter == nullptr) return std::nullopt;
            return amount * (protein->amount * dry_matter->amount / 100) / 100;
        }
        return amount * protein->amount / 100;
    };
    std::vector<int> closeness_of(ingredient.stated.size());
    for (std::size_t i = 0; i < ingredient.stated.size(); ++i) {
        closeness_of[i] = closeness(ingredient.stated[i].animals, animal);
    }
    // What is meant for the animal replaces what is not; of equals, the first of the file stands.
    for (const int wanted : {1, 2, 3, 4}) {
        for (std::size_t i = ingredient.stated.size(); i-- > 0;) {
            const StatedValue& value = ingredient.stated[i];
            if (closeness_of[i] != wanted) continue;
            if (const auto amount = as_fed(value.amount, value.basis)) {
                composition.set(
                    value.nutrient,
                    {*amount, value.scaled ? Origin::scaled : Origin::stated, value.source});
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
    for (const Estimate& estimate : dictionary.rules().estimates)
        deriver.amount(estimate.nutrient);
    add_contents(ingredient, dictionary, as_fed, composition);
    return composition;
}

}  // namespace feedwright::catalog
