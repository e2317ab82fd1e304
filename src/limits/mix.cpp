// SPDX-License-Identifier: GPL-3.0-or-later
#include "limits/mix.hpp"

#include "job/portion.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

namespace feedwright::limits {

namespace {

double sum(const std::vector<double>& x) {
    return std::accumulate(x.begin(), x.end(), 0.0);
}

// Whether a limit asked of the mix would notice that x[i] is not there.
bool is_noticed(const std::vector<Limit>& limits, const std::vector<double>& x, std::size_t i) {
    return std::any_of(limits.begin(), limits.end(), [&](const Limit& limit) {
        const auto value = limit.advisory ? std::nullopt : value_of(limit, x);
        if (!value) return false;
        const double per = limit.per.empty() ? 0 : limit.per[i];
        const double change = std::abs(limit.amount[i] - *value * per) * x[i] / scale_of(limit, x);
        const auto notices = [&](const std::optional<double>& side) {
            return side && *side != 0 && change > binding_margin * size_of_side(limit, *side);
        };
        return notices(limit.min) || notices(limit.max);
    });
}

std::vector<double> without_rounding(const std::vector<Limit>& limits, std::vector<double> x) {
    const double total = sum(x);
    const std::vector<double> given = x;
    constexpr double rounding = 1e-14;
    for (std::size_t i = 0; i < x.size(); ++i) {
        if (!(x[i] < least_share * total)) continue;
        if (x[i] > rounding * total && is_noticed(limits, given, i)) continue;
        x[i] = 0;
    }
    return x;
}

MixItem item_of(const job::Job& job, const Mix& mix, std::size_t i) {
    const job::Choice& choice = job.ingredients[i];
    const job::Portion portion(job);
    const double x = mix.amounts[i];
    MixItem item;
    item.id = choice.id;
    item.name = choice.name;
    item.amount = x;
    item.percent = 100 * x / mix.weighed_in;
    item.dry_matter_percent = portion.dry_matter_percent(i, x);
    item.price = choice.price;
    if (choice.price) item.cost = *choice.price * x;
    if (const auto batch = portion.batch_kg()) item.batch_kg = x * *batch;
    return item;
}

}  // namespace

std::optional<double> Mix::known_cost_per_kg() const {
    const bool known = std::all_of(items.begin(), items.end(),
                                   [](const MixItem& item) { return item.price.has_value(); });
    return known ? std::optional(cost_per_kg) : std::nullopt;
}

Mix mix_of(const job::Job& job, std::vector<double> amounts) {
    Mix mix;
    mix.amounts = std::move(amounts);
    mix.weighed_in = sum(mix.amounts);
    for (std::size_t i = 0; i < mix.amounts.size(); ++i) {
        if (!(mix.amounts[i] > 0)) continue;
        mix.items.push_back(item_of(job, mix, i));
        mix.cost += mix.items.back().cost.value_or(0);
        if (!job.ingredients[i].price) mix.no_price.push_back(job.ingredients[i].id);
    }
    if (mix.no_price.size() == mix.items.size()) mix.no_price.clear();
    for (MixItem& item : mix.items) {
        if (item.cost) item.cost_percent = mix.cost != 0 ? 100 * *item.cost / mix.cost : 0;
    }
    const double feed = job::Portion(job).feed_kg(mix.weighed_in);
    mix.cost_per_kg = feed > 0 ? mix.cost / feed : mix.cost;
    std::stable_sort(mix.items.begin(), mix.items.end(),
                     [](const MixItem& a, const MixItem& b) { return a.amount > b.amount; });
    return mix;
}

Mix mix_of(const job::Job& job, const std::vector<Limit>& limits, std::vector<double> amounts) {
    return mix_of(job, without_rounding(limits, std::move(amounts)));
}

}  // namespace feedwright::limits
