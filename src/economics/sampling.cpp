// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/sampling.hpp"

#include <cmath>

namespace feedwright::economics {

double triangular_quantile(const Triangular& range, double u) {
    const double width = range.high - range.low;
    if (!(width > 0)) return range.likely;
    const double rise = range.likely - range.low;
    if (u * width < rise) return range.low + std::sqrt(u * width * rise);
    return range.high - std::sqrt((1 - u) * width * (range.high - range.likely));
}

}  // namespace feedwright::economics
