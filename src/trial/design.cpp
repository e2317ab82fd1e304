// SPDX-License-Identifier: GPL-3.0-or-later
#include "trial/design.hpp"

#include "base/diagnostics.hpp"

#include <algorithm>
#include <random>
#include <utility>

namespace feedwright::trial {

namespace {

// A whole number below n, each equally likely: numbers past the last full multiple of n are thrown
// away.
std::uint64_t below(std::mt19937_64& engine, std::uint64_t n) {
    const std::uint64_t most = std::mt19937_64::max();
    const std::uint64_t limit = most - most % n;
    std::uint64_t drawn = engine();
    while (drawn >= limit)
        drawn = engine();
    return drawn % n;
}

void shuffle(std::vector<std::string>& list, std::mt19937_64& engine) {
    for (std::size_t i = list.size(); i > 1; --i)
        std::swap(list[i - 1], list[below(engine, i)]);
}

}  // namespace

TankPlan draw_plan(const std::vector<std::string>& diets, int tanks_per_diet, int blocks,
                   std::uint64_t seed) {
    if (diets.size() < 2 || tanks_per_diet < 1 || blocks < 0 ||
        (blocks > 0 && tanks_per_diet % blocks != 0)) {
        throw Error(
            "a tank plan needs two diets, a tank of each, and blocks that divide the tanks of a "
            "diet");
    }
    TankPlan plan;
    plan.seed = seed;
    plan.blocks = blocks;
    std::mt19937_64 engine(seed);
    const int groups = std::max(blocks, 1);
    int tank = 0;
    for (int block = 1; block <= groups; ++block) {
        std::vector<std::string> lots;
        for (const std::string& diet : diets) {
            lots.insert(lots.end(), static_cast<std::size_t>(tanks_per_diet / groups), diet);
        }
        shuffle(lots, engine);
        for (std::string& diet : lots)
            plan.tanks.push_back({++tank, blocks > 0 ? block : 0, std::move(diet)});
    }
    return plan;
}

double spread(const std::vector<double>& protein_percents) {
    if (protein_percents.empty()) throw Error("a spread of no diets");
    const auto [low, high] = std::minmax_element(protein_percents.begin(), protein_percents.end());
    return *high - *low;
}

}  // namespace feedwright::trial
