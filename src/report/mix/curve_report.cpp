// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/mix/curve_report.hpp"

#include "base/json_writer.hpp"
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

void add_table(Document& document, const Curve& curve) {
    Table table;
    table.key = "curve";
    table.columns = {{"% of mix", Align::right, "inclusion_percent"},
                     {"per kg", Align::right, "cost_per_kg"},
                     {"per kg of protein", Align::right, "cost_per_kg_protein"},
                     {"tightest in this mix", Align::left, "tightest_limit"},
                     {"to spare", Align::right, "margin_percent"},
                     {"room", Align::right, "room_percent"}};
    for (const CurvePoint& point : curve.points) {
        std::vector<Cell> row{number_cell(point.inclusion, 2)};
        if (!point.cost_per_kg) {
            row.push_back({});
            row.push_back({});
            row.push_back(text_cell(point.status == lp::Status::infeasible ? "no mix" : "no answer",
                                    Tone::bad));
            row.push_back({});
            row.push_back({});
        } else {
            row.push_back(price_cell(*point.cost_per_kg));
            row.push_back(point.cost_per_kg_protein ? price_cell(*point.cost_per_kg_protein, 3)
                                                    : Cell{});
            row.push_back(
                text_cell(point.tight > 1
                              ? fmt::format("{} and {} more", point.tightest_name, point.tight - 1)
                              : point.tightest_name));
            const auto share = [](const std::optional<double>& value) -> Cell {
                if (!value) return {};
                return {base::fixed(*value, 1) + " %", value, Tone::plain};
            };
            row.push_back(share(point.margin_percent));
            row.push_back(share(point.room_percent));
        }
        table.rows.push_back(std::move(row));
    }
    document.blocks.push_back(std::move(table));
}

}  // namespace

Document curve_document(const job::Job& job, const Curve& curve) {
    Document document;
    document.title = fmt::format("More or less of {}", curve.name);
    add_profile(document, job);
    const CurvePoint* best = cheapest_of(curve);
    if (best == nullptr) {
        document.blocks.push_back(
            Paragraph{"No mix meets all the limits, whatever the share of it: without --curve the "
                      "same command "
                      "says why.",
                      Tone::bad});
        return document;
    }
    std::string text =
        fmt::format("Of the shares tried, {} is cheapest: {} per kg.", percent(best->inclusion),
                    money(*best->cost_per_kg, job.currency));
    if (curve.lowest && *curve.lowest > 1e-6) {
        text += fmt::format(" Below {} no mix keeps all limits.", percent(*curve.lowest));
    }
    if (curve.cap) {
        text += fmt::format(" Its limits allow {}", percent(*curve.cap));
        const bool short_of = curve.highest && *curve.highest < *curve.cap - 1e-6;
        text += short_of
                    ? fmt::format("; above {} no mix keeps all limits.", percent(*curve.highest))
                    : ".";
    } else if (curve.highest) {
        text += fmt::format(" It has no limit of its own; above {} no mix keeps all limits.",
                            percent(*curve.highest));
    }
    document.blocks.push_back(Paragraph{std::move(text), Tone::plain});
    if (curve.own_minimum_left_out) {
        document.blocks.push_back(
            Paragraph{"Its own minimum in the job is left out here.", Tone::warn});
    }
    const std::string unit = job.currency.empty() ? "cost" : job.currency;
    add_plot(document, curve, unit + " per kg of feed", &CurvePoint::cost_per_kg);
    add_plot(document, curve, unit + " per kg of protein", &CurvePoint::cost_per_kg_protein);
    add_plot(document, curve, "room, %: how far all needs could be cleared",
             &CurvePoint::room_percent);
    document.blocks.push_back(Heading{"The cheapest mix at each share"});
    add_table(document, curve);
    document.blocks.push_back(
        Paragraph{"\"To spare\" is how far this mix is from the limit it sails closest to, in "
                  "percent of it; the "
                  "cheapest mix mostly rests on some limit. \"Room\" is by how much every need "
                  "could be cleared "
                  "at that share, whatever the cost: little room means that a weak batch of an "
                  "ingredient breaks "
                  "a limit.",
                  Tone::quiet});
    return document;
}

std::string curve_json(const job::Job& job, const Curve& curve, const Run& run) {
    base::JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-curve/1");
    json.member("program", run.program);
    write_head(json, job);
    json.member("ingredient", curve.ingredient);
    json.member("name", curve.name);
    json.member("cap_percent", curve.cap);
    json.member("lowest_percent", curve.lowest);
    json.member("highest_percent", curve.highest);
    json.key("points").begin_array();
    for (const CurvePoint& point : curve.points) {
        json.begin_object();
        json.member("inclusion_percent", point.inclusion);
        json.member("feasible", point.cost_per_kg.has_value());
        json.member("cost_per_kg", point.cost_per_kg);
        json.member("cost_per_kg_protein", point.cost_per_kg_protein);
        if (!point.tightest.empty()) json.member("tightest_limit", point.tightest);
        json.member("margin_percent", point.margin_percent);
        if (point.cost_per_kg) json.member("tight_limits", point.tight);
        json.member("room_percent", point.room_percent);
        json.end_object();
    }
    json.end_array();
    write_tail(json, {}, run);
    json.end_object();
    return json.take();
}

}  // namespace feedwright::report
