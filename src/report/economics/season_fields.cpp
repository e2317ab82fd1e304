// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/economics/season_fields.hpp"

#include "report/economics/economics_words.hpp"
#include "report/economics/season_report.hpp"
#include "report/json_sections.hpp"
#include "report/notes.hpp"
#include "report/sections.hpp"
#include "report/verdict_sections.hpp"

#include <fmt/format.h>

#include <optional>

namespace feedwright::report {

using search::OneMore;
using search::StockRow;
using tasks::SeasonFed;
using tasks::SeasonOf;

std::string from(const SeasonOf& r, std::size_t period) {
    return economics::period_start(r.season, period);
}

const std::string& animals(const SeasonOf& r, const SeasonFed& fed) {
    return r.season.animals[fed.animals].name;
}

namespace {

bool is_any(const StockRow& row) {
    return row.bought_kg > 0 || row.harvested_kg > 0 || row.dried_kg != 0 || row.used_kg > 0 ||
           row.stored_kg > 0 || row.lost_kg > 0;
}

}  // namespace

std::vector<StockLine> stock_lines(const SeasonOf& r) {
    std::vector<StockLine> list;
    for (std::size_t i = 0; i < r.plan.stocks.size(); ++i) {
        for (std::size_t t = 0; t < r.plan.stocks[i].size(); ++t) {
            if (is_any(r.plan.stocks[i][t]))
                list.push_back({r.ingredients[i].id, r.ingredients[i].name, t, from(r, t),
                                r.plan.stocks[i][t]});
        }
    }
    return list;
}

const Fields<StockLine>& stock_fields() {
    static const Fields<StockLine> list{
        {"id", &StockLine::id, kebab},
        {"period", [](const StockLine& of) { return static_cast<int>(of.period + 1); }, from_zero,
         "from 1"},
        {"bought_kg", [](const StockLine& of) { return of.row.bought_kg; }, from_zero},
        {"harvested_kg", [](const StockLine& of) { return of.row.harvested_kg; }, from_zero},
        {"dried_kg", [](const StockLine& of) { return of.row.dried_kg; }, anything,
         "made by drying; below zero: taken to be dried"},
        {"used_kg", [](const StockLine& of) { return of.row.used_kg; }, from_zero,
         "weighed in for home feed"},
        {"stored_kg", [](const StockLine& of) { return of.row.stored_kg; }, from_zero,
         "in store at the end of the period"},
        {"lost_kg", [](const StockLine& of) { return of.row.lost_kg; }, from_zero,
         "lost in store or thrown away"}};
    return list;
}

std::vector<std::string> growth_sentences(const SeasonOf& r) {
    std::vector<std::string> list;
    for (const tasks::SeasonGrowth& one : r.growth_cautions)
        list.push_back(fmt::format("{}: {}.", capitalised(one.animals), sentence(one.caution)));
    return list;
}

namespace {

std::string_view word_of(lp::Status status) {
    if (status == lp::Status::optimal) return "optimal";
    return status == lp::Status::infeasible ? "infeasible" : "failed";
}

struct FedItem {
    std::string id;
    std::string name;
    double percent = 0;
    double kg = 0;
};

std::vector<FedItem> items_of(const SeasonFed& fed) {
    std::vector<FedItem> list;
    if (!fed.mix) return list;
    for (const limits::MixItem& item : fed.mix->mix.items)
        list.push_back(
            {item.id, item.name, item.percent, item.percent / 100 * fed.mix->weighed_in_kg});
    return list;
}

struct FedRow {
    std::string animals;
    std::string from;
    const SeasonFed* fed = nullptr;
};

struct WorthRow {
    std::string what;
    std::string id;
    int period = 0;
    double per_unit = 0;
};

std::vector<WorthRow> worth_rows(const SeasonOf& r) {
    std::vector<WorthRow> list;
    for (const OneMore& one : r.plan.worth) {
        const char* what = one.what == OneMore::What::supply  ? "supply"
                           : one.what == OneMore::What::store ? "store"
                                                              : "hours";
        list.push_back({what, one.stock ? r.ingredients[*one.stock].id : "",
                        static_cast<int>(one.period + 1), one.saves});
    }
    return list;
}

struct Compared {
    std::optional<double> all_bought;
    std::optional<double> all_home;
};

const Fields<FedRow>& fed_fields() {
    static const Fields<FedItem> item_list{
        {"id", &FedItem::id, kebab},
        {"name", &FedItem::name},
        {"percent", &FedItem::percent, share, "of what is weighed in, as fed"},
        {"kg", &FedItem::kg, from_zero, "weighed in"}};
    static const Fields<SeasonFed::Bought> bought_list{{"name", &SeasonFed::Bought::name},
                                                       {"kg", &SeasonFed::Bought::kg, from_zero}};
    const auto missing = [](const FedRow& of) {
        return of.fed->missing_kg > 0 ? std::optional(of.fed->missing_kg) : std::nullopt;
    };
    const auto gain = [](const FedRow& of) {
        return of.fed->is_gain ? std::optional(of.fed->need_kg) : std::nullopt;
    };
    const auto feed = [](const FedRow& of) {
        return of.fed->is_gain ? std::nullopt : std::optional(of.fed->need_kg);
    };
    const auto judged = [](const FedRow& of) -> std::optional<Judged> {
        if (!of.fed->mix) return std::nullopt;
        return Judged{*of.fed->mix->job, of.fed->mix->judgement};
    };
    static const Fields<FedRow> list{
        {"animals", &FedRow::animals, anything, "the name that the file gives them"},
        {"period", [](const FedRow& of) { return static_cast<int>(of.fed->period + 1); }, from_zero,
         "from 1"},
        {"from", &FedRow::from, anything, "the first day of the period"},
        {"gain_kg", gain, from_zero, "what the animals need to gain"},
        {"feed_kg", feed, from_zero, "what the animals need to eat"},
        {"home_kg", [](const FedRow& of) { return of.fed->home_kg; }, from_zero,
         "finished home feed"},
        {"bought", [](const FedRow& of) { return of.fed->bought; }, bought_list},
        {"mix", [](const FedRow& of) { return items_of(*of.fed); }, item_list},
        {"missing_kg", missing, above_zero,
         "of what the animals need, where no plan meets all needs"},
        {here, judged, judged_fields()}};
    return list;
}

std::vector<FedRow> fed_rows(const SeasonOf& r) {
    std::vector<FedRow> list;
    for (const SeasonFed& fed : r.fed)
        list.push_back({animals(r, fed), from(r, fed.period), &fed});
    return list;
}

const Format<SeasonOf>& season_format() {
    static const Fields<WorthRow> worth_list{
        {"what", &WorthRow::what, anything, "supply, store or hours"},
        {"id", if_any(&WorthRow::id), kebab},
        {"period", &WorthRow::period, from_zero},
        {"per_unit", &WorthRow::per_unit, from_zero,
         "what one more saves: a kg to harvest, a kg of room, an hour; without a plan, kg of the "
         "missing feed"}};
    static const Fields<Compared> compare_list{{"all_bought", &Compared::all_bought, from_zero},
                                               {"all_home", &Compared::all_home, from_zero}};
    static const Fields<search::SeasonCost> cost_list{
        {"ingredients", &search::SeasonCost::ingredients, from_zero},
        {"harvest", &search::SeasonCost::harvest, from_zero},
        {"storage", &search::SeasonCost::storage, from_zero},
        {"drying", &search::SeasonCost::drying, from_zero},
        {"making", &search::SeasonCost::making, from_zero},
        {"work", &search::SeasonCost::work, from_zero},
        {"equipment", &search::SeasonCost::equipment, from_zero},
        {"bought_feed", &search::SeasonCost::bought_feed, from_zero}};
    static const Fields<tasks::SeasonIncome> income_list{
        {"animals", &tasks::SeasonIncome::animals},
        {"name", &tasks::SeasonIncome::name},
        {"amount", &tasks::SeasonIncome::amount, from_zero},
        {"money", &tasks::SeasonIncome::money, from_zero}};
    static const Fields<tasks::SeasonCases> cases_list{
        {"cases", [](const tasks::SeasonCases& of) { return static_cast<int>(of.cases); },
         from_zero},
        {"pays_percent", &tasks::SeasonCases::pays_percent, share,
         "of cases in which the plan costs less than buying all feed"},
        {"short_percent", &tasks::SeasonCases::short_percent, share,
         "of cases in which the plan cannot feed all animals"},
        {"cost_low", &tasks::SeasonCases::low, from_zero, "of the plan; 5 of 100 cases cost less"},
        {"cost_middle", &tasks::SeasonCases::middle, from_zero},
        {"cost_high", &tasks::SeasonCases::high, from_zero, "95 of 100 cases cost less"},
        {"value_of_knowing", &tasks::SeasonCases::value_of_knowing, from_zero,
         "what knowing the numbers beforehand would save, on average"}};
    static const Fields<lp::Certificate> proof_list{
        {"primal_residual", &lp::Certificate::primal_residual, from_zero},
        {"dual_residual", &lp::Certificate::dual_residual, from_zero},
        {"duality_gap", &lp::Certificate::duality_gap, from_zero}};
    const auto solved = &SeasonOf::solved;
    static const Format<SeasonOf> format{
        "season-result",
        "The result of season",
        {{"title", if_any([](const SeasonOf& of) { return of.season.title; })},
         {"currency", if_any([](const SeasonOf& of) { return of.season.currency; })},
         {"status",
          [](const SeasonOf& of) { return word_of(of.plan.status); },
          {.ref = "mix_status"}},
         {"message", if_any([](const SeasonOf& of) { return of.plan.message; })},
         {"cost", when(solved, [](const SeasonOf& of) { return of.plan.cost.total(); }), from_zero,
          "of the season"},
         {"costs", when(solved, [](const SeasonOf& of) { return of.plan.cost; }), cost_list},
         {"verdict",
          [](const SeasonOf& of) -> std::optional<std::string> {
              if (!of.verdict) return std::nullopt;
              return std::string(to_string(*of.verdict));
          },
          anything, "the worst of the home feeds"},
         {"notes", if_any([](const SeasonOf& of) { return sentences(of.notes); })},
         {"growth_cautions", if_any(growth_sentences), anything,
          "of plans whose growth does not follow the water"},
         {"finished_moisture", &SeasonOf::finished_moisture, share, "of home feed, percent"},
         {"feeds", fed_rows, fed_fields()},
         {"stock", stock_lines, stock_fields()},
         {"worth", worth_rows, worth_list},
         {"compare",
          when(solved,
               [](const SeasonOf& of) {
                   return Compared{of.plan.all_bought, of.plan.all_home};
               }),
          compare_list, "the least cost when all feed is bought, or made at home"},
         {"income", if_any(&SeasonOf::income), income_list, "what is sold of the animals"},
         {"margin_over_feed",
          when([](const SeasonOf& of) { return of.solved() && !of.income.empty(); },
               [](const SeasonOf& of) { return of.total_income() - of.plan.cost.total(); }),
          anything, "income less the cost of the season"},
         {"uncertainty", &SeasonOf::cases, cases_list, "in random cases within the ranges"},
         {"cautions", [](const SeasonOf& of) { return of.cautions; }, caution_fields()},
         {"proof", [](const SeasonOf& of) { return of.plan.proof; }, proof_list}},
        {"cost"}};
    return format;
}

}  // namespace

std::string season_json(const SeasonOf& r, const Run& run) {
    return to_json(season_format(), r, run);
}

std::string season_schema() {
    return schema_of(season_format());
}

}  // namespace feedwright::report
