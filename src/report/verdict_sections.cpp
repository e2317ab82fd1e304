// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/verdict_sections.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

namespace feedwright::report {

namespace {

using limits::Finding;
using limits::Found;
using limits::Severity;
using limits::Verdict;

std::string with_unit(std::optional<double> value, std::optional<double> number,
                      const std::string& unit) {
    if (!value) return "none";
    std::string text = digits_apart(*value, number);
    if (!unit.empty()) text += ' ' + unit;
    return text;
}

std::string most_of(const Finding& one) {
    return base::compact(one.number.value_or(0), 4);
}

std::string whose_limit(const std::string& harms) {
    if (harms == "law") return "the most that feed law allows";
    if (harms == "eater") return "the most that is safe for people who eat the animal or its eggs";
    return "the most that is known to be safe for the animal";
}

std::string why_capped(const std::string& kind) {
    if (kind == "tried") return "the most that a trial fed without loss";
    if (kind == "first_loss") return "just below the level at which a trial saw a loss";
    if (kind == "handbook") return "the most that a handbook advises";
    if (kind == "rule_of_thumb") return "the most by a rule of thumb";
    return "a cautious limit, as no trial is known";
}

// "a, b, c" as "a, b and c".
std::string in_words(std::string list) {
    const std::size_t last = list.rfind(", ");
    if (last != std::string::npos) list.replace(last, 2, " and ");
    return list;
}

// Findings that read better together: one sentence for all that is short of a kind.
bool is_list(const Finding& one) {
    const bool small =
        one.kind == limits::FindingKind::vitamins || one.kind == limits::FindingKind::minerals;
    return (small && (one.found == Found::short_of || one.found == Found::unknown_supply)) ||
           one.found == Found::no_need_known || one.found == Found::nothing_known ||
           one.found == Found::thinned;
}

std::string not_known(const std::vector<std::string>& names) {
    return fmt::format("Not known, because no ingredient has a value: {}.",
                       base::join_words(names));
}

// How far below its minimum a content is: "calcium (29 %)".
std::string with_gap(const Finding& one) {
    const double gap = 100 * (1 - one.value.value_or(0) / *one.number);
    return fmt::format("{} ({} %)", one.name, base::significant(gap, 2));
}

// All that a bought feed is thinned in, most first.
std::string thinned(std::vector<Finding> all) {
    const auto filled = [](const Finding& one) { return one.value.value_or(0) / *one.number; };
    std::stable_sort(all.begin(), all.end(),
                     [&](const Finding& a, const Finding& b) { return filled(a) < filled(b); });
    std::vector<std::string> names;
    for (const Finding& one : all)
        names.push_back(with_gap(one));
    return fmt::format(
        "What is mixed with {} dilutes it. The mix is below these requirements, which {} alone is "
        "taken to meet, by: {}.",
        all.front().ingredient_name, all.front().ingredient_name, base::join_words(names));
}

// Whether what is said of a mix rests on the label of a bought feed in it.
bool rests_on_label(const limits::Judgement& judgement) {
    return std::any_of(judgement.findings.begin(), judgement.findings.end(),
                       [](const Finding& one) { return one.found == Found::rests_on_label; });
}

std::string headline(const job::Job& job, const limits::Judgement& judgement,
                     const std::string& what) {
    const std::string animal = job.profile->name + ", " + job.profile->stage_name;
    const std::string feed = job.pond ? "supplement" : "feed";
    const std::string where =
        job.pond ? fmt::format(" in a fertilised pond with at most {} animals per m2",
                               base::compact(job.pond->fish_per_m2_up_to, 3))
                 : "";
    switch (*judgement.verdict) {
        case Verdict::unsafe:
            return fmt::format("Unsafe. Do not feed this {}.", what);
        case Verdict::incomplete:
            return fmt::format("Incomplete. Do not use this {} as the only {} for {}{}.", what,
                               feed, animal, where);
        case Verdict::complete:
            if (rests_on_label(judgement)) {
                return fmt::format(
                    "Complete as far as the label says. This {} is a complete {} on paper for {}{} "
                    "if the bought feed in it holds what it is taken to hold.",
                    what, feed, animal, where);
            }
            return fmt::format("Complete. This {} is a complete {} on paper for {}{}.", what, feed,
                               animal, where);
    }
    return "";
}

Tone tone_of(Severity severity) {
    return severity == Severity::stop   ? Tone::bad
           : severity == Severity::warn ? Tone::warn
                                        : Tone::plain;
}

Table table_of(const std::vector<Finding>& findings) {
    Table table;
    table.key = "findings";
    table.data_only = true;
    table.columns = {{"", Align::left, "severity"}, {"", Align::left, "kind"},
                     {"", Align::left, "limit"},    {"", Align::left, "ingredient"},
                     {"", Align::left, "text"},     {"", Align::left, "source"}};
    for (const Finding& one : findings) {
        table.rows.push_back({text_cell(std::string(to_string(one.severity))),
                              text_cell(std::string(to_string(one.kind))), text_cell(one.limit),
                              text_cell(one.ingredient), text_cell(sentence(one)),
                              text_cell(one.source)});
    }
    return table;
}

}  // namespace

std::string sentence(const Finding& one) {
    const std::string name = capitalised(one.name);
    const std::string value = with_unit(one.value, one.number, one.unit);
    switch (one.found) {
        case Found::above_safe:
            return fmt::format("{}: {} in the feed; {} {} is {}. Most of it comes from {}.", name,
                               value, most_of(one), one.unit, whose_limit(one.detail),
                               one.ingredient_name);
        case Found::may_be_above_safe:
            return fmt::format(
                "{}: up to {} in the feed if {} contains as much as its kind can; {} {} is {}. "
                "Have that ingredient analysed.",
                name, value, one.ingredient_name, most_of(one), one.unit, whose_limit(one.detail));
        case Found::premix_over_rate:
            return fmt::format(
                "{}: {} of the feed is {} times its label rate of {} %. An overdose of "
                "vitamins and trace minerals poisons.",
                name, value, base::significant(*one.value / *one.number, 2), most_of(one));
        case Found::premix_under_rate:
            return fmt::format("{}: {} of the feed is below its label rate of {} %.", name, value,
                               most_of(one));
        case Found::premix_for_others:
            return fmt::format("{} is made for other animals. Use a premix made for this one.",
                               name);
        case Found::no_premix:
            return "There is no vitamin and mineral premix. Add one that is made for this animal, "
                   "at "
                   "the rate on its label.";
        case Found::short_of:
            return fmt::format("{}: {}, below the requirement of {} {}.", name, value, most_of(one),
                               one.unit);
        case Found::unknown_supply:
            return fmt::format(
                "{}: {} from the ingredients with a value, below the requirement of {} {}. Some "
                "ingredients have no value.",
                name, value, most_of(one), one.unit);
        case Found::nothing_known:
            return not_known({one.name});
        case Found::within_tolerance:
            return fmt::format(
                "{}: {} instead of {} {} {}. An analysis could not tell the difference.", name,
                value, one.value > one.number ? "at most" : "at least", most_of(one), one.unit);
        case Found::too_much:
            return fmt::format("{}: {}, above the maximum of {} {}.", name, value, most_of(one),
                               one.unit);
        case Found::no_need_known:
            return fmt::format("The profile has no requirement for {}, which every animal needs.",
                               one.name);
        case Found::few_amino_acids:
            return "Few amino acid requirements of this animal are known, so the protein may lack "
                   "some amino acid.";
        case Found::borrowed_needs:
            return fmt::format(
                "{} of a related animal or of body protein: no trial with this animal was found.",
                one.value > 1
                    ? fmt::format("The requirements for {} are those", in_words(one.detail))
                    : fmt::format("The requirement for {} is that", one.detail));
        case Found::past_cap:
            return fmt::format("{}: {} of the feed; {} % is {}.", name, value, most_of(one),
                               why_capped(one.detail));
        case Found::no_cap:
            return fmt::format(
                "{}: {} of the feed. How much this animal tolerates is not known. Give the "
                "ingredient a category or a maximum.",
                name, value);
        case Found::too_wet:
            return fmt::format(
                "The mix contains {} water. Dry it, or give a finished moisture, before "
                "you compare it with the requirements.",
                value);
        case Found::odd_price:
            return fmt::format("Is the price of {} right? {} {} is {} times the median of {}.",
                               name, base::compact(*one.value, 4), one.unit,
                               base::compact(*one.value / *one.number, 2),
                               one.detail.empty() ? "the others" : "the others of its kind");
        case Found::thinned:
            return thinned({one});
        case Found::rests_on_label:
            return fmt::format(
                "{} is known by its label alone. Where the label is silent it is taken to hold "
                "what the profile {} asks for; {} rest on that.",
                name, one.detail,
                count_of(static_cast<std::size_t>(one.value.value_or(0)), "requirement",
                         "requirements"));
        case Found::feed_for_others:
            return fmt::format("{} is made for {}.", name, one.detail);
        case Found::feed_off_share:
            return fmt::format(
                "{}: {} of the feed, and its label asks for {} %. It is taken to bring what the "
                "animal needs at that share.",
                name, value, most_of(one));
        case Found::free_protein:
            return fmt::format(
                "{}: {}, below the minimum of {} {}. Free amino acids and urea do not count as "
                "protein beyond that.",
                name, value, most_of(one), one.unit);
    }
    return "";
}

namespace {

// In short the first few, which are the worst.
void add_bullets(Document& document, Bullets bullets) {
    constexpr std::size_t few = 6;
    if (bullets.items.size() <= few + 1) {
        document.blocks.push_back(std::move(bullets));
        return;
    }
    Bullets worst{{bullets.items.begin(), bullets.items.begin() + few}};
    worst.items.push_back(
        {fmt::format("and {} more: --show findings", bullets.items.size() - few), Tone::quiet});
    document.blocks.push_back(Heading{"", Depth::brief, "findings"});
    document.blocks.push_back(std::move(worst));
    document.blocks.push_back(Heading{"", Depth::full, "findings"});
    document.blocks.push_back(std::move(bullets));
    document.blocks.push_back(Heading{""});
}

}  // namespace

void add_verdict(Document& document, const job::Job& job, const limits::Judgement& judgement,
                 const std::string& what) {
    if (!judgement.verdict) {
        const std::string text =
            job.free_total
                ? fmt::format(
                      "This {} was compared only with the amounts that were set. Whether the "
                      "animals "
                      "need more was not checked.",
                      what)
                : fmt::format(
                      "No animal was named, so this {} was compared only with the limits that were "
                      "set. Whether an animal can live on it was not checked.",
                      what);
        document.blocks.push_back(Paragraph{text, Tone::warn});
        return;
    }
    const Verdict verdict = *judgement.verdict;
    document.blocks.push_back(Paragraph{headline(job, judgement, what),
                                        verdict == Verdict::complete ? Tone::good : Tone::bad});
    Table word;
    word.key = "verdict";
    word.data_only = true;
    word.columns = {{"", Align::left, "verdict"}};
    word.rows = {{text_cell(std::string(to_string(verdict)))}};
    document.blocks.push_back(std::move(word));
    if (judgement.findings.empty()) return;
    Bullets bullets;
    std::vector<limits::FindingKind> told;
    for (const Finding& one : judgement.findings) {
        if (!is_list(one)) {
            bullets.items.push_back({sentence(one), tone_of(one.severity)});
            continue;
        }
        const auto together = [&](const Finding& other) {
            if (one.found == Found::thinned || other.found == Found::thinned)
                return one.found == other.found && one.ingredient == other.ingredient;
            const auto stands_alone = [](Found found) {
                return found == Found::no_need_known || found == Found::nothing_known;
            };
            return is_list(other) && other.severity == one.severity &&
                   (stands_alone(one.found) ? other.found == one.found
                                            : other.kind == one.kind && !stands_alone(other.found));
        };
        const auto first =
            std::find_if(judgement.findings.begin(), judgement.findings.end(), together);
        if (&*first != &one) continue;
        std::vector<std::string> names;
        std::vector<Finding> all;
        for (const Finding& other : judgement.findings) {
            if (!together(other)) continue;
            names.push_back(other.name);
            all.push_back(other);
        }
        if (one.found == Found::thinned) {
            bullets.items.push_back({thinned(std::move(all)), tone_of(one.severity)});
            continue;
        }
        if (names.size() == 1) {
            bullets.items.push_back({sentence(one), tone_of(one.severity)});
        } else if (one.found == Found::nothing_known) {
            bullets.items.push_back({not_known(names), tone_of(one.severity)});
        } else if (one.found == Found::no_need_known) {
            bullets.items.push_back(
                {fmt::format("The profile has no requirements for {}, which every animal needs.",
                             base::join_words(names)),
                 tone_of(one.severity)});
        } else {
            bullets.items.push_back(
                {fmt::format("Not shown to meet the requirement: {}.", base::join_words(names)),
                 tone_of(one.severity)});
        }
    }
    add_bullets(document, std::move(bullets));
    document.blocks.push_back(table_of(judgement.findings));
}

void add_verdicts(Document& document, const job::Job& job,
                  const std::vector<NamedJudgement>& diets) {
    if (diets.empty()) return;
    if (!diets.front().judgement.verdict) return add_verdict(document, job, {}, "series of diets");
    std::vector<std::string> as_only_feed;
    std::vector<std::string> unsafe;
    std::vector<std::pair<Finding, std::vector<std::string>>> found;
    for (const NamedJudgement& diet : diets) {
        if (diet.judgement.verdict == Verdict::complete) as_only_feed.push_back(diet.name);
        if (diet.judgement.verdict == Verdict::unsafe) unsafe.push_back(diet.name);
        for (const Finding& one : diet.judgement.findings) {
            const std::string text = sentence(one);
            const auto same = std::find_if(found.begin(), found.end(), [&](const auto& other) {
                return sentence(other.first) == text;
            });
            if (same != found.end()) {
                same->second.push_back(diet.name);
            } else {
                found.push_back({one, {diet.name}});
            }
        }
    }
    std::stable_sort(found.begin(), found.end(), [](const auto& a, const auto& b) {
        return a.first.severity < b.first.severity;
    });
    const std::string animal = job.profile->name + ", " + job.profile->stage_name;
    const bool all = as_only_feed.size() == diets.size();
    if (!unsafe.empty()) {
        document.blocks.push_back(Paragraph{
            fmt::format("Unsafe: {}. Do not feed.", base::join_words(unsafe)), Tone::bad});
    }
    document.blocks.push_back(
        Paragraph{all ? fmt::format("Each diet is a complete feed on paper for {}.", animal)
                  : as_only_feed.empty()
                      ? fmt::format("No diet is a complete feed for {}. Animals that get nothing "
                                    "else may do poorly on every one, and a trial on poor diets "
                                    "shows little.",
                                    animal)
                      : fmt::format("Of these diets only {} {} complete on paper for {}.",
                                    base::join_words(as_only_feed),
                                    as_only_feed.size() == 1 ? "is" : "are", animal),
                  all ? Tone::good : Tone::bad});
    Bullets bullets;
    for (const auto& [one, names] : found) {
        const std::string of = names.size() == diets.size() ? "All diets" : base::join_words(names);
        bullets.items.push_back({fmt::format("{}: {}", of, sentence(one)), tone_of(one.severity)});
    }
    if (!bullets.items.empty()) add_bullets(document, std::move(bullets));
}

void add_home_verdict(Document& document, const std::optional<tasks::HomeFeed>& home) {
    if (home && home->judgement.verdict && *home->judgement.verdict != Verdict::complete)
        add_verdict(document, home->job, home->judgement, "home feed");
}

}  // namespace feedwright::report
