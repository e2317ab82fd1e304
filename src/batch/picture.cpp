// SPDX-License-Identifier: GPL-3.0-or-later
#include "batch/picture.hpp"

#include "limits/mix.hpp"
#include "search/explain.hpp"

namespace feedwright::batch {

void draw(const job::Job& job, const search::FeedProgram& program, std::span<const double> primal,
          std::size_t ingredients, bool priced, Picture& picture) {
    const limits::Mix mix =
        limits::mix_of(job, program.limits(),
                       {primal.begin(), primal.begin() + static_cast<std::ptrdiff_t>(ingredients)});
    const std::vector<double>& x = mix.amounts;
    picture.weighed_in = mix.weighed_in;
    for (std::size_t i = 0; i < x.size(); ++i) {
        picture.percent.push_back(x[i] > 0 ? 100 * x[i] / picture.weighed_in : 0);
        if (!(x[i] > 0)) continue;
        picture.used.push_back(i);
        picture.amounts.push_back(x[i]);
    }
    search::Formulation result;
    static_cast<limits::Mix&>(result) = mix;
    result.assessment = limits::assess(job, program.limits(), x);
    picture.judgement = limits::judge(job, x, result.assessment);
    if (priced) picture.has_one_price_each = search::has_one_price_each(job, program, result);
    for (std::size_t k = 0; k < program.limits().size(); ++k) {
        const limits::Limit& limit = program.limits()[k];
        const auto value = limit.advisory ? std::nullopt : limits::value_of(limit, x);
        const auto margin = value ? limits::margin_of(limit, *value) : std::nullopt;
        if (!margin || !margin->binds()) continue;
        picture.binding.push_back(k);
        for (const search::Place& side : program.places()) {
            if (side.side.limit != k) continue;
            picture.sources.push_back({k, side, limits::scale_of(limit, x) / side.unit_size,
                                       !limits::fixed_whole(limit, program.limits())});
        }
    }
}

void Picture::shadow_prices(const lp::Repriced& priced,
                            std::vector<std::pair<std::size_t, double>>& result) const {
    result.clear();
    auto source = sources.begin();
    for (const std::size_t limit : binding) {
        double shadow = 0;
        bool known = true;
        for (; source != sources.end() && source->limit == limit; ++source) {
            const search::Place& place = source->place;
            const double dual =
                place.row ? priced.row_dual[*place.row] : priced.reduced_cost[*place.column];
            // Of a limit with two sides only the one it rests on has a price.
            const bool rests_here = place.is_fixed || (place.side.is_min ? dual > 0 : dual < 0);
            if (rests_here) shadow = dual * source->factor;
            known = known && (priced.unique || !source->varies);
        }
        if (known) result.emplace_back(limit, shadow);
    }
}

}  // namespace feedwright::batch
