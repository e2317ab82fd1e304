// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/batch/batch_report.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "report/sections.hpp"
#include "report/table_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace feedwright::report {

namespace {

using batch::Summary;

double share(std::size_t part, std::size_t whole) {
    return 100 * static_cast<double>(part) / static_cast<double>(whole);
}

Cell count_cell(std::size_t n) {
    return {std::to_string(n), static_cast<double>(n), Tone::plain};
}

void add_counts(Document& document, const Summary& summary) {
    Facts facts;
    facts.key = "lists";
    const auto add = [&](const char* label, std::size_t n, Tone tone) {
        Cell cell = count_cell(n);
        if (n > 0) cell.tone = tone;
        facts.items.emplace_back(label, std::move(cell));
    };
    if (summary.checked) {
        add("recipes", summary.lists, Tone::plain);
        add("pass", summary.solved, Tone::good);
        add("fail", summary.unsolved, Tone::bad);
        add("cannot be read", summary.unusable, Tone::bad);
    } else {
        add("price lists", summary.lists, Tone::plain);
        add("solved", summary.solved, Tone::good);
        add("without a mix", summary.unsolved, Tone::bad);
        add("with an error", summary.unusable, Tone::bad);
    }
    document.blocks.push_back(std::move(facts));
}

void add_names(Document& document, const Summary& summary) {
    if (!summary.reading.plain()) {
        document.blocks.push_back(Paragraph{
            reading_text(summary.reading, count_of(summary.lists, "price list", "price lists"))});
    }
    if (summary.read_as.empty()) return;
    std::vector<std::string> words;
    for (const auto& [written, id] : summary.read_as)
        words.push_back(fmt::format("\"{}\" as {}", base::printable(written, 60), id));
    document.blocks.push_back(Paragraph{fmt::format("Read {}.", base::join_words(words))});
}

void add_costs(Document& document, const Summary& summary) {
    const batch::Costs& costs = summary.costs;
    if (costs.count() == 0) return;
    document.blocks.push_back(Heading{"Cost per kg"});
    if (summary.dried_to_percent) {
        document.blocks.push_back(
            Paragraph{fmt::format("The mix is too wet to compare as it is. These are costs of feed "
                                  "dried to {} % moisture "
                                  "(to change: --finished-moisture).",
                                  base::compact(*summary.dried_to_percent, 3))});
    }
    Facts facts;
    facts.key = "cost_per_kg";
    const auto add = [&](std::string label, double value, const std::string& list) {
        std::string text = money(value, summary.currency);
        if (!list.empty()) text += fmt::format("  ({})", list);
        facts.items.emplace_back(std::move(label), Cell{std::move(text), value, Tone::plain});
    };
    add("lowest", costs.least(), summary.cheapest->name);
    for (const int percent : {5, 25, 50, 75, 95}) {
        add(percent == 50 ? std::string("median") : fmt::format("{} % are below", percent),
            costs.quantile(percent / 100.0), "");
    }
    add("highest", costs.most(), summary.dearest->name);
    add("mean", costs.mean(), "");
    document.blocks.push_back(std::move(facts));
}

void add_uses(Document& document, const Summary& summary) {
    if (summary.uses.empty() || summary.solved == 0) return;
    std::vector<batch::Use> uses = summary.uses;
    std::stable_sort(uses.begin(), uses.end(),
                     [](const batch::Use& a, const batch::Use& b) { return a.lists > b.lists; });
    document.blocks.push_back(Heading{"Ingredients"});
    Table table;
    table.key = "ingredients";
    table.columns = {{"ingredient", Align::left, "ingredient"},
                     {"used in, % of mixes", Align::right, "percent_of_mixes"},
                     {"lowest share then, %", Align::right, "least_percent"},
                     {"highest share, %", Align::right, "most_percent"}};
    std::vector<std::string> never;
    for (const batch::Use& use : uses) {
        if (use.lists == 0) {
            never.push_back(use.id);
            continue;
        }
        table.rows.push_back({text_cell(use.id), number_cell(share(use.lists, summary.solved), 1),
                              number_cell(use.least, 2), number_cell(use.most, 2)});
    }
    document.blocks.push_back(std::move(table));
    if (!never.empty()) {
        document.blocks.push_back(Paragraph{"Never in a mix: " + base::join_words(never) + '.'});
    }
}

void add_held(Document& document, const Summary& summary) {
    if (summary.held.empty()) return;
    std::vector<batch::Held> held = summary.held;
    std::stable_sort(held.begin(), held.end(),
                     [](const batch::Held& a, const batch::Held& b) { return a.lists > b.lists; });
    document.blocks.push_back(Heading{"Limits without margin"});
    Table table;
    table.key = "binding";
    table.columns = {{"limit", Align::left, "limit"},
                     {"in, % of mixes", Align::right, "percent_of_mixes"}};
    for (const batch::Held& limit : held) {
        table.rows.push_back(
            {text_cell(limit.id), number_cell(share(limit.lists, summary.solved), 1)});
    }
    document.blocks.push_back(std::move(table));
}

void add_stretch(Document& document, const Summary& summary) {
    const batch::Stretch& stretch = summary.longest;
    if (stretch.lists < 2) return;
    document.blocks.push_back(
        Paragraph{fmt::format("The longest run with the same mix: {} to {}, {} lists.",
                              stretch.first, stretch.last, stretch.lists)});
}

}  // namespace

Document batch_document(const std::vector<batch::Summary>& summaries, const BatchRun& run) {
    Document document;
    std::size_t lines = 0;
    std::size_t solved = 0;
    bool checked = false;
    for (const Summary& summary : summaries) {
        lines += summary.lists;
        solved += summary.solved;
        checked = checked || summary.checked;
    }
    document.title = checked ? "Recipes checked" : "Price lists solved";
    if (run.kept_lines > 0) {
        document.blocks.push_back(Paragraph{
            fmt::format("Resumed: {} of an earlier run are kept. The figures below are of this run "
                        "only.",
                        count_of(run.kept_lines, "line", "lines"))});
    }
    for (const Summary& summary : summaries) {
        if (!summary.subject.empty()) document.blocks.push_back(Heading{summary.subject});
        add_counts(document, summary);
        add_names(document, summary);
        add_costs(document, summary);
        add_uses(document, summary);
        add_held(document, summary);
        add_stretch(document, summary);
    }
    std::string speed =
        fmt::format("{} in {} s with {}", count_of(lines, "line", "lines"),
                    base::fixed(run.seconds, 2), count_of(run.threads, "thread", "threads"));
    if (run.seconds > 0) {
        speed +=
            fmt::format(" ({} a second)", base::fixed(static_cast<double>(lines) / run.seconds, 0));
    }
    speed += '.';
    document.blocks.push_back(Paragraph{std::move(speed)});
    return document;
}

}  // namespace feedwright::report
