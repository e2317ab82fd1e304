// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/portion.hpp"
#include "search/additions.hpp"
#include "search/conflict.hpp"
#include "search/program.hpp"
#include "search/side_rows.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace feedwright::search {

namespace {

constexpr std::size_t most_shown = 5;

// The price of ingredient i at which the cheapest mix costs `target`; nullopt when it costs more
// even for nothing. The least cost is concave in the price, so Newton's steps from nothing never go
// too far.
std::optional<double> price_for(lp::LinearProgram program, std::size_t i, double target,
                                const lp::SolveOptions& options) {
    lp::Session session(program);
    double price = 0;
    constexpr int steps = 50;
    for (int step = 0; step < steps; ++step) {
        session.set_cost(i, price);
        const lp::Solution solution = session.solve(options);
        if (solution.status != lp::Status::optimal || !(solution.primal[i] > 0))
            return std::nullopt;
        const double gap = target - solution.objective;
        if (gap < -1e-12 * std::abs(target)) return step == 0 ? std::nullopt : std::optional(price);
        const double rise = gap / solution.primal[i];
        if (rise <= 1e-9 * price) return price > 0 ? std::optional(price) : std::nullopt;
        price += rise;
    }
    return price;
}

// The least of the ingredients `ids` together that makes a mix possible, and what the rest of the
// cheapest mix with so much of them costs; nullopt where they do not make it possible, or one of
// them is not needed for that.
std::optional<IngredientSet> examine_set(const job::Job& job, const std::vector<std::string>& ids,
                                         const lp::SolveOptions& options) {
    lp::LinearProgram program = SideRows(job, cheapest_program(job), false).holding_all();
    std::vector<std::size_t> places;
    for (const std::string& id : ids) {
        const job::Choice* choice = job.find(id);
        if (choice == nullptr) return std::nullopt;
        places.push_back(static_cast<std::size_t>(choice - job.ingredients.data()));
        program.set_cost(places.back(), 1);
    }
    const lp::Solution least = lp::solve(program, options);
    if (least.status != lp::Status::optimal) return std::nullopt;
    double total = 0;
    for (std::size_t k = 0; k < job.ingredients.size(); ++k)
        total += least.primal[k];
    IngredientSet set;
    for (const std::size_t i : places) {
        if (!(least.primal[i] > limits::least_share * total)) return std::nullopt;
        set.parts.push_back({job.ingredients[i].id,
                             job.ingredients[i].name,
                             100 * least.primal[i] / total,
                             {},
                             {}});
    }
    if (job::Portion(job).is_ration()) return set;
    for (std::size_t k = 0; k < job.ingredients.size(); ++k) {
        program.set_cost(k, *job.ingredients[k].price);
    }
    for (const std::size_t i : places) {
        program.set_cost(i, 0);
        // A hair more than the least, for rounding.
        program.set_column_limits(i, 0.0, least.primal[i] * (1 + 1e-9));
    }
    const lp::Solution rest = lp::solve(program, options);
    if (rest.status == lp::Status::optimal) set.rest_cost_per_kg = rest.objective;
    return set;
}

// The same of one ingredient, and the price below which it pays.
std::optional<IngredientFix> examine(const job::Job& job, const std::string& id,
                                     const Conflict& conflict, const lp::SolveOptions& options) {
    const auto set = examine_set(job, {id}, options);
    if (!set) return std::nullopt;
    IngredientFix fix = set->parts.front();
    if (job::Portion(job).is_ration()) return fix;
    fix.rest_cost_per_kg = set->rest_cost_per_kg;
    std::optional<double> cheapest;
    for (const Fix& other : conflict.fixes) {
        cheapest = std::min(cheapest.value_or(other.cost_per_kg), other.cost_per_kg);
    }
    if (!cheapest) return fix;
    lp::LinearProgram program = SideRows(job, cheapest_program(job), false).holding_all();
    for (std::size_t k = 0; k < job.ingredients.size(); ++k) {
        program.set_cost(k, *job.ingredients[k].price);
    }
    const std::size_t i = static_cast<std::size_t>(job.find(id) - job.ingredients.data());
    fix.pays_below = price_for(std::move(program), i, *cheapest, options);
    return fix;
}

bool pond_gives(const job::Job& job, std::string_view kind) {
    return job.pond && std::any_of(job.pond->supplies.begin(), job.pond->supplies.end(),
                                   [&](const catalog::Pond::Supply& supply) {
                                       return supply.kind == kind && supply.percent_of_need >= 100;
                                   });
}

// The premix that the animal needs beside all that makes a mix possible, where the job has none.
const job::Choice* missing_premix(const job::Job& job, const job::Job& wide) {
    if (!job.profile || job::Portion(job).is_ration()) return nullptr;
    if (pond_gives(job, "vitamins") && pond_gives(job, "minerals")) return nullptr;
    const auto is_for_animal = [](const job::Choice& choice) {
        return choice.role == "premix" && choice.made_for_animal;
    };
    if (std::any_of(job.ingredients.begin(), job.ingredients.end(), is_for_animal)) return nullptr;
    for (const job::Choice& choice : wide.ingredients) {
        if (is_for_animal(choice) && choice.at_label_rate) return &choice;
    }
    return nullptr;
}

void find_single(const std::vector<Additions::Found>& found, const std::vector<std::string>& ids,
                 const JobWith& with, Conflict& conflict, const lp::SolveOptions& options) {
    for (const Additions::Found& one : found) {
        if (conflict.ingredients.size() == most_shown) break;
        const std::string& id = ids[one.set.front()];
        if (auto fix = examine(with_any_prices(with({id})), id, conflict, options)) {
            conflict.ingredients.push_back(std::move(*fix));
        }
    }
    std::stable_sort(conflict.ingredients.begin(), conflict.ingredients.end(),
                     [](const IngredientFix& a, const IngredientFix& b) {
                         return a.least_percent < b.least_percent;
                     });
}

}  // namespace

