// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/mix/curve_report.hpp"

#include "base/number.hpp"
#include "document/plot.hpp"
#include "report/json_sections.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

namespace feedwright::report {

namespace {

using search::Curve;
using search::CurvePoint;

std::string percent(double value) {
    return base::significant(value, 3) + " %";
}

const CurvePoint* cheapest_of(const Curve& curve) {
    const CurvePoint* best = nullptr;
    for (const CurvePoint& point : curve.points) {
        if (!point.cost_per_kg) continue;
        if (best == nullptr || *point.cost_per_kg < *best->cost_per_kg) best = &point;
    }
    return best;
}

// Points where there is a mix joined by dots; where there is none, an x on the bottom line.
void add_plot(Document& document, const Curve& curve, const std::string& label,
              std::optional<double> CurvePoint::*value) {
    document::Series line{"", {}, '*', true};
    document::Series none{"no mix", {}, 'x', false};
    double least = 0;
    bool any = false;
    for (const CurvePoint& point : curve.points) {
        const auto& y = point.*value;
        if (!y) continue;
        line.points.push_back({point.inclusion, *y, {}});
        least = any ? std::min(least, *y) : *y;
        any = true;
    }
    if (!any) return;
    for (const CurvePoint& point : curve.points) {
        if (!point.cost_per_kg) none.points.push_back({point.inclusion, least, {}});
    }
    document::PlotSpec spec;
    spec.x_label = curve.name + ", % of the mix";
    spec.y_label = label;
    spec.height = 10;
    std::vector<document::Series> series{std::move(line)};
    if (!none.points.empty()) series.push_back(std::move(none));
    document.blocks.push_back(LinePlot{std::move(series), std::move(spec), false});
}

const Fields<CurvePoint>& point_fields() {
    const auto has_mix = [](auto& of) { return of.cost_per_kg.has_value(); };
    static const Fields<CurvePoint> list{
        {"inclusion_percent", &CurvePoint::inclusion, anything, "of all that is weighed in"},
        {"feasible", has_mix},
        {"cost_per_kg", &CurvePoint::cost_per_kg, anything, "of feed"},
        {"cost_per_kg_protein", &CurvePoint::cost_per_kg_protein, anything, "of crude protein"},
        {"tightest_limit", if_any(&CurvePoint::tightest)},
        {"margin_percent", &CurvePoint::margin_percent, anything, "to that"},
        {"tight_limits", when(has_mix, &CurvePoint::tight), from_zero, "how many have no margin"},
        {"room_percent", &CurvePoint::room_percent, anything,
         "by how much every limit can be exceeded, at any cost"}};
    return list;
}

Table points_table(const Curve& curve) {
    Table table = table_of("curve", point_fields(), curve.points,
                           {{"% of mix", "inclusion_percent", as_number(2)},
                            {"per kg", "cost_per_kg", as_price()},
                            {"per kg of protein", "cost_per_kg_protein", as_price(3)},
                            {"limit with the least margin", "tightest_limit"},
                            {"its margin", "margin_percent", as_percent(1)},
                            {"safety margin", "room_percent", as_percent(1)}});
    for (std::size_t i = 0; i < curve.points.size(); ++i) {
        const CurvePoint& point = curve.points[i];
        Cell& tightest = table.rows[i][3];
        if (!point.cost_per_kg) {
            const bool none = point.status == lp::Status::infeasible;
            tightest = text_cell(none ? "no mix" : "no answer", Tone::bad);
        } else {
            tightest.text = point.tightest_name;
            if (point.tight > 1) tightest.text += fmt::format(" and {} more", point.tight - 1);
        }
    }
    return table;
}

}  // namespace

Document curve_document(const job::Job& job, const Curve& curve) {
    Document document;
    document.title = fmt::format("Cost and safety margin by share of {}", curve.name);
    add_profile(document, job);
    const CurvePoint* best = cheapest_of(curve);
    if (best == nullptr) {
        document.blocks.push_back(
            Paragraph{"No mix meets all the limits at any share. The same command without --curve "
                      "says why.",
                      Tone::bad});
        return document;
    }
    std::string text =
        fmt::format("Of the shares tried, {} is cheapest: {} per kg.", percent(best->inclusion),
                    money(*best->cost_per_kg, job.currency));
    if (curve.lowest && *curve.lowest > 1e-6) {
        text += fmt::format(" Below {} no mix meets all limits.", percent(*curve.lowest));
    }
    if (curve.cap) {
        text += fmt::format(" Highest share allowed: {}", percent(*curve.cap));
        const bool short_of = curve.highest && *curve.highest < *curve.cap - 1e-6;
        text += short_of
                    ? fmt::format("; above {} no mix meets all limits.", percent(*curve.highest))
                    : ".";
    } else if (curve.highest) {
        text += fmt::format(" Above {} no mix meets all limits.", percent(*curve.highest));
    }
    document.blocks.push_back(Paragraph{std::move(text), Tone::plain});
    if (curve.own_minimum_left_out) {
        document.blocks.push_back(
            Paragraph{"The minimum of this ingredient in the job is not used here.", Tone::warn});
    }
    const std::string unit = job.currency.empty() ? "cost" : job.currency;
    add_plot(document, curve, unit + " per kg of feed", &CurvePoint::cost_per_kg);
    add_plot(document, curve, "safety margin, % of every limit", &CurvePoint::room_percent);
    document.blocks.push_back(
        Paragraph{"Safety margin: by how much every limit can be exceeded at this share, at any "
                  "cost. A small one means that a weak lot of an ingredient breaks a limit.",
                  Tone::quiet});
    document.blocks.push_back(Heading{"Cost per kg of crude protein", Depth::full, "points"});
    add_plot(document, curve, unit + " per kg of crude protein", &CurvePoint::cost_per_kg_protein);
    document.blocks.push_back(Heading{"The cheapest mix at each share", Depth::full, "points"});
    document.blocks.push_back(points_table(curve));
    return document;
}

namespace {

struct Curved {
    const job::Job& job;
    const Curve& curve;
};

const Format<Curved>& curve_format() {
    static const Fields<Curve> fields{
        {"ingredient", &Curve::ingredient, kebab},
        {"name", &Curve::name},
        {"cap_percent", &Curve::cap, from_zero, "what limits on ingredients allow"},
        {"lowest_percent", &Curve::lowest, anything, "the least with which a mix exists"},
        {"highest_percent", &Curve::highest, anything, "and the most"},
        {"points", &Curve::points, point_fields()}};
    static const Format<Curved> format{
        "curve",
        "The result of formulate with --curve",
        {{here, part_of([](auto& of) { return &of.job; }), head_fields()},
         {here, part_of([](auto& of) { return &of.curve; }), fields},
         {"cautions", [](const Curved&) { return std::vector<limits::CautionResult>{}; },
          caution_fields()}}};
    return format;
}

}  // namespace

std::string curve_json(const job::Job& job, const Curve& curve, const Run& run) {
    return to_json(curve_format(), {job, curve}, run);
}

std::string curve_schema() {
    return schema_of(curve_format());
}

}  // namespace feedwright::report
