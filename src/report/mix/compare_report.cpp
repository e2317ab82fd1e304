// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "base/text.hpp"
#include "report/json_sections.hpp"
#include "report/mix/compare.hpp"
#include "report/notes.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::report {

namespace {

using limits::LimitKind;
using limits::LimitResult;
using limits::Verdict;
using tasks::ChangedIngredient;
using tasks::ChangedNeed;
using tasks::ComparedRecipe;

using Recipes = std::vector<ComparedRecipe>;

std::string name_of(const ComparedRecipe& recipe) {
    const std::size_t slash = recipe.file.find_last_of("/\\");
    return slash == std::string::npos ? recipe.file : recipe.file.substr(slash + 1);
}

// The names of the columns, each its own.
std::vector<std::string> names_of(const Recipes& recipes) {
    std::vector<std::string> names;
    for (const ComparedRecipe& recipe : recipes) {
        std::string name = name_of(recipe);
        if (std::find(names.begin(), names.end(), name) != names.end())
            name = fmt::format("{} ({})", name, names.size() + 1);
        names.push_back(std::move(name));
    }
    return names;
}

std::string verdict_word(const ComparedRecipe& recipe) {
    const auto& judgement = recipe.checked.check.judgement;
    if (judgement.verdict) return std::string(to_string(*judgement.verdict));
    return recipe.checked.check.asked == 0 ? "not judged"
           : recipe.checked.check.passes   ? "meets the limits"
                                           : "misses limits";
}

void add_recipes(Document& document, const Recipes& recipes,
                 const std::vector<std::string>& names) {
    Table table;
    table.key = "recipes";
    table.columns = {{"recipe", Align::left, "recipe"},
                     {"verdict", Align::left, "verdict"},
                     {"cost per kg", Align::right, "cost_per_kg"},
                     {"change from the first", Align::right, "cost_change"}};
    for (std::size_t i = 0; i < recipes.size(); ++i) {
        const ComparedRecipe& recipe = recipes[i];
        const auto cost = recipe.checked.check.known_cost_per_kg();
        const auto verdict = recipe.checked.check.judgement.verdict;
        Cell word = text_cell(verdict_word(recipe));
        if (verdict) word.tone = *verdict == Verdict::complete ? Tone::good : Tone::bad;
        Cell change;
        if (recipe.cost_change) {
            change = number_cell(*recipe.cost_change, 4);
            if (*recipe.cost_change > 0) change.text = '+' + change.text;
        }
        table.rows.push_back(
            {text_cell(names[i]), word, cost ? price_cell(*cost) : Cell{}, change});
    }
    document.blocks.push_back(std::move(table));
}

void add_contents(Document& document, const Recipes& recipes,
                  const std::vector<std::string>& names) {
    std::vector<std::pair<std::string, std::string>> ingredients;  // id and name
    for (const ComparedRecipe& recipe : recipes) {
        for (const limits::MixItem& item : recipe.checked.check.items) {
            const std::pair<std::string, std::string> one{item.id, item.name};
            if (std::find(ingredients.begin(), ingredients.end(), one) == ingredients.end())
                ingredients.push_back(one);
        }
    }
    Table table;
    table.key = "mix";
    table.columns = {{"ingredient, % of mix", Align::left, "ingredient"}};
    for (const std::string& name : names)
        table.columns.push_back({name, Align::right, name});
    for (const auto& [id, name] : ingredients) {
        std::vector<Cell> row{text_cell(name)};
        for (const ComparedRecipe& recipe : recipes) {
            Cell cell = text_cell("-");
            for (const limits::MixItem& item : recipe.checked.check.items) {
                if (item.id == id) cell = number_cell(item.percent, 2);
            }
            row.push_back(cell);
        }
        table.rows.push_back(std::move(row));
    }
    document.blocks.push_back(Heading{"What is in them"});
    document.blocks.push_back(std::move(table));
}

const LimitResult* find(const ComparedRecipe& recipe, const limits::Limit& limit) {
    for (const LimitResult& result : recipe.checked.check.assessment.limits) {
        if (result.limit.id == limit.id && result.limit.unit == limit.unit) return &result;
    }
    return nullptr;
}

std::string side(const std::optional<double>& value) {
    return value ? base::compact(*value, 6) : "";
}

Cell state(const LimitResult& result) {
    Cell cell = amount_cell(result.value);
    if (result.met) return cell;
    if (result.nothing_known) return text_cell("not known", Tone::warn);
    constexpr double nearly_all = 95;  // percent of the mix with a value, as in the verdict
    const bool over = result.value && result.limit.max && *result.value > *result.limit.max;
    if (!over && result.known_percent < nearly_all) {
        cell.text += " or more: unknown";
        cell.tone = Tone::warn;
        return cell;
    }
    cell.text += over ? " above" : " below";
    cell.tone = Tone::bad;
    return cell;
}

void add_needs(Document& document, const Recipes& recipes, const std::vector<std::string>& names) {
    Table table;
    table.key = "limits";
    table.columns = {{"requirement", Align::left, "limit"},
                     {"minimum", Align::right, "min"},
                     {"maximum", Align::right, "max"}};
    for (const std::string& name : names)
        table.columns.push_back({name, Align::right, name});
    for (const LimitResult& first : recipes.front().checked.check.assessment.limits) {
        const limits::Limit& limit = first.limit;
        if (limit.kind != LimitKind::nutrient && limit.kind != LimitKind::ratio) continue;
        // What harms and is nowhere near its level says nothing here.
        const bool any_missed = std::any_of(recipes.begin(), recipes.end(), [&](const auto& r) {
            const LimitResult* result = find(r, limit);
            return result != nullptr && !result->met;
        });
        if ((limit.advisory || !limit.harms.empty()) && !any_missed) continue;
        const std::string unit = limits::unit_in_words(limit);
        std::vector<Cell> row{text_cell(limit.name + (unit.empty() ? "" : ", " + unit)),
                              Cell{side(limit.min), limit.min}, Cell{side(limit.max), limit.max}};
        for (const ComparedRecipe& recipe : recipes) {
            const LimitResult* result = find(recipe, limit);
            row.push_back(result == nullptr ? Cell{} : state(*result));
        }
        table.rows.push_back(std::move(row));
    }
    if (table.rows.empty()) return;
    document.blocks.push_back(Heading{"Requirements"});
    document.blocks.push_back(std::move(table));
}

std::string ingredient_change(const ChangedIngredient& changed) {
    if (!changed.replaced_percent) {
        return fmt::format("{} {} of {}", base::significant(changed.change, 3),
                           changed.first > 0 ? "% more" : "%", changed.name);
    }
    if (*changed.replaced_percent > 100 - 1e-9) return fmt::format("no {}", changed.name);
    return fmt::format("{} % of the {} replaced", base::significant(*changed.replaced_percent, 3),
                       changed.name);
}

void add_difference(Document& document, const ComparedRecipe& recipe, const std::string& name,
                    const std::string& first) {
    document.blocks.push_back(Heading{fmt::format("{}, compared with {}", name, first)});
    if (recipe.ingredients.empty()) {
        document.blocks.push_back(Paragraph{"It is the same mix.", Tone::plain});
        return;
    }
    std::vector<std::string> less;
    std::vector<std::string> more;
    for (const ChangedIngredient& changed : recipe.ingredients)
        (changed.replaced_percent ? less : more).push_back(ingredient_change(changed));
    Bullets bullets;
    if (!less.empty())
        bullets.items.push_back(
            {fmt::format("Less than in the first: {}.", base::join_words(less)), Tone::plain});
    if (!more.empty())
        bullets.items.push_back(
            {fmt::format("More than in the first: {}.", base::join_words(more)), Tone::plain});
    std::vector<std::string> lost;
    std::vector<std::string> gained;
    for (const ChangedNeed& need : recipe.needs) {
        if (need.met == need.met_in_first) continue;
        (need.met ? gained : lost).push_back(need.name);
    }
    if (!gained.empty()) {
        bullets.items.push_back(
            {fmt::format("Met, and not in the first: {}.", base::join_words(gained)), Tone::good});
    }
    if (!lost.empty()) {
        bullets.items.push_back(
            {fmt::format("Not met, but met in the first: {}.", base::join_words(lost)), Tone::bad});
    }
    document.blocks.push_back(std::move(bullets));
    Table table;
    table.key = "changes";
    table.data_only = true;
    table.columns = {{"", Align::left, "recipe"},  {"", Align::left, "ingredient"},
                     {"", Align::right, "first"},  {"", Align::right, "percent"},
                     {"", Align::right, "change"}, {"", Align::right, "replaced_percent"}};
    for (const ChangedIngredient& changed : recipe.ingredients) {
        table.rows.push_back({text_cell(name), text_cell(changed.id), Cell{"", changed.first},
                              Cell{"", changed.percent}, Cell{"", changed.change},
                              Cell{"", changed.replaced_percent}});
    }
    document.blocks.push_back(std::move(table));
}

struct Compared {
    const Recipes& recipes;
};

const Fields<ComparedRecipe>& recipe_fields() {
    static const Fields<ShownItem> item =
        only(item_fields(), {"id", "name", "percent", "price", "cost_per_kg", "batch_kg"});
    static const Fields<ChangedIngredient> ingredient{
        {"id", &ChangedIngredient::id, kebab},
        {"name", &ChangedIngredient::name},
        {"first", &ChangedIngredient::first, from_zero, "percent of the first recipe"},
        {"percent", &ChangedIngredient::percent, from_zero, "of this one"},
        {"change", &ChangedIngredient::change, anything, "points"},
        {"replaced_percent", &ChangedIngredient::replaced_percent, from_zero,
         "of what the first recipe has of it"}};
    static const Fields<ChangedNeed> need{
        {"limit", &ChangedNeed::id},    {"name", &ChangedNeed::name},
        {"unit", &ChangedNeed::unit},   {"first", &ChangedNeed::first},
        {"value", &ChangedNeed::value}, {"met_in_first", &ChangedNeed::met_in_first},
        {"met", &ChangedNeed::met}};
    const auto asked = [](const ComparedRecipe& of) { return of.checked.check.asked > 0; };
    const auto judged = [](const ComparedRecipe& of) {
        return Judged{of.checked.recipe, of.checked.check.judgement};
    };
    const auto head = [](const ComparedRecipe& of) -> const job::Job& { return of.checked.recipe; };
    const auto passes = [](const ComparedRecipe& of) { return of.checked.check.passes; };
    const auto cost = [](const ComparedRecipe& of) { return of.checked.check.known_cost_per_kg(); };
    const auto items = [](const ComparedRecipe& of) {
        return shown(of.checked.recipe, of.checked.check.items);
    };
    const auto assessment = [](const ComparedRecipe& of) -> const limits::Assessment& {
        return of.checked.check.assessment;
    };
    static const Fields<ComparedRecipe> list{
        {"recipe", &ComparedRecipe::file},
        {"passes", when(asked, passes)},
        {here, judged, judged_fields()},
        {here, head, head_fields()},
        {"cost_per_kg", cost},
        {"cost_change", &ComparedRecipe::cost_change, anything, "per kg, against the first"},
        {"mix", items, item},
        {"ingredients", &ComparedRecipe::ingredients, ingredient,
         "that differ from the first recipe, the greatest change first"},
        {"needs", &ComparedRecipe::needs, need, "against the first recipe"},
        {here, assessment, assessment_fields()}};
    return list;
}

const Format<Compared>& comparison_format() {
    const auto recipes = [](const Compared& of) -> const Recipes& { return of.recipes; };
    static const Format<Compared> format{"comparison",
                                         "The result of check for several recipes",
                                         {{"recipes", recipes, recipe_fields()}}};
    return format;
}

}  // namespace

Document comparison_document(const Recipes& recipes) {
    Document document;
    document.title = "Recipes side by side";
    const job::Job& first = recipes.front().checked.recipe;
    add_profile(document, first);
    const std::vector<std::string> names = names_of(recipes);
    add_recipes(document, recipes, names);
    for (std::size_t i = 0; i < recipes.size(); ++i) {
        for (const std::string& note : sentences(recipes[i].checked.recipe.notes))
            document.blocks.push_back(Paragraph{names[i] + ": " + note, Tone::warn});
    }
    add_contents(document, recipes, names);
    for (std::size_t i = 1; i < recipes.size(); ++i)
        add_difference(document, recipes[i], names[i], names.front());
    add_needs(document, recipes, names);
    document.blocks.push_back(
        Paragraph{"\"feedwright check\" with one recipe alone explains its verdict.", Tone::quiet});
    add_sources(document, first, recipes.front().checked.check.assessment.limits);
    return document;
}

std::string comparison_json(const Recipes& recipes, const Run& run) {
    return to_json(comparison_format(), {recipes}, run);
}

std::string comparison_schema() {
    return schema_of(comparison_format());
}

}  // namespace feedwright::report
