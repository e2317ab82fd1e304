// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/trial/trial_report.hpp"

#include "base/number.hpp"
#include "document/plot.hpp"
#include "report/sections.hpp"
#include "report/table_words.hpp"
#include "report/trial/trial_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <utility>

namespace feedwright::report {

namespace {

using base::compact;
using base::significant;
using trial::AnalysisResult;
using trial::Comparison;
using trial::GroupResult;
using trial::ResponseResult;

Cell p_cell(double p, double alpha) {
    return {p < 0.0001 ? "< 0.0001" : base::fixed(p, 4), p, p < alpha ? Tone::warn : Tone::plain};
}

Cell whole_cell(int value) {
    return {std::to_string(value), static_cast<double>(value), Tone::plain};
}

Cell optional_cell(const std::optional<double>& value, int decimals) {
    return value ? number_cell(*value, decimals) : Cell{};
}

std::string named(const ResponseResult& r) {
    return r.unit.empty() ? r.name : r.name + ", " + r.unit;
}

bool has_levels(const ResponseResult& r) {
    return std::any_of(r.groups.begin(), r.groups.end(),
                       [](const GroupResult& g) { return g.level.has_value(); });
}

Cell level_cell(const std::optional<double>& level) {
    return level ? Cell{compact(*level, 6), level, Tone::plain} : Cell{};
}

// The means of all growth (or all feed) responses, a row a diet.
Table means_table(const AnalysisResult& result, bool of_feed) {
    Table table{of_feed ? "means_feed" : "means_growth", {{"diet", Align::left, "diet"}}, {}};
    std::map<std::string, std::size_t> row_of;
    for (const trial::TankResult& t : result.tanks) {
        if (!row_of.emplace(t.tank.diet, table.rows.size()).second) continue;
        table.rows.push_back({text_cell(t.tank.diet)});
    }
    for (const ResponseResult& r : result.responses) {
        const trial::Index& index = trial::index_of(r.id);
        if (index.of_feed != of_feed) continue;
        table.columns.push_back({std::string(index.short_name), Align::right, r.id});
        for (const GroupResult& g : r.groups) {
            const double mean = g.adjusted_mean.value_or(g.summary.mean);
            std::string text = base::fixed(mean, r.decimals);
            if (!g.letters.empty()) text += ' ' + g.letters;
            std::vector<Cell>& row = table.rows[row_of.at(g.group)];
            row.resize(table.columns.size());
            row.back() = {std::move(text), mean, Tone::plain};
        }
        for (std::vector<Cell>& row : table.rows)
            row.resize(table.columns.size());
    }
    return table;
}

Table groups_table(const AnalysisResult& result, const ResponseResult& r) {
    const bool levels = has_levels(r);
    const bool adjusted = std::any_of(r.groups.begin(), r.groups.end(), [](const GroupResult& g) {
        return g.adjusted_mean.has_value();
    });
    Table table{
        "groups_" + r.id, {{result.feeding_trial ? "diet" : "group", Align::left, "group"}}, {}};
    if (levels) table.columns.push_back({"level", Align::right, "level"});
    table.columns.push_back({"n", Align::right, "n"});
    table.columns.push_back({"mean", Align::right, "mean"});
    table.columns.push_back({"SD", Align::right, "sd"});
    table.columns.push_back({"SE", Align::right, "se"});
    if (adjusted) table.columns.push_back({"adjusted", Align::right, "adjusted_mean"});
    table.columns.push_back({"", Align::left, "letters"});
    for (const GroupResult& g : r.groups) {
        std::vector<Cell> row{text_cell(g.group)};
        if (levels) row.push_back(level_cell(g.level));
        row.push_back(whole_cell(g.summary.n));
        row.push_back(number_cell(g.summary.mean, r.decimals));
        row.push_back(optional_cell(g.summary.sd, r.decimals + 1));
        row.push_back(optional_cell(g.summary.se, r.decimals + 1));
        if (adjusted) row.push_back(optional_cell(g.adjusted_mean, r.decimals));
        row.push_back(text_cell(g.letters));
        table.rows.push_back(std::move(row));
    }
    return table;
}

Table control_table(const AnalysisResult& result, const ResponseResult& r) {
    Table table{"control_" + r.id,
                {{"against " + result.control, Align::left, "group"},
                 {"difference", Align::right, "difference"},
                 {"from", Align::right, "low"},
                 {"to", Align::right, "high"},
                 {"p", Align::right, "p"}},
                {}};
    for (const Comparison& c : r.dunnett) {
        table.rows.push_back({text_cell(c.a), number_cell(c.difference, r.decimals),
                              number_cell(c.low, r.decimals), number_cell(c.high, r.decimals),
                              p_cell(c.p, 1 - result.confidence)});
    }
    return table;
}

// One line a test: what it asks, its statistic, degrees of freedom and p, or why there is none.
Table tests_table(const AnalysisResult& result, const ResponseResult& r) {
    Table table{"tests_" + r.id,
                {{"test", Align::left, "test"},
                 {"F or W", Align::right, "statistic"},
                 {"df", Align::right, "df_between"},
                 {"df", Align::right, "df_within"},
                 {"p", Align::right, "p"},
                 {"", Align::left, "reason"}},
                {}};
    const auto refuse = [&](const char* name, const trial::Reason& reason) {
        table.rows.push_back({text_cell(name), {}, {}, {}, {}, text_cell(in_words(reason))});
    };
    const auto add = [&](const char* name, double statistic, Cell df1, Cell df2, double p) {
        table.rows.push_back({text_cell(name),
                              {significant(statistic, 4), statistic, Tone::plain},
                              std::move(df1),
                              std::move(df2),
                              p_cell(p, 1 - result.confidence),
                              {}});
    };
    const auto df_cell = [](double df) { return Cell{compact(df, 4), df, Tone::plain}; };
    const auto add_f = [&](const char* name, const auto& test) {
        add(name, test.f, df_cell(test.df_between), df_cell(test.df_within), test.p);
    };
    const auto add_answer = [&](const char* name, const auto& test) {
        test ? add_f(name, *test) : refuse(name, test.reason);
    };
    const char* of = r.layout && r.layout->blocked ? "analysis of variance, blocks taken out"
                                                   : "analysis of variance";
    r.layout ? add_f(of, r.layout->anova) : refuse(of, r.layout.reason);
    add_answer("Welch (unequal variances)", r.welch);
    add_answer("equal variances (Brown-Forsythe)", r.equal_variances);
    const char* normal = "normal residuals (Shapiro-Wilk)";
    if (const auto& test = r.normal_residuals) {
        add(normal, test->w, {}, {}, test->p);
    } else {
        refuse(normal, test.reason);
    }
    return table;
}

std::string shape_name(trial::LineShape shape) {
    switch (shape) {
        case trial::LineShape::plateau_then_line:
            return "level, then a line: breakpoint";
        case trial::LineShape::line_then_plateau:
            return "a line, then level: breakpoint";
        case trial::LineShape::two_lines:
            return "two lines: breakpoint";
    }
    return "";
}

Table fits_table(const AnalysisResult& result, const ResponseResult& r, bool all) {
    Table table{"fits_" + r.id,
                {{"curve", Align::left, "curve"},
                 {"level", Align::right, "level"},
                 {"from", Align::right, "low"},
                 {"to", Align::right, "high"},
                 {"R2", Align::right, "r_squared"},
                 {"lack of fit p", Align::right, "lack_of_fit_p"},
                 {"", Align::left, "reason"}},
                {}};
    const double alpha = 1 - result.confidence;
    const auto end_cell = [](std::optional<double> v) {
        return v ? Cell{significant(*v, 4), v, Tone::plain} : text_cell("open");
    };
    const auto add = [&](const std::string& name, std::optional<double> at,
                         std::optional<double> low, std::optional<double> high,
                         const trial::FitQuality& q, const std::string& remark) {
        table.rows.push_back({text_cell(name), at ? end_cell(at) : Cell{}, end_cell(low),
                              end_cell(high), number_cell(q.r_squared, 3),
                              q.lack_of_fit_p ? p_cell(*q.lack_of_fit_p, alpha) : Cell{},
                              text_cell(remark)});
    };
    const auto refuse = [&](const std::string& name, const std::string& reason) {
        table.rows.push_back({text_cell(name), {}, {}, {}, {}, {}, text_cell(reason)});
    };
    const trial::BrokenLine* best = trial::best_line(r);
    for (const trial::LineFit& line : r.lines) {
        if (!all && best != nullptr && (!line.fit || &*line.fit != best)) continue;
        if (!line.fit) {
            refuse(shape_name(line.shape), in_words(line.fit.reason));
            continue;
        }
        const trial::BrokenLine& l = *line.fit;
        std::string remark;
        if (l.flat_fits)
            remark = "a level line fits as well";
        else if (!l.determined) {
            remark = fmt::format("anywhere from {} to {}", compact(l.between_low, 4),
                                 compact(l.between_high, 4));
        }
        add(shape_name(line.shape), l.determined ? std::optional(l.breakpoint) : std::nullopt,
            l.low, l.high, l.quality, remark);
    }
    if (r.curve) {
        const trial::Quadratic& q = *r.curve;
        std::string remark;
        if (!q.low)
            remark = "bends too little to set limits";
        else if (!q.inside)
            remark = "outside the levels tried";
        add(q.maximum ? "parabola: highest at" : "parabola: lowest at", q.optimum, q.low, q.high,
            q.quality, remark);
    } else {
        refuse("parabola", in_words(r.curve.reason));
    }
    return table;
}

Table pairs_table(const std::string& key, const AnalysisResult& result, const ResponseResult& r,
                  const std::vector<Comparison>& pairs) {
    Table table{key + "_" + r.id,
                {{"a", Align::left, "a"},
                 {"b", Align::left, "b"},
                 {"a - b", Align::right, "difference"},
                 {"from", Align::right, "low"},
                 {"to", Align::right, "high"},
                 {"p", Align::right, "p"}},
                {}};
    for (const Comparison& c : pairs) {
        table.rows.push_back({text_cell(c.a), text_cell(c.b), number_cell(c.difference, r.decimals),
                              number_cell(c.low, r.decimals), number_cell(c.high, r.decimals),
                              p_cell(c.p, 1 - result.confidence)});
    }
    return table;
}

// Whether the tanks show a curve at all: a break that a level line does not fit as well, or a bend.
bool curve_is_shown(const ResponseResult& r, const trial::BrokenLine* line, double alpha) {
    return (line != nullptr && !line->flat_fits) || (r.curve && r.curve->square_p < alpha);
}

LinePlot plot(const ResponseResult& r, double alpha) {
    document::Series means{"mean and one standard error", {}, 'o', false};
    for (const GroupResult& g : r.groups) {
        if (g.level) means.points.push_back({*g.level, g.summary.mean, g.summary.se});
    }
    if (means.points.size() < 3) return {};
    document::Series curve{"", {}, ' ', true};
    const double from = means.points.front().x;
    const double to = means.points.back().x;
    const trial::BrokenLine* line = trial::best_line(r);
    const bool parabola = r.curve && (line == nullptr || r.curve->quality.sse < line->quality.sse);
    if ((parabola || line != nullptr) && curve_is_shown(r, line, alpha)) {
        curve.name = parabola ? "parabola" : "broken line";
        constexpr int steps = 60;
        for (int i = 0; i <= steps; ++i) {
            const double x = from + (to - from) * i / steps;
            curve.points.push_back({x, parabola ? value_at(*r.curve, x) : value_at(*line, x)});
        }
    }
    document::PlotSpec spec;
    spec.x_label = "level";
    spec.y_label = named(r);
    spec.height = 14;
    if (curve.points.empty()) return {{means}, spec, false};
    return {{curve, means}, spec, false};
}

Table tanks_table(const AnalysisResult& result, bool of_feed) {
    Table table{of_feed ? "tanks_feed" : "tanks_growth",
                {{"tank", Align::left, "tank"}, {"diet", Align::left, "diet"}},
                {}};
    for (const trial::TankResult& t : result.tanks) {
        table.rows.push_back({text_cell(t.tank.name), text_cell(t.tank.diet)});
    }
    for (std::size_t i = 0; i < trial::indices().size(); ++i) {
        const trial::Index& index = trial::indices()[i];
        const bool any =
            std::any_of(result.tanks.begin(), result.tanks.end(),
                        [&](const trial::TankResult& t) { return t.values[i].has_value(); });
        if (!any || index.of_feed != of_feed) continue;
        table.columns.push_back(
            {std::string(index.short_name), Align::right, std::string(index.id)});
        for (std::size_t t = 0; t < result.tanks.size(); ++t) {
            table.rows[t].push_back(optional_cell(result.tanks[t].values[i], index.decimals));
        }
    }
    return table;
}

std::string opening(const AnalysisResult& result) {
    if (!result.feeding_trial) {
        const ResponseResult& r = result.responses.front();
        std::size_t n = 0;
        for (const GroupResult& g : r.groups)
            n += static_cast<std::size_t>(g.summary.n);
        return fmt::format("{} in {}.", count_of(n, "value", "values"),
                           count_of(r.groups.size(), "group", "groups"));
    }
    std::set<std::string> diets;
    std::set<double> days;
    std::set<std::string> blocks;
    for (const trial::TankResult& t : result.tanks) {
        diets.insert(t.tank.diet);
        days.insert(t.tank.days);
        if (!t.tank.block.empty()) blocks.insert(t.tank.block);
    }
    std::string text = fmt::format("{} on {}", count_of(result.tanks.size(), "tank", "tanks"),
                                   count_of(diets.size(), "diet", "diets"));
    if (!blocks.empty()) text += fmt::format(" in {}", count_of(blocks.size(), "block", "blocks"));
    if (days.size() == 1) text += fmt::format(", {} days", compact(*days.begin(), 4));
    text += ". The unit of the tests is the tank, not the fish.";
    text += result.control.empty() ? " No diet is the control (name it with --control)."
                                   : fmt::format(" Control: {}.", result.control);
    return text;
}

void add_response(Document& document, const AnalysisResult& result, const ResponseResult& r,
                  bool detail) {
    document.blocks.push_back(Heading{named(r), Depth::full, "responses"});
    if (r.blocks_note) {
        document.blocks.push_back(
            Paragraph{"Blocks are not taken out: " + in_words(r.blocks_note) + ".", Tone::warn});
    }
    document.blocks.push_back(groups_table(result, r));
    if (!r.dunnett.empty()) document.blocks.push_back(control_table(result, r));
    document.blocks.push_back(tests_table(result, r));
    if (!r.lines.empty()) {
        document.blocks.push_back(fits_table(result, r, detail));
        document.blocks.push_back(plot(r, 1 - result.confidence));
    }
    if (detail && !r.tukey.empty()) {
        document.blocks.push_back(Paragraph{"All pairs (Tukey-Kramer):"});
        document.blocks.push_back(pairs_table("tukey", result, r, r.tukey));
    }
    if (r.games_howell) {
        document.blocks.push_back(Paragraph{"All pairs without equal variances (Games-Howell):"});
        document.blocks.push_back(pairs_table("games_howell", result, r, *r.games_howell));
    }
}

// What decides whether a feed is any good; the others have their means in the table of all.
bool decides(const AnalysisResult& result, const ResponseResult& r) {
    static const std::set<std::string> decisive{"sgr", "survival", "fcr", "cost_per_kg_gain"};
    return !result.feeding_trial || decisive.contains(r.id);
}

std::string legend(const AnalysisResult& result) {
    const bool tested = std::any_of(result.responses.begin(), result.responses.end(),
                                    [](const ResponseResult& r) { return r.layout; });
    if (!tested)
        return "No test was possible, so it is not known which differences are more than chance.";
    const bool alone = std::any_of(result.responses.begin(), result.responses.end(),
                                   [](const ResponseResult& r) { return !r.untested.empty(); });
    std::string text =
        alone ? "Groups of one tank have no letters, because they cannot be tested. " : "";
    text += fmt::format(
        "Groups that share a letter are not shown to differ "
        "(Tukey-Kramer, p = {}).",
        compact(1 - result.confidence, 2));
    const bool compared = std::any_of(result.responses.begin(), result.responses.end(),
                                      [](const ResponseResult& r) { return !r.dunnett.empty(); });
    if (!compared) return text;
    const bool exact = std::all_of(result.responses.begin(), result.responses.end(),
                                   [](const ResponseResult& r) { return r.dunnett_exact; });
    return text + fmt::format(
                      " Differences from the control have {} % limits and p that hold for "
                      "all groups together ({}).",
                      compact(100 * result.confidence, 3),
                      exact ? "Dunnett" : "Dunnett; Sidak's bound where blocks are unbalanced");
}

}  // namespace

Document trial_document(const AnalysisResult& result, const Run& run) {
    Document document;
    document.title = (result.feeding_trial ? "Feeding trial: " : "Groups: ") + result.file;
    document.blocks.push_back(Paragraph{opening(result)});
    if (!result.reading.plain()) {
        document.blocks.push_back(
            Paragraph{reading_text(result.reading, count_of(result.reading.rows, "row", "rows"))});
    }
    if (const auto texts = notes_on_data(result); !texts.empty()) {
        document.blocks.push_back(Heading{"Look at the data first"});
        Bullets notes;
        for (const std::string& note : texts)
            notes.items.push_back({note, Tone::warn});
        document.blocks.push_back(std::move(notes));
    }
    for (const Answered& one : answered(result)) {
        document.blocks.push_back(Heading{one.question});
        if (one.answers.size() == 1) {
            document.blocks.push_back(Paragraph{one.answers.front()});
            continue;
        }
        Bullets answers;
        for (const std::string& answer : one.answers)
            answers.items.push_back({answer, Tone::plain});
        document.blocks.push_back(std::move(answers));
    }
    if (result.feeding_trial)
        document.blocks.push_back(Heading{"Means by diet", Depth::full, "means"});
    for (const bool of_feed : {false, true}) {
        if (!result.feeding_trial) break;
        Table table = means_table(result, of_feed);
        if (table.columns.size() > 1) document.blocks.push_back(std::move(table));
    }
    if (!result.feeding_trial) document.blocks.push_back(Heading{"", Depth::full, "responses"});
    if (!result.withheld) document.blocks.push_back(Paragraph{legend(result), Tone::quiet});
    for (const ResponseResult& r : result.responses) {
        if (result.withheld) break;
        if (run.detail || decides(result, r)) add_response(document, result, r, run.detail);
    }
    if (result.feeding_trial) document.blocks.push_back(Heading{"Tanks", Depth::full, "tanks"});
    for (const bool of_feed : {false, true}) {
        if (!result.feeding_trial) break;
        Table table = tanks_table(result, of_feed);
        if (table.columns.size() > 2) document.blocks.push_back(std::move(table));
    }
    return document;
}

}  // namespace feedwright::report
