// SPDX-License-Identifier: GPL-3.0-or-later
#include "limits/limit_rows.hpp"

#include <algorithm>
#include <cmath>

namespace feedwright::limits {

std::optional<double> fixed_whole(const Limit& limit, const std::vector<Limit>& limits) {
    if (limit.per.empty()) return 1;
    const auto balance = std::find_if(limits.begin(), limits.end(), [](const Limit& other) {
        return other.kind == LimitKind::balance;
    });
    if (balance == limits.end()) return std::nullopt;
    std::optional<double> factor;
    for (std::size_t i = 0; i < limit.per.size(); ++i) {
        const double per = limit.per[i];
        const double of = balance->amount[i];
        if (of == 0 && per == 0) continue;
        if (of == 0) return std::nullopt;
        if (!factor) factor = per / of;
        constexpr double rounding = 1e-12;
        if (std::abs(per - *factor * of) > rounding * std::abs(per)) return std::nullopt;
    }
    if (!factor || *factor == 0) return std::nullopt;
    return *factor * *balance->min;
}

std::string row_id(const Limit& limit, bool is_min) {
    return (is_min ? "min " : "max ") + limit.id;
}

std::vector<lp::Entry> row_entries(const Limit& limit, double number) {
    std::vector<lp::Entry> entries;
    for (std::size_t i = 0; i < limit.amount.size(); ++i) {
        if (limit.per.empty()) {
            if (limit.amount[i] != 0) entries.push_back({i, limit.amount[i]});
            continue;
        }
        const double part = number * limit.per[i];
        const double value = limit.amount[i] - part;
        // A difference that is all rounding is none, and would upset the solver's scaling.
        constexpr double rounding = 1e-14;
        if (std::abs(value) > rounding * std::abs(part)) entries.push_back({i, value});
    }
    return entries;
}

}  // namespace feedwright::limits
