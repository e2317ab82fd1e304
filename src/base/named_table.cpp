// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/named_table.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "base/written_number.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace feedwright::base {

namespace {

// A number and nothing else, as far as its letters go.
bool is_figure(const std::string& cell) {
    return cell.find_first_of("0123456789") != std::string::npos &&
           cell.find_first_not_of("0123456789.,+-eE %'") == std::string::npos;
}

// Takes the rows below the head, each with a cell for every column.
void take_rows(CutTable& cut, CsvTable& table, Diagnostics& diagnostics) {
    const std::size_t width = table.header.size();
    for (std::size_t i = cut.head + 1; i < cut.rows.size(); ++i) {
        TableRow& row = cut.rows[i];
        while (row.cells.size() > width && row.cells.back().empty())
            row.cells.pop_back();
        if (row.cells.size() > width) {
            diagnostics.add(
                {table.file, fmt::format("line {}", row.line),
                 fmt::format("{} cells", row.cells.size()),
                 fmt::format("{}, as in the header", width),
                 cut.separator == ','
                     ? "A decimal comma, or a comma in a text without quotes, also makes cells"
                     : ""});
            continue;
        }
        row.cells.resize(width);
        table.rows.push_back({row.line, std::move(row.cells)});
    }
}

}  // namespace

void settle_columns(CsvTable& table, Diagnostics& diagnostics) {
    for (std::size_t i = table.header.size(); i-- > 0;) {
        if (!table.header[i].empty()) continue;
        const bool used = std::any_of(table.rows.begin(), table.rows.end(),
                                      [&](const CsvRow& row) { return !row.cells[i].empty(); });
        if (used) {
            diagnostics.add({table.file, fmt::format("line {}", table.header_line),
                             fmt::format("an empty name for column {}", i + 1),
                             "a name for every column", ""});
            continue;
        }
        table.header.erase(table.header.begin() + static_cast<long>(i));
        for (CsvRow& row : table.rows)
            row.cells.erase(row.cells.begin() + static_cast<long>(i));
    }
    for (auto name = table.header.begin(); name != table.header.end(); ++name) {
        if (!name->empty() && std::find(table.header.begin(), name, *name) != name) {
            diagnostics.add({table.file, fmt::format("line {}", table.header_line),
                             fmt::format("column \"{}\" twice", *name), "each column name once",
                             ""});
        }
    }
}

NamedTable read_named_table(std::string_view bytes, const std::string& file,
                            const HeadLikeness& likeness, Diagnostics& diagnostics) {
    CutTable cut = cut_table(bytes, file, likeness);
    NamedTable read;
    CsvTable& table = read.table;
    table.file = read.reading.file = file;
    read.reading.encoding = cut.encoding;
    read.reading.separator = cut.separator;
    for (std::size_t i = 0; i < cut.head; ++i) {
        read.reading.left_out.push_back(
            {cut.rows[i].line, join_words(cut.rows[i].cells, ", "), LeftOut::Why::title});
    }
    table.header = cut.rows[cut.head].cells;
    table.header_line = cut.rows[cut.head].line;
    while (!table.header.empty() && table.header.back().empty())
        table.header.pop_back();
    take_rows(cut, table, diagnostics);
    settle_columns(table, diagnostics);
    MarkVotes votes;
    for (const CsvRow& row : table.rows) {
        for (const std::string& cell : row.cells) {
            if (is_figure(cell)) votes.note(row.line, plain_cell(cell));
        }
    }
    const auto mark = settle_mark(votes, cut.separator, file, diagnostics);
    read.reading.mark = mark.value_or(DecimalMark::point);
    read.reading.decimals = votes.any();
    read.reading.grouped =
        votes.seen(MarkShape::grouped_by_comma) || votes.seen(MarkShape::grouped_by_point);
    read.reading.rows = table.rows.size();
    if (!mark || (*mark == DecimalMark::point && !read.reading.grouped)) return read;
    for (CsvRow& row : table.rows) {
        for (std::string& cell : row.cells) {
            if (!is_figure(cell) || cell.find_first_of(".,' ") == std::string::npos) continue;
            const std::string plain = plain_cell(cell);
            const auto number = leading_number(plain, *mark, false);
            if (number && number->rest.empty()) cell = shortest(number->value);
        }
    }
    return read;
}

