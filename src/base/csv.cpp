// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/csv.hpp"

#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "base/safe_text.hpp"
#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>
#include <utility>

namespace feedwright::base {

namespace {

void drop_byte_order_mark(std::string& line) {
    if (line.starts_with("\xEF\xBB\xBF")) line.erase(0, 3);
}

[[noreturn]] void refuse(const std::string& file, std::size_t line, std::string found,
                         std::string expected, std::string hint = {}) {
    throw DataError(Diagnostic{file, fmt::format("line {}", line), std::move(found),
                               std::move(expected), std::move(hint)});
}

}  // namespace

bool split_csv(std::string_view line, std::vector<std::string>& cells, char separator) {
    cells.clear();
    const std::string_view blank = separator == '\t' ? " " : " \t";
    std::size_t i = 0;
    while (true) {
        std::size_t start = line.find_first_not_of(blank, i);
        if (start == std::string_view::npos) start = line.size();
        std::string cell;
        if (start < line.size() && line[start] == '"') {
            i = start + 1;
            while (true) {
                if (i >= line.size()) return false;
                if (line[i] == '"') {
                    if (i + 1 < line.size() && line[i + 1] == '"') {
                        cell += '"';
                        i += 2;
                        continue;
                    }
                    ++i;
                    break;
                }
                cell += line[i++];
            }
            const std::size_t comma = std::min(line.find(separator, i), line.size());
            cell += trim(line.substr(i, comma - i));
            i = comma;
        } else {
            const std::size_t comma = std::min(line.find(separator, start), line.size());
            cell = trim(line.substr(start, comma - start));
            i = comma;
        }
        cells.push_back(std::move(cell));
        if (i >= line.size()) return true;
        ++i;
    }
}

CsvReader::CsvReader(std::istream& in, std::string file, char separator)
    : in_(in), file_(std::move(file)), separator_(separator) {}

bool CsvReader::next(CsvRow& row) {
    std::string line;
    while (std::getline(in_, line)) {
        ++line_;
        if (line_ == 1) drop_byte_order_mark(line);
        row.line = line_;
        const std::string_view content = trim(line);
        if (content.empty() || content.front() == '#') continue;
        // An empty cell at either end of a line is a tab where tabs separate.
        const auto record = [&] {
            if (separator_ != '\t') return trim(line);
            std::string_view whole = line;
            while (whole.ends_with('\r'))
                whole.remove_suffix(1);
            return whole;
        };
        while (!split_csv(record(), row.cells, separator_)) {
            // Only a line with a quote can close one; splitting again after every line would take
            // time with the square of the file.
            std::string more;
            do {
                if (!std::getline(in_, more)) {
                    refuse(file_, row.line, "a quote that is never closed",
                           "\" at the end of the cell");
                }
                ++line_;
                line += '\n' + more;
            } while (more.find('"') == std::string::npos);
        }
        return true;
    }
    return false;
}

CsvTable parse_csv(std::string_view text, const std::string& file) {
    if (const std::size_t good = utf8_length(text); good < text.size()) {
        const auto lines = std::count(text.begin(), text.begin() + static_cast<long>(good), '\n');
        refuse(file, static_cast<std::size_t>(lines) + 1, "bytes that are not UTF-8", "UTF-8 text",
               "Save the table as UTF-8");
    }
    std::istringstream in{std::string(text)};
    CsvReader reader(in, file);
    CsvTable table;
    table.file = file;
    CsvRow row;
    if (!reader.next(row)) refuse(file, 1, "no rows", "a header row and at least one more");
    table.header = row.cells;
    table.header_line = row.line;
    if (table.header.size() == 1) {
        const std::string& only = table.header[0];
        const bool semicolons = only.find(';') != std::string::npos;
        if (semicolons || only.find('\t') != std::string::npos) {
            refuse(file, row.line,
                   semicolons ? "semicolons between columns" : "tabs between columns", "commas",
                   "Save the table with commas between columns and points in numbers");
        }
        if (only.starts_with('{')) {
            refuse(file, row.line, "JSON", "a table with a header row and commas (CSV)");
        }
    }
    for (std::size_t i = 0; i < table.header.size(); ++i) {
        const std::string& name = table.header[i];
        if (name.empty()) {
            refuse(file, row.line, fmt::format("an empty name for column {}", i + 1),
                   "a name for every column");
        }
        if (std::find(table.header.begin(), table.header.begin() + static_cast<long>(i), name) !=
            table.header.begin() + static_cast<long>(i)) {
            refuse(file, row.line, fmt::format("column \"{}\" twice", name),
                   "each column name once");
        }
    }
    while (reader.next(row)) {
        if (row.cells.size() != table.header.size()) {
            const std::size_t cells = row.cells.size();
            refuse(file, row.line, fmt::format("{} cell{}", cells, cells == 1 ? "" : "s"),
                   fmt::format("{}, as in the header", table.header.size()),
                   cells < table.header.size()
                       ? "An empty cell still has its comma"
                       : "A decimal comma, or a comma in a text without quotes, also makes cells");
        }
        table.rows.push_back(row);
    }
    return table;
}

std::string csv_cell(std::string_view text) {
    const bool plain = text.find_first_of(",\"\r\n") == std::string_view::npos &&
                       trim(text).size() == text.size() && !text.starts_with('#');
    if (plain) return std::string(text);
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"') out += '"';
        out += c;
    }
    return out + '"';
}

std::string csv_text(std::string_view raw) {
    std::string text = without_controls(raw);
    // A lone sign and a plain number are harmless.
    const bool formula = text.size() > 1 &&
                         std::string_view("=+-@").find(text.front()) != std::string_view::npos &&
                         !parse_finite(text);
    if (formula) text.insert(0, 1, '\'');
    return csv_cell(text);
}

}  // namespace feedwright::base
