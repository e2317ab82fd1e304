// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/layout.hpp"

#include "base/diagnostics.hpp"
#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace feedwright::document {

std::string one_line(std::string_view text) {
    std::string out = without_controls(text);
    const auto both_spaces = [](char a, char b) { return a == ' ' && b == ' '; };
    out.erase(std::unique(out.begin(), out.end(), both_spaces), out.end());
    if (out.starts_with(' ')) out.erase(0, 1);
    drop_trailing_spaces(out);
    return out;
}

std::vector<std::string> wrap_hanging(const std::string& text, std::size_t width,
                                      std::size_t hang) {
    std::vector<std::string> lines = base::wrap(text, width);
    if (lines.size() == 1) return lines;
    lines.resize(1);
    const std::size_t narrow = width > hang ? width - hang : 1;
    for (const std::string& line : base::wrap(text.substr(lines[0].size() + 1), narrow)) {
        lines.push_back(std::string(hang, ' ') + line);
    }
    return lines;
}

std::size_t width_of_widest_word(std::string_view text, std::size_t hang) {
    std::size_t widest = 0;
    for (auto word = base::take_word(text); !word.empty(); word = base::take_word(text)) {
        widest = std::max(widest, base::display_width(word) + (widest == 0 ? 0 : hang));
    }
    return widest;
}

std::string pad_right(std::string_view text, std::size_t width) {
    std::string out(text);
    out.append(width - std::min(width, base::display_width(text)), ' ');
    return out;
}

std::string pad_left(std::string_view text, std::size_t width) {
    return std::string(width - std::min(width, base::display_width(text)), ' ').append(text);
}

void drop_trailing_spaces(std::string& line) {
    line.erase(line.find_last_not_of(' ') + 1);
}

void require_shape(const Table& table) {
    for (const std::vector<Cell>& row : table.rows) {
        if (row.size() != table.columns.size()) {
            throw Error(fmt::format("table {} has {} columns and a row of {} cells", table.key,
                                    table.columns.size(), row.size()));
        }
    }
}

}  // namespace feedwright::document
