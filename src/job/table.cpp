// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/table.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::job {

std::string price_hint(std::string_view text) {
    if (text.find(',') != std::string_view::npos) return "Write a decimal point, not a comma";
    const auto quantity = base::parse_quantity(text);
    if (!quantity) {
        const bool digits = text.find_first_of("0123456789") != std::string_view::npos;
        if (text.empty()) return "Write 0 if it is free, or leave the line out";
        const std::size_t first = std::min(text.find_first_of("0123456789"), text.size());
        if (first > 0 && base::parse_price_per_kg(text.substr(first))) {
            return fmt::format("Write {}, without the currency", text.substr(first));
        }
        return digits ? "The number comes first, without a currency" : "";
    }
    if (quantity->value < 0 || quantity->unit.empty()) return "";
    return "Weights are in kg, g, mg, lb, oz, cwt, t or short ton";
}

Columns::Columns(const base::CsvTable& table, std::initializer_list<std::string_view> required,
                 std::initializer_list<std::string_view> optional, base::Diagnostics& diagnostics)
    : file_(table.file), names_(table.header) {
    for (std::string& name : names_)
        name = base::lower(base::trim(name));
    std::vector<std::string> known(required.begin(), required.end());
    known.insert(known.end(), optional.begin(), optional.end());
    const std::string line = fmt::format("line {}", table.header_line);
    std::vector<std::string> missing;
    for (const std::string_view name : required) {
        if (!find(name)) missing.emplace_back(name);
    }
    // A first line of data is one problem, not one a cell.
    const bool no_header = missing.size() == required.size() && missing.size() > 1 &&
                           std::all_of(names_.begin(), names_.end(), [&](const std::string& name) {
                               return base::nearest(name, known).empty();
                           });
    if (no_header) {
        diagnostics.add({file_, line, '"' + base::join_words(names_, ",") + '"',
                         "the names of the columns: " + base::join_words(known), ""});
        diagnostics.throw_if_any();
    }
    for (const std::string& name : names_) {
        if (std::find(known.begin(), known.end(), name) != known.end()) continue;
        const std::string near = base::nearest(name, known);
        diagnostics.add({file_, fmt::format("{}, column {}", line, name), "an unknown column",
                         "one of " + base::join_words(known, " or "),
                         near.empty() ? "" : "Did you mean \"" + near + "\"?"});
        std::erase(missing, near);  // that one is not missing but mistyped
    }
    for (const std::string& name : missing) {
        diagnostics.add({file_, line, fmt::format("no column \"{}\"", name),
                         "the columns " + base::join_words(known), ""});
    }
    diagnostics.throw_if_any();
}

std::optional<std::size_t> Columns::find(std::string_view name) const {
    const auto at = std::find(names_.begin(), names_.end(), name);
    if (at == names_.end()) return std::nullopt;
    return static_cast<std::size_t>(at - names_.begin());
}

std::string Cells::text(std::string_view column) const {
    const auto index = columns_.find(column);
    return index ? row_.cells[*index] : std::string{};
}

std::optional<double> Cells::number(std::string_view column) const {
    const std::string cell = text(column);
    if (cell.empty()) return std::nullopt;
    const auto value = base::parse_finite(cell);
    if (!value || std::abs(*value) > base::largest_number) {
        problem(column, fmt::format("\"{}\"", cell), "a number",
                cell.find(',') != std::string::npos ? "Write a decimal point, not a comma" : "");
        return std::nullopt;
    }
    return value;
}

std::optional<double> Cells::percent(std::string_view column) const {
    const auto value = number(column);
    if (value && (*value < 0 || *value > 100)) {
        problem(column, base::shortest(*value), "a percentage from 0 to 100");
        return std::nullopt;
    }
    return value;
}

void Cells::problem(std::string_view column, std::string found, std::string expected,
                    std::string hint) const {
    diagnostics_.add({columns_.file(), fmt::format("line {}, column {}", row_.line, column),
                      std::move(found), std::move(expected), std::move(hint)});
}

}  // namespace feedwright::job
