// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/economics/season_report.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "report/economics/economics_words.hpp"
#include "report/economics/season_fields.hpp"
#include "report/fields.hpp"
#include "report/json_sections.hpp"
#include "report/notes.hpp"
#include "report/sections.hpp"
#include "report/verdict_sections.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <optional>
#include <utility>

namespace feedwright::report {

namespace {

using search::OneMore;
using search::StockRow;
using tasks::SeasonFed;
using tasks::SeasonMix;
using tasks::SeasonOf;

std::string kg(double value) {
    return base::compact(value, 3) + " kg";
}

Cell period_cell(std::size_t period) {
    return {std::to_string(period + 1), static_cast<double>(period + 1)};
}

Cell kg_cell(double value) {
    return value > 0 ? Cell{base::compact(value, 3), value} : Cell{"", 0.0};
}

// The periods that are marked: "1 to 3 and 5"
std::string spans(const std::vector<bool>& marked) {
    std::vector<std::string> words;
    for (std::size_t t = 0; t < marked.size(); ++t) {
        if (!marked[t]) continue;
        const std::size_t first = t;
        while (t + 1 < marked.size() && marked[t + 1])
            ++t;
        words.push_back(first == t ? fmt::format("{}", t + 1)
                                   : fmt::format("{} to {}", first + 1, t + 1));
    }
    return base::join_words(words);
}

// "period 3" or "periods 1 to 3 and 5"
std::string in_periods(const std::vector<bool>& marked) {
    return (std::count(marked.begin(), marked.end(), true) == 1 ? "period " : "periods ") +
           spans(marked);
}

std::vector<bool> above_zero_in(const std::vector<double>& list) {
    std::vector<bool> marked;
    for (const double value : list)
        marked.push_back(value > 0);
    return marked;
}

double sum(const std::vector<double>& list) {
    return std::accumulate(list.begin(), list.end(), 0.0);
}

std::string span(std::size_t first, std::size_t last) {
    std::vector<bool> marked(last + 1);
    std::fill(marked.begin() + static_cast<std::ptrdiff_t>(first), marked.end(), true);
    return spans(marked);
}

double bought_kg(const SeasonFed& fed) {
    double sum = 0;
    for (const SeasonFed::Bought& one : fed.bought)
        sum += one.kg;
    return sum;
}

// Periods in a row in which some animals get the same mix.
struct Recipe {
    std::size_t number = 0;  // from 1
    std::size_t animals = 0;
    std::size_t first = 0;
    std::size_t last = 0;
    double feed_kg = 0;
    const SeasonMix* mix = nullptr;
};

double percent_of(const SeasonMix& mix, const std::string& id) {
    for (const limits::MixItem& item : mix.mix.items) {
        if (item.id == id) return item.percent;
    }
    return 0;
}

// Whether all that is in one of them is in the other, to a tenth of a percent.
bool is_in(const SeasonMix& one, const SeasonMix& other) {
    constexpr double tenth = 0.1;
    return std::all_of(one.mix.items.begin(), one.mix.items.end(), [&](const auto& item) {
        return std::abs(item.percent - percent_of(other, item.id)) < tenth;
    });
}

bool is_same(const SeasonMix& one, const SeasonMix& other) {
    const auto profile = [](const SeasonMix& mix) {
        return mix.job->profile ? mix.job->profile->id : "";
    };
    return profile(one) == profile(other) && is_in(one, other) && is_in(other, one);
}

std::vector<Recipe> recipes_of(const SeasonOf& r) {
    std::vector<Recipe> list;
    for (const SeasonFed& fed : r.fed) {
        if (!fed.mix) continue;
        const bool same = !list.empty() && list.back().animals == fed.animals &&
                          list.back().last + 1 == fed.period && is_same(*list.back().mix, *fed.mix);
        if (!same)
            list.push_back({list.size() + 1, fed.animals, fed.period, fed.period, 0, &*fed.mix});
        list.back().last = fed.period;
        list.back().feed_kg += fed.home_kg;
    }
    return list;
}

const Recipe* recipe_of(const std::vector<Recipe>& recipes, const SeasonFed& fed) {
    for (const Recipe& one : recipes) {
        if (fed.mix && one.animals == fed.animals && one.first <= fed.period &&
            fed.period <= one.last)
            return &one;
    }
    return nullptr;
}

// ---- the outcome

double total_home(const SeasonOf& r) {
    double sum = 0;
    for (const SeasonFed& fed : r.fed)
        sum += fed.home_kg;
    return sum;
}

double total_bought(const SeasonOf& r) {
    double sum = 0;
    for (const SeasonFed& fed : r.fed)
        sum += bought_kg(fed);
    return sum;
}

// "12.40 USD less than buying all feed"
std::string against(const SeasonOf& r, double other, const std::string& what) {
    const double less = other - r.plan.cost.total();
    // Two decimals are shown: what is less than that is nothing.
    if (std::abs(less) < 0.005) return "as much as " + what;
    return fmt::format("{} {} than {}", money(std::abs(less), r.season.currency, 2),
                       less > 0 ? "less" : "more", what);
}

std::string outcome(const SeasonOf& r) {
    const double home = total_home(r);
    const double bought = total_bought(r);
    std::string text;
    if (home > 0 && bought > 0) {
        text = fmt::format("Make {} of feed at home and buy {}.", kg(home), kg(bought));
    } else if (home > 0) {
        text = fmt::format("Make all feed at home: {}.", kg(home));
    } else {
        text = fmt::format("Buy all feed: {}.", kg(bought));
    }
    text += fmt::format(" The season costs {}", money(r.plan.cost.total(), r.season.currency, 2));
    std::vector<std::string> others;
    if (r.plan.all_bought && home > 0)
        others.push_back(against(r, *r.plan.all_bought, "buying all feed"));
    if (r.plan.all_home && bought > 0)
        others.push_back(against(r, *r.plan.all_home, "making all feed at home"));
    if (!others.empty()) text += ": " + base::join_words(others);
    return text + '.';
}

// The home feed of some animals for which no verdict is better than another's.
void add_verdict_of(Bullets& heads, Bullets& brief, Bullets& all, const SeasonOf& r, std::size_t g,
                    const std::vector<Recipe>& recipes) {
    std::vector<const Recipe*> own;
    std::optional<limits::Verdict> worst;
    for (const Recipe& one : recipes) {
        if (one.animals != g) continue;
        own.push_back(&one);
        if (const auto verdict = one.mix->judgement.verdict)
            worst = std::max(worst.value_or(*verdict), *verdict);
    }
    if (own.empty()) return;
    const std::string& name = r.season.animals[g].name;
    if (!worst) {
        heads.items.push_back(
            {fmt::format("Home feed for {}: no profile was named, so it was compared only with the "
                         "limits that were set. Whether an animal can live on it was not checked.",
                         name),
             Tone::warn});
        return;
    }
    // "Nile tilapia, fingerling and grow-out"
    std::vector<std::string> stages;
    std::vector<std::string> told_of;
    for (const Recipe* one : own) {
        const job::ProfileInUse& profile = *one->mix->job->profile;
        if (std::find(told_of.begin(), told_of.end(), profile.id) != told_of.end()) continue;
        const bool same =
            one != own.front() && own.front()->mix->job->profile->name == profile.name;
        stages.push_back(same ? profile.stage_name : profile.name + ", " + profile.stage_name);
        told_of.push_back(profile.id);
    }
    const std::string of = base::join_words(stages);
    const bool complete = *worst == limits::Verdict::complete;
    heads.items.push_back(
        {complete ? fmt::format("Home feed for {}: complete on paper for {}.", name, of)
         : *worst == limits::Verdict::unsafe
             ? fmt::format("Home feed for {}: unsafe. Do not feed it.", name)
             : fmt::format("Home feed for {}: incomplete for {}. Do not give it as the only feed.",
                           name, of),
         complete ? Tone::good : Tone::bad});
    constexpr std::size_t few = 3;
    std::vector<std::pair<std::string, std::vector<std::string>>> told;
    std::vector<limits::Severity> severities;
    for (const Recipe* one : own) {
        for (const limits::Finding& finding : one->mix->judgement.findings) {
            const std::string text = sentence(finding);
            const auto same = std::find_if(told.begin(), told.end(),
                                           [&](const auto& other) { return other.first == text; });
            if (same != told.end()) {
                same->second.push_back(std::to_string(one->number));
            } else {
                told.push_back({text, {std::to_string(one->number)}});
                severities.push_back(finding.severity);
            }
        }
    }
    for (std::size_t k = 0; k < told.size(); ++k) {
        const auto& [text, numbers] = told[k];
        const bool every = numbers.size() == own.size();
        const Paragraph line{
            every ? text
                  : fmt::format("{} ({} {})", text, numbers.size() == 1 ? "recipe" : "recipes",
                                base::join_words(numbers)),
            severities[k] == limits::Severity::note ? Tone::plain : Tone::warn};
        all.items.push_back(line);
        if (severities[k] != limits::Severity::note && brief.items.size() < few)
            brief.items.push_back(line);
    }
}

void add_verdicts_of_season(Document& document, const SeasonOf& r,
                            const std::vector<Recipe>& recipes) {
    Bullets heads;
    Bullets brief;
    Bullets all;
    for (std::size_t g = 0; g < r.season.animals.size(); ++g)
        add_verdict_of(heads, brief, all, r, g, recipes);
    document.blocks.push_back(std::move(heads));
    if (all.items.empty()) return;
    if (!brief.items.empty() && all.items.size() > brief.items.size())
        brief.items.push_back(
            {fmt::format("and {}: --show findings", count_of(all.items.size() - brief.items.size(),
                                                             "more finding", "more findings")),
             Tone::quiet});
    document.blocks.push_back(Heading{"", Depth::brief, "findings"});
    document.blocks.push_back(std::move(brief));
    document.blocks.push_back(Heading{"", Depth::full, "findings"});
    document.blocks.push_back(std::move(all));
    document.blocks.push_back(Heading{""});
}

// ---- what to do

void add_schedule(Document& document, const SeasonOf& r, const std::vector<Recipe>& recipes) {
    constexpr std::size_t most_rows = 20;
    const bool gain =
        std::any_of(r.fed.begin(), r.fed.end(), [](const SeasonFed& fed) { return fed.is_gain; });
    Table table;
    table.key = "feeds";
    table.columns = {{"animals", Align::left, "animals"},
                     {"period", Align::right, "period"},
                     {"from", Align::left, "from"}};
    if (gain) table.columns.push_back({"gain, kg", Align::right, "gain_kg"});
    table.columns.push_back({"make, kg", Align::right, "home_kg"});
    table.columns.push_back({"recipe", Align::right, "recipe"});
    table.columns.push_back({"buy, kg", Align::right, "bought_kg"});
    table.columns.push_back({"bought feed", Align::left, "bought"});
    for (const SeasonFed& fed : r.fed) {
        std::vector<std::string> names;
        for (const SeasonFed::Bought& one : fed.bought)
            names.push_back(fed.bought.size() == 1 ? one.name
                                                   : fmt::format("{} {}", one.name, kg(one.kg)));
        const Recipe* recipe = recipe_of(recipes, fed);
        std::vector<Cell> cells{text_cell(animals(r, fed)), period_cell(fed.period),
                                text_cell(from(r, fed.period))};
        if (gain) cells.push_back(fed.is_gain ? kg_cell(fed.need_kg) : Cell{});
        cells.push_back(kg_cell(fed.home_kg));
        cells.push_back(recipe != nullptr ? Cell{std::to_string(recipe->number),
                                                 static_cast<double>(recipe->number)}
                                          : Cell{});
        cells.push_back(kg_cell(bought_kg(fed)));
        cells.push_back(text_cell(base::join_words(names)));
        table.rows.push_back(std::move(cells));
    }
    if (table.rows.size() <= most_rows) {
        document.blocks.push_back(Heading{"What to feed"});
        document.blocks.push_back(std::move(table));
        return;
    }
    Table totals;
    totals.key = "totals";
    totals.text_only = true;
    totals.columns = {{"animals", Align::left, "animals"},
                      {"make, kg", Align::right, "home_kg"},
                      {"buy, kg", Align::right, "bought_kg"},
                      {"home feed in periods", Align::left, "periods"}};
    for (std::size_t g = 0; g < r.season.animals.size(); ++g) {
        double home = 0;
        double bought = 0;
        std::vector<bool> at_home(static_cast<std::size_t>(r.season.periods));
        for (const SeasonFed& fed : r.fed) {
            if (fed.animals != g) continue;
            home += fed.home_kg;
            bought += bought_kg(fed);
            at_home[fed.period] = fed.home_kg > 0;
        }
        totals.rows.push_back({text_cell(r.season.animals[g].name), kg_cell(home), kg_cell(bought),
                               text_cell(spans(at_home))});
    }
    document.blocks.push_back(Heading{"What to feed", Depth::brief, "feeds"});
    document.blocks.push_back(std::move(totals));
    document.blocks.push_back(Heading{"What to feed", Depth::full, "feeds"});
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(Heading{""});
}

// Why no home feed is given where it is allowed.
void add_no_mix(Document& document, const SeasonOf& r) {
    Bullets list;
    for (std::size_t g = 0; g < r.season.animals.size(); ++g) {
        std::vector<std::string> periods;
        for (const SeasonFed& fed : r.fed) {
            if (fed.animals == g && fed.no_mix) periods.push_back(std::to_string(fed.period + 1));
        }
        if (periods.empty()) continue;
        list.items.push_back(
            {fmt::format("{}: no mix of what there is meets the limits in {} {}.",
                         capitalised(r.season.animals[g].name),
                         periods.size() == 1 ? "period" : "periods", base::join_words(periods)),
             Tone::warn});
    }
    document.blocks.push_back(std::move(list));
}

// ---- what it costs

void add_cost(Document& document, const SeasonOf& r) {
    const std::string& currency = r.season.currency;
    const search::SeasonCost& cost = r.plan.cost;
    const bool may_make = std::any_of(r.fed.begin(), r.fed.end(),
                                      [](const SeasonFed& fed) { return fed.home_allowed; });
    Facts facts;
    facts.key = "cost";
    std::vector<std::string> whole;
    const auto add = [&](const std::string& name, const std::optional<double>& value) {
        whole.push_back(name + (value ? ": " + money(*value, currency, 2) : " is not possible"));
        if (value) facts.items.emplace_back(name, Cell{money(*value, currency, 2), *value});
    };
    add("this plan", cost.total());
    add("all feed bought", r.plan.all_bought);
    if (may_make) add("all feed made at home", r.plan.all_home);
    std::vector<std::string> parts;
    const auto part = [&](const std::string& name, double value) {
        if (!(value > 0)) return;
        facts.items.emplace_back(name, Cell{money(value, currency, 2), value});
        parts.push_back(fmt::format("{} {}", name, base::fixed(value, 2)));
    };
    part("ingredients", cost.ingredients);
    part("harvest", cost.harvest);
    part("storage", cost.storage);
    part("drying", cost.drying);
    part("making", cost.making);
    part("hours of work", cost.work);
    part("equipment", cost.equipment);
    part("bought feed", cost.bought_feed);
    document.blocks.push_back(Heading{"What it costs", Depth::brief, "cost"});
    document.blocks.push_back(
        Paragraph{fmt::format("{}. Parts of this plan: {}.",
                              capitalised(fmt::format("{}", fmt::join(whole, "; "))),
                              base::join_words(parts)),
                  Tone::plain});
    document.blocks.push_back(Heading{"What it costs", Depth::full, "cost"});
    document.blocks.push_back(std::move(facts));
    document.blocks.push_back(Heading{""});
}

// "Sold: fish 120.00 and eggs 540.00 USD"
void add_income(Document& document, const SeasonOf& r) {
    if (r.income.empty()) return;
    Facts facts;
    facts.key = "income";
    std::vector<std::string> words;
    for (const tasks::SeasonIncome& one : r.income) {
        const std::string name = fmt::format("{} ({})", one.name, one.animals);
        facts.items.emplace_back(name, Cell{money(one.money, r.season.currency, 2), one.money});
        words.push_back(fmt::format("{} {}", name, money(one.money, r.season.currency, 2)));
    }
    const double margin = r.total_income() - r.plan.cost.total();
    facts.items.emplace_back("margin over feed", Cell{money(margin, r.season.currency, 2), margin});
    document.blocks.push_back(Heading{"", Depth::brief, "cost"});
    document.blocks.push_back(
        Paragraph{fmt::format("Sold: {}. Margin over feed: {}.", base::join_words(words),
                              money(margin, r.season.currency, 2)),
                  margin < 0 ? Tone::warn : Tone::plain});
    document.blocks.push_back(Heading{"Income", Depth::full, "cost"});
    document.blocks.push_back(std::move(facts));
    document.blocks.push_back(Heading{""});
}

void add_cases(Document& document, const SeasonOf& r) {
    if (!r.cases) return;
    const tasks::SeasonCases& all = *r.cases;
    const std::string& currency = r.season.currency;
    document.blocks.push_back(Heading{"How sure this is"});
    Bullets list;
    if (all.pays_percent)
        list.items.push_back(
            {fmt::format("Chance that this plan costs less than buying all feed: {} %.",
                         base::compact(*all.pays_percent, 3)),
             Tone::plain});
    if (all.short_percent > 0)
        list.items.push_back({fmt::format("In {} % of the cases the plan cannot feed all animals.",
                                          base::compact(all.short_percent, 3)),
                              Tone::warn});
    if (all.short_percent < 100)
        list.items.push_back(
            {fmt::format("With this plan the season costs {} to {} (5 to 95 of 100 cases). To know "
                         "all numbers beforehand would save {} on average.",
                         base::fixed(all.low, 2), money(all.high, currency, 2),
                         money(all.value_of_knowing, currency, 2)),
             Tone::plain});
    document.blocks.push_back(std::move(list));
    document.blocks.push_back(Paragraph{
        fmt::format("From {} random cases within your ranges. What the plan buys is bought, home "
                    "feed is made at most as planned, and bought feed fills what is missing.",
                    all.cases),
        Tone::quiet});
    Table table;
    table.key = "cases";
    table.data_only = true;
    table.columns = {{"", Align::right, "cases"},           {"", Align::right, "pays_percent"},
                     {"", Align::right, "short_percent"},   {"", Align::right, "cost_low"},
                     {"", Align::right, "cost_middle"},     {"", Align::right, "cost_high"},
                     {"", Align::right, "value_of_knowing"}};
    table.rows = {{number_cell(static_cast<double>(all.cases), 0),
                   all.pays_percent ? number_cell(*all.pays_percent, 1) : Cell{},
                   number_cell(all.short_percent, 1), number_cell(all.low, 2),
                   number_cell(all.middle, 2), number_cell(all.high, 2),
                   number_cell(all.value_of_knowing, 2)}};
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(Heading{""});
}

// ---- what is scarce

// "harvest of duckweed, fresh"
std::string thing(const SeasonOf& r, const OneMore& one) {
    switch (one.what) {
        case OneMore::What::supply:
            return "harvest of " + r.ingredients[*one.stock].name;
        case OneMore::What::store:
            return "room to store " + r.ingredients[*one.stock].name;
        case OneMore::What::hours:
            return "work";
    }
    return "";
}

std::string saved(const SeasonOf& r, const OneMore& one) {
    const std::string number = base::significant(one.saves, 3);
    if (!r.solved()) return number + " kg of the missing feed";
    return r.season.currency.empty() ? number : number + ' ' + r.season.currency;
}

void add_worth(Document& document, const SeasonOf& r) {
    if (r.plan.worth.empty()) return;
    const std::string heading =
        r.solved() ? "What is scarce, and what one more saves" : "What would help most";
    Table table;
    table.key = "worth";
    table.columns = {{"scarce", Align::left, "what"},
                     {"id", Align::left, "id"},
                     {"period", Align::right, "period"},
                     {"from", Align::left, "from"},
                     {"one more", Align::left, "unit"},
                     {r.solved() ? "saves" : "kg of feed less missing", Align::right, "saves"}};
    Bullets brief;
    constexpr std::size_t few = 5;
    std::vector<std::string> told;
    for (const OneMore& one : r.plan.worth) {
        const std::string name = thing(r, one);
        const std::string unit = one.what == OneMore::What::hours ? "hour" : "kg";
        table.rows.push_back({text_cell(name),
                              text_cell(one.stock ? r.ingredients[*one.stock].id : ""),
                              period_cell(one.period),
                              text_cell(from(r, one.period)),
                              text_cell(unit),
                              {base::significant(one.saves, 3), one.saves}});
        // Of each thing the period in which it is worth most.
        if (std::find(told.begin(), told.end(), name) != told.end() || told.size() == few) continue;
        told.push_back(name);
        brief.items.push_back({fmt::format("{}, most in period {}: one more {} saves {}.",
                                           capitalised(name), one.period + 1, unit, saved(r, one)),
                               Tone::plain});
    }
    document.blocks.push_back(Heading{heading, Depth::brief, "worth"});
    document.blocks.push_back(std::move(brief));
    document.blocks.push_back(Heading{heading, Depth::full, "worth"});
    document.blocks.push_back(std::move(table));
    if (r.plan.worth_is_partial)
        document.blocks.push_back(Paragraph{
            "More is scarce than was looked at: only the first 200 cases were.", Tone::quiet});
    document.blocks.push_back(Heading{""});
}

// ---- what to harvest, dry and store

std::vector<double> of_each(const std::vector<StockRow>& rows, double StockRow::*member) {
    std::vector<double> list;
    for (const StockRow& row : rows)
        list.push_back(row.*member);
    return list;
}

bool any(const std::vector<double>& list) {
    return std::any_of(list.begin(), list.end(), [](double value) { return value > 0; });
}

void add_stores(Document& document, const SeasonOf& r) {
    Bullets list;
    for (std::size_t d = 0; d < r.plan.dried_kg.size(); ++d) {
        if (!any(r.plan.dried_kg[d])) continue;
        const economics::SeasonDrying& drying = r.season.drying[d];
        const auto name = [&](const std::string& written) {
            for (std::size_t i = 0; i < r.season.ingredients.size(); ++i) {
                if (r.season.ingredients[i].id == written) return r.ingredients[i].name;
            }
            return written;
        };
        list.items.push_back({fmt::format("Dry {} to {}: {} as fresh, in {}.", name(drying.from),
                                          name(drying.to), kg(sum(r.plan.dried_kg[d])),
                                          in_periods(above_zero_in(r.plan.dried_kg[d]))),
                              Tone::plain});
    }
    for (std::size_t i = 0; i < r.plan.stocks.size(); ++i) {
        // What is left at the end of the season is not kept for anything in it.
        std::vector<double> stored = of_each(r.plan.stocks[i], &StockRow::stored_kg);
        if (!stored.empty()) stored.pop_back();
        if (!any(stored)) continue;
        list.items.push_back({fmt::format("Keep {} at the end of {}, at most {}.",
                                          r.ingredients[i].name, in_periods(above_zero_in(stored)),
                                          kg(*std::max_element(stored.begin(), stored.end()))),
                              Tone::plain});
    }
    for (std::size_t i = 0; i < r.plan.stocks.size(); ++i) {
        const auto harvested = of_each(r.plan.stocks[i], &StockRow::harvested_kg);
        if (!any(harvested)) continue;
        const auto& supply = r.season.ingredients[i].supply_kg;
        list.items.push_back(
            {fmt::format("Harvest {}: {} of {}, in {}.", r.ingredients[i].name, kg(sum(harvested)),
                         kg(sum(supply)), in_periods(above_zero_in(harvested))),
             Tone::plain});
    }
    if (!list.items.empty()) {
        document.blocks.push_back(Heading{"What to dry, keep and harvest", Depth::brief, "stock"});
        document.blocks.push_back(std::move(list));
    }
    const std::vector<StockLine> lines = stock_lines(r);
    if (lines.empty()) return;
    document.blocks.push_back(Heading{"Stock by period, kg", Depth::full, "stock"});
    const Style three = [](double value) {
        return Cell{value == 0 ? "" : base::compact(value, 3), value};
    };
    Table table = table_of("stock", stock_fields(), lines,
                           {{"ingredient", "id"},
                            {"period", "period", as_number(0)},
                            {"bought", "bought_kg", three},
                            {"harvested", "harvested_kg", three},
                            {"dried", "dried_kg", three},
                            {"used", "used_kg", three},
                            {"stored", "stored_kg", three},
                            {"lost", "lost_kg", three}});
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(
        Paragraph{"Stored is what there is at the end of the period. A minus sign under \"dried\" "
                  "is what was taken to be dried.",
                  Tone::quiet});
    document.blocks.push_back(Heading{""});
}

// ---- pictures

// What of each kind of feed each of the animals get.
BarPlot feed_bars(const SeasonOf& r) {
    BarPlot plot{"Feed of each period, kg", {}, 0, true};
    for (const SeasonFed& fed : r.fed) {
        const std::string of = fmt::format("{}, period {}", animals(r, fed), fed.period + 1);
        const auto add = [&](const std::string& what, double value) {
            if (value > 0)
                plot.bars.push_back({fmt::format("{}, {}", of, what), 0, value, kg(value)});
        };
        add("made at home", fed.home_kg);
        add("bought", bought_kg(fed));
    }
    return plot;
}

// What is kept, the most first; a picture of more than a few lines cannot be read.
LinePlot stock_lines_plot(const SeasonOf& r) {
    constexpr std::array marks{'*', 'o', '+', 'x', '#'};
    std::vector<std::pair<double, std::size_t>> most;
    for (std::size_t i = 0; i < r.plan.stocks.size(); ++i) {
        const auto stored = of_each(r.plan.stocks[i], &StockRow::stored_kg);
        if (any(stored)) most.emplace_back(-*std::max_element(stored.begin(), stored.end()), i);
    }
    if (most.empty() || r.season.periods < 2) return {};
    std::sort(most.begin(), most.end());
    LinePlot plot{{}, {}, true};
    plot.axes.x_label = "period";
    plot.axes.y_label = "in store at the end of the period, kg";
    for (std::size_t k = 0; k < most.size() && k < marks.size(); ++k) {
        document::Series series{r.ingredients[most[k].second].name, {}, marks[k], true};
        const auto stored = of_each(r.plan.stocks[most[k].second], &StockRow::stored_kg);
        for (std::size_t t = 0; t < stored.size(); ++t)
            series.points.push_back({static_cast<double>(t + 1), stored[t], {}});
        plot.series.push_back(std::move(series));
    }
    return plot;
}

// ---- what to buy and when to make feed

struct Purchase {
    std::string name;
    double kg = 0;
    std::optional<double> pack_kg;
    double cost = 0;
    std::vector<double> by_period;
};

std::vector<Purchase> purchases_of(const SeasonOf& r) {
    const auto periods = static_cast<std::size_t>(r.season.periods);
    std::vector<Purchase> list;
    for (std::size_t i = 0; i < r.plan.stocks.size(); ++i) {
        const economics::SeasonIngredient& one = r.season.ingredients[i];
        Purchase purchase{r.ingredients[i].name, 0, one.pack_kg, 0,
                          of_each(r.plan.stocks[i], &StockRow::bought_kg)};
        for (std::size_t t = 0; t < periods; ++t) {
            purchase.kg += purchase.by_period[t];
            if (!one.price.empty() && one.price[t])
                purchase.cost += purchase.by_period[t] * *one.price[t];
        }
        if (purchase.kg > 0) list.push_back(std::move(purchase));
    }
    for (const economics::SeasonFeed& feed : r.season.bought_feeds) {
        Purchase purchase{feed.name, 0, feed.pack_kg, 0, std::vector<double>(periods)};
        for (const SeasonFed& fed : r.fed) {
            for (const SeasonFed::Bought& one : fed.bought) {
                if (one.name != feed.name) continue;
                purchase.by_period[fed.period] += one.kg;
                purchase.kg += one.kg;
                purchase.cost += one.kg * feed.price[fed.period].value_or(0);
            }
        }
        if (purchase.kg > 0) list.push_back(std::move(purchase));
    }
    return list;
}

void add_shopping(Document& document, const SeasonOf& r) {
    const std::vector<Purchase> list = purchases_of(r);
    if (list.empty()) return;
    const bool packs = std::any_of(list.begin(), list.end(),
                                   [](const Purchase& one) { return one.pack_kg.has_value(); });
    document.blocks.push_back(Heading{"What to buy"});
    Table table;
    table.key = "shopping";
    table.columns = {{"buy", Align::left, "item"}, {"kg", Align::right, "kg"}};
    if (packs) table.columns.push_back({"packs", Align::left, "packs"});
    table.columns.push_back({"cost", Align::right, "cost"});
    table.columns.push_back({"in periods", Align::left, "periods"});
    Table detail;
    detail.key = "purchases";
    detail.columns = {{"buy", Align::left, "item"},
                      {"period", Align::right, "period"},
                      {"from", Align::left, "from"},
                      {"kg", Align::right, "kg"}};
    for (const Purchase& one : list) {
        std::vector<bool> bought;
        for (std::size_t t = 0; t < one.by_period.size(); ++t) {
            bought.push_back(one.by_period[t] > 0);
            if (bought.back())
                detail.rows.push_back({text_cell(one.name), period_cell(t), text_cell(from(r, t)),
                                       amount_cell(one.by_period[t])});
        }
        std::vector<Cell> cells{text_cell(one.name), amount_cell(one.kg)};
        if (packs)
            cells.push_back(text_cell(
                one.pack_kg ? fmt::format("{} of {}",
                                          base::fixed(std::ceil(one.kg / *one.pack_kg - 1e-9), 0),
                                          kg(*one.pack_kg))
                            : std::string()));
        cells.push_back(number_cell(one.cost, 2));
        cells.push_back(text_cell(spans(bought)));
        table.rows.push_back(std::move(cells));
    }
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(Heading{"What to buy, by period", Depth::full, "shopping"});
    document.blocks.push_back(std::move(detail));
    document.blocks.push_back(
        Paragraph{"Costs are of the kilograms that are used. What whole packs leave over is not "
                  "counted.",
                  Tone::quiet});
    document.blocks.push_back(Heading{""});
}

// Kilograms weighed in by period.
std::vector<double> weighed_in_of(const SeasonOf& r) {
    std::vector<double> list(static_cast<std::size_t>(r.season.periods));
    for (const SeasonFed& fed : r.fed) {
        if (fed.mix) list[fed.period] += fed.mix->weighed_in_kg;
    }
    return list;
}

std::string making_in_short(const SeasonOf& r) {
    const std::vector<double> weighed_in = weighed_in_of(r);
    const double most_kg = *std::max_element(weighed_in.begin(), weighed_in.end());
    const double most_hours = *std::max_element(r.plan.hours.begin(), r.plan.hours.end());
    std::string batches;
    if (r.season.making && r.season.making->batch_kg) {
        const double count = std::ceil(most_kg / *r.season.making->batch_kg - 1e-9);
        batches =
            fmt::format(" ({})", count_of(static_cast<std::size_t>(count), "batch", "batches"));
    }
    const std::string hours =
        most_hours > 0 ? fmt::format(" and {} hours", base::compact(most_hours, 2)) : "";
    return fmt::format("Make feed in {}, at most {}{}{} a period.",
                       in_periods(above_zero_in(weighed_in)), kg(most_kg), batches, hours);
}

void add_making(Document& document, const SeasonOf& r) {
    if (!(total_home(r) > 0)) return;
    const auto& making = r.season.making;
    const auto periods = static_cast<std::size_t>(r.season.periods);
    const std::vector<double> weighed_in = weighed_in_of(r);
    Table table;
    table.key = "making";
    table.columns = {{"period", Align::right, "period"},
                     {"from", Align::left, "from"},
                     {"weigh in, kg", Align::right, "mixed_kg"}};
    const bool batches = making && making->batch_kg;
    const bool limited = making && !making->hours.empty();
    if (batches) table.columns.push_back({"batches", Align::right, "batches"});
    table.columns.push_back({"hours", Align::right, "hours"});
    if (limited) table.columns.push_back({"hours there are", Align::right, "hours_there_are"});
    for (std::size_t t = 0; t < periods; ++t) {
        if (!(weighed_in[t] > 0) && !(r.plan.hours[t] > 0)) continue;
        std::vector<Cell> cells{period_cell(t), text_cell(from(r, t)), amount_cell(weighed_in[t])};
        if (batches) {
            const double count = std::ceil(weighed_in[t] / *making->batch_kg - 1e-9);
            cells.push_back({base::fixed(count, 0), count});
        }
        cells.push_back(number_cell(r.plan.hours[t], 1));
        if (limited) cells.push_back(amount_cell(making->hours[t]));
        table.rows.push_back(std::move(cells));
    }
    document.blocks.push_back(Heading{"When to make feed", Depth::full, "feeds"});
    document.blocks.push_back(std::move(table));
    if (batches)
        document.blocks.push_back(
            Paragraph{fmt::format("A batch is up to {}. Each of the animals has a recipe of its "
                                  "own, so there may be one batch more.",
                                  kg(*making->batch_kg)),
                      Tone::quiet});
    document.blocks.push_back(Heading{""});
}

// ---- recipes

// "tank: recipes 1 to 4, complete"
Bullets recipes_in_short(const SeasonOf& r, const std::vector<Recipe>& recipes) {
    Bullets list;
    for (std::size_t g = 0; g < r.season.animals.size(); ++g) {
        std::vector<bool> own(recipes.size());
        std::vector<std::string> words;
        bool alike = true;
        for (const Recipe& one : recipes)
            own[one.number - 1] = one.animals == g;
        if (std::find(own.begin(), own.end(), true) == own.end()) continue;
        for (const limits::Verdict verdict :
             {limits::Verdict::unsafe, limits::Verdict::incomplete, limits::Verdict::complete}) {
            std::vector<bool> judged(recipes.size());
            for (const Recipe& one : recipes)
                judged[one.number - 1] =
                    own[one.number - 1] && one.mix->judgement.verdict == verdict;
            if (std::find(judged.begin(), judged.end(), true) == judged.end()) continue;
            alike = judged == own;
            words.push_back(alike ? std::string(to_string(verdict))
                                  : fmt::format("{} are {}", spans(judged), to_string(verdict)));
        }
        list.items.push_back(
            {fmt::format("{}: {} {}{}.", capitalised(r.season.animals[g].name),
                         std::count(own.begin(), own.end(), true) == 1 ? "recipe" : "recipes",
                         spans(own), words.empty() ? "" : "; " + base::join_words(words)),
             Tone::plain});
    }
    return list;
}

void add_recipes(Document& document, const SeasonOf& r, const std::vector<Recipe>& recipes) {
    if (recipes.empty()) return;
    constexpr std::size_t few = 6;
    const auto table_of_some = [&](std::size_t first, std::size_t last) {
        Table table;
        table.key = "recipes";
        table.text_only = true;
        table.columns = {{"ingredient, %", Align::left, "ingredient"}};
        for (std::size_t k = first; k < last; ++k)
            table.columns.push_back({fmt::format("recipe {}", recipes[k].number), Align::right,
                                     fmt::format("recipe_{}", recipes[k].number)});
        for (const job::Choice& choice : r.ingredients) {
            std::vector<Cell> cells{text_cell(choice.name)};
            bool any_of_it = false;
            for (std::size_t k = first; k < last; ++k) {
                const double percent = percent_of(*recipes[k].mix, choice.id);
                any_of_it = any_of_it || percent > 0;
                cells.push_back(percent > 0 ? Cell{percent < 0.005 ? base::significant(percent, 2)
                                                                   : base::fixed(percent, 2),
                                                   percent}
                                            : Cell{});
            }
            if (any_of_it) table.rows.push_back(std::move(cells));
        }
        return table;
    };
    Bullets which;
    for (const Recipe& one : recipes) {
        const auto verdict = one.mix->judgement.verdict;
        which.items.push_back(
            {fmt::format("Recipe {}: {}, {} {}, {} of feed{}.", one.number,
                         r.season.animals[one.animals].name,
                         one.first == one.last ? "period" : "periods", span(one.first, one.last),
                         kg(one.feed_kg),
                         verdict ? fmt::format(", {}", to_string(*verdict)) : std::string()),
             Tone::plain});
    }
    Bullets brief = recipes_in_short(r, recipes);
    brief.items.insert(brief.items.begin(), {making_in_short(r), Tone::plain});
    if (r.finished_moisture) {
        const Paragraph moist{
            fmt::format("Home feed is counted at {} % moisture{}.",
                        base::shortest(*r.finished_moisture),
                        r.moisture_assumed ? ", because an ingredient is wet" : ""),
            Tone::quiet};
        which.items.push_back(moist);
        brief.items.push_back(moist);
    }
    const std::string heading = "Recipes, percent of what is weighed in";
    if (recipes.size() <= 3) {
        document.blocks.push_back(Heading{heading});
        which.items.push_back({making_in_short(r), Tone::plain});
        document.blocks.push_back(std::move(which));
        document.blocks.push_back(table_of_some(0, recipes.size()));
        document.blocks.push_back(Heading{""});
    } else {
        document.blocks.push_back(
            Heading{"When to make feed, and by which recipe", Depth::brief, "recipes"});
        document.blocks.push_back(std::move(brief));
        document.blocks.push_back(Heading{heading, Depth::full, "recipes"});
        document.blocks.push_back(std::move(which));
        for (std::size_t k = 0; k < recipes.size(); k += few)
            document.blocks.push_back(table_of_some(k, std::min(k + few, recipes.size())));
        document.blocks.push_back(Heading{""});
    }
    // One row an ingredient and period, for further work.
    Table data;
    data.key = "mixes";
    data.data_only = true;
    data.columns = {{"", Align::left, "animals"},
                    {"", Align::right, "period"},
                    {"", Align::left, "ingredient"},
                    {"", Align::right, "percent"},
                    {"", Align::right, "kg"}};
    for (const SeasonFed& fed : r.fed) {
        if (!fed.mix) continue;
        for (const limits::MixItem& item : fed.mix->mix.items) {
            const double weighed = item.percent / 100 * fed.mix->weighed_in_kg;
            data.rows.push_back({text_cell(animals(r, fed)), period_cell(fed.period),
                                 text_cell(item.id), number_cell(item.percent, 3),
                                 number_cell(weighed, 3)});
        }
    }
    document.blocks.push_back(std::move(data));
}

// ---- what cannot be met

void add_missing(Document& document, const SeasonOf& r) {
    document.blocks.push_back(Paragraph{
        "Not all animals can be fed: no plan meets every need of the season.", Tone::bad});
    document.blocks.push_back(Heading{"What is missing"});
    Table table;
    table.key = "missing";
    table.columns = {{"animals", Align::left, "animals"},
                     {"period", Align::right, "period"},
                     {"from", Align::left, "from"},
                     {"needed, kg", Align::right, "needed_kg"},
                     {"missing, kg", Align::right, "missing_kg"},
                     {"of", Align::left, "of"}};
    Bullets why;
    for (const SeasonFed& fed : r.fed) {
        if (!(fed.missing_kg > 0)) continue;
        table.rows.push_back({text_cell(animals(r, fed)), period_cell(fed.period),
                              text_cell(from(r, fed.period)), amount_cell(fed.need_kg),
                              amount_cell(fed.missing_kg),
                              text_cell(fed.is_gain ? "gain" : "feed")});
        if (fed.clash.empty()) continue;
        const std::string text =
            fmt::format("{}: no mix of what there is meets the limits; these clash: {}.",
                        capitalised(animals(r, fed)), base::join_words(fed.clash));
        const bool told = std::any_of(why.items.begin(), why.items.end(),
                                      [&](const Paragraph& line) { return line.text == text; });
        if (!told) why.items.push_back({text, Tone::warn});
    }
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(Paragraph{
        "These amounts are the least that can be missing in all, with everything else given to the "
        "animals. Another period may lack it instead.",
        Tone::quiet});
    document.blocks.push_back(std::move(why));
    for (std::size_t g = 0; g < r.season.animals.size(); ++g) {
        const bool short_of = std::any_of(r.fed.begin(), r.fed.end(), [&](const SeasonFed& fed) {
            return fed.animals == g && fed.missing_kg > 0 && !fed.home_allowed;
        });
        if (short_of)
            document.blocks.push_back(
                Paragraph{fmt::format("{}: no home feed may be given in some of these periods, and "
                                      "no bought feed is for sale then.",
                                      capitalised(r.season.animals[g].name)),
                          Tone::warn});
    }
    add_worth(document, r);
}

std::string title(const SeasonOf& r) {
    return r.season.title.empty() ? "Season" : r.season.title;
}

void add_rest(Document& document, const SeasonOf& r) {
    std::vector<std::string> left_out;
    const auto& making = r.season.making;
    if (total_home(r) > 0) {
        if (!making || !(making->value_of_hour > 0)) left_out.emplace_back("your hours");
        if (!making || making->equipment.empty()) left_out.emplace_back("equipment");
        if (!making || !(making->cost_per_kg > 0))
            left_out.emplace_back("energy and other costs of making");
    }
    if (!left_out.empty())
        document.blocks.push_back(
            Paragraph{fmt::format("Not counted: {}.", base::join_words(left_out)), Tone::warn});
    document.blocks.push_back(Heading{"Proof", Depth::full, "cost"});
    Facts proof;
    proof.key = "proof";
    const auto add = [&](std::string name, double value) {
        proof.items.emplace_back(std::move(name), Cell{fmt::format("{:.1e}", value), value});
    };
    add("primal residual", r.plan.proof.primal_residual);
    add("dual residual", r.plan.proof.dual_residual);
    add("duality gap", r.plan.proof.duality_gap);
    document.blocks.push_back(std::move(proof));
    if (making && !making->equipment.empty())
        document.blocks.push_back(
            Paragraph{"The season was solved with and without the equipment, so that this choice "
                      "leaves no gap.",
                      Tone::quiet});
}

}  // namespace

Document season_document(const SeasonOf& result, const Run&) {
    SeasonOf r = result;
    job::Job names;
    names.ingredients = result.ingredients;
    for (job::Choice& choice : r.ingredients)
        choice.name = short_name(names, choice.name);
    Document document;
    document.title = title(r);
    add_note(document, r.season.note);
    for (const std::string& note : sentences(r.notes))
        document.blocks.push_back(Paragraph{note, Tone::warn});
    for (const std::string& text : growth_sentences(r))
        document.blocks.push_back(Paragraph{text, Tone::warn});
    if (r.plan.status == lp::Status::infeasible) {
        add_missing(document, r);
        return document;
    }
    if (!r.solved()) {
        document.blocks.push_back(
            Paragraph{fmt::format("No plan was found: {}.", r.plan.message), Tone::bad});
        return document;
    }
    const std::vector<Recipe> recipes = recipes_of(r);
    // What must not be fed is said before what it saves.
    const bool sound = !r.verdict || *r.verdict == limits::Verdict::complete;
    if (!sound) add_verdicts_of_season(document, r, recipes);
    document.blocks.push_back(Paragraph{outcome(r), Tone::plain});
    add_no_mix(document, r);
    if (sound) add_verdicts_of_season(document, r, recipes);
    add_cautions(document, r.cautions);
    add_schedule(document, r, recipes);
    add_cost(document, r);
    add_income(document, r);
    add_cases(document, r);
    add_worth(document, r);
    add_stores(document, r);
    document.blocks.push_back(feed_bars(r));
    document.blocks.push_back(stock_lines_plot(r));
    add_shopping(document, r);
    add_making(document, r);
    add_recipes(document, r, recipes);
    add_rest(document, r);
    return document;
}

}  // namespace feedwright::report
