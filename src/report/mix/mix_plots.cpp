// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/mix/mix_plots.hpp"

#include "base/number.hpp"

#include <algorithm>

namespace feedwright::report {

document::BarPlot mix_bars(const limits::Mix& mix) {
    document::BarPlot plot{"The mix: percent of what is weighed in", {}, 0, true};
    for (const limits::MixItem& item : mix.items)
        plot.bars.push_back({item.name, 0, item.percent, base::fixed(item.percent, 2) + " %"});
    return plot;
}

document::BarPlot margin_bars(const limits::Assessment& assessment) {
    document::BarPlot plot{
        "How far the mix is from each limit: percent of the limit, the nearest first", {}, 0, true};
    for (const limits::LimitResult& result : assessment.limits) {
        const limits::Limit& limit = result.limit;
        if (limit.advisory || limit.kind == limits::LimitKind::balance || !result.margin_percent)
            continue;
        // Caps of what is not in the mix are all the same distance away.
        if (limit.kind != limits::LimitKind::nutrient && result.value.value_or(0) <= 0) continue;
        // Beyond twice its number a limit is out of the picture.
        const double percent = std::clamp(*result.margin_percent, -100.0, 100.0);
        plot.bars.push_back(
            {limit.name, 0, percent,
             (percent < *result.margin_percent ? "above " : "") + base::fixed(percent, 1) + " %"});
    }
    std::stable_sort(plot.bars.begin(), plot.bars.end(),
                     [](const auto& one, const auto& other) { return one.to < other.to; });
    constexpr std::size_t most = 20;
    if (plot.bars.size() > most) plot.bars.resize(most);
    return plot;
}

}  // namespace feedwright::report
