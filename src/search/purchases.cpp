// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/purchases.hpp"

#include "search/additions.hpp"

#include <algorithm>
#include <cstddef>
#include <tuple>
#include <utility>

namespace feedwright::search {

namespace {

using limits::Found;
using limits::Severity;

// What a purchase can mend, of what a mix is warned of.
bool can_be_bought(const limits::Finding& one) {
    if (one.severity == limits::Severity::note) return false;
    switch (one.found) {
        case Found::no_premix:
        case Found::premix_for_others:
        case Found::premix_under_rate:
        case Found::short_of:
        case Found::above_safe:
        case Found::may_be_above_safe:
        case Found::past_cap:
        case Found::too_much:
            return true;
        default:
            return false;
    }
}

// Fewer and less dangerous findings are better. What is not known of the ingredients is no reason
// to buy others.
std::tuple<std::size_t, std::size_t> badness(const limits::Judgement& judgement) {
    std::size_t stops = 0;
    std::size_t warnings = 0;
    for (const limits::Finding& one : judgement.findings) {
        stops += one.severity == limits::Severity::stop ? 1 : 0;
        const bool unknown =
            one.found == Found::unknown_supply || one.found == Found::nothing_known;
        warnings += one.severity == limits::Severity::warn && !unknown ? 1 : 0;
    }
    return {stops, warnings};
}

// A limit that fails a recipe counts for far more than one it is only warned of.
double weight_of(const limits::Limit& limit) {
    constexpr double must = 100;
    return limit.weak ? 1 : must;
}

// Every limit that yields is asked here, so that what is chosen meets as many as can be.
job::Job asking_all(job::Job job) {
    for (job::NutrientLimit& limit : job.limits) {
        if (limit.yields) limit.advisory = false;
        limit.weak = limit.weak || limit.yields;
    }
    for (job::RatioLimit& ratio : job.ratios) {
        if (ratio.yields) ratio.advisory = false;
        ratio.weak = ratio.weak || ratio.yields;
    }
    // A premix that may come in does so at its label rate.
    for (job::Choice& choice : job.ingredients) {
        const bool is_new = !(choice.amount.value_or(0) > 0);
        const bool is_premix = choice.role == "premix" && choice.made_for_animal;
        if (is_new && is_premix && choice.rate_percent) choice.at_label_rate = true;
    }
    return job;
}

std::optional<Purchases> realised(job::Job recipe, const std::vector<std::string>& ids,
                                  const MendOptions& options) {
    Mending mending = mend(recipe, options);
    if (!mending.smallest || mending.smallest->judgement.verdict == limits::Verdict::unsafe) {
        return std::nullopt;
    }
    Purchases result;
    result.change = std::move(*mending.smallest);
    result.before = std::move(mending.before);
    const double batch = recipe.batch_kg.value_or(100);
    for (const MendedItem& item : result.change.changes) {
        if (std::find(ids.begin(), ids.end(), item.id) == ids.end() || !(item.after > 0)) continue;
        const job::Choice& choice = *recipe.find(item.id);
        result.items.push_back({item.id, item.name, item.after_percent, item.after * batch,
                                choice.made_for_animal && choice.role == "premix"});
    }
    if (result.items.empty()) return std::nullopt;
    std::stable_sort(result.items.begin(), result.items.end(),
                     [](const Purchase& a, const Purchase& b) { return a.percent > b.percent; });
    result.recipe = std::move(recipe);
    return result;
}

}  // namespace

bool lacks_something_to_buy(const limits::Judgement& judgement) {
    return std::any_of(judgement.findings.begin(), judgement.findings.end(), can_be_bought);
}

std::optional<Purchases> find_purchases(
    const job::Job& wide, const std::vector<std::string>& candidates,
    const std::function<job::Job(const std::vector<std::string>&)>& with,
    const std::optional<limits::Judgement>& best_on_hand, const MendOptions& options) {
    std::vector<std::size_t> places;
    std::vector<std::string> ids;
    Additions::Set always;
    const bool has_premix = std::any_of(
        wide.ingredients.begin(), wide.ingredients.end(), [](const job::Choice& choice) {
            return choice.role == "premix" && choice.made_for_animal &&
                   choice.amount.value_or(0) > 0;
        });
    for (const std::string& id : candidates) {
        const job::Choice* choice = wide.find(id);
        if (choice == nullptr || choice->amount.value_or(0) > 0) continue;
        const bool is_premix = choice->role == "premix";
        if (is_premix && (has_premix || !choice->made_for_animal)) continue;
        if (is_premix) always = {ids.size()};
        ids.push_back(id);
        places.push_back(static_cast<std::size_t>(choice - wide.ingredients.data()));
    }
    Additions additions(asking_all(wide), places, weight_of, options.solve);
    MendOptions exactly = options;
    exactly.add_at_most.reset();
    exactly.even_if_it_passes = true;
    std::optional<Purchases> best;
    auto least = best_on_hand ? std::optional(badness(*best_on_hand)) : std::nullopt;
    const auto look = [&](const Additions::Set& first) {
        constexpr std::size_t most_bought = 3;
        constexpr std::size_t most_carried_on = 6;
        std::vector<Additions::Found> sets{additions.with(first)};
        for (std::size_t size = first.size(); !sets.empty(); ++size) {
            // The best of every number of things are tried; a further thing must be worth buying.
            constexpr std::size_t most_tried = 4;
            for (std::size_t k = 0; k < sets.size() && k < most_tried; ++k) {
                if (sets[k].set.empty()) continue;
                std::vector<std::string> chosen;
                for (const std::size_t place : sets[k].set)
                    chosen.push_back(ids[place]);
                auto found = realised(with(chosen), chosen, exactly);
                if (!found) continue;
                const auto bad = badness(found->change.judgement);
                if (least && bad >= *least) continue;
                least = bad;
                best = std::move(found);
            }
            if (size == most_bought) break;
            if (sets.size() > most_carried_on) sets.resize(most_carried_on);
            sets = additions.grow(sets, size == first.size() ? 40 : 20);
        }
    };
    look(always);
    // Where a premix and two things are too few, three things that make the recipe pass go first.
    if (!best && !best_on_hand && !always.empty()) look({});
    return best;
}

}  // namespace feedwright::search
