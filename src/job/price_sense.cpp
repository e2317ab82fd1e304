// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/price_sense.hpp"

#include "base/number.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>
#include <vector>

namespace feedwright::job {

namespace {

constexpr double times_too_dear = 20;
constexpr std::size_t fewest_neighbours = 2;
constexpr std::string_view question = "Is the decimal point right, and is it the price of one kg?";

constexpr std::array<std::string_view, 5> dear_by_nature{"premix", "amino-acid", "acid", "binder",
                                                         "yeast-and-algae"};

// Of the prices above zero; what is free says nothing of what others cost.
double median(std::vector<double> prices) {
    std::sort(prices.begin(), prices.end());
    const std::size_t half = prices.size() / 2;
    return prices.size() % 2 == 1 ? prices[half] : (prices[half - 1] + prices[half]) / 2;
}

template <class Counts>
std::vector<double> prices_of_others(const Job& job, const Choice& choice, Counts counts) {
    std::vector<double> prices;
    for (const Choice& other : job.ingredients) {
        if (other.id != choice.id && other.price.value_or(0) > 0 && counts(other))
            prices.push_back(*other.price);
    }
    return prices;
}

void tell_of(Job& job, const Choice& choice) {
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
    const double usual = median(std::move(neighbours));
    if (*choice.price < times_too_dear * usual) return;
    job.notes.push_back(
        fmt::format("{} costs {} a kg, {} times the median price of {}, {}. {}", choice.name,
                    base::compact(*choice.price, 4), base::compact(*choice.price / usual, 2),
                    of_category ? fmt::format("the others of its kind ({})", choice.category)
                                : "the others of the list",
                    base::compact(usual, 4), question));
}

}  // namespace

void tell_of_prices(Job& job) {
    std::erase_if(job.notes, [](const std::string& note) { return note.ends_with(question); });
    for (const Choice& choice : job.ingredients)
        tell_of(job, choice);
}

}  // namespace feedwright::job
