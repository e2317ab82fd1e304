// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/mixing_plan.hpp"

#include "job/portion.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <tuple>

namespace feedwright::sheet {

namespace {

// Below this percent of dry matter a thing is moist: fresh, or a syrup.
constexpr double moist_below = 80;
// A dry matter that is known for less than this share of the batch says too little.
constexpr double least_known = 0.95;

bool is_micro(const MixingPlan& plan, const job::Choice& choice, double percent) {
    if (choice.role == "premix" || choice.role == "vitamin_c") return true;
    if (choice.category == "premix" || choice.category == "amino-acid") return true;
    return percent < plan.practice.micro_percent.low;
}

std::vector<PlanItem>& shelf_of(MixingPlan& plan, const job::Choice& choice, double percent) {
    if (choice.category == "water" || choice.category == "acid") return plan.liquids;
    if (choice.category == "oil") return plan.oils;
    const catalog::Amount* dry = choice.composition.find("dry_matter");
    if (dry != nullptr && dry->value < moist_below) return plan.moist;
    return is_micro(plan, choice, percent) ? plan.micro : plan.bulk;
}

// How well an ingredient carries others: fine, dry brans first.
int carrier_rank(const job::Choice& choice) {
    if (choice.role == "carrier") return 0;
    constexpr std::array<std::string_view, 3> order{"cereal-by-product", "cereal", "oilcake"};
    const auto at = std::find(order.begin(), order.end(), choice.category);
    return 1 + static_cast<int>(at - order.begin());
}

// Geometric dilution: each round doubles what is in the bowl. Three rounds make seven times the
// micro-ingredients' weight of carrier.
void dilute(const job::Job& job, double step_g, MixingPlan& plan) {
    if (plan.micro.empty() || plan.bulk.empty()) return;
    double bowl = 0;
    for (const PlanItem& item : plan.micro)
        bowl += item.grams;
    constexpr int most_rounds = 3;
    const double wanted = 7 * bowl;
    const auto key = [&](const PlanItem& item) {
        const bool enough = item.grams >= wanted;
        return std::tuple(!enough, enough ? carrier_rank(*job.find(item.id)) : 0, -item.grams);
    };
    const auto best =
        std::min_element(plan.bulk.begin(), plan.bulk.end(),
                         [&](const PlanItem& a, const PlanItem& b) { return key(a) < key(b); });
    PlanItem carrier = *best;
    double left = carrier.grams;
    carrier.grams = 0;
    for (int round = 0; round < most_rounds; ++round) {
        const double part = std::max(1.0, std::round(bowl / step_g)) * step_g;
        if (part > left) break;
        plan.rounds.push_back({bowl, part, bowl + part});
        carrier.grams += part;
        left -= part;
        bowl += part;
    }
    if (!plan.rounds.empty()) plan.carrier = std::move(carrier);
}

void add_moisture(const job::Job& job, const search::Weighing& weighing, MixingPlan& plan) {
    double dry = 0;
    double unknown = 0;
    for (const search::WeighedItem& item : weighing.mix) {
        const catalog::Amount* amount = job.find(item.id)->composition.find("dry_matter");
        if (amount == nullptr) {
            unknown += item.grams;
            dry += item.grams;
            plan.counted_dry.push_back(item.name);
        } else {
            dry += item.grams * amount->value / 100;
        }
    }
    const bool fish = job.animal.group == "fish" || job.animal.group == "crustacean";
    plan.pellets = fish;
    const auto asked = job::Portion(job).finished_moisture();
    plan.target_is_asked = asked.has_value();
    plan.target_moisture = asked.value_or(fish ? plan.practice.dry_pellet_moisture.high
                                               : plan.practice.storage_moisture.high);
    if (unknown > (1 - least_known) * plan.batch_g) return;
    plan.moisture = 100 * (1 - dry / plan.batch_g);
    plan.finished_g = dry / (1 - plan.target_moisture / 100);
    double moist = plan.batch_g;
    if (fish) {
        const double mash = dry / (1 - plan.practice.mash_moisture.low / 100);
        plan.water_g = mash - plan.batch_g;
        moist = mash;
    }
    plan.sample_g = 1000 * *plan.finished_g / moist;
}

}  // namespace

MixingPlan plan_mixing(const job::Job& job, const search::Weighing& weighing,
                       const Practice& practice) {
    MixingPlan plan;
    plan.practice = practice;
    for (const search::WeighedItem& item : weighing.mix)
        plan.batch_g += item.grams;
    for (const search::WeighedItem& item : weighing.mix) {
        const job::Choice& choice = *job.find(item.id);
        shelf_of(plan, choice, item.percent)
            .push_back({item.id, item.name, item.grams, item.fine, choice.processing});
    }
    dilute(job, weighing.scale.step_g, plan);
    add_moisture(job, weighing, plan);
    return plan;
}

}  // namespace feedwright::sheet
