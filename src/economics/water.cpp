// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/water.hpp"

#include <cmath>

namespace feedwright::economics {

double saturated_oxygen(double celsius) {
    const double t = celsius + 273.15;
    return std::exp(-139.34411 + 1.575701e5 / t - 6.642308e7 / (t * t) + 1.243800e10 / (t * t * t) -
                    8.621949e11 / (t * t * t * t));
}

catalog::Range nitrogen_lost(double protein_kg, double gain_kg,
                             const catalog::Range& retained_percent) {
    const double fed_g = 1000 * protein_kg / 6.25 / gain_kg;
    return {fed_g * (1 - retained_percent.high / 100), fed_g * (1 - retained_percent.low / 100)};
}

}  // namespace feedwright::economics
