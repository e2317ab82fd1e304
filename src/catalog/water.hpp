// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/json.hpp"
#include "catalog/nutrient.hpp"
#include "catalog/profile.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

// What is known of how water bears on fish (feedwright-water/1).
namespace feedwright::catalog {

/// How fast animals grow at other temperatures, as one trial found.
struct GrowthResponse {
    struct Point {
        double celsius = 0;
        double percent_a_day = 0;  ///< specific growth rate
    };
    std::vector<std::string> animals;
    Range weight_g;
    std::vector<Point> sgr;  ///< ascending, two at least
    std::string source;
    std::string note;

    bool covers(double celsius) const;
    /// The growth rate on the straight line between two points; that of the nearest point outside.
    double at(double celsius) const;
};

/// The most that a source reports or allows; no permission.
struct Load {
    std::vector<std::string> animals;
    double kg_per_m3 = 0;
    std::string where;  ///< "cages in running water"
    std::string source;
};

struct WaterRules {
    std::vector<GrowthResponse> growth;
    double oxygen_kg_per_kg_feed = 0;  ///< 0: not known
    std::string oxygen_source;
    std::optional<Range> nitrogen_retained_percent;  ///< of the feed's, in what is harvested
    std::string nitrogen_source;
    std::vector<Load> loads;
    std::vector<std::string> air_breathers;  ///< species that water without oxygen does not kill

    bool breathes_air(std::string_view species) const;
    const GrowthResponse* growth_of(std::string_view species) const;
    const Load* load_of(std::string_view species) const;
};

WaterRules load_water(const base::JsonView& root, const NutrientDictionary& dictionary);

}  // namespace feedwright::catalog
