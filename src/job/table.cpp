// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/table.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "feedwright/base/number.hpp"
#include "feedwright/base/text.hpp"

namespace feedwright::job {

Columns::Columns(const base::CsvTable& table, std::initializer_list<std::string_view> required,
                 std::initializer_list<std::string_view> optional, base::Diagnostics& diagnostics)
    : file_(table.file), names_(table.header) {
    std::vector<std::string> known(required.begin(), required.end());
    known.insert(known.end(), optional.begin(), optional.end());
    for (const std::string_view name : required) {
        if (!find(name)) {
            diagnostics.add({file_, "line 1", fmt::format("no column \"{}\"", name),
                             fmt::format("the columns {}", base::join_words(known)),
                             base::did_you_mean(name, names_)});
        }
    }
    for (const std::string& name : names_) {
        if (std::find(known.begin(), known.end(), name) == known.end()) {
            diagnostics.add({file_, "line 1", fmt::format("the unknown column \"{}\"", name),
                             "one of " + base::join_words(known, " or "),
                             base::did_you_mean(name, known)});
        }
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
    if (!value) {
        problem(column, fmt::format("\"{}\"", cell), "a number",
                cell.find(',') != std::string::npos ? "Write a decimal point, not a comma" : "");
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
