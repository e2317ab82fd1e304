// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "economics/growth.hpp"
#include "economics/venture.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

// Make or buy: what a kilogram of home feed and of bought feed costs, what a kilogram of gain costs
// on each, what a year makes of the difference, and what would have to change for the answer to
// flip. All formulas are in docs/method.md; none of them rounds.
namespace feedwright::economics {

/// Cost of the home feed, money per saleable kg. `total` is the sum of the others.
struct MakeCosts {
    double materials = 0;  ///< own-grown ingredients included
    double premix = 0;
    double labour = 0;
    double energy = 0;
    double drying = 0;
    double other = 0;
    double packaging = 0;
    double equipment = 0;
    double start_up = 0;
    double total = 0;
};

/// Feed given a year on each side, and the gain where FCRs are known.
struct YearlyAmounts {
    double home_feed_kg = 0;
    double bought_feed_kg = 0;
    std::optional<double> gain_kg;
};

YearlyAmounts yearly_amounts(const Venture& venture);

/// Money per kg of mix for everything that goes into the mixer except the premix.
double materials_per_kg_of_mix(const Venture& venture);

/// Share of a batch that is fed in the end: every loss and the spoilage taken off.
double saleable_share(const Make& make);

MakeCosts make_costs(const Venture& venture);

/// (price + delivery) / pack kg / (1 - loss).
double bought_cost_per_kg(const Buy& buy);

/// What buying costs a year less what making costs; positive when making saves.
double yearly_difference(const Venture& venture);

/// The value of each input at which making and buying cost the same, everything else as given.
/// Empty where no positive value does that, or where the input does not matter.
struct BreakEven {
    std::optional<double> value_of_hour;
    std::optional<double> bought_price_per_kg;  ///< of the pack, before delivery and loss
    std::optional<double> make_fcr;
    std::optional<double> materials_per_kg;
    std::optional<double> batch_kg;
    std::optional<double> gain_kg_per_year;  ///< where equipment has to be paid
    std::optional<double> feed_kg_per_year;
    /// Years until the equipment (and the start) has paid for itself out of the yearly saving
    /// before it is written off.
    std::optional<double> payback_years;
};

BreakEven break_even(const Venture& venture);

/// How far one uncertain input alone moves the yearly difference.
struct Swing {
    std::string name;
    std::string unit;
    Triangular range;
    double at_low = 0;  ///< yearly difference with this input at its low end, the rest likely
    double at_high = 0;
    bool flips = false;  ///< the answer changes within the range
};

struct Chance {
    double making_wins = 0;  ///< share of the draws, 0 to 1
    int draws = 0;
    std::uint64_t seed = 0;
    double low = 0;              ///< yearly difference at 5 % of the draws
    double middle = 0;           ///< at 50 %
    double high = 0;             ///< at 95 %
    std::vector<Swing> tornado;  ///< widest first
    std::string measure_first;
};

inline constexpr int default_draws = 10000;
inline constexpr std::uint64_t default_seed = 20240601;

/// Draws every uncertain input from its triangular distribution, each on its own.
Chance chance_of(const Venture& venture, int draws = default_draws,
                 std::uint64_t seed = default_seed);

/// An own-grown ingredient in the result.
struct GrownResult {
    std::string ingredient;
    std::string organism;
    YieldKind kind = YieldKind::area;
    double yield = 0;
    bool own_yield = false;
    double grown_kg_per_year = 0;   ///< dry matter
    double needed_kg_per_year = 0;  ///< dry matter
    double needed_area_m2 = 0;      ///< where the yield is by area
    double needed_substrate_kg_per_week = 0;
    double cost_per_kg_dry_matter = 0;
    double price_per_kg = 0;
    std::optional<double> small_pack_cost_per_kg_dry_matter;
    std::vector<std::string> sources;
    std::string note;
};

/// A nutrient of the home feed, percent as fed, and the share of the mix whose ingredients have a
/// value for it.
struct HomeNutrient {
    std::string nutrient;
    double value = 0;
    double known_percent = 100;
};

/// Both feeds' content of one nutrient.
struct NutrientComparison {
    std::string nutrient;
    std::optional<double> bought_min;
    std::optional<double> bought_max;
    std::optional<double> home;
    double known_percent = 100;
    bool home_below = false;  ///< under the bought feed's minimum
    bool home_above = false;  ///< over its maximum
};

/// A limit that the home feed does not meet.
struct Shortfall {
    std::string name;
    std::optional<double> value;
    std::string unit;  ///< with what it is a share of
    std::optional<double> min;
    std::optional<double> max;
};

/// Where the cost of materials comes from.
struct MaterialsCost {
    bool recipe = false;  ///< else the cheapest mix of a job
    std::string file;
    double cost_per_kg = 0;  ///< of mix
    bool finished = false;   ///< of feed at its finished moisture instead
};

/// Advice on keeping the feed, and why it is given: the feed is to be kept `value` months, one
/// batch lasts `value` months, or the feed is dried to `value` % moisture only.
struct KeepingCaution {
    enum class Kind { kept_long, batch_lasts, damp };
    Kind kind = Kind::kept_long;
    double value = 0;
    std::string advice;
};

/// What the caller knows beside the venture.
struct VentureContext {
    /// Whether the home feed was checked against a profile, and what it falls short of.
    bool checked = false;
    std::string profile;  ///< "nile-tilapia/grow-out"
    std::optional<MaterialsCost> materials;
    std::vector<Shortfall> short_of;
    std::optional<PublishedFcr> published_fcr;  ///< for the profile
    /// Home feed's analysis, percent as fed; what the venture's own `analysis` gives wins.
    std::vector<HomeNutrient> home_analysis;
    std::vector<KeepingFact> keeping;
};

struct VentureResult {
    std::string title;
    std::string note;
    std::string currency;
    std::string gain_of;
    std::string bought_name;
    MakeCosts make;
    double bought_cost_per_kg = 0;
    double bought_delivery_part = 0;  ///< of it
    std::optional<double> make_cost_per_kg_gain;
    std::optional<double> buy_cost_per_kg_gain;
    YearlyAmounts amounts;
    double yearly_difference = 0;
    double batches_per_year = 0;
    double hours_per_year = 0;
    double saleable_kg_per_batch = 0;
    double equipment_outlay = 0;
    double equipment_life_years = 0;  ///< of the piece that lasts longest
    double water_kg_per_batch = 0;
    bool labour_is_free = false;  ///< hours are spent and valued at nothing
    BreakEven break_even;
    BreakEven present;  ///< the same inputs as they are now; payback_years is empty
    std::optional<Chance> chance;
    std::vector<GrownResult> grown;
    std::vector<NutrientComparison> nutrients;
    std::optional<double> make_cost_per_kg_protein;
    std::optional<double> buy_cost_per_kg_protein;
    std::vector<std::string> not_counted;
    std::vector<KeepingCaution> cautions;
    std::vector<std::string> sources;  ///< ids used in cautions and yields
    double make_fcr = 0;               ///< 0 where none is given
    double buy_fcr = 0;
    VentureContext context;
};

VentureResult make_or_buy(const Venture& venture, const VentureContext& context = {});

}  // namespace feedwright::economics
