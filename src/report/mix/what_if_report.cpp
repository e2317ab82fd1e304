// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "report/json_sections.hpp"
#include "report/mix/answer_fields.hpp"
#include "report/mix/conflict_report.hpp"
#include "report/mix/what_if.hpp"
#include "report/notes.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::report {

namespace {

using limits::LimitKind;
using limits::LimitResult;
using search::Formulation;
using tasks::WhatIf;
using tasks::Worth;

bool has_mix(const Formulation& result) {
    return !result.amounts.empty();
}

std::string no_mix_text(const Formulation& result) {
    if (result.status == lp::Status::infeasible) return "no mix meets all limits";
    if (result.status == lp::Status::unbounded) return "there is no cheapest mix";
    return "there is no answer (" + result.message + ")";
}

// "0.0145 USD more (3.2 %)"
std::string difference(double before, double after, const std::string& currency) {
    const double change = after - before;
    if (std::abs(change) < 0.5e-4) return "the same";
    std::string text = money(std::abs(change), currency) + (change > 0 ? " more" : " less");
    if (before > 0) text += fmt::format(" ({:.1f} %)", 100 * std::abs(change) / before);
    return text;
}

void add_changes(Document& document, const std::vector<std::string>& changes) {
    Bullets bullets;
    for (const std::string& change : changes)
        bullets.items.push_back({change, Tone::plain});
    document.blocks.push_back(std::move(bullets));
}

// What the changes make the user be told, a price out of line for one.
std::vector<job::Note> notes_of_changes(const WhatIf& what_if) {
    std::vector<job::Note> notes;
    const std::vector<job::Note>& before = what_if.job_before.notes;
    for (const job::Note& note : what_if.job_after.notes) {
        if (std::find(before.begin(), before.end(), note) == before.end()) notes.push_back(note);
    }
    return notes;
}

void add_verdict(Document& document, const WhatIf& what_if) {
    const std::string& currency = what_if.job_before.currency;
    const Formulation& before = what_if.before;
    const Formulation& after = what_if.after;
    std::string text;
    Tone tone = Tone::plain;
    if (has_mix(before) && has_mix(after)) {
        text = fmt::format("With these changes one kg of feed costs {} instead of {}: {}.",
                           money(after.cost_per_kg, currency), money(before.cost_per_kg, currency),
                           difference(before.cost_per_kg, after.cost_per_kg, currency));
        tone = after.cost_per_kg > before.cost_per_kg ? Tone::warn : Tone::good;
    } else if (has_mix(before)) {
        text = fmt::format("With these changes {}. Without them one kg of feed costs {}.",
                           no_mix_text(after), money(before.cost_per_kg, currency));
        tone = Tone::bad;
    } else if (has_mix(after)) {
        text = fmt::format(
            "With these changes there is a mix, and one kg of feed costs {}. "
            "Without them {}.",
            money(after.cost_per_kg, currency), no_mix_text(before));
        tone = Tone::good;
    } else {
        text = fmt::format("With these changes {}, as without them.", no_mix_text(after));
        tone = Tone::bad;
    }
    document.blocks.push_back(Paragraph{std::move(text), tone});
}

Cell percent_cell(double percent, int decimals = 2) {
    return percent > 0 ? number_cell(percent, decimals) : Cell{"-", percent, Tone::plain};
}

void add_mixes(Document& document, const WhatIf& what_if) {
    struct Line {
        std::string name;
        double before = 0;
        double after = 0;
    };
    std::map<std::string, Line> lines;
    for (const auto& item : what_if.before.items)
        lines[item.id] = {item.name, item.percent, 0};
    for (const auto& item : what_if.after.items) {
        lines[item.id].name = item.name;
        lines[item.id].after = item.percent;
    }
    std::vector<const Line*> order;
    for (const auto& [id, line] : lines)
        order.push_back(&line);
    std::stable_sort(order.begin(), order.end(), [](const Line* a, const Line* b) {
        return std::max(a->before, a->after) > std::max(b->before, b->after);
    });
    document.blocks.push_back(Heading{"Share of each ingredient, % of mix"});
    Table table;
    table.key = "mixes";
    // Without a mix on one side there is nothing to set beside the other.
    const bool before = has_mix(what_if.before);
    const bool after = has_mix(what_if.after);
    table.columns = {{"ingredient", Align::left, "ingredient"}};
    if (before) table.columns.push_back({"before", Align::right, "percent_before"});
    if (after) table.columns.push_back({"after", Align::right, "percent_after"});
    if (before && after) table.columns.push_back({"change", Align::right, "change"});
    for (const Line* line : order) {
        const double change = line->after - line->before;
        // A trace would read as nothing otherwise.
        const int decimals = std::max(line->before, line->after) < 0.1 ? 4 : 2;
        std::string text = base::fixed(change, decimals);
        if (change > 0 && text.find_first_of("123456789") != std::string::npos)
            text.insert(0, 1, '+');
        std::vector<Cell> row{text_cell(line->name)};
        if (before) row.push_back(percent_cell(line->before, decimals));
        if (after) row.push_back(percent_cell(line->after, decimals));
        if (before && after) row.push_back({std::move(text), change, Tone::plain});
        table.rows.push_back(std::move(row));
    }
    document.blocks.push_back(std::move(table));
}

std::string asks(const limits::Limit& limit) {
    const auto number = [](double value) { return base::compact(value, 4); };
    std::string text;
    if (limit.min && limit.max && *limit.min == *limit.max) {
        text = "exactly " + number(*limit.min);
    } else if (limit.min && limit.max) {
        text = number(*limit.min) + " to " + number(*limit.max);
    } else if (limit.min) {
        text = "at least " + number(*limit.min);
    } else if (limit.max) {
        text = "at most " + number(*limit.max);
    }
    return text;
}

Cell spare_cell(const LimitResult* limit) {
    if (limit == nullptr || !limit->margin) return {};
    if (limit->binding) return {"0", limit->margin, Tone::warn};
    return amount_cell(limit->margin);
}

// The limits of both answers, tightest of either first: what each asks, what the mixes have and
// have to spare.
void add_limit_pairs(Document& document, const WhatIf& what_if, bool all) {
    struct Pair {
        const LimitResult* before = nullptr;
        const LimitResult* after = nullptr;
    };
    std::vector<std::pair<std::string, Pair>> pairs;
    const auto pair_of = [&](const std::string& id) -> Pair& {
        for (auto& [known, pair] : pairs) {
            if (known == id) return pair;
        }
        return pairs.emplace_back(id, Pair{}).second;
    };
    const auto counts = [](const LimitResult& limit) {
        return !limit.limit.advisory && limit.limit.kind != LimitKind::balance && limit.value;
    };
    for (const LimitResult& limit : what_if.before.assessment.limits) {
        if (counts(limit)) pair_of(limit.limit.id).before = &limit;
    }
    for (const LimitResult& limit : what_if.after.assessment.limits) {
        if (counts(limit)) pair_of(limit.limit.id).after = &limit;
    }
    const auto tightness = [](const Pair& pair) {
        double least = 1e300;
        for (const LimitResult* limit : {pair.before, pair.after}) {
            if (limit == nullptr) continue;
            least = std::min(least, limit->binding ? 0 : limit->margin_percent.value_or(1e299));
        }
        return least;
    };
    std::stable_sort(pairs.begin(), pairs.end(), [&](const auto& a, const auto& b) {
        return tightness(a.second) < tightness(b.second);
    });
    constexpr std::size_t enough = 15;
    if (!all && pairs.size() > enough) pairs.resize(enough);
    Table table;
    table.key = "limits";
    const bool before = has_mix(what_if.before);
    const bool after = has_mix(what_if.after);
    table.columns = {{"limit", Align::left, "limit"}};
    if (before) {
        table.columns.push_back({"before", Align::right, "value_before"});
        table.columns.push_back({"margin", Align::right, "margin_before"});
    }
    if (after) {
        table.columns.push_back({"after", Align::right, "value_after"});
        table.columns.push_back({"margin", Align::right, "margin_after"});
    }
    for (const auto& [id, pair] : pairs) {
        const limits::Limit& limit = pair.after != nullptr ? pair.after->limit : pair.before->limit;
        std::string name = short_name(what_if.job_before, limit.name);
        if (!limit.unit.empty()) name += ", " + unit_in_words(limit);
        std::string asked = asks(limit);
        if (pair.before != nullptr && pair.after != nullptr && asks(pair.before->limit) != asked) {
            asked = asks(pair.before->limit) + ", then " + asked;
        }
        std::vector<Cell> row{text_cell(name + ": " + asked)};
        const auto add = [&](const LimitResult* side) {
            row.push_back(side ? amount_cell(side->value) : Cell{});
            row.push_back(spare_cell(side));
        };
        if (before) add(pair.before);
        if (after) add(pair.after);
        table.rows.push_back(std::move(row));
    }
    if (table.rows.empty()) return;
    document.blocks.push_back(
        Heading{all ? "Every limit, tightest first (contents as fed unless marked)"
                    : "The tightest limits (contents as fed unless marked)"});
    document.blocks.push_back(std::move(table));
}

std::vector<Worth> by_worth(std::vector<Worth> worths) {
    std::stable_sort(worths.begin(), worths.end(), [](const Worth& a, const Worth& b) {
        return a.cost_without.value_or(1e300) > b.cost_without.value_or(1e300);
    });
    return worths;
}

const Format<WhatIf>& what_if_format() {
    const auto head = [](auto& of) {
        job::Job job = of.job_before;
        for (job::Note& note : notes_of_changes(of))
            job.notes.push_back(std::move(note));
        return job;
    };
    static const Format<WhatIf> format{"what-if",
                                       "The result of formulate with changes to try",
                                       {{here, head, head_fields()},
                                        {"changes", &WhatIf::changes},
                                        {"before",
                                         [](auto& of) {
                                             return Answer{of.job_before, of.before};
                                         },
                                         answer_fields()},
                                        {"after",
                                         [](auto& of) {
                                             return Answer{of.job_after, of.after};
                                         },
                                         answer_fields()}}};
    return format;
}

const Format<tasks::WorthOfEach>& worth_format() {
    using tasks::WorthOfEach;
    static const Fields<Worth> worth{
        {"id", &Worth::id, kebab},
        {"name", &Worth::name},
        {"percent", &Worth::percent, from_zero, "of the mix with all"},
        {"has_mix", [](auto& of) { return of.cost_without.has_value(); }},
        {"cost_per_kg", &Worth::cost_without, anything, "without it"}};
    static const Format<WorthOfEach> format{
        "without-each",
        "The result of formulate without each ingredient in turn",
        {{here, &WorthOfEach::job, head_fields()},
         {"changes", &WorthOfEach::changes},
         {"cost_per_kg", [](auto& of) { return of.with_all.cost_per_kg; }, anything, "with all"},
         {"without", [](auto& of) { return by_worth(of.worths); }, worth}}};
    return format;
}

}  // namespace

