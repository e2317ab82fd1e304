// SPDX-License-Identifier: GPL-3.0-or-later
// The answers to the questions that people ask of a trial.
#include "base/number.hpp"
#include "base/text.hpp"
#include "report/sections.hpp"
#include "report/trial/trial_words.hpp"

#include <fmt/format.h>

#include <cmath>
#include <utility>

namespace feedwright::report {

namespace {

using base::compact;
using base::join_words;
using base::significant;
using trial::AnalysisResult;
using trial::ResponseResult;

std::string p_text(double p) {
    return p < 0.0001 ? "p < 0.0001" : "p = " + significant(p, 2);
}

std::string with_unit(double value, const std::string& unit) {
    return significant(value, 3) + (unit.empty() ? "" : " " + unit);
}

// "95 % limits"
std::string limits_text(const AnalysisResult& result) {
    return compact(100 * result.confidence, 3) + " % limits";
}

std::string range_text(const std::optional<double>& low, const std::optional<double>& high) {
    if (low && high) return fmt::format("{} to {}", significant(*low, 3), significant(*high, 3));
    if (low) {
        return fmt::format("{} or more, with no upper limit within the levels tried",
                           significant(*low, 3));
    }
    if (high) {
        return fmt::format("{} or less, with no lower limit within the levels tried",
                           significant(*high, 3));
    }
    return "none within the levels tried";
}

// "0.31 %/d lower on a and 0.1 %/d higher on b, compared with the control"
std::string measured_text(const std::vector<trial::Measured>& list, const std::string& unit) {
    std::vector<std::string> parts;
    for (const auto& [group, difference] : list) {
        parts.push_back(difference == 0
                            ? "the same on " + group
                            : fmt::format("{} {} on {}", with_unit(std::abs(difference), unit),
                                          difference < 0 ? "lower" : "higher", group));
    }
    return join_words(parts) + ", compared with the control";
}

// "Specific growth rate: Lower on d30 by 0.31 %/d (95 % limits …). Not shown to differ on d10 and
// d20."
std::string differences(const AnalysisResult& result, const trial::AgainstControl& found) {
    const ResponseResult& r = *result.response(found.response);
    const std::string name = capitalised(r.name);
    if (found.untestable.lack == trial::Lack::no_control) {
        return fmt::format("{}: no answer, as {}.", name, in_words(found.untestable));
    }
    if (found.untestable) {
        return fmt::format(
            "{}: no test is possible, because {}.{}", name, in_words(found.untestable),
            found.measured.empty() ? ""
                                   : fmt::format(" Measured, and no more than that: {}.",
                                                 measured_text(found.measured, r.unit)));
    }
    std::string text = name + ':';
    for (const trial::Comparison& c : found.shown) {
        const bool lower = c.difference < 0;
        text += fmt::format(" {} on {} by {} ({} {} to {}; {}).", lower ? "Lower" : "Higher", c.a,
                            with_unit(std::abs(c.difference), r.unit), limits_text(result),
                            significant(lower ? -c.high : c.low, 3),
                            significant(lower ? -c.low : c.high, 3), p_text(c.p));
    }
    if (!found.alike.empty()) {
        const bool all = found.shown.empty() && found.alike.size() > 1;
        text += all ? std::string(" no difference from the control was shown on any diet.")
                    : fmt::format(" No difference was shown on {}.", join_words(found.alike));
    }
    if (!found.alone.empty()) {
        text +=
            fmt::format(" Not tested, with one tank only: {}.", measured_text(found.alone, r.unit));
    }
    return text;
}

std::string missed(const AnalysisResult& result, const trial::AgainstControl& found) {
    if (found.missed.empty()) return {};
    const ResponseResult& r = *result.response(found.response);
    std::vector<std::string> parts;
    for (const trial::MayBeWorse& one : found.missed) {
        parts.push_back(fmt::format(
            "{} on {}",
            one.percent ? significant(*one.percent, 2) + " %" : with_unit(one.by, r.unit),
            one.group));
    }
    return fmt::format("{} may be {} than on the control by up to {}.", capitalised(r.name),
                       r.better == trial::Better::higher ? "lower" : "higher", join_words(parts));
}

std::string break_text(const AnalysisResult& result, const trial::Break& found) {
    const ResponseResult& r = *result.response(found.response);
    const std::string name = capitalised(r.name);
    if (!found.line) {
        return fmt::format("{}: no broken line could be fitted ({}).", name,
                           in_words(found.unfitted));
    }
    const trial::BrokenLine& line = *found.line;
    if (line.flat_fits) {
        return fmt::format("{}: no break is shown; a level line fits as well.", name);
    }
    const bool plateau_first = line.shape == trial::LineShape::plateau_then_line;
    const double slope = plateau_first ? line.slope_after : line.slope_before;
    const char* moves = slope < 0 ? "falls" : "rises";
    const std::string between = fmt::format("{} and {}", significant(line.between_low, 3),
                                            significant(line.between_high, 3));
    const std::string by =
        fmt::format("{} by {} for each unit of level", moves, with_unit(std::abs(slope), r.unit));
    const std::string at = significant(line.breakpoint, 3);
    std::string text;
    if (line.determined) {
        text = plateau_first ? fmt::format("does not change up to level {} and then {}", at, by)
                             : fmt::format("{} up to level {} and is level beyond", by, at);
    } else {
        text = plateau_first
                   ? fmt::format("{} at the last level alone, from somewhere between levels {}",
                                 moves, between)
                   : fmt::format("{} from the first level and is level from somewhere between {}",
                                 moves, between);
    }
    return fmt::format(
        "{} {} ({} of the breakpoint: {}).{}", name, text, limits_text(result),
        range_text(line.low, line.high),
        found.rough ? " The means do not follow such a line well, so this is only a rough guide."
                    : "");
}

std::string in_short(const trial::Summed& found) {
    if (found.untestable) {
        return fmt::format("No conclusion can be drawn, because {}.", in_words(found.untestable));
    }
    std::vector<std::string> alone;
    for (const double level : found.left_out)
        alone.push_back(compact(level, 4));
    const std::string left_out =
        alone.empty() ? ""
                      : fmt::format(" Of level {} nothing can be said, with one tank only.",
                                    join_words(alone, " or "));
    const char* tried = alone.empty() ? "tried" : "with more than one tank";
    const char* both = found.conversion_known
                           ? "neither growth nor feed conversion was shown to be worse"
                           : "growth was not shown to be worse";
    if (!found.worse_at) {
        return fmt::format(
            "Up to level {}, the highest {}, {} than on the control. That is no proof that it is "
            "as good: see what could have been missed.{}",
            compact(*found.up_to, 4), tried, both, left_out);
    }
    const std::string worse = found.growth_worse && found.conversion_worse
                                  ? "growth and feed conversion are worse"
                              : found.growth_worse ? "growth is worse"
                                                   : "feed conversion is worse";
    const std::string at = compact(*found.worse_at, 4);
    if (!found.up_to) {
        return fmt::format("{} than on the control at the lowest level {}, {}.{}",
                           capitalised(worse), tried, at, left_out);
    }
    return fmt::format("Up to level {} {} than on the control; at level {} {}.{}",
                       compact(*found.up_to, 4), both, at, worse, left_out);
}

std::string most_economical(const AnalysisResult& result, const trial::Cheapest& found) {
    const ResponseResult& cost = *result.response("cost_per_kg_gain");
    std::string text = fmt::format("The lowest feed cost of a kg of gain is {}, on {}.",
                                   significant(found.cost, 3), found.diet);
    if (const auto& c = found.against) {
        text += fmt::format(" That is {} {} than on the control ({} {} to {} less).",
                            significant(std::abs(c->difference), 3),
                            c->difference < 0 ? "less" : "more", limits_text(result),
                            significant(-c->high, 3), significant(-c->low, 3));
    }
    if (found.slower) text += " But the fish grow more slowly on it.";
    if (found.untestable) {
        return text + fmt::format(" It is not known whether this is more than chance: {}.",
                                  in_words(found.untestable));
    }
    text += !found.alike.empty()
                ? fmt::format(" Not shown to cost more: {}.", join_words(found.alike))
            : cost.untested.empty() ? " Every other diet costs more."
                                    : " Every other diet that could be tested costs more.";
    if (!cost.untested.empty()) {
        text += fmt::format(" Not tested, with one tank only: {}.", join_words(cost.untested));
    }
    if (cost.curve && !cost.curve->maximum && cost.curve->inside) {
        text += fmt::format(" The fitted curve is lowest at level {}",
                            significant(cost.curve->optimum, 3));
        text += cost.curve->low ? fmt::format(" ({} {}).", limits_text(result),
                                              range_text(cost.curve->low, cost.curve->high))
                                : ", but bends too little to set limits.";
    }
    return text;
}

std::string larger_changes(const trial::Highest& found) {
    return fmt::format(
        "Levels above {} were not tested.{} Other sizes of fish, other water and longer feeding "
        "may give another answer.",
        compact(found.level, 4),
        found.growth_held
            ? " No loss of growth was shown even at the highest level. The limit is higher, or the "
              "trial was too small to see it."
            : "");
}

std::string trust_text(const trial::Trust& found) {
    if (found.untestable) {
        return fmt::format(
            "No test was possible, because {}. The numbers show what was measured, not the effect "
            "of the feeds.",
            in_words(found.untestable));
    }
    std::string text;
    if (!found.welch.empty()) {
        text += fmt::format(
            "{} varies unequally between groups. The comparisons above do not assume equal "
            "variances "
            "there (Games-Howell, and Welch's test in place of the analysis of variance). ",
            capitalised(join_words(found.welch)));
    }
    if (!found.rough.empty()) {
        text += fmt::format(
            "{} varies unequally between groups (not at all in some), so its tests are only a "
            "rough "
            "guide. ",
            capitalised(join_words(found.rough)));
    }
    if (!found.crooked.empty()) {
        text += fmt::format(
            "The residuals of {} are not normal (Shapiro-Wilk): p values near the limit are "
            "uncertain. ",
            join_words(found.crooked));
    }
    if (!found.untold.empty()) {
        text += fmt::format(
            "Equal variances could not be tested{}: that needs three different tanks in a group. "
            "The "
            "tests above assume them. ",
            found.untold.size() < found.tested ? " for " + join_words(found.untold) : "");
    }
    if (text.empty())
        return "Yes: no unequal variances and no residuals far from normal were found.";
    return std::string(base::trim(text));
}

std::string difference_text(const AnalysisResult& result, const trial::Difference& found) {
    if (found.untestable) {
        return fmt::format("No test is possible, because {}.", in_words(found.untestable));
    }
    const ResponseResult& r = result.responses.front();
    const trial::Anova& a = r.layout->anova;
    return fmt::format(
        "{} (F = {} on {} and {} degrees of freedom, {}{}).", found.shown ? "Yes" : "Not shown",
        significant(found.by_welch ? r.welch->f : a.f, 3), compact(a.df_between, 4),
        compact(found.by_welch ? r.welch->df_within : a.df_within, 4),
        p_text(found.by_welch ? r.welch->p : a.p), found.by_welch ? ", Welch's test" : "");
}

std::vector<std::string> withheld(const AnalysisResult& result) {
    const std::size_t n = result.outlying.size();
    std::vector<std::string> answers{
        n == 1 ? "No conclusion is given, because a number lies so far from its neighbours that it "
                 "may be a typing error, or in another unit than the others:"
               : fmt::format("No conclusion is given, because {} numbers lie so far from their "
                             "neighbours that they may be typing errors, or in another unit than "
                             "the others:",
                             n)};
    for (const trial::Outlying& one : result.outlying)
        answers.push_back(capitalised(sentence(one)));
    answers.emplace_back(
        "Compare with the notes of the trial and correct the table. If a number is right, use "
        "--keep-outlying to count it and get the conclusion.");
    return answers;
}

}  // namespace

std::string Answered::text() const {
    std::string all;
    for (const std::string& one : answers)
        all += (all.empty() ? "" : " ") + one;
    return all;
}

std::vector<Answered> answered(const AnalysisResult& result) {
    if (result.withheld) return {{"In short", withheld(result)}};
    const trial::Findings& found = result.findings;
    std::vector<Answered> out;
    const auto add = [&](const char* question, std::vector<std::string> answers) {
        std::erase(answers, "");
        if (!answers.empty()) out.push_back({question, std::move(answers)});
    };
    std::vector<std::string> as_good;
    std::vector<std::string> could_be_missed;
    for (const trial::AgainstControl& one : found.against_control) {
        as_good.push_back(differences(result, one));
        could_be_missed.push_back(missed(result, one));
    }
    std::vector<std::string> breaks;
    for (const trial::Break& one : found.breaks)
        breaks.push_back(break_text(result, one));
    if (found.difference)
        add("Do the groups differ?", {difference_text(result, *found.difference)});
    if (found.summed) add("In short", {in_short(*found.summed)});
    add("Is it as good as the control?", as_good);
    add("How much could have been missed?", could_be_missed);
    add("From which level does it change?", breaks);
    if (found.cheapest) {
        add("What is the most economical level?", {most_economical(result, *found.cheapest)});
    }
    if (found.highest) add("What about larger changes?", {larger_changes(*found.highest)});
    if (found.trust) add("Can the tests be trusted?", {trust_text(*found.trust)});
    return out;
}

}  // namespace feedwright::report
