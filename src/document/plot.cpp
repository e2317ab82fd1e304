// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/plot.hpp"

#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "document/axis.hpp"
#include "document/layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace feedwright::document {

namespace {

constexpr std::size_t gap = 2;
constexpr std::size_t least_bar_width = 10;

// Where `value` stands among `cells` cells that cover low to high.
std::size_t cell_of(double value, double low, double high, std::size_t cells) {
    if (high - low <= least_span) return 0;
    const double share = std::clamp((value - low) / (high - low), 0.0, 1.0);
    return static_cast<std::size_t>(std::lround(share * static_cast<double>(cells - 1)));
}

void finish_line(std::string& out, std::string line) {
    drop_trailing_spaces(line);
    out += line + '\n';
}

class Grid {
  public:
    Grid(std::size_t width, std::size_t height, const Axis& x, const Axis& y)
        : rows_(height, std::string(width, ' ')), x_(x), y_(y) {}

    std::size_t column(double x) const { return cell_of(x, x_.low(), x_.high(), rows_[0].size()); }
    /// Counted from the top.
    std::size_t row(double y) const {
        return rows_.size() - 1 - cell_of(y, y_.low(), y_.high(), rows_.size());
    }
    const std::string& line(std::size_t row) const { return rows_[row]; }

    void put(std::size_t column, std::size_t row, char c) { rows_[row][column] = c; }

    void join(const PlotPoint& a, const PlotPoint& b) {
        const auto x0 = static_cast<double>(column(a.x)), x1 = static_cast<double>(column(b.x));
        const auto y0 = static_cast<double>(row(a.y)), y1 = static_cast<double>(row(b.y));
        const double steps = std::max({std::abs(x1 - x0), std::abs(y1 - y0), 1.0});
        for (double k = 0; k <= steps; ++k) {
            put(static_cast<std::size_t>(std::lround(x0 + (x1 - x0) * k / steps)),
                static_cast<std::size_t>(std::lround(y0 + (y1 - y0) * k / steps)), '.');
        }
    }

    void error_bar(const PlotPoint& point) {
        if (!point.error) return;
        const std::size_t bottom = row(point.y - std::abs(*point.error));
        for (std::size_t r = row(point.y + std::abs(*point.error)); r <= bottom; ++r) {
            put(column(point.x), r, '|');
        }
    }

  private:
    std::vector<std::string> rows_;
    Axis x_;
    Axis y_;
};

}  // namespace

std::string bar_chart(const std::vector<Bar>& bars, std::size_t width, double origin) {
    const Span range = span_of(bars, origin);
    std::size_t label_width = 0;
    std::size_t widest_word = 0;
    std::size_t text_width = 0;
    for (const Bar& bar : bars) {
        const std::string label = one_line(bar.label);
        label_width = std::max(label_width, base::display_width(label));
        widest_word = std::max(widest_word, width_of_widest_word(label, gap));
        text_width = std::max(text_width, base::display_width(one_line(bar.text)));
    }
    label_width = std::max(std::min(label_width, width / 3), widest_word);
    const std::size_t taken = label_width + gap + (text_width > 0 ? gap + text_width : 0);
    const std::size_t cells = std::max(width - std::min(width, taken), least_bar_width);
    const auto cell = [&](double value) { return cell_of(value, range.low, range.high, cells); };
    std::string out;
    for (const Bar& bar : bars) {
        std::string drawn(cells, ' ');
        if (bar.from != bar.to) {
            const auto [first, last] = std::minmax({cell(bar.from), cell(bar.to)});
            std::fill_n(drawn.begin() + static_cast<std::ptrdiff_t>(first), last - first + 1, '#');
        }
        drawn[cell(origin)] = '|';
        std::vector<std::string> label = wrap_hanging(one_line(bar.label), label_width, gap);
        finish_line(out, pad_right(label[0], label_width + gap) + drawn + std::string(gap, ' ') +
                             pad_left(one_line(bar.text), text_width));
        for (std::size_t i = 1; i < label.size(); ++i) {
            finish_line(out, label[i]);
        }
    }
    return out;
}

std::string line_plot(const std::vector<Series>& series, const PlotSpec& spec) {
    const auto extent = extent_of(series);
    if (!extent) return {};

    const std::size_t width = std::max<std::size_t>(spec.width, 40);
    const std::size_t height = std::max<std::size_t>(spec.height, 5);
    const Axis x = axis_for(extent->x.low, extent->x.high, std::max<std::size_t>(2, width / 14));
    const Axis y = axis_for(extent->y.low, extent->y.high, std::max<std::size_t>(2, height / 4));
    std::size_t margin = 0;
    for (double k = y.first; k <= y.last; ++k)
        margin = std::max(margin, tick_text(y, k).size());
    // The text of the last tick, centred under it, must end within the width.
    const std::size_t overhang = tick_text(x, x.last).size() / 2;
    Grid grid(width - std::min(width - 10, margin + 2 + overhang), height, x, y);

    for (const Series& s : series) {
        if (!s.joined) continue;
        for (std::size_t i = 1; i < s.points.size(); ++i)
            grid.join(s.points[i - 1], s.points[i]);
    }
    for (const Series& s : series) {
        for (const PlotPoint& p : s.points)
            grid.error_bar(p);
    }
    for (const Series& s : series) {
        for (const PlotPoint& p : s.points) {
            if (s.mark != ' ') grid.put(grid.column(p.x), grid.row(p.y), s.mark);
        }
    }

    std::string out;
    if (!spec.y_label.empty()) finish_line(out, one_line(spec.y_label));
    std::vector<std::string> y_ticks(height);
    for (double k = y.first; k <= y.last; ++k)
        y_ticks[grid.row(k * y.step)] = tick_text(y, k);
    for (std::size_t r = 0; r < height; ++r) {
        finish_line(
            out, pad_left(y_ticks[r], margin) + (y_ticks[r].empty() ? " |" : " +") + grid.line(r));
    }
    const std::size_t left = margin + 2;  // columns before the grid
    std::string axis = std::string(margin + 1, ' ') + '+' + std::string(grid.line(0).size(), '-');
    std::string labels;
    for (double k = x.first; k <= x.last; ++k) {
        const std::size_t at = left + grid.column(k * x.step);
        axis[at] = '+';
        const std::string text = tick_text(x, k);
        const std::size_t start = at - std::min(at, text.size() / 2);
        // A tick whose text would touch the one before stays without.
        if (!labels.empty() && start <= labels.size()) continue;
        labels = pad_right(labels, start) + text;
    }
    finish_line(out, axis);
    finish_line(out, labels);
    const std::string x_label = one_line(spec.x_label);
    if (!x_label.empty()) {
        const std::size_t room = grid.line(0).size();
        const std::size_t used = std::min(room, base::display_width(x_label));
        finish_line(out, std::string(left + (room - used) / 2, ' ') + x_label);
    }
    std::string legend;
    for (const Series& s : series) {
        const std::string name = one_line(s.name);
        if (name.empty()) continue;
        const std::string entry = fmt::format("{} {}", s.mark == ' ' ? '.' : s.mark, name);
        if (!legend.empty() &&
            base::display_width(legend) + 3 + base::display_width(entry) > width - gap) {
            finish_line(out, "  " + legend);
            legend.clear();
        }
        legend += (legend.empty() ? "" : "   ") + entry;
    }
    if (!legend.empty()) finish_line(out, "  " + legend);
    return out;
}

}  // namespace feedwright::document
