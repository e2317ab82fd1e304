// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "trial/statistics.hpp"

#include <optional>
#include <string_view>
#include <vector>

// Curves of a response on the level of an ingredient. Least squares on the tanks' values; the order
// of the points does not matter. Formulas and sources: docs/method.md, "Trials".
namespace feedwright::trial {

struct Point {
    double level = 0;
    double value = 0;
};

/// How well a curve fits.
struct FitQuality {
    double sse = 0;  ///< sum of squared residuals
    double df = 0;   ///< degrees of freedom left
    double residual_sd = 0;
    double r_squared = 0;
    /// F test of what the curve leaves of the level means against the variation of tanks at the
    /// same level; empty when there are no more levels than parameters or no such variation.
    std::optional<double> lack_of_fit_p;
};

enum class LineShape {
    plateau_then_line,  ///< level up to the breakpoint, then a straight line
    line_then_plateau,  ///< a straight line up to the breakpoint, then level
    two_lines           ///< a straight line on either side
};

std::string_view to_string(LineShape shape);

/// Broken line (Robbins and others 1979, 2006). The confidence limits are those breakpoints that
/// the F test on the residual sum of squares does not reject, which for a known side of each level
/// is Fieller's exact interval.
struct BrokenLine {
    LineShape shape = LineShape::plateau_then_line;
    double breakpoint = 0;
    double value_at_breakpoint = 0;
    double slope_before = 0;  ///< change of the response per unit of level
    double slope_after = 0;
    /// Empty: the data set no limit on that side within the levels tested.
    std::optional<double> low;
    std::optional<double> high;
    /// False when the best fit leaves the breakpoint free within [between_low, between_high]: a
    /// slope that rests on one level alone can start anywhere between it and the next.
    bool determined = true;
    double between_low = 0;
    double between_high = 0;
    /// A level line fits as well (at the confidence asked): the data show no break at all.
    bool flat_fits = false;
    FitQuality quality;
};

/// Needs 4 levels (two_lines: 5), more tanks than parameters and some residual variation. `used_df`
/// is what has been taken out of the values beforehand (blocks less one).
Answer<BrokenLine> fit_broken_line(const std::vector<Point>& points, LineShape shape,
                                   double confidence, int used_df = 0);

double value_at(const BrokenLine& line, double level);

/// value = constant + linear x + square x^2. The limits of the optimum -linear / (2 square) are
/// Fieller's (1954).
struct Quadratic {
    double constant = 0;
    double linear = 0;
    double square = 0;
    double square_p = 1;  ///< t test of the square term
    bool maximum = true;  ///< square < 0
    double optimum = 0;
    double value_at_optimum = 0;
    std::optional<double> low;  ///< both empty when the curvature is too weak to set limits
    std::optional<double> high;
    bool inside = true;  ///< the optimum lies within the levels tested
    FitQuality quality;
};

/// Needs 4 levels, more than 3 tanks, some residual variation and a square term that is not exactly
/// 0.
Answer<Quadratic> fit_quadratic(const std::vector<Point>& points, double confidence,
                                int used_df = 0);

double value_at(const Quadratic& curve, double level);

}  // namespace feedwright::trial
