// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/price_list.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "job/table.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace feedwright::job {

const PricedIngredient* PriceList::find(std::string_view ingredient) const {
    const auto at = std::find_if(rows.begin(), rows.end(),
                                 [&](const auto& row) { return row.ingredient == ingredient; });
    return at == rows.end() ? nullptr : &*at;
}

namespace {

const std::vector<base::WantedColumn>& columns() {
    using base::Measure;
    static const std::vector<base::WantedColumn> list{
        ingredient_column(),
        price_column(true),
        {"unit",
         {"units", "uom", "per", "unit of price", "price unit", "unit of measure"},
         false,
         true,
         Measure::none,
         false},
        pack_column(),
        {"min", {"minimum", "at least", "lower limit"}, false, true, Measure::percent, false},
        {"max", {"maximum", "at most", "upper limit"}, false, true, Measure::percent, false},
        note_column()};
    return list;
}

}  // namespace

PriceList read_price_list(const std::string& file) {
    PriceList list;
    list.file = file;
    base::Table table = base::read_table(base::read_file(file), file, columns(), list.problems);
    PriceReader prices(table, list.problems);
    for (const base::TableRow& row : table.rows) {
        const base::Cells cells(table, row, list.problems);
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
            continue;
        }
        if (cells.raw("price").empty()) {
            cells.problem("price", "an empty cell", price_form, price_hint(""));
        }
        priced.price = prices.read(cells).value_or(0);
        priced.per_litre = prices.by_volume();
        priced.min = cells.percent("min");
        priced.max = cells.percent("max");
        if (priced.min && priced.max && *priced.min > *priced.max) {
            cells.problem("min", base::shortest(*priced.min), "at most the max of the same line");
        }
        list.rows.push_back(std::move(priced));
    }
    prices.finish();
    if (table.rows.empty()) {
        list.problems.add({file, "", "no ingredients", "at least one line below the header", ""});
    }
    list.reading = table.reading;
    return list;
}

std::string ingredient_hint(std::string_view id, const std::vector<std::string>& ids) {
    const std::string near = base::did_you_mean(id, ids);
    return near + (near.empty() ? "" : " ") + "To search: feedwright list ingredients WORD";
}

}  // namespace feedwright::job