std::optional<DecimalMark> settle_mark(const MarkVotes& votes, char separator,
                                       const std::string& file, Diagnostics& diagnostics) {
    using Verdict = MarkVotes::Verdict;
    const auto tell_of_two_readings = [&](const MarkPlace& place) {
        const std::string cell = printable(place.cell, 40);
        // The number in the cell, with one mark.
        const std::size_t first = cell.find_first_of("0123456789");
        const std::size_t mark = cell.find_first_of(".,", first);
        const std::string front = cell.substr(first, mark - first);
        const std::string back = cell.substr(mark + 1, 3);
        diagnostics.add(
            {file, fmt::format("line {}", place.line),
             fmt::format("\"{}\", which may be {}.{} or {}{}", cell, front, back, front, back),
             "numbers that can be read in one way",
             fmt::format("Write {}{} without a mark, or {}.{}0 with one more decimal", front, back,
                         front, back)});
        return std::nullopt;
    };
    switch (votes.verdict(separator == ',')) {
        case Verdict::point:
            return DecimalMark::point;
        case Verdict::comma:
            return DecimalMark::comma;
        case Verdict::comma_either_way:
        case Verdict::comma_thousands_unsure:
            return tell_of_two_readings(votes.first(MarkShape::maybe_comma));
        case Verdict::point_either_way:
        case Verdict::point_thousands_unsure:
            return tell_of_two_readings(votes.first(MarkShape::maybe_point));
        case Verdict::both: {
            const auto earlier = [&](MarkShape one, MarkShape other) {
                const MarkPlace& a = votes.first(one);
                const MarkPlace& b = votes.first(other);
                return a.line > 0 && (b.line == 0 || a.line <= b.line) ? a : b;
            };
            const MarkPlace point = earlier(MarkShape::point, MarkShape::grouped_by_comma);
            const MarkPlace comma = earlier(MarkShape::comma, MarkShape::grouped_by_point);
            diagnostics.add(
                {file, fmt::format("line {}", std::max(point.line, comma.line)),
                 fmt::format("\"{}\" on line {} and \"{}\" on line {}", printable(point.cell, 40),
                             point.line, printable(comma.cell, 40), comma.line),
                 "one decimal mark in the whole file",
                 "Write a point in every number, or a comma in every number"});
            return std::nullopt;
        }
    }
    return std::nullopt;
}

std::string number_hint(std::string_view cell) {
    const std::string text = lower(cell);
    constexpr std::array months{"jan", "feb", "mar", "apr", "may", "jun",
                                "jul", "aug", "sep", "oct", "nov", "dec"};
    const bool digits = text.find_first_of("0123456789") != std::string::npos;
    const bool month = std::any_of(months.begin(), months.end(), [&](const char* m) {
        return text.find(m) != std::string::npos;
    });
    if (digits && month) return "A spreadsheet may have made a date of it";
    if (text.starts_with('=')) return "Save the table with the values, not the formulas";
    if (text.starts_with('#')) return "The spreadsheet could not work the cell out";
    if (text.find(',') != std::string::npos) return "Write a decimal point, not a comma";
    return {};
}

std::string Cells::text(std::string_view column) const {
    std::string words;
    std::string_view rest;
    const std::string plain = plain_cell(raw(column));
    rest = plain;
    for (auto word = take_word(rest); !word.empty(); word = take_word(rest)) {
        if (!words.empty()) words += ' ';
        words += word;
    }
    return words;
}

const std::string& Cells::raw(std::string_view column) const {
    static const std::string none;
    const auto at = table_.columns.find(column);
    return at == table_.columns.end() ? none : row_.cells[at->second];
}

std::optional<double> Cells::leading(std::string_view column, std::string& rest,
                                     const std::string& expected) const {
    rest.clear();
    const std::string cell = plain_cell(raw(column));
    if (cell.empty() || !table_.mark) return std::nullopt;
    const auto number = leading_number(cell, *table_.mark);
    if (!number) {
        problem(column, '"' + raw(column) + '"', expected, number_hint(cell));
        return std::nullopt;
    }
    rest = number->rest;
    return number->value;
}

std::optional<double> Cells::number(std::string_view column) const {
    std::string rest;
    const auto value = leading(column, rest, "a number");
    if (value && !rest.empty()) {
        problem(column, '"' + raw(column) + '"', "a number", number_hint(raw(column)));
        return std::nullopt;
    }
    return value;
}

std::optional<double> Cells::percent(std::string_view column) const {
    std::string rest;
    const auto value = leading(column, rest, "a percentage from 0 to 100");
    if (!value) return value;
    if (!rest.empty() && rest != "%") {
        problem(column, '"' + raw(column) + '"', "a percentage from 0 to 100",
                number_hint(raw(column)));
        return std::nullopt;
    }
    if (*value < 0 || *value > 100) {
        problem(column, shortest(*value), "a percentage from 0 to 100");
        return std::nullopt;
    }
    return value;
}

void Cells::problem(std::string_view column, std::string found, std::string expected,
                    std::string hint) const {
    const Head* head = table_.head(column);
    diagnostics_.add({table_.file,
                      fmt::format("line {}, column {}", row_.line,
                                  head == nullptr || head->written.empty() ? std::string(column)
                                                                           : head->written),
                      std::move(found), std::move(expected), std::move(hint)});
}

}  // namespace feedwright::base
