// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/plot.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

// What every drawing of a plot needs: how far the values go, and round numbers along an axis.
namespace feedwright::document {

/// Spans below this count as none: quotients of such values would leave the range of a double.
inline constexpr double least_span = 1e-200;

struct Span {
    double low = 0;
    double high = 0;

    /// Throws Error for a value that is not finite or is beyond 1e200.
    void include(double value);
};

/// From the origin to the ends of all bars.
Span span_of(const std::vector<Bar>& bars, double origin);

struct Extent {
    Span x;
    Span y;  ///< with error bars
};

/// Empty without points.
std::optional<Extent> extent_of(const std::vector<Series>& series);

/// Round numbers from at or below the lowest value to at or above the highest.
struct Axis {
    double step = 1;
    double first = 0;  ///< the lowest tick, in steps
    double last = 0;   ///< the highest

    double low() const { return first * step; }
    double high() const { return last * step; }
};

/// About `ticks` steps between low and high.
Axis axis_for(double low, double high, std::size_t ticks);

/// The number at the tick that is `steps` steps from zero.
std::string tick_text(const Axis& axis, double steps);

}  // namespace feedwright::document
