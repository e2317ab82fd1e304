// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "document/axis.hpp"
#include "document/document.hpp"
#include "document/layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <variant>

namespace feedwright::document {

namespace {

// The colours of the series differ in lightness, so that they tell apart in grey and for readers
// who see few colours. The hash in the policy below is of these very bytes; a test holds it.
constexpr std::string_view style =
    R"(:root{color-scheme:light dark;--ink:#1b1f24;--quiet:#57606a;--paper:#fff;--rule:#d0d7de;--good:#0a6b3d;--bad:#b00020;--warn:#8a4b00;--a:#0b5394;--b:#c06a00;--c:#4d8076;--d:#7b3f8c}
@media(prefers-color-scheme:dark){:root{--ink:#e6edf3;--quiet:#9da7b1;--paper:#0d1117;--rule:#3d444d;--good:#56d364;--bad:#ff8182;--warn:#e3b341;--a:#79b8ff;--b:#f0a050;--c:#8fd0c4;--d:#d2a8ff}}
body{margin:0 auto;max-width:52rem;padding:1rem;background:var(--paper);color:var(--ink);font:1rem/1.45 system-ui,sans-serif;overflow-wrap:break-word}
h1{font-size:1.5rem;line-height:1.2;margin:.2rem 0 .8rem}
h2{font-size:1.15rem;margin:1.6rem 0 .5rem;border-bottom:1px solid var(--rule)}
summary{font-size:1.15rem;font-weight:600;margin:1.6rem 0 .5rem;border-bottom:1px solid var(--rule);cursor:pointer}
p,ul{margin:.5rem 0}
.good{color:var(--good)}
.bad{color:var(--bad);font-weight:600}
.warn{color:var(--warn)}
.quiet{color:var(--quiet)}
.wide{overflow-x:auto;margin:.6rem 0}
table{border-collapse:collapse;font-size:.9rem;font-variant-numeric:tabular-nums}
th,td{padding:.2rem .6rem .2rem 0;border-bottom:1px solid var(--rule);text-align:left;vertical-align:top}
th{border-bottom:2px solid var(--rule);font-weight:600;vertical-align:bottom}
.right{text-align:right}
td.right{white-space:nowrap}
dl{display:grid;grid-template-columns:fit-content(60%) 1fr;gap:.15rem 1rem;margin:.5rem 0}
dt{color:var(--quiet)}
dd{margin:0}
svg{display:block;width:100%;max-width:36rem;height:auto;margin:.6rem 0;fill:var(--ink);font:11px system-ui,sans-serif}
.axis{stroke:var(--quiet);stroke-width:1}
.grid{stroke:var(--rule);stroke-width:.5}
.end{text-anchor:end}
.middle{text-anchor:middle}
.a{fill:var(--a);stroke:var(--a)}
.b{fill:var(--b);stroke:var(--b)}
.c{fill:var(--c);stroke:var(--c)}
.d{fill:var(--d);stroke:var(--d)}
.line{fill:none;stroke-width:1.8}
@media print{body{max-width:none;padding:0;font:9.5pt/1.25 system-ui,sans-serif;background:#fff;color:#000}h1{font-size:13pt;margin:0 0 4pt}h2{font-size:10.5pt;margin:7pt 0 2pt;break-after:avoid}p,ul,.wide{margin:2pt 0}.wide{overflow:visible}th,td{padding:.5pt 8pt .5pt 0}tr,svg,li{break-inside:avoid}@page{margin:12mm}}
)";
constexpr std::string_view style_hash = "f1banqviuiybdAvlY0s/8dsTviQixKhatMWl/CxjnWc=";

std::string escape(std::string_view raw) {
    std::string out;
    for (const char c : one_line(raw)) {
        switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            default:
                out += c;
        }
    }
    return out;
}

std::string_view class_of(Tone tone) {
    switch (tone) {
        case Tone::good:
            return "good";
        case Tone::bad:
            return "bad";
        case Tone::warn:
            return "warn";
        case Tone::quiet:
            return "quiet";
        case Tone::plain:
            break;
    }
    return {};
}

// <p class="warn">text</p>, without the class where the tone is plain.
std::string element(std::string_view name, Tone tone, std::string_view text,
                    std::string_view more = {}) {
    std::string classes(class_of(tone));
    if (!more.empty()) classes += (classes.empty() ? "" : " ") + std::string(more);
    const std::string attribute = classes.empty() ? "" : fmt::format(" class=\"{}\"", classes);
    return fmt::format("<{}{}>{}</{}>\n", name, attribute, escape(text), name);
}

std::string html_of(const Heading& heading) {
    return one_line(heading.text).empty() ? "" : element("h2", Tone::plain, heading.text);
}

std::string html_of(const Paragraph& paragraph) {
    return one_line(paragraph.text).empty() ? "" : element("p", paragraph.tone, paragraph.text);
}

std::string html_of(const Bullets& bullets) {
    std::string items;
    for (const Paragraph& item : bullets.items) {
        if (!one_line(item.text).empty()) items += element("li", item.tone, item.text);
    }
    return items.empty() ? items : "<ul>\n" + items + "</ul>\n";
}

std::string html_of(const Facts& facts) {
    std::string items;
    for (const auto& [label, cell] : facts.items) {
        items += element("dt", Tone::plain, label) + element("dd", cell.tone, cell.text);
    }
    return items.empty() ? items : "<dl>\n" + items + "</dl>\n";
}

std::string html_of(const Table& table) {
    require_shape(table);
    if (table.data_only || table.columns.empty()) return {};
    const auto side = [&](std::size_t i) {
        return table.columns[i].align == Align::right ? "right" : "";
    };
    // A table wider than the screen is moved by itself, and the page stays.
    std::string out = "<div class=\"wide\" tabindex=\"0\"><table>\n<thead><tr>\n";
    for (std::size_t i = 0; i < table.columns.size(); ++i)
        // A head without words is no head to a screen reader.
        out += element(one_line(table.columns[i].header).empty() ? "td" : "th", Tone::plain,
                       table.columns[i].header, side(i));
    out += "</tr></thead>\n<tbody>\n";
    for (const std::vector<Cell>& row : table.rows) {
        out += "<tr>\n";
        for (std::size_t i = 0; i < row.size(); ++i)
            out += element("td", row[i].tone, row[i].text, side(i));
        out += "</tr>\n";
    }
    return out + "</tbody>\n</table></div>\n";
}

// Points of a drawing, of which the page makes as many as there is room for. 360 is the width of a
// small screen, so that letters stay as large as they are set.
constexpr double width = 360;

std::string text_at(double x, double y, std::string_view text, std::string_view side = {}) {
    const std::string attribute = side.empty() ? "" : fmt::format(" class=\"{}\"", side);
    return fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\"{}>{}</text>\n", x, y, attribute,
                       escape(text));
}

std::string line_from(double x1, double y1, double x2, double y2, std::string_view name) {
    return fmt::format(
        "<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" class=\"{}\"/>\n", x1, y1,
        x2, y2, name);
}

std::string drawing(double height, std::string_view title, std::string_view description,
                    const std::string& marks) {
    return fmt::format(
        "<svg viewBox=\"0 0 {:.0f} {:.0f}\" role=\"img\">\n<title>{}</title>\n"
        "<desc>{}</desc>\n{}</svg>\n",
        width, height, escape(title), escape(description), marks);
}

std::string html_of(const BarPlot& plot) {
    if (plot.bars.empty()) return {};
    constexpr double row = 30;
    const Span span = span_of(plot.bars, plot.origin);
    const double range = std::max(span.high - span.low, least_span);
    const auto x_of = [&](double value) { return (width - 2) * (value - span.low) / range + 1; };
    std::string marks;
    std::string description;
    double y = 0;
    for (const Bar& bar : plot.bars) {
        // With a list, minmax gives values. With two temporary values it would give references that
        // outlive them.
        const auto [from, to] = std::minmax({x_of(bar.from), x_of(bar.to)});
        marks += text_at(0, y + 12, bar.label);
        marks += text_at(width, y + 12, bar.text, "end");
        marks += fmt::format(
            "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"9\" class=\"a\"/>\n", from,
            y + 16, std::max(to - from, 0.5));
        description +=
            bar.label + ": " + (bar.text.empty() ? base::compact(bar.to, 4) : bar.text) + ". ";
        y += row;
    }
    marks += line_from(x_of(plot.origin), 0, x_of(plot.origin), y, "axis");
    const std::string title = plot.title.empty() ? "Bars" : plot.title;
    return (plot.title.empty() ? "" : element("p", Tone::quiet, plot.title)) +
           drawing(y + 2, title, description, marks);
}

std::string html_of(const LinePlot& plot) {
    const auto extent = extent_of(plot.series);
    if (!extent) return {};
    constexpr double top = 20;
    constexpr double bottom = 190;
    const Axis x = axis_for(extent->x.low, extent->x.high, 5);
    const Axis y = axis_for(extent->y.low, extent->y.high, 5);
    std::size_t letters = 0;
    for (double k = y.first; k <= y.last; ++k)
        letters = std::max(letters, tick_text(y, k).size());
    const double left = 10 + 6.2 * static_cast<double>(letters);
    const double right = width - 12;
    const auto x_of = [&](double value) {
        return left + (right - left) * (value - x.low()) / (x.high() - x.low());
    };
    const auto y_of = [&](double value) {
        return bottom - (bottom - top) * (value - y.low()) / (y.high() - y.low());
    };
    std::string marks = text_at(0, 12, plot.axes.y_label);
    for (double k = y.first; k <= y.last; ++k) {
        const double at = y_of(k * y.step);
        marks += line_from(left, at, right, at, "grid");
        marks += text_at(left - 5, at + 4, tick_text(y, k), "end");
    }
    for (double k = x.first; k <= x.last; ++k) {
        const double at = x_of(k * x.step);
        marks += line_from(at, bottom, at, bottom + 4, "axis");
        marks += text_at(at, bottom + 15, tick_text(x, k), "middle");
    }
    marks += line_from(left, bottom, right, bottom, "axis");
    marks += text_at((left + right) / 2, bottom + 30, plot.axes.x_label, "middle");

    double height = bottom + 36;
    constexpr std::string_view names = "abcd";
    for (std::size_t i = 0; i < plot.series.size(); ++i) {
        const Series& series = plot.series[i];
        const char name = names[i % names.size()];
        if (series.joined && series.points.size() > 1) {
            std::string points;
            for (const PlotPoint& p : series.points)
                points += fmt::format("{:.1f},{:.1f} ", x_of(p.x), y_of(p.y));
            points.pop_back();
            marks += fmt::format("<polyline points=\"{}\" class=\"{} line\"/>\n", points, name);
        }
        for (const PlotPoint& p : series.points) {
            if (p.error) {
                marks += line_from(x_of(p.x), y_of(p.y - *p.error), x_of(p.x), y_of(p.y + *p.error),
                                   std::string(1, name));
            }
            if (series.mark == ' ') continue;
            if (series.mark == 'x') {
                marks += text_at(x_of(p.x), y_of(p.y) - 2, "x", "middle");
                continue;
            }
            marks += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3\" class=\"{}\"/>\n",
                                 x_of(p.x), y_of(p.y), name);
        }
        if (one_line(series.name).empty()) continue;
        height += 16;
        if (series.mark == 'x') {
            marks += text_at(left, height - 5, "x " + series.name);
            continue;
        }
        marks += fmt::format(
            "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"10\" height=\"10\" class=\"{}\"/>\n", left,
            height - 14, name);
        marks += text_at(left + 16, height - 5, series.name);
    }
    return drawing(height, plot.axes.y_label + " against " + plot.axes.x_label,
                   "The numbers stand in the tables of this page.", marks);
}

}  // namespace

std::string render_html(const Document& document) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"generator\" content=\"feedwright\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
        "'sha256-{}'; base-uri 'none'; form-action 'none'\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<title>{}</title>\n<style>{}</style>\n</head>\n<body>\n<main>\n",
        style_hash, escape(document.title), style);
    out += element("h1", Tone::plain, document.title);
    // What a first answer leaves out as text is folded up.
    bool folded = false;
    for (const Block& block : document.blocks) {
        if (const auto* heading = std::get_if<Heading>(&block)) {
            if (folded) out += "</details>\n";
            folded = heading->shown == Depth::full && !one_line(heading->text).empty();
            if (folded) {
                out += "<details>\n<summary>" + escape(heading->text) + "</summary>\n";
                continue;
            }
        }
        out += std::visit([](const auto& b) { return html_of(b); }, block);
    }
    if (folded) out += "</details>\n";
    return out + "</main>\n</body>\n</html>\n";
}

}  // namespace feedwright::document
