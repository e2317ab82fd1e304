// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/document.hpp"
#include "document/layout.hpp"

#include <algorithm>
#include <string>
#include <string_view>

namespace feedwright::document {

namespace {

constexpr std::string_view digits = "0123456789";

bool is_word(char c) {
    const auto u = static_cast<unsigned char>(c);
    return u >= 0x80 || (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

// True where the '&' at `at` opens something that Markdown would read as a character reference.
bool opens_reference(std::string_view text, std::size_t at) {
    std::size_t end = at + 1;
    if (end < text.size() && text[end] == '#') ++end;
    const std::size_t first = end;
    while (end < text.size() && is_word(text[end]))
        ++end;
    return end > first && end < text.size() && text[end] == ';';
}

// An underscore inside a word is plain text (crude_protein); elsewhere it may open emphasis.
bool inside_word(std::string_view text, std::size_t at) {
    return at > 0 && at + 1 < text.size() && is_word(text[at - 1]) && is_word(text[at + 1]);
}

// Text that reads as itself within a line, in table cells too.
std::string escape(std::string_view raw) {
    const std::string text = one_line(raw);
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        const bool special = std::string_view("\\`*[]<|~").find(c) != std::string_view::npos ||
                             (c == '_' && !inside_word(text, i)) ||
                             (c == '&' && opens_reference(text, i));
        if (special) out += '\\';
        out += c;
    }
    return out;
}

// Text that reads as itself at the start of a line, where more characters have a meaning.
std::string escape_line(std::string_view raw) {
    std::string text = escape(raw);
    if (text.empty()) return text;
    if (std::string_view("#+-=>").find(text.front()) != std::string_view::npos) {
        return text.insert(0, 1, '\\');
    }
    const std::size_t mark = text.find_first_not_of(digits);
    if (mark != 0 && mark != std::string::npos && (text[mark] == '.' || text[mark] == ')')) {
        text.insert(mark, 1, '\\');
    }
    return text;
}

// A '#' at the end of a heading would be taken for its closing sequence.
std::string heading_line(std::string_view level, std::string_view raw) {
    std::string text = escape(raw);
    if (text.empty()) return {};
    if (text.back() == '#') text.insert(text.size() - 1, 1, '\\');
    return std::string(level) + ' ' + text + '\n';
}

std::string markdown_of(const Heading& heading) {
    return heading_line("##", heading.text);
}

std::string markdown_of(const Paragraph& paragraph) {
    const std::string text = escape_line(paragraph.text);
    return text.empty() ? text : text + '\n';
}

std::string markdown_of(const Bullets& bullets) {
    std::string out;
    for (const Paragraph& item : bullets.items) {
        const std::string text = escape_line(item.text);
        if (!text.empty()) out += "- " + text + '\n';
    }
    return out;
}

std::string markdown_of(const Facts& facts) {
    std::string out;
    for (const auto& [label, cell] : facts.items) {
        std::string line = "- **" + escape(label) + ":** " + escape(cell.text);
        drop_trailing_spaces(line);
        out += line + '\n';
    }
    return out;
}

std::string markdown_of(const Table& table) {
    if (table.data_only) return {};
    require_shape(table);
    if (table.columns.empty()) return {};
    std::string out = "|";
    for (const TableColumn& column : table.columns)
        out += ' ' + escape(column.header) + " |";
    out += "\n|";
    for (const TableColumn& column : table.columns) {
        out += column.align == Align::right ? " ---: |" : " :--- |";
    }
    out += '\n';
    for (const std::vector<Cell>& row : table.rows) {
        out += '|';
        for (const Cell& cell : row)
            out += ' ' + escape(cell.text) + " |";
        out += '\n';
    }
    return out;
}

// The fence is longer than any run of backticks within.
std::string fenced(const std::string& drawing) {
    if (drawing.empty()) return {};
    std::string fence = "```";
    while (drawing.find(fence) != std::string::npos)
        fence += '`';
    return fence + '\n' + drawing + fence + '\n';
}

std::string markdown_of(const BarPlot& plot) {
    if (plot.pages_only) return {};
    const std::string title = escape_line(plot.title);
    const std::string drawing = fenced(bar_chart(plot.bars, 80, plot.origin));
    return title.empty() || drawing.empty() ? drawing : title + "\n\n" + drawing;
}

std::string markdown_of(const LinePlot& plot) {
    return plot.pages_only ? "" : fenced(line_plot(plot.series, plot.axes));
}

}  // namespace

std::string render_markdown(const Document& document) {
    std::string out = heading_line("#", document.title);
    for (const Block& block : document.blocks) {
        const std::string text = std::visit([](const auto& b) { return markdown_of(b); }, block);
        if (!out.empty() && !text.empty()) out += '\n';
        out += text;
    }
    return out;
}

}  // namespace feedwright::document
