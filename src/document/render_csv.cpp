// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/csv.hpp"
#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "document/csv_table.hpp"
#include "document/document.hpp"
#include "document/layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace feedwright::document {

namespace {

std::string text_cell(std::string_view raw) {
    return base::csv_text(raw);
}

void append_row(std::string& out, const std::vector<std::string>& cells) {
    std::string line;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        if (i > 0) line += ',';
        line += cells[i];
    }
    // Unquoted, these would read as no row at all: an empty line and a comment.
    if (line.empty()) line = "\"\"";
    if (line.front() == '#') line = '"' + cells[0] + '"' + line.substr(cells[0].size());
    out += line + '\n';
}

std::string opening(std::string_view key) {
    if (key.empty()) throw Error("a table or fact list without a key cannot be written as CSV");
    return fmt::format("# {}\n", without_controls(key));
}

std::string csv_of(const Table& table) {
    require_shape(table);
    if (table.columns.empty() || table.text_only) return {};
    std::string out = opening(table.key);
    std::vector<std::string> cells;
    for (const TableColumn& column : table.columns) {
        if (column.key.empty()) {
            throw Error(fmt::format("table {} has a column without a key", table.key));
        }
        cells.push_back(text_cell(column.key));
    }
    append_row(out, cells);
    for (const std::vector<Cell>& row : table.rows) {
        cells.clear();
        for (const Cell& cell : row) {
            cells.push_back(cell.number ? base::shortest(*cell.number) : text_cell(cell.text));
        }
        append_row(out, cells);
    }
    return out;
}

std::string csv_of(const Facts& facts) {
    if (facts.items.empty()) return {};
    std::string out = opening(facts.key);
    append_row(out, {"item", "number", "text"});
    for (const auto& [label, cell] : facts.items) {
        const std::string number = cell.number ? base::shortest(*cell.number) : std::string{};
        append_row(out, {text_cell(label), number, text_cell(cell.text)});
    }
    return out;
}

// Prose and plots have no place in a table.
std::string csv_of(const Heading&) {
    return {};
}
std::string csv_of(const Paragraph&) {
    return {};
}
std::string csv_of(const Bullets&) {
    return {};
}
std::string csv_of(const BarPlot&) {
    return {};
}

std::string csv_of(const LinePlot&) {
    return {};
}

// What a report without a table says, so that no result is an empty output.
std::string status_of(const Document& document) {
    Table table{"status", {{"status", Align::left, "status"}}, {}};
    const auto add = [&](const Paragraph& paragraph) {
        if (!one_line(paragraph.text).empty()) table.rows.push_back({Cell{paragraph.text}});
    };
    for (const Block& block : document.blocks) {
        if (const auto* paragraph = std::get_if<Paragraph>(&block)) add(*paragraph);
        if (const auto* bullets = std::get_if<Bullets>(&block)) {
            for (const Paragraph& item : bullets->items)
                add(item);
        }
    }
    return table.rows.empty() ? std::string{} : csv_of(table);
}

// What is written of a document, a text a block, each with its opening.
std::vector<std::string> parts_of(const Document& document) {
    std::vector<std::string> parts;
    for (const Block& block : document.blocks) {
        std::string text = std::visit([](const auto& b) { return csv_of(b); }, block);
        if (!text.empty()) parts.push_back(std::move(text));
    }
    if (!parts.empty()) return parts;
    std::string status = status_of(document);
    if (!status.empty()) parts.push_back(std::move(status));
    return parts;
}

std::string_view name_of(std::string_view part) {
    return part.substr(2, part.find('\n') - 2);
}

}  // namespace

std::string render_csv(const Document& document) {
    return fmt::format("{}", fmt::join(parts_of(document), "\n"));
}

std::vector<std::string> csv_tables(const Document& document) {
    std::vector<std::string> names;
    for (const std::string& part : parts_of(document)) {
        const std::string name(name_of(part));
        if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
    }
    return names;
}

std::optional<std::string> render_csv_table(const Document& document, std::string_view key) {
    std::string table;
    for (const std::string& part : parts_of(document)) {
        if (name_of(part) != key) continue;
        std::string text = part.substr(part.find('\n') + 1);
        const std::string head = text.substr(0, text.find('\n') + 1);
        if (!table.empty()) {
            // Of another shape: parted by an empty line, as render_csv does it.
            text = table.starts_with(head) ? text.substr(head.size()) : '\n' + text;
        }
        table += text;
    }
    if (table.empty()) return std::nullopt;
    return table;
}

}  // namespace feedwright::document
