// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/currency.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "catalog/extension.hpp"
#include "catalog/loading.hpp"
#include "catalog/plausible.hpp"
#include "job/meant.hpp"
#include "job/reading.hpp"
#include "job/table.hpp"
#include "job/volume.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

namespace feedwright::job {

namespace {

// What was so before the change is not what the change did.
void require_possible_as_restated(Reading& reading, const catalog::Ingredient& before,
                                  const catalog::Ingredient& after) {
    const auto known = catalog::impossible_values(before, reading.job.dictionary);
    for (catalog::ImpossibleValue& impossible :
         catalog::impossible_values(after, reading.job.dictionary)) {
        const auto is_same = [&](const catalog::ImpossibleValue& other) {
            return other.problem.found == impossible.problem.found;
        };
        if (std::any_of(known.begin(), known.end(), is_same)) continue;
        const Restated* at_fault = nullptr;
        for (const Restated& restated : reading.options.restated) {
            if (restated.ingredient != before.id) continue;
            if (at_fault == nullptr || restated.nutrient == impossible.nutrient)
                at_fault = &restated;
        }
        const catalog::Nutrient* nutrient = reading.job.dictionary.find(at_fault->nutrient);
        const bool told = nutrient != nullptr && nutrient->unit == "%" &&
                          at_fault->amount > catalog::most_percent(*nutrient);
        if (told) continue;  // by check_restated
        impossible.problem.file = "command line";
        impossible.problem.place = "--weaken " + at_fault->ingredient + '.' + at_fault->nutrient;
        reading.diagnostics.add(std::move(impossible.problem));
    }
}

void apply_price_list(Reading& reading, const PriceList& prices) {
    reading.job.inputs.push_back(prices.file);
    take_reading(reading, prices.reading);
    std::map<std::string, std::string> places;
    for (const PricedIngredient& row : prices.rows) {
        const std::string place = row.place + ", column ingredient";
        const std::string id = ingredient_meant(reading, row.ingredient, prices.file, place, true);
        if (id.empty()) continue;
        const auto [first, is_new] = places.emplace(id, place);
        if (!is_new) {
            reading.diagnostics.add(
                {prices.file, place, fmt::format("\"{}\", which is {} again", row.ingredient, id),
                 "each ingredient once", "It is there already: " + first->second});
            continue;
        }
        const auto at = std::find_if(reading.job.ingredients.begin(), reading.job.ingredients.end(),
                                     [&](const Choice& choice) { return choice.id == id; });
        if (at == reading.job.ingredients.end()) continue;
        at->price = row.price;
        if (row.per_litre) {
            const auto kilograms =
                kilograms_a_litre(reading, *at, prices.file, row.place + ", column price");
            if (kilograms) *at->price /= *kilograms;
        }
        if (row.min) at->min = row.min;
        if (row.max) at->max = row.max;
        if (at->min && at->max && *at->min > *at->max) {
            reading.diagnostics.add({prices.file, row.place,
                                     fmt::format("limits that leave {} no room", at->id),
                                     "min at most max", ""});
        }
    }
}

}  // namespace

void take_reading(Reading& reading, const base::TableReading& table) {
    Job& job = reading.job;
    job.tables.push_back(table);
    if (!base::same_currency(job.currency, table.currency)) {
        reading.diagnostics.add({table.file, "", "prices in " + table.currency,
                                 fmt::format("prices in {}, as in {}", job.currency, job.file),
                                 "Convert them to one currency"});
        return;
    }
    job.currency = base::clearer_currency(job.currency, table.currency);
}

void add_extras(Reading& reading) {
    for (const Extra& extra : reading.options.with) {
        const std::string place = "--with " + extra.ingredient;
        if (reading.job.find(extra.ingredient) == nullptr) {
            add_library_choice(reading, extra.ingredient, "command line", place);
            continue;
        }
        reading.diagnostics.add({"command line", place,
                                 fmt::format("the ingredient \"{}\" again", extra.ingredient),
                                 "each ingredient once",
                                 fmt::format("To try another price: --set {}.price={}",
                                             extra.ingredient, base::shortest(extra.price))});
    }
}

void set_contents(Reading& reading, const catalog::Ingredient& ingredient, Choice& choice) {
    std::optional<catalog::Ingredient> changed;
    for (const Restated& restated : reading.options.restated) {
        if (restated.ingredient != ingredient.id) continue;
        catalog::Ingredient own;
        own.id = ingredient.id;
        catalog::StatedValue value;
        value.nutrient = restated.nutrient;
        value.amount = restated.amount;
        value.source = "job";
        own.stated.push_back(std::move(value));
        changed = catalog::extended(changed ? *changed : ingredient, std::move(own),
                                    catalog::Scale::none, reading.job.dictionary);
    }
    if (changed) require_possible_as_restated(reading, ingredient, *changed);
    const catalog::Ingredient& stated = changed ? *changed : ingredient;
    const Job& job = reading.job;
    choice.composition = compose(stated, job.dictionary, job.animal);
    choice.variability =
        variability_of(stated, job.dictionary, job.animal, reading.library.variation());
}

void check_restated(Reading& reading) {
    for (const Restated& restated : reading.options.restated) {
        const std::string place = "--weaken " + restated.ingredient + '.' + restated.nutrient;
        if (reading.job.find(restated.ingredient) == nullptr) {
            reading.diagnostics.add(
                {"command line", place,
                 fmt::format("\"{}\", which is no ingredient of the job", restated.ingredient),
                 "an ingredient of the job",
                 base::did_you_mean(restated.ingredient, reading.job.ingredient_ids())});
        }
        const catalog::Nutrient* nutrient = reading.job.dictionary.find(restated.nutrient);
        if (nutrient != nullptr && nutrient->unit == "%" &&
            restated.amount > catalog::most_percent(*nutrient)) {
            reading.diagnostics.add(
                {"command line", place, base::shortest(restated.amount),
                 fmt::format("at most {} %", base::shortest(catalog::most_percent(*nutrient))),
                 ""});
        }
        if (nutrient == nullptr) {
            reading.diagnostics.add(
                {"command line", place,
                 fmt::format("the unknown nutrient \"{}\"", restated.nutrient),
                 "the id of a nutrient",
                 base::did_you_mean(restated.nutrient, reading.job.dictionary.ids())});
        }
    }
}

void add_candidates(Reading& reading) {
    for (const Candidate& candidate : reading.options.candidates) {
        const Meant meant = meant_by(reading.job, reading.library, candidate.ingredient, true);
        if (reading.job.find(meant.id) != nullptr) continue;
        Choice* choice =
            add_library_choice(reading, candidate.ingredient, candidate.file, candidate.place);
        if (choice == nullptr) continue;
        choice->price = candidate.price;
        choice->max = candidate.max;
        if (reading.recipe) choice->amount = 0;
    }
    sort_ingredients(reading.job);
}

void apply_amounts(Reading& reading) {
    Job& job = reading.job;
    for (const AskedAmount& asked : reading.options.amounts) {
        const std::string id = named_in(job, reading.library, asked.ingredient);
        const auto at = std::find_if(job.ingredients.begin(), job.ingredients.end(),
                                     [&](const Choice& c) { return c.id == id; });
        if (at == job.ingredients.end()) {
            reading.diagnostics.add(
                {"command line", asked.place,
                 fmt::format("\"{}\", which is no ingredient of the job", asked.ingredient),
                 "an ingredient of the job",
                 base::did_you_mean(asked.ingredient, job.ingredient_ids())});
            continue;
        }
        std::optional<double>& into = asked.what == AskedAmount::What::min   ? at->min
                                      : asked.what == AskedAmount::What::max ? at->max
                                                                             : at->stock_kg;
        into = asked.number;
        if (asked.what == AskedAmount::What::stock_kg && !job.batch_kg) {
            reading.diagnostics.add({"command line", asked.place, "no weight of a batch",
                                     "one, because a stock is what there is for one batch",
                                     "Add --batch 25kg"});
        }
        if (at->min && at->max && *at->min > *at->max) {
            reading.diagnostics.add(
                {"command line", asked.place,
                 fmt::format("limits that leave {} no room: at least {} %, at "
                             "most {} %",
                             at->id, base::shortest(*at->min), base::shortest(*at->max)),
                 "a minimum that is at most the maximum", ""});
        }
    }
}

void apply_prices(Reading& reading) {
    if (reading.options.prices) apply_price_list(reading, *reading.options.prices);
    for (const Extra& extra : reading.options.with) {
        for (Choice& choice : reading.job.ingredients) {
            if (choice.id == extra.ingredient) choice.price = extra.price;
        }
    }
}

}  // namespace feedwright::job
