// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/water.hpp"

#include <optional>

// What feeding asks of the water.
namespace feedwright::economics {

/// Oxygen dissolved in fresh water that is saturated with air at sea level, g per m3 (mg/L), at 0
/// to 40 degrees Celsius: Benson and Krause 1984, as the standard methods of water analysis print
/// it. The constants are from memory; tests hold them to the values of that table.
double saturated_oxygen(double celsius);

/// The heaviest load of a plan.
struct WaterLoad {
    double kg_per_m3 = 0;            ///< animals
    double feed_kg_per_m3_day = 0;   ///< on the day of most feed
    double oxygen_g_per_m3_day = 0;  ///< what that feed takes up, 0 where no figure is known
    bool breathes_air = false;       ///< the animal, beside what it takes from the water
    std::optional<double> celsius;   ///< of the water then
    std::optional<double> saturated_g_per_m3;
    std::optional<catalog::Load> published;  ///< the most that a source reports
    std::string oxygen_source;
};

/// Nitrogen of the feed that is not harvested and so goes into the water, g per kg of gain.
struct NitrogenLoss {
    catalog::Range home;                   ///< on the plan's own feeding
    std::optional<catalog::Range> bought;  ///< on bought feed alone
    catalog::Range retained_percent;
    std::string source;
};

/// Protein of the feed over 6.25 is its nitrogen; what of it is harvested stays in the animals.
catalog::Range nitrogen_lost(double protein_kg, double gain_kg,
                             const catalog::Range& retained_percent);

}  // namespace feedwright::economics
