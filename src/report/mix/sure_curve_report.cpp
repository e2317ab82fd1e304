// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/mix/sure_curve_report.hpp"

#include "base/number.hpp"
#include "document/plot.hpp"
#include "report/chance_words.hpp"
#include "report/json_sections.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

namespace feedwright::report {

namespace {

using tasks::AnalysisWorth;
using tasks::SureCurve;
using tasks::SurePoint;

std::string percent(double value) {
    return base::compact(value, 4) + " %";
}

const Fields<SurePoint>& point_fields() {
    static const Fields<SurePoint> list{
        {"sure_percent", &SurePoint::sure_percent, share,
         "in so many of 100 lots each limit must hold; 50: on average"},
        {"feasible", [](auto& of) { return of.cost_per_kg.has_value(); }},
        {"cost_per_kg", &SurePoint::cost_per_kg, anything, "of feed"},
        {"further_percent_costs", &SurePoint::further_percent_costs, anything,
         "each further percent, per kg of feed, up to the next point"},
        {"chance_all_percent", &SurePoint::chance_all_percent, share,
         "in so many of 100 lots all limits hold"},
        {"fails_first", if_any(&SurePoint::fails_first), anything,
         "name of the limit that fails in most of them"},
        {"on_average", &SurePoint::on_average, from_zero,
         "how many limits hold on average alone, because they cannot be so sure with the rest"}};
    return list;
}

const Fields<AnalysisWorth>& analysis_fields() {
    static const Fields<AnalysisWorth> list{
        {"id", &AnalysisWorth::id, kebab},
        {"name", &AnalysisWorth::name},
        {"percent", &AnalysisWorth::percent, share, "of the mix, before its lot is known"},
        {"cost_per_kg", &AnalysisWorth::cost_per_kg, anything,
         "of the cheapest mix when it does not vary"},
        {"saves_per_kg", &AnalysisWorth::saves_per_kg, from_zero, "up to so much, of feed"}};
    return list;
}

void add_plot(Document& document, const SureCurve& curve) {
    document::Series line{"", {}, '*', true};
    for (const SurePoint& point : curve.points) {
        if (point.cost_per_kg) line.points.push_back({point.sure_percent, *point.cost_per_kg, {}});
    }
    document::PlotSpec spec;
    spec.x_label = "each limit holds in, of 100 lots";
    spec.y_label = (curve.job.currency.empty() ? "cost" : curve.job.currency) + " per kg of feed";
    spec.height = 10;
    document.blocks.push_back(LinePlot{{std::move(line)}, std::move(spec), false});
}

void add_knee(Document& document, const SureCurve& curve) {
    const std::string& currency = curve.job.currency;
    const SurePoint& plain = curve.points.front();
    std::string text =
        fmt::format("The cheapest mix meets the limits on average and costs {} per kg",
                    money(*plain.cost_per_kg, currency));
    if (plain.chance_all_percent)
        text += fmt::format("; all of them hold in {} of 100 lots",
                            lots_in_words(*plain.chance_all_percent));
    text += '.';
    document.blocks.push_back(Paragraph{std::move(text), Tone::plain});
    if (!curve.knee) {
        document.blocks.push_back(
            Paragraph{"The cost does not rise faster and faster with sureness here, so that no "
                      "point is better than others.",
                      Tone::plain});
        return;
    }
    const SurePoint& knee = curve.points[*curve.knee];
    const double more = *knee.cost_per_kg - *plain.cost_per_kg;
    const double each = more / (knee.sure_percent - plain.sure_percent);
    text = fmt::format(
        "The knee is at {}: {} per kg, {} more. Up to there one percent of sureness costs {} per "
        "kg on average",
        percent(knee.sure_percent), money(*knee.cost_per_kg, currency), money(more, currency),
        money(each, currency, 5));
    if (knee.further_percent_costs)
        text +=
            fmt::format("; beyond it {} and more", money(*knee.further_percent_costs, currency, 5));
    text += '.';
    if (knee.chance_all_percent)
        text += fmt::format(" All limits then hold in {} of 100 lots.",
                            lots_in_words(*knee.chance_all_percent));
    document.blocks.push_back(Paragraph{std::move(text), Tone::plain});
}

void add_first_analysis(Document& document, const SureCurve& curve) {
    if (!curve.analysed_percent) return;
    if (curve.analyses.empty()) {
        document.blocks.push_back(
            Paragraph{fmt::format("At {} no analysis of a single ingredient saves anything.",
                                  percent(*curve.analysed_percent)),
                      Tone::plain});
        return;
    }
    const AnalysisWorth& first = curve.analyses.front();
    document.blocks.push_back(Paragraph{
        fmt::format("Test {} first: at {} its variation costs most, and to know a lot by analysis "
                    "saves up to {} per kg of feed.",
                    short_name(curve.job, first.name), percent(*curve.analysed_percent),
                    money(first.saves_per_kg, curve.job.currency)),
        Tone::plain});
}

void add_points(Document& document, const SureCurve& curve) {
    document.blocks.push_back(Heading{"Cost of sureness"});
    std::vector<Shown> columns{{"each limit in, %", "sure_percent", as_number(1)},
                               {"per kg", "cost_per_kg", as_price()},
                               {"each further %", "further_percent_costs", as_price(5)},
                               {"all limits in, %", "chance_all_percent", as_number(0)},
                               {"fails most", "fails_first"}};
    const bool any = std::any_of(curve.points.begin(), curve.points.end(),
                                 [](const SurePoint& point) { return point.on_average > 0; });
    if (any) columns.push_back({"on average alone", "on_average", as_number(0)});
    Table table = table_of("points", point_fields(), curve.points, columns);
    for (std::size_t i = 0; i < curve.points.size(); ++i) {
        if (curve.points[i].cost_per_kg) continue;
        const bool none = curve.points[i].status == lp::Status::infeasible;
        table.rows[i][4] = text_cell(none ? "no mix" : "no answer", Tone::bad);
    }
    document.blocks.push_back(std::move(table));
    if (any) {
        document.blocks.push_back(
            Paragraph{"On average alone: so many limits that yield cannot be so sure with the "
                      "rest, and hold on average.",
                      Tone::quiet});
    }
}

void add_analyses(Document& document, const SureCurve& curve) {
    if (curve.analyses.empty()) return;
    document.blocks.push_back(Heading{
        fmt::format("What an analysis of one lot saves at {}", percent(*curve.analysed_percent)),
        Depth::always, "analyses"});
    document.blocks.push_back(table_of("analyses", analysis_fields(), curve.analyses,
                                       {{"ingredient", "name"},
                                        {"% of mix", "percent", as_number(2)},
                                        {"per kg when known", "cost_per_kg", as_price()},
                                        {"saves up to", "saves_per_kg", as_price(5)}}));
    document.blocks.push_back(Paragraph{
        "Per kg of feed, from the cheapest mix with the ingredient's spread and without it. A lot "
        "that turns out weaker than the table saves less.",
        Tone::quiet});
}

const Format<SureCurve>& sure_curve_format() {
    static const Format<SureCurve> format{
        "sure-curve",
        "The result of formulate with --sure-curve",
        {{here, part_of([](auto& of) { return &of.job; }), head_fields()},
         {"points", &SureCurve::points, point_fields()},
         {"knee_percent",
          [](auto& of) {
              return of.knee ? std::optional(of.points[*of.knee].sure_percent) : std::nullopt;
          },
          share, "where the cost begins to rise fast"},
         {"analysed_percent", &SureCurve::analysed_percent, share,
          "how sure each limit is for the analyses"},
         {"analysed_cost_per_kg", &SureCurve::analysed_cost_per_kg, anything,
          "of feed, before any analysis"},
         {"analyses", &SureCurve::analyses, analysis_fields(),
          "those that save something"}}  // namespace feedwright::report
    };
    return format;
}

}  // namespace

Document sure_curve_document(const SureCurve& curve) {
    Document document;
    document.title = curve.job.title.empty() ? "Cost of sureness" : curve.job.title;
    add_profile(document, curve.job);
    if (curve.points.empty() || !curve.points.front().cost_per_kg) {
        document.blocks.push_back(
            Paragraph{"No mix meets all the limits even on average. The same command without "
                      "--sure-curve says why.",
                      Tone::bad});
        return document;
    }
    add_knee(document, curve);
    add_first_analysis(document, curve);
    add_plot(document, curve);
    add_points(document, curve);
    add_analyses(document, curve);
    return document;
}

std::string sure_curve_json(const SureCurve& curve, const Run& run) {
    return to_json(sure_curve_format(), curve, run);
}

std::string sure_curve_schema() {
    return schema_of(sure_curve_format());
}

}  // namespace feedwright::report
