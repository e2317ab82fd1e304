// SPDX-License-Identifier: GPL-3.0-or-later
#include "batch/picture.hpp"

#include "limits/mix.hpp"

namespace feedwright::batch {

void draw(const job::Job& job, const search::Model& model, std::span<const double> primal,
          std::size_t ingredients, Picture& picture) {
    const limits::Mix mix =
        limits::mix_of(job, model.limits,
                       {primal.begin(), primal.begin() + static_cast<std::ptrdiff_t>(ingredients)});
    const std::vector<double>& x = mix.amounts;
    picture.weighed_in = mix.weighed_in;
    for (std::size_t i = 0; i < x.size(); ++i) {
        picture.percent.push_back(x[i] > 0 ? 100 * x[i] / picture.weighed_in : 0);
        if (!(x[i] > 0)) continue;
        picture.used.push_back(i);
        picture.amounts.push_back(x[i]);
    }
    picture.judgement = limits::judge(job, x, limits::assess(job, model.limits, x));
    for (std::size_t k = 0; k < model.limits.size(); ++k) {
        const limits::Limit& limit = model.limits[k];
        const auto value = limit.advisory ? std::nullopt : limits::value_of(limit, x);
        const auto margin = value ? limits::margin_of(limit, *value) : std::nullopt;
        if (!margin || !margin->binds()) continue;
        picture.binding.push_back(k);
        for (const search::Side& side : model.sides) {
            if (side.limit != k) continue;
            Picture::Source source;
            source.limit = k;
            source.is_row = side.row.has_value();
            source.index = side.row ? *side.row : *side.column;
            source.is_min = side.is_min;
            source.is_fixed = side.is_fixed;
            source.factor = limits::scale_of(limit, x) / (side.row ? 1 : side.unit_size);
            picture.sources.push_back(source);
        }
    }
}

void Picture::shadow_prices(const lp::Repriced& priced,
                            std::vector<std::pair<std::size_t, double>>& result) const {
    result.clear();
    auto source = sources.begin();
    for (const std::size_t limit : binding) {
        double shadow = 0;
        for (; source != sources.end() && source->limit == limit; ++source) {
            const double dual = source->is_row ? priced.row_dual[source->index]
                                               : priced.reduced_cost[source->index];
            // Of a limit with two sides only the one it rests on has a price.
            const bool rests_here = source->is_fixed || (source->is_min ? dual > 0 : dual < 0);
            if (rests_here) shadow = dual * source->factor;
        }
        result.emplace_back(limit, shadow);
    }
}

}  // namespace feedwright::batch