void find_ingredients(const job::Job& job, const job::Job& wide, const JobWith& with,
                      Conflict& conflict, const lp::SolveOptions& options,
                      const std::vector<std::string>& preferred) {
    if (conflict.unfinished || cheapest_program(job).program().has_integers()) return;
    std::vector<std::string> ids;
    for (const std::string& id : preferred) {
        if (job.find(id) == nullptr && wide.find(id) != nullptr) ids.push_back(id);
    }
    for (const job::Choice& choice : wide.ingredients) {
        const bool listed = std::find(ids.begin(), ids.end(), choice.id) != ids.end();
        if (!listed && job.find(choice.id) == nullptr) ids.push_back(choice.id);
    }
    std::vector<std::size_t> places;
    for (const std::string& id : ids) {
        places.push_back(static_cast<std::size_t>(wide.find(id) - wide.ingredients.data()));
    }
    Additions additions(
        wide, places, [](const limits::Limit&) { return 1.0; }, options);
    constexpr std::size_t most_in_set = 4;
    constexpr std::size_t most_sets = 3;
    std::vector<Additions::Found> sets{additions.with({})};
    for (std::size_t size = 1; size <= most_in_set && !sets.empty(); ++size) {
        sets = additions.grow(sets, size == 1 ? 40 : 20);
        const auto enough = std::find_if(sets.begin(), sets.end(), [](const Additions::Found& one) {
            return one.missed > Additions::nothing;
        });
        const std::vector<Additions::Found> found(sets.begin(), enough);
        if (size == 1) {
            find_single(found, ids, with, conflict, options);
            if (!conflict.ingredients.empty()) break;
        } else {
            for (const Additions::Found& one : found) {
                if (conflict.sets.size() == most_sets) break;
                std::vector<std::string> names;
                for (const std::size_t k : one.set)
                    names.push_back(ids[k]);
                if (auto set = examine_set(with_any_prices(with(names)), names, options)) {
                    conflict.sets.push_back(std::move(*set));
                }
            }
            if (!conflict.sets.empty()) break;
        }
        sets.erase(sets.begin(), enough);
        constexpr std::size_t most_carried_on = 8;
        if (sets.size() > most_carried_on) sets.resize(most_carried_on);
    }
    const job::Choice* premix = missing_premix(job, wide);
    if (premix == nullptr) return;
    std::vector<std::string> first{premix->id};
    if (!conflict.ingredients.empty()) first.push_back(conflict.ingredients.front().id);
    if (!conflict.sets.empty()) {
        for (const IngredientFix& part : conflict.sets.front().parts)
            first.push_back(part.id);
    }
    if (first.size() == 1 || std::count(first.begin(), first.end(), premix->id) > 1) return;
    conflict.premix = {premix->id, premix->name, premix->rate_percent.value_or(0), {}, {}};
}

}  // namespace feedwright::search
