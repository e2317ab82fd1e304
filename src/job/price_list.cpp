// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/price_list.hpp"

#include "base/csv.hpp"
#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "job/table.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace feedwright::job {

const PricedIngredient* PriceList::find(std::string_view ingredient) const {
    const auto at = std::find_if(rows.begin(), rows.end(),
                                 [&](const auto& row) { return row.ingredient == ingredient; });
    return at == rows.end() ? nullptr : &*at;
}

PriceList read_price_list(const std::string& file) {
    const base::CsvTable table = base::parse_csv(base::read_file(file), file);
    base::Diagnostics diagnostics;
    const Columns columns(table, {"ingredient", "price"}, {"unit", "min", "max", "note"},
                          diagnostics);
    PriceList list;
    list.file = file;
    for (const base::CsvRow& row : table.rows) {
        const Cells cells(columns, row, diagnostics);
        PricedIngredient priced;
        priced.place = fmt::format("line {}", row.line);
        priced.ingredient = cells.text("ingredient");
        if (priced.ingredient.empty()) {
            cells.problem("ingredient", "an empty cell", "an ingredient id");
            continue;
        }
        if (list.find(priced.ingredient) != nullptr) {
            cells.problem("ingredient", fmt::format("\"{}\" again", priced.ingredient),
                          "each ingredient once");
        }
        std::string price = cells.text("price");
        const std::string unit = cells.text("unit");
        if (!unit.empty()) {
            price += (unit.starts_with("per ") || unit.starts_with('/') ? " " : " per ") + unit;
        }
        if (const auto per_kg = base::parse_price_per_kg(price)) {
            priced.price = *per_kg;
        } else {
            const bool empty = cells.text("price").empty();
            cells.problem("price", empty ? "an empty cell" : fmt::format("\"{}\"", price),
                          price_form, price_hint(price));
        }
        priced.min = cells.percent("min");
        priced.max = cells.percent("max");
        if (priced.min && priced.max && *priced.min > *priced.max) {
            cells.problem("min", base::shortest(*priced.min), "at most the max of the same line");
        }
        list.rows.push_back(std::move(priced));
    }
    if (table.rows.empty()) {
        diagnostics.add({file, "", "no ingredients", "at least one line below the header", ""});
    }
    diagnostics.throw_if_any();
    return list;
}

std::string ingredient_hint(std::string_view id, const std::vector<std::string>& ids) {
    const std::string near = base::did_you_mean(id, ids);
    return near + (near.empty() ? "" : " ") + "To search: feedwright list ingredients WORD";
}

}  // namespace feedwright::job
