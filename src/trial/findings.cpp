// SPDX-License-Identifier: GPL-3.0-or-later
#include "trial/findings.hpp"

#include "trial/analysis.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::trial {

namespace {

// Every other group (a) against the control (b): without equal variances where those fail.
std::vector<Comparison> comparisons(const AnalysisResult& result, const ResponseResult& r) {
    if (!r.games_howell) return r.dunnett;
    std::vector<Comparison> out;
    for (const GroupResult& g : r.groups) {
        for (Comparison c : *r.games_howell) {
            if (c.a == result.control && c.b == g.group) {
                std::swap(c.a, c.b);
                c.difference = -c.difference;
                std::swap(c.low, c.high);
                c.low = -c.low;
                c.high = -c.high;
                out.push_back(std::move(c));
            } else if (c.b == result.control && c.a == g.group) {
                out.push_back(std::move(c));
            }
        }
    }
    return out;
}

bool is_shown(const AnalysisResult& result, double p) {
    return p < 1 - result.confidence;
}

bool untested(const ResponseResult& r, const std::string& group) {
    return std::find(r.untested.begin(), r.untested.end(), group) != r.untested.end();
}

const GroupResult* group_of(const ResponseResult& r, const std::string& name) {
    for (const GroupResult& g : r.groups) {
        if (g.group == name) return &g;
    }
    return nullptr;
}

Reason untestable(const AnalysisResult& result, const ResponseResult& r) {
    if (!r.layout) return r.layout.reason;
    if (untested(r, result.control)) return {Lack::lone_control};
    return {};
}

std::vector<Measured> measured(const AnalysisResult& result, const ResponseResult& r,
                               const std::vector<std::string>& groups) {
    const GroupResult* control = group_of(r, result.control);
    std::vector<Measured> out;
    for (const std::string& name : groups) {
        const GroupResult* g = group_of(r, name);
        if (g == nullptr || control == nullptr || g == control) continue;
        out.push_back({name, g->summary.mean - control->summary.mean});
    }
    return out;
}

std::vector<MayBeWorse> missed(const AnalysisResult& result, const ResponseResult& r) {
    const GroupResult* control = group_of(r, result.control);
    if (control == nullptr || r.better == Better::neither) return {};
    const double base = std::abs(control->adjusted_mean.value_or(control->summary.mean));
    std::vector<MayBeWorse> out;
    for (const Comparison& c : comparisons(result, r)) {
        const double worst = r.better == Better::higher ? -c.low : c.high;
        if (is_shown(result, c.p) || worst <= 0) continue;
        out.push_back({c.a, worst, {}});
        if (base > 0) out.back().percent = 100 * worst / base;
    }
    return out;
}

AgainstControl against_control(const AnalysisResult& result, const ResponseResult& r) {
    AgainstControl out;
    out.response = r.id;
    std::vector<std::string> groups;
    for (const GroupResult& g : r.groups)
        groups.push_back(g.group);
    out.measured = measured(result, r, groups);
    out.missed = missed(result, r);
    out.untestable = untestable(result, r);
    if (out.untestable) return out;
    const std::vector<Comparison> all = comparisons(result, r);
    if (all.empty()) out.untestable = {Lack::no_control};
    for (const Comparison& c : all) {
        if (is_shown(result, c.p))
            out.shown.push_back(c);
        else
            out.alike.push_back(c.a);
    }
    out.alone = measured(result, r, r.untested);
    return out;
}

Break break_of(const AnalysisResult& result, const ResponseResult& r) {
    Break out;
    out.response = r.id;
    const BrokenLine* best = best_line(r);
    if (best == nullptr) {
        out.unfitted = r.lines.front().fit.reason;
        return out;
    }
    out.line = *best;
    out.rough = best->quality.lack_of_fit_p && is_shown(result, *best->quality.lack_of_fit_p);
    return out;
}

// True when a response on a diet is shown to be worse than on the control: lower or higher.
bool worse(const AnalysisResult& result, const char* id, const std::string& diet, bool lower) {
    const ResponseResult* r = result.response(id);
    if (r == nullptr) return false;
    for (const Comparison& c : comparisons(result, *r)) {
        if (c.a == diet) return (c.difference < 0) == lower && is_shown(result, c.p);
    }
    return false;
}

bool slower(const AnalysisResult& result, const std::string& diet) {
    return worse(result, "sgr", diet, true);
}

bool converts_worse(const AnalysisResult& result, const std::string& diet) {
    return worse(result, "fcr", diet, false);
}

std::optional<Summed> summed(const AnalysisResult& result, const ResponseResult& growth) {
    Summed out;
    out.untestable = untestable(result, growth);
    if (out.untestable) return out;
    out.conversion_known = result.response("fcr") != nullptr;
    std::vector<const GroupResult*> diets;
    for (const GroupResult& g : growth.groups) {
        if (!g.level || g.group == result.control) continue;
        if (untested(growth, g.group)) {
            out.left_out.push_back(*g.level);
        } else {
            diets.push_back(&g);
        }
    }
    if (diets.empty()) return std::nullopt;
    std::sort(diets.begin(), diets.end(), [](const GroupResult* a, const GroupResult* b) {
        return std::pair(*a->level, a->group) < std::pair(*b->level, b->group);
    });
    const auto bad = std::find_if(diets.begin(), diets.end(), [&](const GroupResult* g) {
        return slower(result, g->group) || converts_worse(result, g->group);
    });
    if (bad == diets.end()) {
        out.up_to = diets.back()->level;
        return out;
    }
    out.worse_at = (*bad)->level;
    out.growth_worse = slower(result, (*bad)->group);
    out.conversion_worse = converts_worse(result, (*bad)->group);
    // Of several diets with the same level one may be worse: that level is not one to go up to.
    const auto same = std::find_if(
        diets.begin(), bad, [&](const GroupResult* g) { return *g->level == *(*bad)->level; });
    if (same != diets.begin()) out.up_to = (*(same - 1))->level;
    return out;
}

Cheapest cheapest(const AnalysisResult& result, const ResponseResult& cost) {
    const auto least = std::min_element(
        cost.groups.begin(), cost.groups.end(),
        [](const GroupResult& a, const GroupResult& b) { return a.summary.mean < b.summary.mean; });
    Cheapest out;
    out.diet = least->group;
    out.cost = least->summary.mean;
    for (const Comparison& c : comparisons(result, cost)) {
        if (c.a == out.diet) out.against = c;
    }
    out.slower = slower(result, out.diet);
    if (!cost.layout) {
        out.untestable = cost.layout.reason;
    } else if (untested(cost, out.diet)) {
        out.untestable = {Lack::lone_diet};
    }
    for (const Comparison& c : cost.games_howell ? *cost.games_howell : cost.tukey) {
        if (is_shown(result, c.p)) continue;
        if (c.a == out.diet) out.alike.push_back(c.b);
        if (c.b == out.diet) out.alike.push_back(c.a);
    }
    return out;
}

std::optional<Highest> highest(const AnalysisResult& result, const ResponseResult& growth) {
    const GroupResult* top = nullptr;
    for (const GroupResult& g : growth.groups) {
        if (g.level && (top == nullptr || *g.level > *top->level)) top = &g;
    }
    if (top == nullptr || top->group == result.control) return std::nullopt;
    Highest out{*top->level, false};
    for (const Comparison& c : comparisons(result, growth)) {
        if (c.a == top->group && !is_shown(result, c.p)) out.growth_held = true;
    }
    return out;
}

Trust trust(const AnalysisResult& result) {
    Trust out;
    for (const ResponseResult& r : result.responses) {
        if (!r.layout) continue;
        ++out.tested;
        if (!r.equal_variances) out.untold.push_back(r.name);
        if (r.variances_differ) (r.games_howell ? out.welch : out.rough).push_back(r.name);
        if (r.normal_residuals && is_shown(result, r.normal_residuals->p)) {
            out.crooked.push_back(r.name);
        }
    }
    if (out.tested == 0) {
        out.untestable = result.responses.empty() ? Reason{Lack::no_result}
                                                  : result.responses.front().layout.reason;
    }
    return out;
}

Difference difference(const AnalysisResult& result, const ResponseResult& r) {
    if (!r.layout) return {.untestable = r.layout.reason};
    const bool welch = r.variances_differ && r.welch;
    return {.shown = is_shown(result, welch ? r.welch->p : r.layout->anova.p), .by_welch = welch};
}

}  // namespace

