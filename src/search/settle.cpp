// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/portion.hpp"
#include "lp/cones.hpp"
#include "lp/solver.hpp"
#include "search/cheapest.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

namespace feedwright::search {

namespace {

// A limit that yields, and how soon it is thought of.
struct Yielding {
    bool* advisory;
    std::tuple<int, std::size_t> order;
};

int order_of(const job::Job& job, const std::string& nutrient, bool harms) {
    if (harms) return 0;
    switch (job::need_of(*job.dictionary.find(nutrient))) {
        case job::Need::energy:
            return 1;
        case job::Need::amino_acids:
            return 2;
        case job::Need::other:
            return 3;
        case job::Need::phosphorus:
            return 4;
        case job::Need::fatty_acids:
            return 5;
        case job::Need::minerals:
            return 6;
        case job::Need::vitamins:
            return 7;
    }
    return 8;
}

// Whether some mix meets what holds now. Whole numbers are left aside: they choose among mixes, and
// prices do not matter.
bool has_mix(const job::Job& job) {
    return lp::solve(cheapest_program(job).relaxed()).status == lp::Status::optimal;
}

// The same where what must hold surely does. Solved for the least that every cone has to give way
// by, of its scale: that has an optimum whether or not there is such a mix, while planes alone take
// many rounds to leave no point where one is missed by little.
bool has_sure_mix(const job::Job& job) {
    const FeedProgram feed = cheapest_program(job);
    lp::LinearProgram program = feed.relaxed();
    for (std::size_t c = 0; c < program.columns().size(); ++c)
        program.set_cost(c, 0);
    constexpr double room = 0.01;  // as much is room enough
    const std::size_t give = program.add_column({"give", 1, -room, {}, false});
    std::vector<lp::Cone> cones = feed.cones();
    for (lp::Cone& cone : cones)
        cone.entries.push_back({give, lp::scale_of(cone)});
    const lp::Solution found = lp::solve(program, cones).solution;
    return found.status == lp::Status::optimal && found.primal[give] <= lp::cone_tolerance;
}

constexpr double on_average = 50;  // percent of lots

// Of the limits that yield and hold on average, those that cannot hold surely with the rest hold on
// average alone; the most dangerous ones to miss are the first to be sure.
void settle_sureness(job::Job& job) {
    struct Sure {
        std::optional<double>* sure;
        std::optional<double> asked;
        std::tuple<int, std::size_t> order;
    };
    std::vector<Sure> yielding;
    for (job::NutrientLimit& limit : job.limits) {
        if (limit.yields && !limit.advisory) {
            yielding.push_back(
                {&limit.sure_percent,
                 limit.sure_percent,
                 {order_of(job, limit.nutrient, !limit.harms.empty()), yielding.size()}});
        }
    }
    for (job::RatioLimit& ratio : job.ratios) {
        if (ratio.yields && !ratio.advisory) {
            yielding.push_back({&ratio.sure_percent,
                                ratio.sure_percent,
                                {order_of(job, ratio.of, false), yielding.size()}});
        }
    }
    if (yielding.empty() || has_sure_mix(job)) return;
    std::sort(yielding.begin(), yielding.end(),
              [](const Sure& a, const Sure& b) { return a.order < b.order; });
    for (const Sure& one : yielding)
        *one.sure = on_average;
    if (!has_sure_mix(job)) return;
    for (const Sure& one : yielding) {
        *one.sure = one.asked;
        if (!has_sure_mix(job)) *one.sure = on_average;
    }
}

}  // namespace

job::Job settle(job::Job job) {
    std::vector<Yielding> yielding;
    for (job::NutrientLimit& limit : job.limits) {
        if (limit.yields) {
            yielding.push_back(
                {&limit.advisory,
                 {order_of(job, limit.nutrient, !limit.harms.empty()), yielding.size()}});
        }
    }
    for (job::RatioLimit& ratio : job.ratios) {
        if (ratio.yields)
            yielding.push_back(
                {&ratio.advisory, {order_of(job, ratio.of, false), yielding.size()}});
    }
    if (yielding.empty()) return job;
    std::vector<std::optional<double>> prices;
    for (job::Choice& choice : job.ingredients) {
        prices.push_back(choice.price);
        choice.price = choice.price.value_or(0);
    }
    for (const Yielding& one : yielding)
        *one.advisory = false;
    if (!has_mix(job)) {
        std::sort(yielding.begin(), yielding.end(),
                  [](const Yielding& a, const Yielding& b) { return a.order < b.order; });
        for (const Yielding& one : yielding)
            *one.advisory = true;
        if (has_mix(job)) {
            for (const Yielding& one : yielding) {
                *one.advisory = false;
                if (!has_mix(job)) *one.advisory = true;
            }
        }
    }
    if (job.sure_percent) settle_sureness(job);
    for (std::size_t i = 0; i < prices.size(); ++i)
        job.ingredients[i].price = prices[i];
    return job;
}

std::optional<job::Job> at_common_moisture(const job::Job& job,
                                           const limits::Assessment& assessment) {
    const job::Portion portion(job);
    if (portion.is_finished() || portion.is_ration() || !job.profile) return std::nullopt;
    if (!assessment.dry_matter || *assessment.dry_matter >= least_dry_matter) return std::nullopt;
    for (const job::Choice& choice : job.ingredients) {
        if (choice.composition.find("dry_matter") == nullptr) return std::nullopt;
    }
    job::Job dried = job;
    dried.finished_moisture = common_moisture;
    dried.moisture_assumed = true;
    dried.notes.push_back({.kind = job::Note::Kind::dried,
                           .value = 100 - *assessment.dry_matter,
                           .number = common_moisture});
    return dried;
}

}  // namespace feedwright::search
