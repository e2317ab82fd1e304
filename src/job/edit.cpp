// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/edit.hpp"

#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "catalog/plausible.hpp"
#include "job/meant.hpp"
#include "job/price_sense.hpp"
#include "job/table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

namespace feedwright::job {

namespace {

[[noreturn]] void refuse(std::string place, std::string found, std::string expected,
                         std::string hint = {}) {
    throw base::DataError(base::Diagnostic{"command line", std::move(place), std::move(found),
                                           std::move(expected), std::move(hint)});
}

std::string quoted(std::string_view text) {
    return '"' + base::printable(text, 60) + '"';
}

// "a.b=c", split at the last point before the first "=".
struct Assignment {
    std::string target;
    std::string key;
    std::string value;
};

Assignment parse_assignment(const std::string& text, const std::string& option,
                            const std::string& example) {
    const std::size_t equals = text.find('=');
    const std::size_t point = equals == std::string::npos ? equals : text.rfind('.', equals);
    if (point == std::string::npos || point == 0 || point + 1 >= equals ||
        equals + 1 == text.size()) {
        refuse(option, quoted(text), "something such as " + example);
    }
    return {std::string(base::trim(text.substr(0, point))),
            std::string(base::trim(text.substr(point + 1, equals - point - 1))),
            std::string(base::trim(text.substr(equals + 1)))};
}

class Setter {
  public:
    Setter(Job& job, const std::string& text)
        : job_(job), place_("--set " + base::printable(text, 60)) {
        asked_ = parse_assignment(text, "--set", "soybean-meal-44.price=0.60 or lysine.min=1.5");
    }

    void apply() {
        for (Choice& choice : job_.ingredients) {
            if (choice.id == asked_.target) return set_choice(choice);
        }
        for (GroupLimit& group : job_.groups) {
            if (group.name == asked_.target) {
                return set_sides(group, job_.free_total ? unlimited : 100);
            }
        }
        for (RatioLimit& ratio : job_.ratios) {
            if (ratio.of + '/' + ratio.to == asked_.target) return set_limit(ratio);
        }
        set_nutrient();
    }

  private:
    static constexpr double unlimited = base::largest_number;

    void require_key(const std::vector<std::string>& keys) const {
        if (std::find(keys.begin(), keys.end(), asked_.key) != keys.end()) return;
        refuse(place_, quoted(asked_.key), base::join_words(keys, " or ") + " of " + asked_.target,
               base::did_you_mean(asked_.key, keys));
    }

    // A number within 0 and `most`; nothing for "none".
    std::optional<double> number(double most, const std::string& expected) const {
        if (asked_.value == "none") return std::nullopt;
        const auto value = base::parse_finite(asked_.value);
        if (!value || *value < 0 || *value > most) refuse(place_, quoted(asked_.value), expected);
        return value;
    }

    void require_order(const std::optional<double>& min, const std::optional<double>& max) const {
        if (!min || !max || *min <= *max) return;
        refuse(place_,
               fmt::format("min {} above max {}", base::shortest(*min), base::shortest(*max)),
               "min at most max", "Set both, the one that makes room first");
    }

    void set_choice(Choice& choice) {
        require_key({"price", "min", "max", "min_if_used", "stock_kg"});
        if (asked_.key == "price") {
            const auto price = parse_ingredient_price(asked_.value);
            if (!price) {
                refuse(place_, quoted(asked_.value), price_form, price_hint(asked_.value));
            }
            choice.price = price;
            note_prices(job_);
            return;
        }
        Choice changed = choice;
        if (asked_.key == "stock_kg") {
            changed.stock_kg = number(unlimited, "kg, zero or more, or none");
        } else {
            auto& share = asked_.key == "min"   ? changed.min
                          : asked_.key == "max" ? changed.max
                                                : changed.min_if_used;
            share = job_.free_total ? number(unlimited, "kg, zero or more, or none")
                                    : number(100, "percent of the mix, from 0 to 100, or none");
        }
        require_order(changed.min, changed.max);
        require_order(changed.min_if_used, changed.max);
        const bool own_cap = asked_.key == "max";
        choice = std::move(changed);
        if (!own_cap) return;
        std::erase_if(job_.caps, [&](const CapLimit& cap) { return cap.subject == choice.id; });
    }

    template <class Target>
    void set_sides(Target& target, double most) {
        require_key({"min", "max"});
        auto min = target.min;
        auto max = target.max;
        (asked_.key == "min" ? min : max) = number(most, "a number, zero or more, or none");
        require_order(min, max);
        target.min = min;
        target.max = max;
    }

    void require_possible(const catalog::Nutrient& nutrient, const NutrientLimit& limit) const {
        const auto value = base::parse_finite(asked_.value);
        if (limit.is_amount || !value) return;
        const auto problem = catalog::impossible_limit(nutrient, *value, limit.basis);
        if (problem) refuse(place_, quoted(asked_.value), problem->expected, problem->hint);
    }

    // What the user sets is asked for, whatever the profile thought of it.
    template <class Target>
    void set_limit(Target& limit) {
        set_sides(limit, unlimited);
        limit.advisory = limit.yields = limit.weak = false;
        limit.source = "job";
    }