const BrokenLine* best_line(const ResponseResult& response) {
    const BrokenLine* best = nullptr;
    for (const LineFit& line : response.lines) {
        if (!line.fit || line.shape == LineShape::two_lines) continue;
        if (best == nullptr || line.fit->quality.sse < best->quality.sse) best = &*line.fit;
    }
    return best;
}

Findings findings_of(const AnalysisResult& result) {
    Findings out;
    if (result.withheld) return out;
    // The responses that decide, where the data have them.
    std::vector<const ResponseResult*> main;
    if (result.feeding_trial) {
        for (const char* id : {"sgr", "fcr", "survival"}) {
            if (const ResponseResult* r = result.response(id)) main.push_back(r);
        }
    } else {
        main.push_back(&result.responses.front());
        out.difference = difference(result, *main.front());
    }
    if (!result.control.empty()) {
        for (const ResponseResult* r : main)
            out.against_control.push_back(against_control(result, *r));
    }
    out.trust = trust(result);
    if (!result.feeding_trial) return out;
    main.resize(std::min<std::size_t>(main.size(), 2));
    for (const ResponseResult* r : main) {
        if (!r->lines.empty()) out.breaks.push_back(break_of(result, *r));
    }
    if (const ResponseResult* growth = result.response("sgr")) {
        if (!result.control.empty()) out.summed = summed(result, *growth);
        out.highest = highest(result, *growth);
    }
    if (const ResponseResult* cost = result.response("cost_per_kg_gain")) {
        out.cheapest = cheapest(result, *cost);
    }
    return out;
}

}  // namespace feedwright::trial
