// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"
#include "base/units.hpp"
#include "catalog/extension.hpp"
#include "catalog/loading.hpp"
#include "catalog/plausible.hpp"
#include "job/label.hpp"
#include "job/reading.hpp"
#include "job/recipe_within.hpp"
#include "job/table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace feedwright::job {

namespace {

using base::JsonView;
using catalog::Basis;

void describe(Choice& choice, const catalog::Ingredient& ingredient) {
    choice.name = ingredient.name;
    choice.category = ingredient.category;
    choice.role = ingredient.role;
    choice.processing = ingredient.processing;
    choice.kin = ingredient.kin;
}

Choice* add(Reading& reading, Choice choice, const std::string& file, const std::string& place,
            const std::string& written = {}) {
    const auto [first, is_new] = reading.places.emplace(choice.id, place);
    if (!is_new) {
        const bool by_name = !written.empty() && written != choice.id;
        reading.diagnostics.add(
            {file, place,
             by_name ? fmt::format("\"{}\", which is {} again", written, choice.id)
                     : fmt::format("the ingredient \"{}\" again", choice.id),
             "each ingredient once", fmt::format("It is there already: {}", first->second)});
        return nullptr;
    }
    reading.job.ingredients.push_back(std::move(choice));
    return &reading.job.ingredients.back();
}

void own_value(Reading& reading, const JsonView& view, const std::string& nutrient, Basis basis,
               catalog::Ingredient& own) {
    const catalog::Nutrient* known = catalog::find_nutrient(view, nutrient, reading.job.dictionary);
    if (known == nullptr) return;
    if (view.is_object()) {
        if (auto value = catalog::read_spread_value(view, *known, basis)) {
            value->source = "job";
            // Whoever measured several took them of what is bought, unless the file says otherwise.
            if (value->sd && value->spread == catalog::Spread::unstated)
                value->spread = catalog::Spread::lots;
            own.stated.push_back(std::move(*value));
        }
    } else if (const auto amount = catalog::read_amount(view, *known, basis)) {
        own.stated.push_back({nutrient, *amount, basis, "job", {}, {}, "", {}, false});
    }
}

Choice* add_inline(Reading& reading, const JsonView& item, const JsonView& id_view,
                   const std::string& id) {
    catalog::require_id(id_view, id, '-');
    catalog::Ingredient own;
    own.id = id;
    own.name = item.string("name").value_or(item.has("extend") ? "" : id);
    own.category = item.string("category").value_or("");
    const Basis basis = catalog::read_basis(item);
    if (const auto dry_matter = item.member("dry_matter")) {
        own_value(reading, *dry_matter, "dry_matter", Basis::as_fed, own);
    }
    if (const auto nutrients = item.member("nutrients")) {
        for (const auto& [nutrient, value] : nutrients->members()) {
            if (nutrient == "dry_matter" && item.has("dry_matter")) {
                value.problem_found("dry_matter twice", "it once");
                continue;
            }
            own_value(reading, value, nutrient, nutrient == "dry_matter" ? Basis::as_fed : basis,
                      own);
        }
    }
    const catalog::IngredientLookup lookup{
        [&reading](std::string_view other) {
            const auto kind = reading.library.meaning_of(other);
            const bool plain = kind.kind == catalog::Meaning::Kind::name;
            return reading.library.ingredient(plain ? kind.ingredients.front() : other);
        },
        [&reading] { return reading.library.ingredient_ids(); }};
    const catalog::Ingredient* same = reading.library.ingredient(id);
    if (same != nullptr && !item.has("nutrients") && !item.has("extend")) {
        // The library's ingredient, of which only the dry matter is another.
        if (!item.has("name")) own.name = same->name;
        const bool has_dry_matter = std::any_of(
            same->stated.begin(), same->stated.end(),
            [](const auto& value) { return value.nutrient == "dry_matter" && value.amount > 0; });
        own = catalog::extended(*same, std::move(own),
                                has_dry_matter ? catalog::Scale::dry_matter : catalog::Scale::none,
                                reading.job.dictionary);
    } else {
        own = catalog::extend_as_asked(item, std::move(own), reading.job.dictionary, lookup);
    }
    Choice choice;
    choice.id = id;
    describe(choice, own);
    if (basis != Basis::as_fed) {
        const auto states = [&](std::string_view nutrient) {
            return std::any_of(own.stated.begin(), own.stated.end(),
                               [&](const auto& value) { return value.nutrient == nutrient; });
        };
        if (basis == Basis::dry_matter && !states("dry_matter")) {
            item.problem_found("amounts on dry matter and no \"dry_matter\"",
                               "the dry matter in percent");
        }
        if (basis == Basis::of_protein) {
            item.member("basis")->problem("as_fed or dry_matter");
        }
    }
    catalog::require_possible(item, own, reading.job.dictionary);
    set_contents(reading, own, choice);
    return add(reading, std::move(choice), item.file(), id_view.place());
}

// A bought feed, of which only its label is known.
Choice* add_bag(Reading& reading, const JsonView& item, const JsonView& id_view,
                const std::string& id) {
    catalog::require_id(id_view, id, '-');
    for (const char* beside : {"nutrients", "dry_matter", "basis", "extend", "scale"}) {
        if (!item.has(beside)) continue;
        item.member(beside)->problem_found(fmt::format("\"{}\" beside a label", beside),
                                           "one of the two",
                                           "What else is known of a bought feed goes into its "
                                           "label");
    }
    catalog::Ingredient own;
    own.id = id;
    own.name = item.string("name").value_or(id);
    own.category = item.string("category").value_or("");
    const JsonView label = *item.member("label");
    catalog::read_label(label, reading.job.dictionary, own);
    catalog::require_possible(item, own, reading.job.dictionary);
    Choice choice;
    choice.id = id;
    describe(choice, own);
    set_contents(reading, own, choice);
    if (!own.label->animal.empty()) {
        take_label(reading.library, own, item.file(), label.place(), choice, reading.diagnostics);
    }
    return add(reading, std::move(choice), item.file(), id_view.place());
}

// A recipe that one mixes first, such as a premix of one's own.
Choice* add_recipe(Reading& reading, const JsonView& item, const JsonView& id_view,
                   const std::string& id) {
    catalog::require_id(id_view, id, '-');
    for (const char* beside :
         {"nutrients", "dry_matter", "basis", "extend", "scale", "label", "category"}) {
        if (!item.has(beside)) continue;
        item.member(beside)->problem_found(fmt::format("\"{}\" beside a recipe", beside),
                                           "one of the two",
                                           "What a recipe holds follows from what is in it");
    }
    Choice choice = recipe_within(reading, *item.member("recipe"));
    choice.id = id;
    choice.name = item.string("name").value_or(id);
    return add(reading, std::move(choice), item.file(), id_view.place());
}

void read_price(const JsonView& item, Choice& choice) {
    const auto view = item.member("price");
    if (!view) return;
    if (view->is_string()) {
        choice.price = parse_ingredient_price(view->value().string);
        if (!choice.price) view->problem(price_form, price_hint(view->value().string));
    } else if (view->is_number()) {
        choice.price = view->value().number;
    } else {
        view->problem(price_form);
    }
}

void read_shares(Reading& reading, const JsonView& item, Choice& choice) {
    const double most = reading.job.free_total ? unlimited : 100;
    const auto share = [&](std::string_view key) -> std::optional<double> {
        const auto view = item.member(key);
        if (!view) return std::nullopt;
        const auto value = view->as_number();
        if (value && (*value < 0 || *value > most)) {
            view->problem(reading.job.free_total ? "kg, zero or more"
                                                 : "percent of the mix, from 0 to 100");
            return std::nullopt;
        }
        return value;
    };
    choice.min = share("min");
    choice.max = share("max");
    choice.min_if_used = share("min_if_used");
    catalog::require_order(item, choice.min, choice.max);
    if (choice.min_if_used && choice.max && *choice.min_if_used > *choice.max) {
        item.member("min_if_used")->problem("at most the max of this ingredient");
    }
    if (const auto stock = item.member("stock_kg")) {
        const auto kg = stock->as_number();
        if (kg && *kg < 0) {
            stock->problem("kg, zero or more");
        } else {
            choice.stock_kg = kg;
        }
    }
    const auto amount = item.member("amount");
    if (amount && !reading.recipe) {
        amount->problem_found("an amount in a job", "no amount",
                              "A recipe has amounts: use \"format\": \"feedwright-recipe/1\" "
                              "and the command check");
    } else if (amount) {
        const auto parts = amount->as_number();
        if (parts && *parts < 0) {
            amount->problem("parts, zero or more");
        } else {
            choice.amount = parts;
        }
    } else if (reading.recipe) {
        item.problem_found("no \"amount\"", "the parts of this ingredient");
    }
}

void read_ingredient(Reading& reading, const JsonView& item) {
    item.allow_only({"id", "name", "price", "min", "max", "min_if_used", "stock_kg", "amount",
                     "dry_matter", "basis", "nutrients", "category", "note", "extend", "scale",
                     "label", "recipe"});
    const auto id = item.required("id");
    const auto text = id ? id->as_string() : std::nullopt;
    if (!text) return;
    Choice* choice = nullptr;
    if (item.has("recipe")) {
        choice = add_recipe(reading, item, *id, *text);
    } else if (item.has("label")) {
        choice = add_bag(reading, item, *id, *text);
    } else if (item.has("nutrients") || item.has("dry_matter") || item.has("extend")) {
        choice = add_inline(reading, item, *id, *text);
    } else {
        choice = add_library_choice(reading, *text, item.file(), id->place());
    }
    Choice unusable;  // what else is wrong with it is told all the same
    if (choice == nullptr) choice = &unusable;
    if (const auto name = item.string("name")) choice->name = *name;
    read_price(item, *choice);
    read_shares(reading, item, *choice);
}

}  // namespace

Choice* add_library_choice(Reading& reading, const std::string& written, const std::string& file,
                           const std::string& place) {
    Choice choice;
    choice.id = ingredient_meant(reading, written, file, place, false);
    if (choice.id.empty()) return nullptr;
    // One of the job's own has no entry there; it is in the job, and add tells of that.
    if (const catalog::Ingredient* ingredient = reading.library.ingredient(choice.id)) {
        describe(choice, *ingredient);
        set_contents(reading, *ingredient, choice);
        if (ingredient->label) {
            take_label(reading.library, *ingredient, file, place, choice, reading.diagnostics);
        }
    }
    return add(reading, std::move(choice), file, place, written);
}

void read_ingredients(Reading& reading, const JsonView& root) {
    for (const JsonView& item : root.array("ingredients"))
        read_ingredient(reading, item);
}

void sort_ingredients(Job& job) {
    std::sort(job.ingredients.begin(), job.ingredients.end(),
              [](const Choice& a, const Choice& b) { return a.id < b.id; });
}

}  // namespace feedwright::job
