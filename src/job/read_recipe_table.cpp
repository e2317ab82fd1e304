// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/csv.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "job/reading.hpp"
#include "job/table.hpp"

#include <fmt/format.h>

#include <cmath>

namespace feedwright::job {

namespace {

std::optional<double> of_kind(Reading& reading, const Cells& cells, AmountsIn kind, double amount) {
    if (reading.amounts_in && *reading.amounts_in != kind) {
        cells.problem("amount", '"' + cells.text("amount") + '"',
                      "the same kind of amount as in the lines before: all parts, all percent or "
                      "all weights");
        return std::nullopt;
    }
    reading.amounts_in = kind;
    return amount;
}

// "50", "50 %" or "0.5 kg"; of one kind in the whole file. A number alone is `bare`.
std::optional<double> read_amount(Reading& reading, const Cells& cells, AmountsIn bare) {
    const std::string text = cells.text("amount");
    const auto quantity = base::parse_quantity(text);
    const bool has_unit = quantity && !quantity->unit.empty() &&
                          (quantity->unit == "%" || base::kilograms_per(quantity->unit));
    if (!has_unit) {
        if (quantity && text.find_first_not_of("0123456789.,eE+- ") != std::string::npos) {
            cells.problem("amount", '"' + text + '"',
                          "a number, \"50 %\", \"500 g\" or \"0.5 kg\"");
            return std::nullopt;
        }
        const auto parts = cells.number("amount");
        if (!parts) return parts;
        return of_kind(reading, cells, bare, *parts);
    }
    if (quantity->unit == "%") return of_kind(reading, cells, AmountsIn::percent, quantity->value);
    return of_kind(reading, cells, AmountsIn::weight,
                   quantity->value * *base::kilograms_per(quantity->unit));
}

}  // namespace

void read_recipe_table(Reading& reading) {
    const std::string& file = reading.job.file;
    AmountsIn bare = AmountsIn::parts;
    base::CsvTable table = base::parse_csv(base::read_file(file), file);
    for (std::string& name : table.header) {
        if (base::lower(name) != "percent") continue;
        name = "amount";
        bare = AmountsIn::percent;
    }
    const Columns columns(table, {"ingredient", "amount"}, {"price", "note"}, reading.diagnostics);
    for (const base::CsvRow& row : table.rows) {
        const Cells cells(columns, row, reading.diagnostics);
        const std::string id = cells.text("ingredient");
        Choice* choice = add_library_choice(reading, id, file,
                                            fmt::format("line {}, column ingredient", row.line));
        const auto amount = read_amount(reading, cells, bare);
        if (cells.text("amount").empty())
            cells.problem("amount", "an empty cell", "parts, zero or more");
        if (amount && *amount < 0) {
            cells.problem("amount", base::shortest(*amount), "parts, zero or more");
        }
        std::optional<double> price;
        if (const std::string text = cells.text("price"); !text.empty()) {
            price = base::parse_price_per_kg(text);
            if (!price) cells.problem("price", '"' + text + '"', price_form, price_hint(text));
        }
        if (choice != nullptr) {
            choice->amount = amount;
            choice->price = price;
        }
    }
    if (table.rows.empty()) {
        reading.diagnostics.add({file, fmt::format("line {}", table.header_line), "no ingredients",
                                 "at least one line below the header", ""});
    }
}

void check_amounts(Reading& reading) {
    if (reading.job.free_total || reading.amounts_in == AmountsIn::weight) return;
    double sum = 0;
    for (const Choice& choice : reading.job.ingredients)
        sum += choice.amount.value_or(0);
    constexpr double rounding = 0.005;
    const bool percent = reading.amounts_in == AmountsIn::percent || (sum >= 90 && sum <= 110);
    if (!percent || std::abs(sum - 100) <= rounding) return;
    if (reading.amounts_in != AmountsIn::percent && reading.job.batch_kg &&
        std::abs(sum - *reading.job.batch_kg) <= rounding) {
        return;
    }
    reading.job.notes.push_back({.kind = Note::Kind::odd_total, .value = sum});
}

}  // namespace feedwright::job