    void set_nutrient() {
        const std::size_t at = asked_.target.find('@');
        const std::string id = asked_.target.substr(0, at);
        const catalog::Nutrient* nutrient = job_.dictionary.find(id);
        if (nutrient == nullptr) {
            std::vector<std::string> words = job_.ingredient_ids();
            for (const std::string& word : job_.dictionary.ids())
                words.push_back(word);
            for (const GroupLimit& group : job_.groups)
                words.push_back(group.name);
            for (const RatioLimit& ratio : job_.ratios)
                words.push_back(ratio.of + '/' + ratio.to);
            refuse(place_, quoted(asked_.target),
                   "an ingredient, nutrient, group or ratio of the job",
                   base::did_you_mean(asked_.target, words));
        }
        std::vector<NutrientLimit*> found;
        std::vector<std::string> written;
        for (NutrientLimit& limit : job_.limits) {
            if (limit.nutrient != id) continue;
            const std::string full = id + '@' + std::string(catalog::to_string(limit.basis));
            written.push_back(full);
            if (at == std::string::npos || asked_.target == full) found.push_back(&limit);
        }
        if (found.size() == 1) {
            require_possible(*nutrient, *found.front());
            return set_limit(*found.front());
        }
        if (!written.empty()) {
            refuse(place_, quoted(asked_.target), base::join_words(written, " or "));
        }
        if (at != std::string::npos) {
            refuse(place_, quoted(asked_.target), id + ", which has no limit yet");
        }
        NutrientLimit limit;
        limit.nutrient = id;
        limit.is_amount = job_.free_total;
        require_possible(*nutrient, limit);
        set_limit(limit);
        job_.limits.push_back(std::move(limit));
    }

    Job& job_;
    std::string place_;
    Assignment asked_;
};

}  // namespace

void set(Job& job, const std::string& text) {
    Setter(job, text).apply();
}

std::string with_id(Job& job, catalog::Library& library, const std::string& text) {
    const std::size_t equals = text.find('=');
    const std::size_t point = equals == std::string::npos ? equals : text.rfind('.', equals);
    if (point == std::string::npos) return text;
    const std::string target(base::trim(text.substr(0, point)));
    const std::string nutrient = target.substr(0, target.find('@'));
    const bool known = job.find(target) != nullptr || job.dictionary.find(nutrient) != nullptr ||
                       std::any_of(job.groups.begin(), job.groups.end(),
                                   [&](const GroupLimit& group) { return group.name == target; }) ||
                       target.find('/') != std::string::npos;
    return known ? text : named_in(job, library, target) + text.substr(point);
}

void remove(Job& job, const std::string& ingredient) {
    if (job.find(ingredient) == nullptr) {
        refuse("--without", quoted(ingredient), "an ingredient of the job",
               base::did_you_mean(ingredient, job.ingredient_ids()));
    }
    const auto drop_from = [&](std::vector<std::string>& ids) { std::erase(ids, ingredient); };
    std::erase_if(job.ingredients, [&](const Choice& c) { return c.id == ingredient; });
    for (GroupLimit& group : job.groups)
        drop_from(group.ingredients);
    std::erase_if(job.proportions, [&](Proportion& proportion) {
        std::erase_if(proportion.parts, [&](const auto& part) { return part.first == ingredient; });
        return proportion.parts.size() < 2;
    });
    std::erase_if(job.replacements, [&](ReplacementLimit& limit) {
        if (limit.ingredient == ingredient) return true;
        const bool against_some = !limit.references.empty();
        drop_from(limit.references);
        return against_some && limit.references.empty();  // nothing is left to replace
    });
    std::erase_if(job.caps, [&](CapLimit& cap) {
        drop_from(cap.ingredients);
        return cap.ingredients.empty();
    });
}

Extra parse_extra(const std::string& text) {
    const std::size_t at = text.find('@');
    if (at == std::string::npos || at == 0) {
        refuse("--with", quoted(text), "an ingredient and its price, such as maize@0.28");
    }
    const std::string price_text(base::trim(text.substr(at + 1)));
    const auto price = parse_ingredient_price(price_text);
    if (!price) {
        refuse("--with " + base::printable(text, 60), quoted(price_text), price_form,
               price_hint(price_text));
    }
    return {std::string(base::trim(text.substr(0, at))), *price};
}

Restated parse_restated(const std::string& text, const catalog::NutrientDictionary& dictionary) {
    const Assignment asked =
        parse_assignment(text, "--weaken", "fish-meal-anchovy.crude_protein=50");
    const std::string place = "--weaken " + base::printable(text, 60);
    const auto quantity = base::parse_quantity(asked.value);
    if (!quantity || quantity->value < 0) {
        refuse(place, quoted(asked.value), "an amount, zero or more");
    }
    double amount = quantity->value;
    const catalog::Nutrient* nutrient = dictionary.find(asked.key);
    // An unknown nutrient is told by the reader of the job, which knows the job's own ones.
    if (!quantity->unit.empty() && nutrient != nullptr) {
        const auto converted = base::convert(amount, quantity->unit, nutrient->unit);
        if (!converted) {
            refuse(place, quoted(asked.value),
                   fmt::format("an amount of {} in {}", nutrient->name, nutrient->unit));
        }
        amount = *converted;
    }
    return {asked.target, asked.key, amount};
}

}  // namespace feedwright::job