Document what_if_document(const WhatIf& what_if, const Run& run) {
    Document document;
    document.title = what_if.job_before.title.empty() ? "What if" : what_if.job_before.title;
    add_changes(document, what_if.changes);
    add_verdict(document, what_if);
    for (const job::Note& note : notes_of_changes(what_if))
        document.blocks.push_back(Paragraph{sentence(note), Tone::warn});
    if (has_mix(what_if.before) || has_mix(what_if.after)) {
        add_mixes(document, what_if);
        add_limit_pairs(document, what_if, run.detail);
    }
    if (what_if.after.status == lp::Status::infeasible) {
        add_conflict(document, what_if.job_after, what_if.after, run.detail);
    }
    return document;
}

std::string what_if_json(const WhatIf& what_if, const Run& run) {
    return to_json(what_if_format(), what_if, run);
}

std::string what_if_schema() {
    return schema_of(what_if_format());
}

Document worth_document(const tasks::WorthOfEach& result) {
    const auto& [changes, job, with_all, worths] = result;
    Document document;
    document.title = job.title.empty() ? "What each ingredient is worth" : job.title;
    if (!changes.empty()) add_changes(document, changes);
    document.blocks.push_back(Paragraph{
        fmt::format("With all {} one kg of feed costs {}. The cheapest mix without each one:",
                    count_of(job.ingredients.size(), "ingredient", "ingredients"),
                    money(with_all.cost_per_kg, job.currency)),
        Tone::plain});
    Table table;
    table.key = "without_each";
    table.columns = {{"without", Align::left, "ingredient"},
                     {"% of mix", Align::right, "percent"},
                     {job.currency.empty() ? "cost per kg" : job.currency + " per kg", Align::right,
                      "cost_per_kg_without"},
                     {"difference", Align::right, "cost_change"}};
    for (const Worth& worth : by_worth(worths)) {
        std::vector<Cell> row{text_cell(worth.name), percent_cell(worth.percent)};
        if (worth.cost_without) {
            row.push_back(price_cell(*worth.cost_without));
            row.push_back({difference(with_all.cost_per_kg, *worth.cost_without, {}),
                           *worth.cost_without - with_all.cost_per_kg, Tone::plain});
        } else {
            row.push_back(text_cell("no mix", Tone::bad));
            row.push_back({});
        }
        table.rows.push_back(std::move(row));
    }
    document.blocks.push_back(std::move(table));
    const bool saves = std::any_of(worths.begin(), worths.end(), [&](const Worth& worth) {
        return worth.cost_without && *worth.cost_without < result.with_all.cost_per_kg - 0.5e-4;
    });
    if (saves) {
        document.blocks.push_back(
            Paragraph{"A lower cost here only means that a rule requiring this ingredient was "
                      "dropped with it. Most of what a premix supplies is not among the limits.",
                      Tone::quiet});
    }
    return document;
}

std::string worth_json(const tasks::WorthOfEach& result, const Run& run) {
    return to_json(worth_format(), result, run);
}

std::string worth_schema() {
    return schema_of(worth_format());
}

}  // namespace feedwright::report
