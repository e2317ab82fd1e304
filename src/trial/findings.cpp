// SPDX-License-Identifier: GPL-3.0-or-later
#include "trial/findings.hpp"

#include "base/number.hpp"
#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::trial {

namespace {

using base::compact;
using base::significant;

const ResponseResult* find(const AnalysisResult& result, std::string_view id) {
    for (const ResponseResult& r : result.responses) {
        if (r.id == id) return &r;
    }
    return nullptr;
}

std::string p_text(double p) {
    return p < 0.0001 ? "p < 0.0001" : "p = " + significant(p, 2);
}

std::string with_unit(double value, const std::string& unit) {
    return significant(value, 3) + (unit.empty() ? "" : " " + unit);
}

std::string percent_text(double confidence) {
    return compact(100 * confidence, 3) + " %";
}

// Every other group (a) against the control (b): without equal variances where those fail.
std::vector<Comparison> against_control(const AnalysisResult& result, const ResponseResult& r) {
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

bool untested(const ResponseResult& r, const std::string& group) {
    return std::find(r.untested.begin(), r.untested.end(), group) != r.untested.end();
}

const GroupResult* group_of(const ResponseResult& r, const std::string& name) {
    for (const GroupResult& g : r.groups) {
        if (g.group == name) return &g;
    }
    return nullptr;
}

// "0.31 %/d lower on a and 0.1 %/d higher on b, compared with the control": what was measured on
// these groups, without a word on what is chance.
std::string measured(const AnalysisResult& result, const ResponseResult& r,
                     const std::vector<std::string>& groups) {
    const GroupResult* control = group_of(r, result.control);
    std::vector<std::string> parts;
    for (const std::string& name : groups) {
        const GroupResult* g = group_of(r, name);
        if (g == nullptr || control == nullptr || g == control) continue;
        const double d = g->summary.mean - control->summary.mean;
        parts.push_back(d == 0 ? "the same on " + name
                               : fmt::format("{} {} on {}", with_unit(std::abs(d), r.unit),
                                             d < 0 ? "lower" : "higher", name));
    }
    if (parts.empty()) return {};
    return fmt::format("{}, compared with the control", base::join_words(parts));
}

std::string capital(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z')
        text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

// "Specific growth rate: lower on d30 (by 0.31 %/d, 95 % limits …). Not shown to differ on d10 and
// d20."
std::string differences(const AnalysisResult& result, const ResponseResult& r) {
    const std::string name = capital(r.name);
    std::vector<std::string> groups;
    for (const GroupResult& g : r.groups)
        groups.push_back(g.group);
    const std::string all = measured(result, r, groups);
    const std::string shown =
        all.empty() ? "" : fmt::format(" Measured, and no more than that: {}.", all);
    if (!r.layout) {
        return fmt::format("{}: no test is possible, because {}.{}", name, r.layout.reason, shown);
    }
    if (untested(r, result.control)) {
        return fmt::format("{}: no test is possible, because the control has one tank only.{}",
                           name, shown);
    }
    const std::vector<Comparison> comparisons = against_control(result, r);
    if (comparisons.empty())
        return fmt::format("{}: no answer, as the control has no value.", name);
    std::string text;
    std::vector<std::string> alike;
    for (const Comparison& c : comparisons) {
        if (c.p >= 1 - result.confidence) {
            alike.push_back(c.a);
            continue;
        }
        const bool lower = c.difference < 0;
        text +=
            fmt::format(" {} on {} by {} ({} limits {} to {}; {}).", lower ? "Lower" : "Higher",
                        c.a, with_unit(std::abs(c.difference), r.unit),
                        percent_text(result.confidence), significant(lower ? -c.high : c.low, 3),
                        significant(lower ? -c.low : c.high, 3), p_text(c.p));
    }
    if (!alike.empty()) {
        text += fmt::format(" Not shown to differ on {}.",
                            alike.size() == comparisons.size() && alike.size() > 1
                                ? "any other"
                                : base::join_words(alike));
    }
    if (const std::string alone = measured(result, r, r.untested); !alone.empty()) {
        text += fmt::format(" Not tested, with one tank only: {}.", alone);
    }
    return fmt::format("{}:{}", name, text);
}

// How much worse than the control each diet may still be, for diets not shown to differ.
std::string missed(const AnalysisResult& result, const ResponseResult& r) {
    const auto control = std::find_if(r.groups.begin(), r.groups.end(), [&](const GroupResult& g) {
        return g.group == result.control;
    });
    if (control == r.groups.end() || r.better == Better::neither) return {};
    const double base = std::abs(control->adjusted_mean.value_or(control->summary.mean));
    const bool lower_is_worse = r.better == Better::higher;
    std::vector<std::string> parts;
    for (const Comparison& c : against_control(result, r)) {
        if (c.p < 1 - result.confidence) continue;
        const double worst = lower_is_worse ? -c.low : c.high;
        if (worst <= 0) continue;
        parts.push_back(base > 0
                            ? fmt::format("{} % on {}", significant(100 * worst / base, 2), c.a)
                            : fmt::format("{} on {}", with_unit(worst, r.unit), c.a));
    }
    if (parts.empty()) return {};
    return fmt::format("{} may be {} than on the control by up to {}.", capital(r.name),
                       lower_is_worse ? "lower" : "higher", base::join_words(parts));
}

std::string range_text(const std::optional<double>& low, const std::optional<double>& high) {
    if (low && high) return fmt::format("{} to {}", significant(*low, 3), significant(*high, 3));
    if (low)
        return fmt::format("{} or more, with no upper limit within the levels tried",
                           significant(*low, 3));
    if (high)
        return fmt::format("{} or less, with no lower limit within the levels tried",
                           significant(*high, 3));
    return "none within the levels tried";
}

// Where the response begins to worsen (or stops improving) with the level.
std::string breakpoint(const AnalysisResult& result, const ResponseResult& r) {
    const BrokenLine* best = nullptr;
    for (const LineFit& line : r.lines) {
        if (!line.fit || line.shape == LineShape::two_lines) continue;
        if (best == nullptr || line.fit->quality.sse < best->quality.sse) best = &*line.fit;
    }
    const std::string name = capital(r.name);
    if (best == nullptr) {
        if (r.lines.empty()) return {};
        return fmt::format("{}: no broken line could be fitted ({}).", name,
                           r.lines.front().fit.reason);
    }
    if (best->flat_fits) {
        return fmt::format("{}: no break is shown; a level line fits as well.", name);
    }
    const bool plateau_first = best->shape == LineShape::plateau_then_line;
    const double slope = plateau_first ? best->slope_after : best->slope_before;
    const std::string moves = slope < 0 ? "falls" : "rises";
    std::string text;
    if (plateau_first && !best->determined) {
        text = fmt::format("{} {} at the last level alone, from somewhere between levels {} and {}",
                           name, moves, significant(best->between_low, 3),
                           significant(best->between_high, 3));
    } else if (!best->determined) {
        text = fmt::format(
            "{} {} from the first level and is level from somewhere between {} and {}", name, moves,
            significant(best->between_low, 3), significant(best->between_high, 3));
    } else if (plateau_first) {
        text = fmt::format("{} holds up to level {} and then {} by {} for each unit of level", name,
                           significant(best->breakpoint, 3), moves,
                           with_unit(std::abs(slope), r.unit));
    } else {
        text = fmt::format("{} {} by {} for each unit of level up to level {} and is level beyond",
                           name, moves, with_unit(std::abs(slope), r.unit),
                           significant(best->breakpoint, 3));
    }
    text += fmt::format(" ({} limits of the breakpoint: {}).", percent_text(result.confidence),
                        range_text(best->low, best->high));
    if (best->quality.lack_of_fit_p && *best->quality.lack_of_fit_p < 1 - result.confidence) {
        text += " The levels' means do not lie along such a line, so take it as a rough guide.";
    }
    return text;
}

// True when growth on a diet is shown to be below the control's.
bool slower(const AnalysisResult& result, const std::string& diet) {
    const ResponseResult* growth = find(result, "sgr");
    if (growth == nullptr) return false;
    for (const Comparison& c : against_control(result, *growth)) {
        if (c.a == diet) return c.difference < 0 && c.p < 1 - result.confidence;
    }
    return false;
}

// True when feed conversion on a diet is shown to be worse than the control's.
bool converts_worse(const AnalysisResult& result, const std::string& diet) {
    const ResponseResult* fcr = find(result, "fcr");
    if (fcr == nullptr) return false;
    for (const Comparison& c : against_control(result, *fcr)) {
        if (c.a == diet) return c.difference > 0 && c.p < 1 - result.confidence;
    }
    return false;
}

// Up to which level nothing was shown to be worse, and what is worse at the next.
std::string in_short(const AnalysisResult& result) {
    const ResponseResult* growth = find(result, "sgr");
    if (growth == nullptr) return {};
    if (!growth->layout) {
        return fmt::format("No conclusion can be drawn, because {}.", growth->layout.reason);
    }
    if (untested(*growth, result.control)) {
        return "No conclusion can be drawn, because the control has one tank only.";
    }
    std::vector<const GroupResult*> diets;
    std::vector<std::string> alone;
    for (const GroupResult& g : growth->groups) {
        if (!g.level || g.group == result.control) continue;
        if (untested(*growth, g.group)) {
            alone.push_back(compact(*g.level, 4));
        } else {
            diets.push_back(&g);
        }
    }
    if (diets.empty()) return {};
    const std::string left_out =
        alone.empty() ? ""
                      : fmt::format(" Of level {} nothing can be said, with one tank only.",
                                    base::join_words(alone, " or "));
    std::sort(diets.begin(), diets.end(), [](const GroupResult* a, const GroupResult* b) {
        return std::pair(*a->level, a->group) < std::pair(*b->level, b->group);
    });
    const bool conversion = find(result, "fcr") != nullptr;
    const std::string both = conversion ? "neither growth nor feed conversion was shown to be worse"
                                        : "growth was not shown to be worse";
    const auto bad = std::find_if(diets.begin(), diets.end(), [&](const GroupResult* g) {
        return slower(result, g->group) || converts_worse(result, g->group);
    });
    if (bad == diets.end()) {
        return fmt::format(
            "Up to level {}, the highest {}, {} than on the control. That is no "
            "proof that it is as good: see what could have been missed.{}",
            compact(*diets.back()->level, 4), alone.empty() ? "tried" : "with more than one tank",
            both, left_out);
    }
    std::vector<std::string> worse;
    if (slower(result, (*bad)->group)) worse.emplace_back("growth");
    if (converts_worse(result, (*bad)->group)) worse.emplace_back("feed conversion");
    const std::string what =
        fmt::format("{} {} worse", base::join_words(worse), worse.size() > 1 ? "are" : "is");
    const std::string at = compact(*(*bad)->level, 4);
    // Of several diets with the same level one may be worse: that level is not one to go up to.
    const auto same = std::find_if(
        diets.begin(), bad, [&](const GroupResult* g) { return *g->level == *(*bad)->level; });
    if (same == diets.begin()) {
        return fmt::format("{} than on the control at the lowest level {}, {}.{}", capital(what),
                           alone.empty() ? "tried" : "with more than one tank", at, left_out);
    }
    return fmt::format("Up to level {} {} than on the control; at level {} {}.{}",
                       compact(*(*(same - 1))->level, 4), both, at, what, left_out);
}

std::string most_economical(const AnalysisResult& result, const ResponseResult& cost) {
    const auto cheapest = std::min_element(
        cost.groups.begin(), cost.groups.end(),
        [](const GroupResult& a, const GroupResult& b) { return a.summary.mean < b.summary.mean; });
    std::string text = fmt::format("The lowest feed cost of a kg of gain is {}, on {}.",
                                   significant(cheapest->summary.mean, 3), cheapest->group);
    if (cheapest->group != result.control) {
        for (const Comparison& c : against_control(result, cost)) {
            if (c.a != cheapest->group) continue;
            text += fmt::format(" That is {} {} than on the control ({} limits {} to {} less).",
                                significant(std::abs(c.difference), 3),
                                c.difference < 0 ? "less" : "more", percent_text(result.confidence),
                                significant(-c.high, 3), significant(-c.low, 3));
        }
        if (slower(result, cheapest->group)) text += " The fish grow more slowly on it, though.";
    }
    if (!cost.layout) {
        return text + fmt::format(" Whether it is more than chance cannot be said: {}.",
                                  cost.layout.reason);
    }
    if (untested(cost, cheapest->group)) {
        return text +
               " Whether it is more than chance cannot be said: that diet has one tank only.";
    }
    std::vector<std::string> alike;
    for (const Comparison& c : cost.games_howell ? *cost.games_howell : cost.tukey) {
        if (c.p < 1 - result.confidence) continue;
        if (c.a == cheapest->group) alike.push_back(c.b);
        if (c.b == cheapest->group) alike.push_back(c.a);
    }
    text += !alike.empty() ? fmt::format(" Not shown to cost more: {}.", base::join_words(alike))
            : cost.untested.empty() ? " Every other diet costs more."
                                    : " Every other diet that could be tested costs more.";
    if (!cost.untested.empty()) {
        text +=
            fmt::format(" Not tested, with one tank only: {}.", base::join_words(cost.untested));
    }
    if (cost.curve && !cost.curve->maximum && cost.curve->inside) {
        text += fmt::format(" The fitted curve is lowest at level {}",
                            significant(cost.curve->optimum, 3));
        text += cost.curve->low ? fmt::format(" ({} limits {}).", percent_text(result.confidence),
                                              range_text(cost.curve->low, cost.curve->high))
                                : ", but bends too little to set limits.";
    }
    return text;
}

std::string larger_changes(const AnalysisResult& result) {
    const GroupResult* top = nullptr;
    const ResponseResult* growth = find(result, "sgr");
    if (growth == nullptr) return {};
    for (const GroupResult& g : growth->groups) {
        if (g.level && (top == nullptr || *g.level > *top->level)) top = &g;
    }
    if (top == nullptr || top->group == result.control) return {};
    std::string text =
        fmt::format("Nothing above level {} was tried, and nothing here speaks for it.",
                    compact(*top->level, 4));
    for (const Comparison& c : against_control(result, *growth)) {
        if (c.a == top->group && c.p >= 1 - result.confidence) {
            text +=
                " Growth was not shown to suffer even there, so the limit lies higher or the trial "
                "was too small "
                "to see it.";
        }
    }
    return text + " Other sizes of fish, other water and longer feeding may give another answer.";
}

std::string trust(const AnalysisResult& result) {
    std::vector<std::string> welch;
    std::vector<std::string> rough;
    std::vector<std::string> crooked;
    std::vector<std::string> untold;
    std::size_t tested = 0;
    for (const ResponseResult& r : result.responses) {
        if (!r.layout) continue;
        ++tested;
        if (!r.equal_variances) untold.push_back(r.name);
        if (r.variances_differ) (r.games_howell ? welch : rough).push_back(r.name);
        if (r.normal_residuals && r.normal_residuals->p < 1 - result.confidence) {
            crooked.push_back(r.name);
        }
    }
    if (tested == 0) {
        return fmt::format(
            "There is no test to trust, because {}. The numbers show what was "
            "measured, not what the feeds do.",
            result.responses.empty() ? "no tank has a result"
                                     : result.responses.front().layout.reason);
    }
    std::string text;
    if (!welch.empty()) {
        text += fmt::format(
            "Tanks vary more in some groups than in others in {}: the comparisons above "
            "do without equal variances there (Games-Howell), and Welch's test takes the "
            "place of the analysis of variance. ",
            base::join_words(welch));
    }
    if (!rough.empty()) {
        text += fmt::format(
            "Tanks vary more in some groups than in others in {}, and in some not at all, "
            "so that every test of it assumes what is not so: take it as a rough guide. ",
            base::join_words(rough));
    }
    if (!crooked.empty()) {
        text += fmt::format(
            "The residuals of {} do not look normal (Shapiro-Wilk): read p values near the "
            "border with care. ",
            base::join_words(crooked));
    }
    if (!untold.empty()) {
        text += fmt::format(
            "Whether tanks vary more in some groups than in others cannot be told{}, as it takes "
            "three tanks a group that are not all equally far from its middle: the tests "
            "above assume that they do not. ",
            untold.size() < tested ? " for " + base::join_words(untold) : "");
    }
    if (text.empty()) return "Neither unequal variances nor residuals far from normal were found.";
    return std::string(base::trim(text));
}

std::string overall(const AnalysisResult& result, const ResponseResult& r) {
    if (!r.layout) return fmt::format("No test is possible, because {}.", r.layout.reason);
    const Anova& a = r.layout->anova;
    const bool unequal = r.variances_differ && r.welch;
    const double p = unequal ? r.welch->p : a.p;
    return fmt::format("{} (F = {} on {} and {} degrees of freedom, {}{}).",
                       p < 1 - result.confidence ? "Yes" : "Not shown",
                       significant(unequal ? r.welch->f : a.f, 3), compact(a.df_between, 4),
                       compact(unequal ? r.welch->df_within : a.df_within, 4), p_text(p),
                       unequal ? ", Welch's test" : "");
}

}  // namespace

std::string Finding::answer() const {
    std::string text;
    for (const std::string& one : answers)
        text += (text.empty() ? "" : " ") + one;
    return text;
}

std::vector<Finding> findings_of(const AnalysisResult& result) {
    std::vector<Finding> out;
    const auto add_all = [&](const char* question, std::vector<std::string> answers) {
        if (!answers.empty()) out.push_back({question, std::move(answers)});
    };
    const auto add = [&](const char* question, std::string answer) {
        if (!answer.empty()) add_all(question, {std::move(answer)});
    };
    if (result.withheld) {
        const std::size_t n = result.outlying.size();
        std::vector<std::string> answers{
            n == 1
                ? "No conclusion is given, because a number lies so far from its neighbours that "
                  "it may be a typing error, or in another unit than the others:"
                : fmt::format("No conclusion is given, because {} numbers lie so far from their "
                              "neighbours that they may be typing errors, or in another unit "
                              "than the others:",
                              n)};
        for (const Outlying& one : result.outlying)
            answers.push_back(capital(one.text));
        answers.emplace_back(
            "Look at the notes of the trial and correct the table. If a number is right, the same "
            "command with --keep-outlying counts it and gives the conclusion.");
        return {{"In short", std::move(answers)}};
    }
    // Sentences for the responses that decide, each where the data have it.
    std::vector<const ResponseResult*> main;
    if (result.feeding_trial) {
        for (const char* id : {"sgr", "fcr", "survival"}) {
            if (const ResponseResult* r = find(result, id)) main.push_back(r);
        }
    } else {
        main.push_back(&result.responses.front());
        add("Do the groups differ?", overall(result, *main.front()));
    }
    const auto all = [&](auto sentence) {
        std::vector<std::string> texts;
        for (const ResponseResult* r : main) {
            std::string one = sentence(result, *r);
            if (!one.empty()) texts.push_back(std::move(one));
        }
        return texts;
    };
    if (!result.control.empty()) {
        if (result.feeding_trial) add("In short", in_short(result));
        add_all("Is it as good as the control?", all(differences));
        add_all("How much could have been missed?", all(missed));
    }
    if (result.feeding_trial) {
        main.resize(std::min<std::size_t>(main.size(), 2));  // curves of growth and feed conversion
        add_all("From which level does it change?", all(breakpoint));
        if (const ResponseResult* cost = find(result, "cost_per_kg_gain")) {
            add("What is the most economical level?", most_economical(result, *cost));
        }
        add("What about larger changes?", larger_changes(result));
    }
    add("Can the tests be trusted?", trust(result));
    return out;
}

}  // namespace feedwright::trial
