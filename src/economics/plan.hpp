// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/profile.hpp"
#include "economics/growth.hpp"
#include "economics/make_or_buy.hpp"
#include "economics/water.hpp"

#include <chrono>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

// A plan (feedwright-plan/1): stock so many animals of this size, and see week by week what they
// weigh, what they eat, which pellet they take and what has to be made or bought, up to the
// harvest. Weights of animals are grams, all other amounts kilograms.
namespace feedwright::economics {

/// A value that holds from this day on.
struct DayStep {
    double day = 0;
    double value = 0;
};

/// A weighing, or a weight hoped for; between two of them weight and number go in a straight line.
struct GrowthPoint {
    double day = 0;
    double weight_g = 0;
    std::optional<double> number;
};

enum class Growth {
    tgc,      ///< W^(1/3) rises by TGC/1000 x temperature a day
    sgr,      ///< W rises by a factor exp(SGR/100) a day
    fed,      ///< W rises by ration / FCR
    weighed,  ///< as the weighings say
    none,     ///< animals that no longer grow, on a fixed daily feed
};

enum class FeedFrom { ration, fcr, intake };

/// What a plan took for granted, or what to know of it; the words are made in reports.
struct PlanNote {
    enum class Kind {
        all_survive,          ///< nobody gave losses
        growth_from_rations,  ///< at an FCR of `value`, the middle of the published `range`
        rations_for,          ///< water of `value` C
        nearest_rations,      ///< are for water of `value` C, and the plan's is `own` C
        follows_water,        ///< rations and growth are `value` times those for water of
                              ///< `range` C, because it has `own` C; `name` is the source
        slower_growth,        ///< `name` grows best within `range` C, and the water has `value` C
        fed_by_fcr,           ///< feed is growth times FCR where no feeding rate is known
        pack_unused,          ///< `name` is no ingredient of the mix
        batch_lasts,          ///< `value` days; `name` says how long feed keeps
        drying,               ///< `name` says what to know of it
        other_fcr             ///< the venture gives the home feed an FCR of `value`
    };
    Kind kind = Kind::all_survive;
    std::string name{};
    double value = 0;
    double own = 0;
    catalog::Range range{};
    bool operator==(const PlanNote&) const = default;
};

/// That animals will grow slower than planned: their growth does not follow the water, and that is
/// off the band in which they grow best.
struct GrowthCaution {
    std::string animal;
    catalog::Range water;  ///< degrees Celsius, of the days that are off
    catalog::Range best;
    bool own_growth =
        false;           ///< the plan's growth or rations are the user's, perhaps of such water
    bool tried = false;  ///< `best` is what a trial of growth covered, and not where it is best
};

struct Plan {
    std::string file;  ///< empty: the plan came from options of the command line
    std::string title;
    std::string note;     ///< what the file says about itself
    std::string species;  ///< id of a profile; empty when the plan brings its own rations or FCR
    double number = 0;
    double start_g = 0;
    std::optional<double> target_g;
    std::optional<int> days;
    std::vector<DayStep> temperature;
    std::optional<double> survival_percent;  ///< of those stocked, alive at the end
    Growth growth = Growth::none;
    double rate = 0;  ///< TGC, SGR or FCR, as `growth` says
    std::vector<GrowthPoint> weighings;
    std::optional<double> intake_g;  ///< a day and animal
    std::optional<double> fcr;
    bool feed_by_fcr = false;  ///< feed is gain times FCR, whatever rations are known
    std::vector<catalog::FeedingRate> rations;  ///< the user's own; they win over the profile's
    std::optional<std::chrono::sys_days> start;
    int adjust_every_days = 7;
    std::optional<double> home_feed_from_g;             ///< smaller animals get the bought feed
    std::optional<double> pack_kg;                      ///< of the bought feed
    std::vector<std::pair<std::string, double>> packs;  ///< ingredient id, kg in a pack
    std::optional<double> tank_l;
    std::string venture_file;
    std::vector<PlanNote> notes;
};

inline constexpr int longest_plan_days = 3660;

/// Reads a plan; throws DataError with every problem found.
Plan load_plan(const std::string& path);
Plan parse_plan(std::string text, const std::string& file);

/// An ingredient of the home feed.
struct PlanIngredient {
    std::string id;
    std::string name;
    double percent = 0;  ///< of the mix as it goes into the mixer
    std::optional<double> price_per_kg;
};

/// What the caller knows beside the plan.
struct PlanContext {
    const catalog::Profile* profile = nullptr;
    std::optional<Venture> venture;  ///< its materials already priced
    std::vector<PlanIngredient> mix;
    std::vector<Shortfall> short_of;  ///< what the home feed's check fell short of
    std::vector<KeepingFact> keeping;
    std::optional<double> home_protein_percent{};  ///< crude protein of the home feed, as fed
    /// How growth follows the water, and what feed asks of it; nullptr: not known.
    const catalog::WaterRules* water = nullptr;
};

/// One feeding period: the animals as they are on its first day and what they get a day until its
/// last.
struct PlanRow {
    int number = 0;  ///< from 1
    int first_day = 0;
    int days = 0;
    std::string date;  ///< of the first day, when the plan has a start date
    std::string stage;
    double weight_g = 0;
    double animals = 0;
    double biomass_kg = 0;
    std::optional<double> temperature_c;
    FeedFrom feed_from = FeedFrom::ration;
    std::optional<catalog::Range> ration_percent;
    double feed_per_day_kg = 0;
    std::optional<catalog::Range> pellet_mm;
    std::optional<catalog::Range> meals_per_day;
    double feed_kg = 0;
    double cumulative_feed_kg = 0;
    bool home = true;  ///< home feed, not the bought one
};

struct StageTotal {
    std::string stage;
    int days = 0;
    double feed_kg = 0;
};

/// Something to buy. `packs` is empty when no pack size is known.
struct ShoppingLine {
    std::string id{};  ///< of an ingredient; empty for bought feed
    std::string name{};
    std::optional<catalog::Range> pellet_mm{};  ///< of bought feed, where it is known
    double kg = 0;
    std::optional<double> pack_kg{};
    std::optional<int> packs{};
    std::optional<double> cost{};  ///< of the whole packs, or of the kilograms where there are none
};

/// A batch and the day it has to be ready.
struct BatchDate {
    int number = 0;
    int day = 0;
    std::string date;
    double mixed_kg = 0;
};

struct GrowingNeed {
    std::string ingredient;
    YieldKind kind = YieldKind::area;
    double peak_kg_per_day = 0;  ///< dry matter, on the day of most feed
    double mean_kg_per_day = 0;
    double peak_area_m2 = 0;  ///< for YieldKind::area
    double mean_area_m2 = 0;
    double peak_substrate_kg_per_week = 0;
    double have = 0;  ///< area or substrate that the venture has
};

struct FeedCost {
    double feed_kg = 0;
    double cost = 0;
    std::optional<double> cost_per_kg_gain;
};

struct PlanResult {
    std::string title;
    std::string note;          ///< what the file says about itself
    std::string species_name;  ///< as the number of them asks: "laying hens"
    std::optional<GrowthCaution> growth_caution;
    std::string currency;
    int days = 0;
    double start_g = 0;
    double end_g = 0;
    double stocked = 0;
    double harvested = 0;
    double start_biomass_kg = 0;
    double end_biomass_kg = 0;
    double gain_kg = 0;
    double feed_kg = 0;
    std::optional<double> feed_low_kg;  ///< at the low end of the published rations
    std::optional<double> feed_high_kg;
    std::optional<double> fcr;  ///< feed / (end - start biomass), where there is a gain
    std::optional<catalog::Range> expected_fcr;  ///< published
    std::optional<NitrogenLoss> nitrogen;  ///< of fish, where the protein of the feeds is known
    std::optional<WaterLoad> load;         ///< where the plan gives the volume of water
    std::string harvest_date;
    std::vector<PlanRow> rows;
    std::vector<StageTotal> stages;
    std::vector<ShoppingLine> bought;       ///< bought feed that the plan itself uses, by pellet
    std::vector<ShoppingLine> all_bought;   ///< were all feed bought, by pellet
    std::vector<ShoppingLine> ingredients;  ///< of the home feed
    double home_feed_kg = 0;
    double mixed_kg = 0;
    std::vector<BatchDate> batches;
    std::vector<GrowingNeed> growing;
    std::vector<Shortfall> short_of;  ///< of the context
    /// The plan's own feeding: home feed and what is bought for the small.
    std::optional<FeedCost> home_cost;
    std::optional<FeedCost> bought_cost;  ///< the same animals on bought feed alone
    std::vector<PlanNote> notes;
    std::vector<std::string> sources;
};

/// Works the plan out. Throws DataError for what only shows against the profile: a temperature
/// outside the species' range, no feeding rate for a weight and no FCR either, a target that is
/// never reached.
PlanResult work_out(const Plan& plan, const PlanContext& context = {});

/// "2025-04-01" and back; nullopt for a day that does not exist.
std::optional<std::chrono::sys_days> parse_date(std::string_view text);
std::string date_text(std::chrono::sys_days day);

}  // namespace feedwright::economics
