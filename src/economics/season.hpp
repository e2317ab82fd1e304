// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/json.hpp"
#include "catalog/profile.hpp"
#include "economics/sampling.hpp"

#include <chrono>
#include <memory>
#include <optional>
#include <string>
#include <vector>

// A season (feedwright-season/1): some animals, some periods, and what can be bought, harvested,
// stored and dried for them. Amounts are kg, areas of time are periods, shares percent. What it
// says of ingredients and limits is kept as it is written, to be read as a job.
namespace feedwright::economics {

/// A number for each period.
using PerPeriod = std::vector<double>;
/// A price per kg for each period; empty where there is none to be had.
using PricePerPeriod = std::vector<std::optional<double>>;

/// As it is written, and how far off it may be: percent of it.
inline constexpr Triangular as_written{100, 100, 100};

/// What is sold of some animals: so much in each period, or, without `amount`, the kg they gain.
struct SeasonSale {
    std::string name;
    PerPeriod amount;
    double price = 0;
};

/// Some animals that are fed alike. What they need comes from a plan, or is one of `gain_kg` and
/// `feed_kg`.
struct SeasonAnimals {
    std::string name;
    std::string place;  ///< in the file, for messages
    std::string plan_file;
    /// "species/stage" of each period; empty: no profile.
    std::vector<std::string> profiles;
    PerPeriod gain_kg;
    PerPeriod feed_kg;
    std::optional<Triangular> fcr_home;
    std::optional<Triangular> fcr_bought;
    std::vector<bool> home_feed;  ///< of each period: a feed made at home may be given
    base::JsonValue limits;       ///< members of a job: limits and ratios
    std::vector<SeasonSale> sales;
};

struct SeasonIngredient {
    std::string id;  ///< as written: an id, or a name that stands for one
    std::string place;
    base::JsonValue asked;  ///< what a job says of it
    bool own = false;       ///< it is described in the file
    PricePerPeriod price;   ///< empty: it cannot be bought
    Triangular price_percent = as_written;
    std::optional<double> pack_kg;
    PerPeriod supply_kg;  ///< the most that can be harvested; empty: nothing
    Triangular supply_percent = as_written;
    double harvest_cost_per_kg = 0;
    double stock_kg = 0;
    std::optional<int> keeps_periods;  ///< empty: without end
    double loss_percent = 0;           ///< of what is in store, a period
    std::optional<double> store_kg;    ///< room; empty: without end
    double store_cost_per_kg = 0;      ///< for what is in store at the end of a period
    std::vector<std::string> animals;  ///< names of those it is for; empty: all
};

/// Drying one ingredient makes another.
struct SeasonDrying {
    std::string from;
    std::string to;
    double cost_per_kg_water = 0;
    double hours_per_kg_water = 0;
    std::string place;
};

struct SeasonFeed {
    std::string name;
    std::vector<std::string> animals;  ///< names of those it is for; empty: all
    PricePerPeriod price;
    Triangular price_percent = as_written;
    std::optional<double> pack_kg;
};

struct SeasonEquipment {
    std::string name;
    double cost = 0;  ///< for the season
};

/// Making a feed at home. Costs and hours are per kg of feed that is made.
struct SeasonMaking {
    std::optional<double> batch_kg;
    double cost_per_kg = 0;
    double hours_per_kg = 0;
    PerPeriod hours;  ///< that there are; empty: no limit
    double value_of_hour = 0;
    double loss_percent = 0;
    std::optional<double> finished_moisture;  ///< percent
    std::vector<SeasonEquipment> equipment;
};

struct Season {
    std::string file;
    std::string title;
    std::string note;
    std::string currency;
    std::optional<std::chrono::sys_days> start;
    int periods = 0;
    int period_days = 0;
    std::vector<SeasonAnimals> animals;
    std::vector<SeasonIngredient> ingredients;
    std::vector<SeasonDrying> drying;
    std::vector<SeasonFeed> bought_feeds;
    std::optional<SeasonMaking> making;
    base::JsonValue nutrients;                             ///< of the file's own; null: none
    std::shared_ptr<const base::JsonDocument> document{};  ///< the file
};

/// Whether anything in it is known only within limits.
bool is_uncertain(const Season& season);

inline constexpr int most_periods = 120;

/// Reads a season. Records every problem found; what it gives is then incomplete.
Season read_season(std::string text, const std::string& file, base::Diagnostics& diagnostics);

/// The feed of some animals as a job within the season's file: `profile`, limits and what it says
/// of the ingredients named by their places in Season::ingredients. `ids` are the ids of all of
/// them. Without animals: the ingredients alone.
std::shared_ptr<const base::JsonDocument> job_in(const Season& season, const SeasonAnimals* animals,
                                                 const std::string& profile,
                                                 const std::vector<std::size_t>& ingredients,
                                                 const std::vector<std::string>& ids,
                                                 std::optional<double> finished_moisture);

/// What animals of a plan need in each period: the gain of all of them, or their feed; the stage
/// they are of at its beginning and whether home feed is for them then.
struct SeasonNeed {
    bool is_gain = false;
    PerPeriod kg;
    std::vector<std::string> profiles;
    std::vector<bool> home_feed;
};

struct Plan;
struct PlanResult;

/// `plan` and what was worked out of it, by the season's periods; of animals that do not grow the
/// feed in any case. A plan with a date begins on it where the season has one, others begin with
/// the season.
SeasonNeed need_of(const Season& season, const Plan& plan, const PlanResult& result,
                   const catalog::Profile* profile, bool by_gain);

/// The first day of a period: "2026-04-01", or "day 31" without a date.
std::string period_start(const Season& season, std::size_t period);

}  // namespace feedwright::economics
