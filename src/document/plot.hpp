// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::document {

// Plots as data, and how they are drawn with ASCII characters. The same input gives the same bytes;
// no line ends in a space. Numbers that are not finite, or beyond 1e200, throw Error.

/// A bar from one value to another. A plain bar starts at 0; a bar of a tornado table goes from the
/// result at the low input to the result at the high one, on either side of the chart's origin.
struct Bar {
    std::string label;
    double from = 0;
    double to = 0;
    std::string text = {};  ///< shown at the end of the line: the value with its unit
};

/// Bars beside one another.
struct BarPlot {
    std::string title = {};  ///< what is shown, with its unit
    std::vector<Bar> bars = {};
    double origin = 0;        ///< where the line stands that bars are seen against
    bool pages_only = false;  ///< left out where plots are drawn with characters
};

/// One line a bar: label, bar, text. `origin` is where the vertical line stands: 0, or the base
/// result of a tornado table. All bars share one scale, which always holds the origin. A label
/// wider than a third of `width` is continued on lines below. Empty when there are no bars.
std::string bar_chart(const std::vector<Bar>& bars, std::size_t width = 80, double origin = 0);

struct PlotPoint {
    double x = 0;
    double y = 0;
    std::optional<double> error =
        std::nullopt;  ///< half length of a vertical bar, such as one standard error
};

struct Series {
    std::string name;  ///< in the legend; a series without a name is not listed there
    std::vector<PlotPoint> points;
    char mark = '*';      ///< a printable ASCII character; ' ' draws no marks
    bool joined = false;  ///< dots from each point to the next, in the order given
};

struct PlotSpec {
    std::string x_label;
    std::string y_label;
    std::size_t width = 80;   ///< columns of the whole plot; less than 40 counts as 40
    std::size_t height = 20;  ///< rows of the grid without axis and labels; less than 5 counts as 5
};

/// Points and lines on two axes.
struct LinePlot {
    std::vector<Series> series = {};
    PlotSpec axes = {};
    bool pages_only = false;  ///< as of BarPlot
};

/// Points on a grid with round numbers along both axes, the y label above, the x label and a legend
/// below. Marks cover error bars, which cover joining dots; later series cover earlier ones. Empty
/// when there are no points.
std::string line_plot(const std::vector<Series>& series, const PlotSpec& spec = {});

}  // namespace feedwright::document
