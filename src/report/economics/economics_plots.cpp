// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/economics/economics_plots.hpp"

#include "base/number.hpp"

#include <fmt/format.h>

namespace feedwright::report {

document::BarPlot cost_bars(const economics::VentureResult& result) {
    const std::string unit = result.currency.empty() ? "" : ' ' + result.currency;
    document::BarPlot plot{
        "Cost of one kg of feed fed" + (unit.empty() ? "" : "," + unit), {}, 0, true};
    const auto add = [&](const std::string& name, double value) {
        if (value != 0) plot.bars.push_back({name, 0, value, base::fixed(value, 4) + unit});
    };
    const economics::MakeCosts& make = result.make;
    add("made: all of it", make.total);
    add("made: materials", make.materials);
    add("made: premix", make.premix);
    add("made: labour", make.labour);
    add("made: energy", make.energy);
    add("made: drying", make.drying);
    add("made: other", make.other);
    add("made: packaging", make.packaging);
    add("made: equipment", make.equipment);
    add("made: start-up", make.start_up);
    add("bought", result.bought_cost_per_kg);
    return plot;
}

document::LinePlot growth_line(const economics::PlanResult& result) {
    document::Series weights{"", {}, '*', true};
    for (const economics::PlanRow& row : result.rows) {
        if (row.weight_g > 0) {
            weights.points.push_back({static_cast<double>(row.first_day), row.weight_g, {}});
        }
    }
    if (weights.points.size() < 2) return {};
    document::LinePlot plot{{std::move(weights)}, {}, true};
    plot.axes.x_label = "day of the plan";
    plot.axes.y_label = "weight of one animal at the start of each period, g";
    return plot;
}

document::BarPlot feed_bars(const economics::PlanResult& result) {
    document::BarPlot plot{"Feed of each period, kg", {}, 0, true};
    for (const economics::PlanRow& row : result.rows) {
        const std::string from = row.date.empty() ? fmt::format("day {}", row.first_day) : row.date;
        plot.bars.push_back(
            {fmt::format("{}, {} days{}", from, row.days, row.home ? "" : ", bought feed"), 0,
             row.feed_kg, base::compact(row.feed_kg, 3) + " kg"});
    }
    return plot;
}

}  // namespace feedwright::report
