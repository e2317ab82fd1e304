// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "feedwright/formulate/weighing.hpp"
#include "feedwright/job/job.hpp"

namespace feedwright::formulate {

/// A figure of practice and the source it rests on (an id of the library).
struct PracticeFigure {
    double low = 0;
    double high = 0;
    const char* source = "";
};

// Figures that the plan uses; docs/method.md says how.
namespace practice {
/// Below this percent of the batch an ingredient is diluted before it goes in.
inline constexpr PracticeFigure micro_percent{1, 1, "mixing-practice-memory"};
/// Weight of carrier, over that of the micro-ingredients, that the dilution ends with.
inline constexpr PracticeFigure carrier_ratio{5, 10, "mixing-practice-memory"};
/// Moisture of the mash, percent, at which it is pressed through a mincer.
inline constexpr PracticeFigure mash_moisture{25, 25, "khan2013"};
/// Minutes of mixing with the water: what mattered most to the pellets.
inline constexpr PracticeFigure mixing_minutes{4, 5, "vtt1993"};
/// Highest moisture of a dry pellet made on the farm, percent.
inline constexpr PracticeFigure dry_pellet_moisture{10, 10, "affris-barramundi-6"};
/// Air-drying, hours at degrees Celsius, of pellets pressed through a mincer.
inline constexpr PracticeFigure drying_hours{24, 24, "khan2013"};
inline constexpr PracticeFigure drying_temperature{24, 24, "khan2013"};
/// Moisture below which dry goods are stored, percent.
inline constexpr PracticeFigure storage_moisture{13, 13, "fao-storage-y1453e0b"};
}  // namespace practice

/// Every source the plan rests on.
std::vector<std::string> practice_sources();

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
    std::vector<PlanItem> bulk;   ///< dry, heaviest first
    std::vector<PlanItem> micro;  ///< dry and small, or a premix, a vitamin, an amino acid
    std::vector<PlanItem> moist;  ///< below 80 % dry matter: fresh or syrupy
    std::vector<PlanItem> oils;
    std::vector<PlanItem> liquids;    ///< water, vinegar
    std::optional<PlanItem> carrier;  ///< of the bulk; its grams are what the rounds take of it
    std::vector<DilutionRound> rounds;

    double batch_g = 0;            ///< everything weighed in
    std::optional<double> dry_g;   ///< dry matter; empty when too little is known of it
    std::vector<std::string> counted_dry;  ///< ingredients of unknown dry matter, counted as dry
    bool pellets = false;          ///< fish and crustaceans get pellets, others a dry mash
    std::optional<double> moisture;       ///< percent, of what is weighed in
    std::optional<double> water_g;        ///< to add for pressing; below zero: dry off first
    double target_moisture = 0;           ///< percent, of the finished feed
    bool target_is_asked = false;         ///< by the job; else it is practice
    std::optional<double> finished_g;     ///< weight at the target moisture
    std::optional<double> sample_g;       ///< what 1000 g of the moist mix weigh then
};

/// `weighing` is one of the job, and has a mix.
MixingPlan plan_mixing(const job::Job& job, const Weighing& weighing);

}  // namespace feedwright::formulate
