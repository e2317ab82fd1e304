// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/price_sense.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>
#include <vector>

namespace feedwright::job {

namespace {

constexpr double times_too_dear = 20;
constexpr std::size_t fewest_neighbours = 2;

constexpr std::array<std::string_view, 5> dear_by_nature{"premix", "amino-acid", "acid", "binder",
                                                         "yeast-and-algae"};

// Of the prices above zero; what is free says nothing of what others cost.
template <class Counts>
std::vector<double> prices_of_others(const Job& job, const Choice& choice, Counts counts) {
    std::vector<double> prices;
    for (const Choice& other : job.ingredients) {
        if (other.id != choice.id && other.price.value_or(0) > 0 && counts(other))
            prices.push_back(*other.price);
    }
    return prices;
}

void note_price(Job& job, const Choice& choice) {
    if (!(choice.price.value_or(0) > 0)) return;
    const bool has_category = !choice.category.empty();
    std::vector<double> neighbours = prices_of_others(job, choice, [&](const Choice& other) {
        return has_category && other.category == choice.category;
    });
    const bool of_category = neighbours.size() >= fewest_neighbours;
    if (!of_category) {
        const bool dear =
            choice.role == "vitamin_c" || std::find(dear_by_nature.begin(), dear_by_nature.end(),
                                                    choice.category) != dear_by_nature.end();
        if (dear) return;
        neighbours = prices_of_others(job, choice, [](const Choice&) { return true; });
        if (neighbours.size() < fewest_neighbours) return;
    }
    const double usual = base::median(std::move(neighbours));
    if (*choice.price < times_too_dear * usual) return;
    job.notes.push_back({.kind = Note::Kind::dear_price,
                         .name = choice.name,
                         .value = choice.price,
                         .number = usual,
                         .category = of_category ? choice.category : ""});
}

}  // namespace

void note_prices(Job& job) {
    std::erase_if(job.notes, [](const Note& note) {
        return note.kind == Note::Kind::dear_price || note.kind == Note::Kind::paid_to_take;
    });
    for (const Choice& choice : job.ingredients) {
        note_price(job, choice);
        if (choice.price.value_or(0) < 0) {
            job.notes.push_back(
                {.kind = Note::Kind::paid_to_take, .name = choice.name, .value = choice.price});
        }
    }
}

}  // namespace feedwright::job
