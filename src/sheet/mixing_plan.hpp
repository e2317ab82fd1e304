// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "search/weighing.hpp"
#include "sheet/practice.hpp"

#include <optional>
#include <string>
#include <vector>

namespace feedwright::sheet {

struct PlanItem {
    std::string id;
    std::string name;
    double grams = 0;
    bool fine = false;                    ///< weighed on the fine scale
    std::vector<std::string> processing;  ///< what it needs first: heat, soak, grind …
};

/// One round of a dilution: so much carrier onto what is in the bowl.
struct DilutionRound {
    double bowl_g = 0;
    double carrier_g = 0;
    double total_g = 0;
};

/// The order of work for a weighed mix.
struct MixingPlan {
    Practice practice;            ///< what it goes by
    std::vector<PlanItem> bulk;   ///< dry, heaviest first
    std::vector<PlanItem> micro;  ///< dry and small, or a premix, a vitamin, an amino acid
    std::vector<PlanItem> moist;  ///< below 80 % dry matter: fresh or syrupy
    std::vector<PlanItem> oils;
    std::vector<PlanItem> liquids;    ///< water, vinegar
    std::optional<PlanItem> carrier;  ///< of the bulk; its grams are what the rounds take of it
    std::vector<DilutionRound> rounds;

    double batch_g = 0;                    ///< everything weighed in
    std::vector<std::string> counted_dry;  ///< ingredients of unknown dry matter, counted as dry
    bool pellets = false;                  ///< fish and crustaceans get pellets, others a dry mash
    std::optional<double> moisture;        ///< percent, of what is weighed in
    std::optional<double> water_g;         ///< to add for pressing; below zero: dry off first
    double target_moisture = 0;            ///< percent, of the finished feed
    bool target_is_asked = false;          ///< by the job; else it is practice
    std::optional<double> finished_g;      ///< weight at the target moisture
    std::optional<double> sample_g;        ///< what 1000 g of the moist mix weigh then
};

/// `weighing` is one of the job, and has a mix.
MixingPlan plan_mixing(const job::Job& job, const search::Weighing& weighing,
                       const Practice& practice);

}  // namespace feedwright::sheet
