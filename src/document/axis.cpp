// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/axis.hpp"

#include "base/diagnostics.hpp"
#include "base/number.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace feedwright::document {

void Span::include(double value) {
    constexpr double largest = 1e200;  // beyond, products of values would leave a double's range
    base::require_finite(value, "a value to be plotted");
    if (std::abs(value) > largest) throw Error("a value is too large to be plotted");
    low = std::min(low, value);
    high = std::max(high, value);
}

Span span_of(const std::vector<Bar>& bars, double origin) {
    Span span{origin, origin};
    span.include(origin);
    for (const Bar& bar : bars) {
        span.include(bar.from);
        span.include(bar.to);
    }
    return span;
}

std::optional<Extent> extent_of(const std::vector<Series>& series) {
    std::optional<Extent> extent;
    for (const Series& s : series) {
        for (const PlotPoint& p : s.points) {
            if (!extent) extent = Extent{{p.x, p.x}, {p.y, p.y}};
            const double error = p.error ? std::abs(*p.error) : 0;
            extent->x.include(p.x);
            extent->y.include(p.y - error);
            extent->y.include(p.y + error);
        }
    }
    return extent;
}

Axis axis_for(double low, double high, std::size_t ticks) {
    const double size = std::max(std::abs(low), std::abs(high));
    // All one value, but for rounding: leave room on both sides of it.
    if (high - low <= std::max(size * 1e-9, least_span)) {
        const double room = size > least_span ? size / 10 : 1;
        low -= room;
        high += room;
    }
    const double rough = (high - low) / static_cast<double>(ticks);
    const double power = std::pow(10.0, std::floor(std::log10(rough)));
    const double lead = rough / power;
    Axis axis;
    axis.step = power * (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10);
    axis.first = std::floor(low / axis.step);
    axis.last = std::ceil(high / axis.step);
    return axis;
}

std::string tick_text(const Axis& axis, double steps) {
    const double value = steps * axis.step;
    const double digits = -std::floor(std::log10(axis.step) + 1e-9);
    const double size = std::max(std::abs(axis.low()), std::abs(axis.high()));
    if (digits > 6 || size >= 1e7) return fmt::format("{:.6g}", value);
    return base::fixed(value, static_cast<int>(std::max(0.0, digits)));
}

}  // namespace feedwright::document
