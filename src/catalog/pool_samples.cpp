// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/pool_samples.hpp"

#include "base/number.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace feedwright::catalog {

namespace {

// Sums leave noise in the last digits of a double.
double rounded(double x) {
    return base::parse_finite(fmt::format("{:.12g}", x)).value_or(x);
}

StatedValue pooled(const std::vector<StatedValue>& values, Spread spread) {
    const auto n = static_cast<double>(values.size());
    long double sum = 0;
    for (const StatedValue& value : values)
        sum += value.amount;
    const auto mean = static_cast<double>(sum / n);
    StatedValue result = values.front();
    result.sd.reset();
    result.n.reset();
    result.note.clear();
    result.amount = rounded(mean);
    if (values.size() < 2) return result;
    long double squares = 0;
    for (const StatedValue& value : values)
        squares += (static_cast<long double>(value.amount) - mean) * (value.amount - mean);
    result.sd = rounded(std::sqrt(static_cast<double>(squares / (n - 1))));
    result.n = n;
    result.spread = spread;
    return result;
}

}  // namespace

void pool_samples(Import& import, const ImportOptions& options, base::Diagnostics& diagnostics) {
    if (import.ingredients.empty()) return;
    ImportedIngredient made = import.ingredients.front();
    for (const ImportedIngredient& sample : import.ingredients) {
        if (sample.id == made.id || !options.id.empty()) continue;
        diagnostics.add({import.file, fmt::format("samples {} and {}", made.id, sample.id),
                         "two names for samples of one ingredient", "--id ID",
                         "For example --id my-fish-meal"});
        return;
    }
    if (!options.id.empty()) made.id = options.id;
    const bool alike =
        std::all_of(import.ingredients.begin(), import.ingredients.end(),
                    [&](const ImportedIngredient& sample) { return sample.name == made.name; });
    if (!options.name.empty()) {
        made.name = options.name;
    } else if (!alike) {
        made.name = made.id;
    }

    std::vector<std::string> order;
    std::map<std::string, std::vector<StatedValue>> values;
    for (const ImportedIngredient& sample : import.ingredients) {
        for (const StatedValue& value : sample.values) {
            std::vector<StatedValue>& list = values[value.nutrient];
            if (list.empty()) order.push_back(value.nutrient);
            if (!list.empty() && list.front().basis != value.basis) {
                diagnostics.add(
                    {import.file, "sample " + sample.id,
                     fmt::format("{} on the basis {}, and on {} in another sample", value.nutrient,
                                 to_string(value.basis), to_string(list.front().basis)),
                     "one basis for all samples", ""});
                return;
            }
            list.push_back(value);
        }
    }
    const Spread spread = options.spread == Spread::unstated ? Spread::lots : options.spread;
    made.values.clear();
    for (const std::string& nutrient : order)
        made.values.push_back(pooled(values[nutrient], spread));
    import.pooled = import.ingredients.size();
    import.ingredients = {std::move(made)};
}

}  // namespace feedwright::catalog
