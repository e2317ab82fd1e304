// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "base/table.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::job {

/// One line of a price list.
struct PricedIngredient {
    std::string ingredient;
    double price = 0;           ///< money per kg as bought
    std::optional<double> min;  ///< percent of the mix
    std::optional<double> max;
    std::string place;       ///< "line 3"
    bool per_litre = false;  ///< `price` is money per litre
};

struct PriceList {
    std::string file;
    std::vector<PricedIngredient> rows;
    base::TableReading reading{};  ///< what was understood of the file
    base::Diagnostics problems{};  ///< what is wrong with it, to be told with what else is wrong

    const PricedIngredient* find(std::string_view ingredient) const;
};

/// Reads a table (base/table.hpp) with the columns ingredient and price, and, where it has them,
/// unit, pack, min and max. The unit is a pack such as "per 40 kg", "40 kg" or "lb"; none means per
/// kg. What is wrong with rows and columns goes to `problems`. Throws DataError for a file that is
/// no such table, or IoError.
PriceList read_price_list(const std::string& file);

/// For an ingredient that is none of `ids`: the nearest of them, and how to look for others.
std::string ingredient_hint(std::string_view id, const std::vector<std::string>& ids);

}  // namespace feedwright::job
