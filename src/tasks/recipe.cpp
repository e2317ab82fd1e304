// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/recipe.hpp"

#include "base/diagnostics.hpp"
#include "job/portion.hpp"
#include "limits/chance.hpp"
#include "search/cheapest.hpp"
#include "tasks/purchasable.hpp"

#include <algorithm>
#include <utility>

namespace feedwright::tasks {

namespace {

std::vector<job::Candidate> candidates(const MendRequest& request) {
    std::vector<job::Candidate> list;
    for (const std::string& id : request.with) {
        list.push_back({id, {}, {}, "command line", "--with"});
    }
    const auto add_all = [&](const job::PriceList& prices) {
        prices.problems.throw_if_any();
        for (const job::PricedIngredient& row : prices.rows) {
            if (row.per_litre) {
                throw base::DataError(base::Diagnostic{prices.file, row.place, "a price by volume",
                                                       "a price by weight", ""});
            }
            list.push_back({row.ingredient, row.price, row.max, prices.file,
                            row.place + ", column ingredient"});
        }
    };
    const auto& prices = request.recipe.options.prices;
    if (!request.from.empty()) {
        add_all(job::read_price_list(request.from));
    } else if (request.with.empty() && request.add_at_most && prices) {
        add_all(*prices);
    }
    return list;
}

// On the moisture that the recipe as it is asks for.
job::Job read_to_mend(const JobSource& source, catalog::Library& library) {
    job::Job recipe = read_recipe(source, library);
    if (auto dried = search::at_common_moisture(recipe, limits::check(recipe).assessment))
        return std::move(*dried);
    return recipe;
}

std::optional<search::Purchases> find_purchases(const JobSource& source, const Mended& mended,
                                                catalog::Library& library) {
    if (!mended.recipe.profile || job::Portion(mended.recipe).is_ration()) return std::nullopt;
    const search::Mending& mending = mended.mending;
    std::optional<limits::Judgement> on_hand;
    if (mending.before.passes) on_hand = mending.before.judgement;
    if (mending.smallest) on_hand = mending.smallest->judgement;
    if (on_hand && !search::lacks_something_to_buy(*on_hand)) return std::nullopt;
    std::vector<std::string> ids = purchasable(mended.recipe, library);
    const auto with = [&](const std::vector<std::string>& chosen) {
        JobSource wider = source;
        wider.strict = false;
        for (const std::string& id : chosen)
            wider.options.candidates.push_back({id, {}, {}, "library", id});
        return read_to_mend(wider, library);
    };
    job::Job wide = with(ids);
    if (source.strict) {
        // Nobody named them: what is unknown in them is no error, but then they are not proposed.
        for (const auto& [i, names] : unknown_contents(wide, library))
            std::erase(ids, wide.ingredients[i].id);
        wide = with(ids);
    }
    return search::find_purchases(
        wide, ids,
        [&](const std::vector<std::string>& chosen) { return search::settle(with(chosen)); },
        on_hand, mended.options);
}

bool has_low_premix(const limits::Judgement& judgement) {
    return std::any_of(
        judgement.findings.begin(), judgement.findings.end(),
        [](const limits::Finding& one) { return one.found == limits::Found::premix_under_rate; });
}

// A recipe that passes is left alone, but for a premix below its label rate: the change that
// brings it there, if one does.
void raise_premix(Mended& mended) {
    if (!has_low_premix(mended.mending.before.judgement)) return;
    search::MendOptions options = mended.options;
    options.even_if_it_passes = true;
    search::Mending mending = search::mend(mended.recipe, options);
    if (mending.smallest && !has_low_premix(mending.smallest->judgement))
        mended.mending = std::move(mending);
}

}  // namespace

Checked check(const JobSource& recipe, catalog::Library& library) {
    return check(read_recipe(recipe, library), library);
}

Checked check(job::Job recipe, catalog::Library& library) {
    Checked result{std::move(recipe), {}, {}};
    result.check = limits::check(result.recipe);
    if (auto dried = search::at_common_moisture(result.recipe, result.check.assessment)) {
        result.recipe = std::move(*dried);
        result.check = limits::check(result.recipe);
    }
    limits::add_chance(result.recipe, result.check.amounts, result.check.assessment);
    result.cautions = limits::cautions_for(result.recipe, result.check.amounts, library.cautions());
    return result;
}

Mended mend(const MendRequest& request, catalog::Library& library) {
    JobSource source = request.recipe;
    source.options.candidates = candidates(request);
    Mended result{search::settle(read_to_mend(source, library)), {}, {}, {}};
    refuse_sureness(result.recipe, "mend");
    result.options.add_at_most = request.add_at_most;
    result.options.solve = request.solve;
    result.mending = search::mend(result.recipe, result.options);
    if (result.mending.before.asked == 0) {
        throw base::DataError(base::Diagnostic{
            "", "mend", "a recipe without a profile and without limits", "what it is to meet",
            "Name a profile with --for, such as nile-tilapia/grow-out"});
    }
    if (result.mending.before.passes) raise_premix(result);
    search::Mending& mending = result.mending;
    limits::add_chance(result.recipe, mending.before.amounts, mending.before.assessment);
    for (auto* change : {&mending.smallest, &mending.cheapest}) {
        if (*change) limits::add_chance(result.recipe, (*change)->amounts, (*change)->assessment);
    }
    result.purchases = find_purchases(source, result, library);
    if (!request.from.empty()) result.recipe.inputs.push_back(request.from);
    return result;
}

}  // namespace feedwright::tasks
