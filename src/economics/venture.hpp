// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "economics/own_production.hpp"
#include "economics/sampling.hpp"

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

// A venture (feedwright-venture/1): making a feed beside buying one. All money is in the venture's
// currency; amounts are kilograms, areas m2, shares percent. Every number here is the likely one;
// what is uncertain stands in `Venture::uncertain`.
namespace feedwright::economics {

struct Equipment {
    std::string name;
    double price = 0;
    double salvage = 0;  ///< what it still fetches at the end of its life
    double life_years = 1;
    double upkeep_per_year = 0;
};

/// (price - salvage) / life + upkeep.
double equipment_per_year(const std::vector<Equipment>& equipment);

/// A step at which some of the feed is lost: percent of what reaches that step.
struct LossStep {
    std::string name;
    double percent = 0;
};

/// Water dried off. batch_kg counts the finished feed before losses, so 1 kg of it leaves behind
/// (wet - finished) / (100 - wet) kg of water.
struct Drying {
    double wet_moisture = 0;
    double finished_moisture = 0;
    double kwh_per_kg_water = 0;
};

double water_per_kg(const Drying& drying);

struct Premix {
    double percent = 0;  ///< of the mix, on top of what the materials cost counts
    double price_per_kg = 0;
};

struct Packaging {
    double price = 0;  ///< of one bag
    double pack_kg = 1;
};

/// Feed made to learn and to try, which earns nothing, and other money spent once; spread over
/// years.
struct StartUp {
    double feed_kg = 0;
    double other = 0;
    double over_years = 1;
};

/// A pack as sold.
struct Pack {
    double price = 0;
    double kg = 1;
    double delivery = 0;
    double dry_matter = 100;  ///< percent
};

/// An ingredient the keeper grows. What it costs a year is labour, inputs, substrate and equipment;
/// what it gives a year is area x yield x days, or substrate x conversion.
struct OwnGrown {
    std::string
        ingredient;  ///< id as in the job or recipe; only a name when the materials are a number
    std::string organism;  ///< id in own-production.json
    std::string name;
    YieldKind kind = YieldKind::area;
    double percent_of_mix = 0;  ///< as it goes into the mixer
    double dry_matter = 100;    ///< percent, as it goes into the mixer
    double yield = 0;           ///< in the unit of `kind`
    bool own_yield = false;     ///< the user's own figure, not the published one
    double fresh_dry_matter = 100;
    double area_m2 = 0;
    double days_per_year = 365;
    double substrate_kg_per_week = 0;
    double substrate_dry_matter = 100;
    double substrate_price_per_kg = 0;
    double hours_per_week = 0;
    double value_of_hour = 0;
    double inputs_per_year = 0;
    std::vector<Equipment> equipment;
    std::optional<Pack> small_packs;  ///< the same thing bought dried
    std::vector<std::string> sources;
    std::string note;
};

/// kg of dry matter a year; and what one of them costs.
double grown_dry_matter_per_year(const OwnGrown& grown);
double grown_cost_per_kg_dry_matter(const OwnGrown& grown);
/// Price per kg as it goes into the mixer: cost per kg of dry matter times its dry matter.
double grown_price_per_kg(const OwnGrown& grown);

/// One line of a feed's label or analysis, percent as fed.
struct LabelValue {
    std::string nutrient;
    std::optional<double> min;
    std::optional<double> max;
};

enum class MaterialsFrom { number, job, recipe };

struct Make {
    MaterialsFrom materials_from = MaterialsFrom::number;
    std::string materials_file;  ///< of a job or recipe, found from the venture's own folder
    /// Money per kg of mix for everything but the own-grown part (`own_grown`) and the premix.
    double materials_per_kg = 0;
    double materials_change_percent =
        0;                ///< added to materials_per_kg; for a range around a job's cost
    double batch_kg = 0;  ///< what goes into the mixer
    std::vector<LossStep> losses;
    double spoilage_percent = 0;  ///< of the finished feed, in store
    std::optional<double> storage_months;
    double hours_per_batch = 0;
    double value_of_hour = 0;
    double kwh_per_batch = 0;
    double price_per_kwh = 0;
    double other_per_batch = 0;
    std::optional<Drying> drying;
    std::optional<Premix> premix;
    std::optional<Packaging> packaging;
    std::vector<Equipment> equipment;
    std::optional<StartUp> start_up;
    std::vector<OwnGrown> own_grown;
    std::vector<LabelValue> analysis;
    std::optional<double> fcr;
};

struct Buy {
    std::string name;
    double pack_price = 0;
    double pack_kg = 1;
    double delivery_per_pack = 0;
    double loss_percent = 0;
    std::optional<double> fcr;
    std::vector<LabelValue> label;
};

struct Venture;

/// An input given as [low, likely, high] and where its likely value stands in the venture.
struct Uncertain {
    std::string name;
    std::string unit;
    Triangular range;
    std::function<double&(Venture&)> at;
};

struct Venture {
    std::string file;
    std::string title;
    std::string note;  ///< what the file says about itself
    std::string currency;
    std::string
        profile;  ///< "species/stage", for the published FCR; a job or recipe brings its own
    Make make;
    Buy buy;
    /// Exactly one of these is set.
    std::optional<double> gain_kg_per_year;
    std::optional<double> feed_kg_per_year;  ///< home feed given a year
    std::string gain_of = "gain";            ///< what the FCR counts: "gain", "eggs"
    std::vector<Uncertain> uncertain;
    std::vector<std::string> not_counted;  ///< costs that the file leaves out, as words
};

/// Reads a venture; throws DataError with every problem found. Yields not given come from `own`.
Venture load_venture(const std::string& path, const OwnProduction& own);
Venture parse_venture(std::string text, const std::string& file, const OwnProduction& own);

/// Ids that a label or an analysis may give.
const std::vector<std::string>& label_nutrients();

}  // namespace feedwright::economics
