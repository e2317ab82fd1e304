// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/weighing_near.hpp"

#include "job/portion.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <utility>
#include <vector>

namespace feedwright::search {

namespace {

constexpr double smallest_factor = 0.5;
constexpr double largest_factor = 2;

bool is_weight(const Obstacle& obstacle) {
    return obstacle.min_g || obstacle.max_g;
}

// Whether a batch of `factor` times the size leaves a whole number of steps to what was in the way.
bool clears(const Obstacle& obstacle, double factor) {
    if (!is_weight(obstacle)) return true;  // to be seen
    constexpr double rounding = 1e-9;
    const double least = obstacle.min_g.value_or(0) * factor / obstacle.step_g;
    const double step = std::ceil(least * (1 - rounding));
    return !obstacle.max_g || step <= *obstacle.max_g * factor / obstacle.step_g * (1 + rounding);
}

// Sizes of a batch for which every weight that was in the way is a whole number of steps, the
// closest first.
std::vector<double> factors(const Weighing& failed) {
    std::vector<double> all;
    for (const Obstacle& obstacle : failed.obstacles) {
        if (!is_weight(obstacle)) continue;
        const double grams = obstacle.max_g.value_or(obstacle.min_g.value_or(0));
        if (!(grams > 0)) continue;
        const double most = std::floor(largest_factor * grams / obstacle.step_g);
        for (double steps = 1; steps <= std::min(most, 1000.0); ++steps)
            all.push_back(steps * obstacle.step_g / grams);
    }
    for (const double plain : {0.5, 0.75, 1.25, 1.5, 2.0})
        all.push_back(plain);
    std::erase_if(all, [&](double factor) {
        return factor < smallest_factor || factor > largest_factor ||
               !std::all_of(failed.obstacles.begin(), failed.obstacles.end(),
                            [&](const Obstacle& one) { return clears(one, factor); });
    });
    std::stable_sort(all.begin(), all.end(), [](double a, double b) {
        return std::abs(std::log(a)) < std::abs(std::log(b));
    });
    return all;
}

class Clock {
  public:
    explicit Clock(double seconds) : left_(seconds) {}
    double left() const {
        const std::chrono::duration<double> gone = std::chrono::steady_clock::now() - start_;
        return left_ - gone.count();
    }

  private:
    std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
    double left_;
};

}  // namespace

std::optional<NearWeighing> weigh_near(const job::Job& job, const Formulation& exact,
                                       const Weighing& failed, const lp::SolveOptions& options) {
    const job::Portion portion(job);
    if (portion.is_ration() || !job.batch_kg) return std::nullopt;
    const Clock clock(options.time_limit_seconds);
    const auto tried = [&](const job::Job& asked,
                           const WeighingScale& scale) -> std::optional<NearWeighing> {
        lp::SolveOptions within = options;
        within.time_limit_seconds = clock.left() / 2;
        if (!(within.time_limit_seconds > 0)) return std::nullopt;
        Weighing weighing = weigh(asked, exact, scale, within);
        if (weighing.amounts.empty()) return std::nullopt;
        return NearWeighing{*asked.batch_kg, false, std::move(weighing)};
    };
    const bool has_stock =
        std::any_of(job.ingredients.begin(), job.ingredients.end(),
                    [](const job::Choice& choice) { return choice.stock_kg.has_value(); });
    if (!has_stock) {
        constexpr std::size_t most_tried = 5;
        std::vector<double> sizes = factors(failed);
        sizes.resize(std::min(sizes.size(), most_tried));
        const double step_kg = failed.scale.step_g / 1000;
        for (const double factor : sizes) {
            job::Job other = job;
            other.batch_kg = step_kg * std::round(*job.batch_kg * factor / step_kg);
            if (!(*other.batch_kg > 0) || *other.batch_kg == *job.batch_kg) continue;
            if (auto found = tried(other, failed.scale)) {
                found->other_batch = true;
                return found;
            }
        }
    }
    // What is in the way goes on a finer scale, up to the heaviest of it.
    double heaviest = 0;
    for (const Obstacle& obstacle : failed.obstacles)
        heaviest = std::max(heaviest, obstacle.max_g.value_or(obstacle.min_g.value_or(0)));
    for (const double part : {10.0, 50.0, 100.0}) {
        WeighingScale scale = failed.scale;
        const double finest = scale.fine_step_g.value_or(scale.step_g);
        scale.fine_step_g = finest / part;
        scale.fine_below_g =
            std::max(scale.fine_below_g, scale.step_g * std::ceil(heaviest / scale.step_g + 1));
        if (auto found = tried(job, scale)) return found;
    }
    return std::nullopt;
}

}  // namespace feedwright::search
