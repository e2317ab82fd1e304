// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"
#include "document/document.hpp"
#include "document/layout.hpp"

#include <algorithm>
#include <iterator>
#include <numeric>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::document {

namespace {

using Lines = std::vector<std::string>;

constexpr std::size_t indent = 2;  // of what stands under a heading, and of a wrapped line's rest
constexpr std::size_t gap = 2;     // between columns
constexpr std::size_t least_width = 20;
constexpr std::size_t readable_width = 24;  // of a wrapped column, unless there is no room
constexpr std::string_view bold = "\x1b[1m";
constexpr std::string_view reset = "\x1b[0m";

struct Frame {
    std::size_t width;
    bool colour;
};

std::string paint(std::string_view text, std::string_view code, const Frame& frame) {
    std::string out(text);
    if (frame.colour && !code.empty() && !text.empty()) out.insert(0, code).append(reset);
    return out;
}

std::string_view code_of(Tone tone) {
    switch (tone) {
        case Tone::good:
            return "\x1b[32m";
        case Tone::bad:
            return "\x1b[31m";
        case Tone::warn:
            return "\x1b[33m";
        case Tone::quiet:
            return "\x1b[2m";
        case Tone::plain:
            break;
    }
    return {};
}

// A cell's text broken into the lines of its column.
struct BrokenCell {
    Lines lines;
    Tone tone = Tone::plain;
};

using BrokenRow = std::vector<BrokenCell>;

std::size_t widest(const Lines& lines) {
    std::size_t width = 0;
    for (const std::string& line : lines)
        width = std::max(width, base::display_width(line));
    return width;
}

std::size_t height_of(const BrokenRow& row) {
    std::size_t height = 0;
    for (const BrokenCell& cell : row)
        height = std::max(height, cell.lines.size());
    return height;
}

// Rows and facts that hold nothing take no line: an empty line stands between blocks only.
void append_line(Lines& lines, std::string line) {
    drop_trailing_spaces(line);
    if (!line.empty()) lines.push_back(std::move(line));
}

std::string_view line_or_nothing(const Lines& lines, std::size_t i) {
    return i < lines.size() ? std::string_view(lines[i]) : std::string_view{};
}

// Appends `text` to `line` in a field of `width` columns. Only the text is painted, never the
// padding, so that dropping trailing spaces does the same with and without colour.
void append_field(std::string& line, std::string_view text, std::size_t width, Align align,
                  Tone tone, const Frame& frame) {
    const std::size_t spaces = width - std::min(width, base::display_width(text));
    if (align == Align::right) line.append(spaces, ' ');
    line += paint(text, code_of(tone), frame);
    if (align == Align::left) line.append(spaces, ' ');
}

Lines paragraph_lines(const Paragraph& paragraph, const Frame& frame) {
    const std::string text = one_line(paragraph.text);
    if (text.empty()) return {};
    Lines lines = base::wrap(text, frame.width);
    for (std::string& line : lines)
        line = paint(line, code_of(paragraph.tone), frame);
    return lines;
}

Lines lines_of(const Heading& heading, const Frame& frame) {
    Lines lines = paragraph_lines(Paragraph{heading.text, Tone::plain}, frame);
    for (std::string& line : lines)
        line = paint(line, bold, frame);
    return lines;
}

Lines lines_of(const Paragraph& paragraph, const Frame& frame) {
    return paragraph_lines(paragraph, frame);
}

Lines lines_of(const Bullets& bullets, const Frame& frame) {
    Lines lines;
    for (const Paragraph& item : bullets.items) {
        std::string_view lead = "- ";
        for (const std::string& line :
             paragraph_lines(item, Frame{frame.width - lead.size(), frame.colour})) {
            lines.push_back(std::string(lead) + line);
            lead = "  ";
        }
    }
    return lines;
}

Lines lines_of(const Facts& facts, const Frame& frame) {
    std::size_t room = frame.width / 2;  // for the labels, unless a word needs more
    for (const auto& [label, cell] : facts.items) {
        room = std::max(room, width_of_widest_word(one_line(label), indent));
    }
    std::vector<Lines> labels;
    std::size_t label_width = 0;
    for (const auto& [label, cell] : facts.items) {
        labels.push_back(wrap_hanging(one_line(label), room, indent));
        label_width = std::max(label_width, widest(labels.back()));
    }
    const std::size_t taken = label_width + gap;
    const std::size_t value_width = frame.width > taken ? frame.width - taken : 1;
    Lines lines;
    for (std::size_t k = 0; k < labels.size(); ++k) {
        const Cell& cell = facts.items[k].second;
        const Lines values = base::wrap(one_line(cell.text), value_width);
        for (std::size_t i = 0; i < std::max(labels[k].size(), values.size()); ++i) {
            std::string line = pad_right(line_or_nothing(labels[k], i), taken);
            line += paint(line_or_nothing(values, i), code_of(cell.tone), frame);
            append_line(lines, std::move(line));
        }
    }
    return lines;
}

// Drawn plots keep their own columns.
Lines lines_of_drawing(std::string_view text) {
    Lines lines;
    for (std::size_t start = 0; start < text.size();) {
        const std::size_t end = std::min(text.find('\n', start), text.size());
        lines.emplace_back(text.substr(start, end - start));
        start = end + 1;
    }
    return lines;
}

Lines lines_of(const BarPlot& plot, const Frame& frame) {
    if (plot.pages_only || plot.bars.empty()) return {};
    Lines lines;
    if (!plot.title.empty()) lines = base::wrap(one_line(plot.title), frame.width);
    for (std::string& line : lines_of_drawing(bar_chart(plot.bars, frame.width, plot.origin)))
        lines.push_back(std::move(line));
    return lines;
}

Lines lines_of(const LinePlot& plot, const Frame& frame) {
    if (plot.pages_only) return {};
    PlotSpec axes = plot.axes;
    axes.width = frame.width;
    return lines_of_drawing(line_plot(plot.series, axes));
}

// Takes columns from the widest entry that is above its floor, one at a time, until all fit.
bool shrink(std::vector<std::size_t>& widths, const std::vector<std::size_t>& floors,
            std::size_t available) {
    std::size_t total = std::accumulate(widths.begin(), widths.end(), std::size_t{0});
    while (total > available) {
        std::size_t chosen = widths.size();
        for (std::size_t i = 0; i < widths.size(); ++i) {
            const bool can = widths[i] > floors[i];
            if (can && (chosen == widths.size() || widths[i] > widths[chosen])) chosen = i;
        }
        if (chosen == widths.size()) return false;
        --widths[chosen];
        --total;
    }
    return true;
}

// The narrowest column in which the header takes two lines at most.
std::size_t two_line_width(const std::string& header, std::size_t widest_word) {
    std::size_t width = widest_word;
    while (base::wrap(header, width).size() > 2)
        ++width;
    return width;
}

// Column widths that fit the frame, for a table of single lines. Headers are broken in two first,
// which costs one line in all; then left-aligned columns are wrapped, the widest first, as long as
// they stay readable; then both as far as their words allow. Empty when even that does not fit.
std::vector<std::size_t> column_widths(const Table& table, const Frame& frame) {
    const std::size_t count = table.columns.size();
    std::vector<std::size_t> widths(count), two_lines(count), readable(count), words(count);
    for (std::size_t i = 0; i < count; ++i) {
        const std::string& header = table.columns[i].header;
        std::size_t widest_cell = 0;
        std::size_t widest_word = 0;
        for (const std::vector<Cell>& row : table.rows) {
            const std::string& text = row[i].text;
            widest_cell = std::max(widest_cell, base::display_width(text));
            widest_word = std::max(widest_word, width_of_widest_word(text, indent));
        }
        if (table.columns[i].align == Align::right) widest_word = widest_cell;
        const std::size_t header_word = width_of_widest_word(header, 0);
        const std::size_t broken_header = two_line_width(header, header_word);
        widths[i] = std::max(base::display_width(header), widest_cell);
        two_lines[i] = std::max(broken_header, widest_cell);
        words[i] = std::max(header_word, widest_word);
        readable[i] = std::max({broken_header, widest_word, std::min(widest_cell, readable_width)});
    }
    const std::size_t gaps = gap * (count - 1);
    if (gaps >= frame.width) return {};
    for (const std::vector<std::size_t>& floors : {two_lines, readable, words}) {
        if (shrink(widths, floors, frame.width - gaps)) return widths;
    }
    return {};
}

// Each row as a list of facts, for a table of more columns than a line holds.
Lines stacked(const Table& table, const Frame& frame) {
    Lines lines;
    for (const std::vector<Cell>& row : table.rows) {
        Facts facts;
        for (std::size_t i = 0; i < row.size(); ++i) {
            facts.items.emplace_back(table.columns[i].header, row[i]);
        }
        Lines shown = lines_of(facts, frame);
        if (!lines.empty() && !shown.empty()) lines.emplace_back();
        std::move(shown.begin(), shown.end(), std::back_inserter(lines));
    }
    if (lines.empty()) lines.emplace_back("(none)");
    return lines;
}

Table in_single_lines(Table table) {
    for (auto& column : table.columns)
        column.header = one_line(column.header);
    for (std::vector<Cell>& row : table.rows) {
        for (Cell& cell : row)
            cell.text = one_line(cell.text);
    }
    return table;
}

Lines lines_of(const Table& given, const Frame& frame) {
    if (given.data_only) return {};
    require_shape(given);
    const std::size_t count = given.columns.size();
    if (count == 0) return {};
    const Table table = in_single_lines(given);
    const std::vector<std::size_t> room = column_widths(table, frame);
    if (room.empty()) return stacked(table, frame);

    // Broken lines may end short of their room, so columns are set to what they hold.
    std::vector<BrokenRow> rows(1);
    for (std::size_t i = 0; i < count; ++i) {
        rows[0].push_back({base::wrap(table.columns[i].header, room[i])});
    }
    for (const std::vector<Cell>& row : table.rows) {
        rows.emplace_back();
        for (std::size_t i = 0; i < count; ++i) {
            const std::string& text = row[i].text;
            const bool left = table.columns[i].align == Align::left;
            rows.back().push_back(
                {left ? wrap_hanging(text, room[i], indent) : Lines{text}, row[i].tone});
        }
    }
    std::vector<std::size_t> widths(count);
    for (const BrokenRow& row : rows) {
        for (std::size_t i = 0; i < count; ++i) {
            widths[i] = std::max(widths[i], widest(row[i].lines));
        }
    }
    // A header stands on the rule: short ones begin lower.
    const std::size_t header_height = height_of(rows[0]);
    for (BrokenCell& header : rows[0]) {
        header.lines.insert(header.lines.begin(), header_height - header.lines.size(), {});
    }

    Lines lines;
    const bool headed = std::any_of(table.columns.begin(), table.columns.end(),
                                    [](const TableColumn& c) { return !c.header.empty(); });
    for (std::size_t r = headed ? 0 : 1; r < rows.size(); ++r) {
        const BrokenRow& row = rows[r];
        const std::size_t height = height_of(row);
        for (std::size_t k = 0; k < height; ++k) {
            std::string line;
            for (std::size_t i = 0; i < count; ++i) {
                if (i > 0) line.append(gap, ' ');
                append_field(line, line_or_nothing(row[i].lines, k), widths[i],
                             table.columns[i].align, row[i].tone, frame);
            }
            append_line(lines, std::move(line));
        }
        if (r == 0) {
            std::string rule;
            for (const std::size_t width : widths) {
                rule.append(width, '-').append(gap, ' ');
            }
            append_line(lines, std::move(rule));
        }
    }
    if (table.rows.empty()) lines.emplace_back("(none)");
    return lines;
}

}  // namespace

std::string render_text(const Document& document, const TextStyle& style) {
    const std::size_t width = std::max(style.width, least_width);
    std::string out;
    bool under_heading = false;
    bool after_heading = false;
    const auto append = [&](const Lines& lines, std::size_t in) {
        if (lines.empty()) return;
        if (!out.empty() && !after_heading) out += '\n';
        for (const std::string& line : lines) {
            if (!line.empty()) out.append(in, ' ').append(line);
            out += '\n';
        }
        after_heading = false;
    };
    append(lines_of(Heading{document.title}, Frame{width, style.colour}), 0);
    for (const Block& block : document.blocks) {
        const bool heading = std::holds_alternative<Heading>(block);
        const bool fixed =
            std::holds_alternative<BarPlot>(block) || std::holds_alternative<LinePlot>(block);
        const std::size_t in = under_heading && !heading && !fixed ? indent : 0;
        const Frame frame{width - in, style.colour};
        if (heading) after_heading = false;
        append(std::visit([&](const auto& b) { return lines_of(b, frame); }, block), in);
        if (heading)
            under_heading = after_heading = !one_line(std::get<Heading>(block).text).empty();
    }
    return out;
}

}  // namespace feedwright::document
