// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "base/named_table.hpp"
#include "base/text.hpp"
#include "catalog/import.hpp"
#include "catalog/import_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace feedwright::catalog {

namespace {

using base::CsvRow;

std::size_t filled(const CsvRow& row) {
    return static_cast<std::size_t>(std::count_if(
        row.cells.begin(), row.cells.end(), [](const std::string& cell) { return !cell.empty(); }));
}

template <typename Words>
bool has(const CsvRow& row, const Words& words) {
    return std::any_of(row.cells.begin(), row.cells.end(),
                       [&](const std::string& cell) { return is_plain(cell, words); });
}

// 2: names the columns of a report; 1: one column that names rows; 0: neither.
int likeness(const std::vector<std::string>& cells) {
    const CsvRow row{0, cells};
    if (filled(row) < 2) return 0;
    const bool rows_are_nutrients = has(row, nutrient_words);
    if (rows_are_nutrients && (has(row, value_words) || has(row, unit_words))) return 2;
    return rows_are_nutrients || has(row, id_words) || has(row, name_words) ? 1 : 0;
}

struct Digits {
    std::size_t before = 0;  // digits in front of the mark
    std::size_t after = 0;   // and behind it
    std::size_t mark = 0;    // where it stands
};

// The digits around the first `mark` of a cell that begins with a number: "12,5 %", "<0,1", "31,2 ±
// 0,4".
std::optional<Digits> number_with(char mark, const std::string& cell, std::size_t from = 0) {
    constexpr std::string_view digits = "0123456789";
    const std::size_t first = cell.find_first_not_of(" <>~=+-", from);
    if (first == std::string::npos) return std::nullopt;
    Digits found;
    found.mark = std::min(cell.find_first_not_of(digits, first), cell.size());
    found.before = found.mark - first;
    if (found.before == 0 || found.mark == cell.size() || cell[found.mark] != mark)
        return std::nullopt;
    const std::size_t end = std::min(cell.find_first_not_of(digits, found.mark + 1), cell.size());
    found.after = end - found.mark - 1;
    const bool ends = end == cell.size() || cell[end] == ' ' || cell[end] == '%' ||
                      std::string_view(cell).substr(end).starts_with("±");
    if (found.after == 0 || !ends) return std::nullopt;
    return found;
}

// Writes points for decimal commas when the file's numbers have those and no points. "1,234" alone
// could be either and decides nothing.
void restate_decimal_commas(std::vector<CsvRow>& rows) {
    bool commas = false;
    for (const CsvRow& row : rows) {
        for (const std::string& cell : row.cells) {
            if (number_with('.', cell)) return;
            const auto found = number_with(',', cell);
            if (found &&
                (found->after != 3 || (found->before == 1 && cell[found->mark - 1] == '0')))
                commas = true;
        }
    }
    if (!commas) return;
    for (CsvRow& row : rows) {
        for (std::string& cell : row.cells) {
            if (const auto found = number_with(',', cell)) cell[found->mark] = '.';
            constexpr std::string_view spread = "±";
            const std::size_t at = cell.find(spread);
            if (at == std::string::npos) continue;
            if (const auto found = number_with(',', cell, at + spread.size()))
                cell[found->mark] = '.';
        }
    }
}

}  // namespace

std::string plain(std::string_view text) {
    std::string result;
    for (const char c : base::lower(base::trim(text))) {
        const char d = c == '_' || c == '-' || c == ',' || c == '\t' || c == '\n' ? ' ' : c;
        if (d == ' ' && (result.empty() || result.back() == ' ')) continue;
        if (d == '+') {
            if (!result.empty() && result.back() != ' ') result += ' ';
            result += "+ ";
            continue;
        }
        result += d;
    }
    while (!result.empty() && result.back() == ' ')
        result.pop_back();
    return result;
}

LaboratoryTable read_laboratory_table(std::string_view text, const std::string& file) {
    base::CutTable cut = base::cut_table(text, file, likeness);
    std::vector<CsvRow> all;
    for (base::TableRow& row : cut.rows)
        all.push_back({row.line, std::move(row.cells)});
    LaboratoryTable made;
    const auto headings = all.begin() + static_cast<long>(cut.head);
    made.beside.assign(all.begin(), headings);
    std::vector<CsvRow> rows(headings + 1, all.end());
    base::Diagnostics problems;
    const auto refuse = [&](std::size_t line, std::string found, std::string expected,
                            std::string hint = {}) {
        problems.add({file, fmt::format("line {}", line), std::move(found), std::move(expected),
                      std::move(hint)});
    };
    std::vector<std::string>& header = headings->cells;
    while (header.back().empty())
        header.pop_back();

    // What is longer than the headings may only be empty; a note of one cell may stand below the
    // table.
    std::vector<CsvRow> kept;
    for (CsvRow& row : rows) {
        while (row.cells.size() > header.size() && row.cells.back().empty())
            row.cells.pop_back();
        if (row.cells.size() == 1 && header.size() > 1) {
            made.beside.push_back(std::move(row));
            continue;
        }
        if (row.cells.size() != header.size()) {
            const std::size_t cells = row.cells.size();
            refuse(row.line, fmt::format("{} cell{}", cells, cells == 1 ? "" : "s"),
                   fmt::format("{}, as in the headings", header.size()),
                   cells < header.size()
                       ? "An empty cell still has its comma"
                       : "A decimal comma, or a comma in a text without quotes, also makes cells");
            continue;
        }
        kept.push_back(std::move(row));
    }
    made.table = {file, header, headings->line, std::move(kept)};
    base::settle_columns(made.table, problems);
    problems.throw_if_any();
    restate_decimal_commas(made.table.rows);
    return made;
}

}  // namespace feedwright::catalog
