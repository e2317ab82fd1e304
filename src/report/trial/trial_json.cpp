// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json_writer.hpp"
#include "report/json_sections.hpp"
#include "report/trial/trial_report.hpp"
#include "report/trial/trial_words.hpp"

namespace feedwright::report {

namespace {

using base::JsonWriter;
using trial::Comparison;
using trial::ResponseResult;

// { "reason": … } in place of an object that does not exist.
void write_reason(JsonWriter& json, std::string_view key, const trial::Reason& reason) {
    json.key(key).begin_object();
    json.member("reason", in_words(reason));
    json.end_object();
}

template <class Test>
void write_f_test(JsonWriter& json, std::string_view key, const trial::Answer<Test>& test) {
    if (!test) return write_reason(json, key, test.reason);
    json.key(key).begin_object();
    json.member("f", test->f);
    json.member("p", test->p);
    json.member("df_between", test->df_between);
    json.member("df_within", test->df_within);
    json.end_object();
}

void write_comparison(JsonWriter& json, const Comparison& c) {
    json.member("difference", c.difference);
    json.member("se", c.se);
    json.member("low", c.low);
    json.member("high", c.high);
    json.member("p", c.p);
}

void write_pairs(JsonWriter& json, std::string_view key, const std::vector<Comparison>& pairs) {
    json.key(key).begin_array();
    for (const Comparison& c : pairs) {
        json.begin_object();
        json.member("a", c.a);
        json.member("b", c.b);
        write_comparison(json, c);
        json.end_object();
    }
    json.end_array();
}

void write_anova(JsonWriter& json, const ResponseResult& r) {
    if (!r.layout) {
        write_reason(json, "anova", r.layout.reason);
        return;
    }
    const trial::Anova& a = r.layout->anova;
    json.key("anova").begin_object();
    json.member("f", a.f);
    json.member("p", a.p);
    json.member("df_between", a.df_between);
    json.member("df_within", a.df_within);
    json.member("ss_between", a.ss_between);
    json.member("ss_within", a.ss_within);
    json.member("ms_between", a.ms_between);
    json.member("ms_within", a.ms_within);
    json.member("residual_sd", a.residual_sd);
    json.member("r_squared", a.r_squared);
    json.member("blocks_taken_out", r.layout->blocked);
    json.end_object();
}

void write_assumptions(JsonWriter& json, const ResponseResult& r) {
    write_f_test(json, "equal_variances", r.equal_variances);
    if (r.normal_residuals) {
        json.key("normal_residuals").begin_object();
        json.member("w", r.normal_residuals->w);
        json.member("p", r.normal_residuals->p);
        json.end_object();
    } else {
        write_reason(json, "normal_residuals", r.normal_residuals.reason);
    }
    write_f_test(json, "welch", r.welch);
}

void write_quality(JsonWriter& json, const trial::FitQuality& q) {
    json.member("sse", q.sse);
    json.member("df", q.df);
    json.member("residual_sd", q.residual_sd);
    json.member("r_squared", q.r_squared);
    json.member("lack_of_fit_p", q.lack_of_fit_p);
}

void write_fits(JsonWriter& json, const ResponseResult& r) {
    json.key("fits").begin_array();
    for (const trial::LineFit& line : r.lines) {
        json.begin_object();
        json.member("curve", trial::to_string(line.shape));
        if (line.fit) {
            const trial::BrokenLine& l = *line.fit;
            if (l.determined) {
                json.member("breakpoint", l.breakpoint);
            } else {
                json.member("breakpoint_from", l.between_low);
                json.member("breakpoint_to", l.between_high);
            }
            json.member("low", l.low);
            json.member("high", l.high);
            json.member("value_at_breakpoint", l.value_at_breakpoint);
            json.member("slope_before", l.slope_before);
            json.member("slope_after", l.slope_after);
            json.member("level_line_fits", l.flat_fits);
            write_quality(json, l.quality);
        } else {
            json.member("reason", in_words(line.fit.reason));
        }
        json.end_object();
    }
    if (!r.lines.empty()) {
        json.begin_object();
        json.member("curve", "quadratic");
        if (r.curve) {
            const trial::Quadratic& q = *r.curve;
            json.member("constant", q.constant);
            json.member("linear", q.linear);
            json.member("square", q.square);
            json.member("square_p", q.square_p);
            json.member("optimum", q.optimum);
            json.member("low", q.low);
            json.member("high", q.high);
            json.member("optimum_is", q.maximum ? "maximum" : "minimum");
            json.member("inside", q.inside);
            json.member("value_at_optimum", q.value_at_optimum);
            write_quality(json, q.quality);
        } else {
            json.member("reason", in_words(r.curve.reason));
        }
        json.end_object();
    }
    json.end_array();
}

void write_response(JsonWriter& json, const ResponseResult& r) {
    json.begin_object();
    json.member("response", r.id);
    json.member("name", r.name);
    if (!r.unit.empty()) json.member("unit", r.unit);
    json.key("groups").begin_array();
    for (const trial::GroupResult& g : r.groups) {
        json.begin_object();
        json.member("group", g.group);
        json.member("level", g.level);
        json.member("n", g.summary.n);
        json.member("mean", g.summary.mean);
        json.member("sd", g.summary.sd);
        json.member("se", g.summary.se);
        json.member("adjusted_mean", g.adjusted_mean);
        if (!g.letters.empty()) json.member("letters", g.letters);
        json.end_object();
    }
    json.end_array();
    write_anova(json, r);
    if (r.blocks_note) json.member("blocks_note", in_words(r.blocks_note));
    write_assumptions(json, r);
    write_pairs(json, "tukey", r.tukey);
    json.key("dunnett").begin_array();
    for (const Comparison& c : r.dunnett) {
        json.begin_object();
        json.member("group", c.a);
        write_comparison(json, c);
        json.end_object();
    }
    json.end_array();
    if (!r.dunnett.empty())
        json.member("dunnett_method", r.dunnett_exact ? "exact" : "sidak_bound");
    if (r.games_howell) {
        write_pairs(json, "games_howell", *r.games_howell);
    } else {
        write_reason(json, "games_howell", r.games_howell.reason);
    }
    json.member("variances_differ", r.variances_differ);
    write_fits(json, r);
    json.end_object();
}

}  // namespace

std::string trial_json(const trial::AnalysisResult& result, const Run& run) {
    JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-trial/1");
    json.member("program", run.program);
    if (!result.control.empty()) json.member("control", result.control);
    json.member("confidence", result.confidence);
    json.member("notes", notes_on_data(result));
    if (!result.outlying.empty()) {
        json.member("conclusion_withheld", result.withheld);
        json.key("outlying").begin_array();
        for (const trial::Outlying& one : result.outlying) {
            json.begin_object();
            json.member("line", static_cast<int>(one.line));
            json.member("column", one.column);
            json.member("group", one.group);
            if (!one.tank.empty()) json.member("tank", one.tank);
            json.member("value", one.value);
            if (one.times > 0) json.member("times_the_middle", one.times);
            json.member("compared_with", compared_with(one));
            json.end_object();
        }
        json.end_array();
    }
    json.key("findings").begin_array();
    for (const Answered& one : answered(result)) {
        json.begin_object();
        json.member("question", one.question);
        json.member("answer", one.text());
        json.end_object();
    }
    json.end_array();
    json.key("responses").begin_array();
    for (const ResponseResult& r : result.responses)
        write_response(json, r);
    json.end_array();
    if (!result.tanks.empty()) {
        json.key("tanks").begin_array();
        for (const trial::TankResult& t : result.tanks) {
            json.begin_object();
            json.member("tank", t.tank.name);
            json.member("diet", t.tank.diet);
            if (!t.tank.block.empty()) json.member("block", t.tank.block);
            for (std::size_t i = 0; i < trial::indices().size(); ++i) {
                json.member(trial::indices()[i].id, t.values[i]);
            }
            json.end_object();
        }
        json.end_array();
    }
    return inside::end_result(json, run);
}

}  // namespace feedwright::report
