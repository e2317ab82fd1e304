// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/season.hpp"

#include "job/portion.hpp"
#include "limits/limit.hpp"
#include "lp/ties.hpp"
#include "search/program.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>

namespace feedwright::search {

namespace {

using Number = std::optional<double>;

// The columns of a meal, and the kg that one unit of each is.
struct MealColumns {
    std::size_t first = 0;  // of the amounts of its ingredients
    std::size_t home = 0;
    std::vector<std::size_t> bags;
    std::optional<std::size_t> miss;
    double used_unit = 0;
    double home_unit = 0;
    std::vector<double> bag_units;
};

// The columns of an ingredient in a period; all in one unit.
struct StockColumns {
    std::optional<std::size_t> buy;
    std::optional<std::size_t> harvest;
    std::optional<std::size_t> store;
};

enum class Aim { least_cost, least_missing };

double sum(const std::vector<double>& list) {
    return std::accumulate(list.begin(), list.end(), 0.0);
}

// The columns and rows of a home feed, of any weight.
struct FeedPart {
    std::vector<std::string> columns;
    std::vector<lp::Row> rows;
    std::vector<double> makes;
};

FeedPart feed_part(const job::Job& job) {
    FeedProgram feed(job, limits::limits_of(job));
    feed.set_feed(std::nullopt);
    feed.add_amounts(false);
    for (std::size_t k = 0; k < feed.limits().size(); ++k) {
        if (feed.limits()[k].kind != limits::LimitKind::balance) feed.add_limit(k);
    }
    FeedPart part;
    for (const lp::Column& one : feed.program().columns())
        part.columns.push_back(one.id);
    part.rows = feed.program().rows();
    const job::Portion portion(job);
    for (std::size_t i = 0; i < job.ingredients.size(); ++i)
        part.makes.push_back(portion.makes(i));
    return part;
}

// Those of all feeds of a model, each worked out once.
using FeedParts = std::map<const job::Job*, FeedPart>;

FeedParts parts_of(const SeasonModel& model) {
    FeedParts parts;
    for (const Meal& meal : model.meals) {
        if (meal.job != nullptr && !parts.contains(meal.job))
            parts.emplace(meal.job, feed_part(*meal.job));
    }
    return parts;
}

// The program of a season. Columns are in units of the feed that they are for, so that a small
// animal's feed is worked out as exactly as a large one's.
class Builder {
  public:
    Builder(const SeasonModel& model, const FeedParts& parts, Aim aim)
        : model_(model), parts_(parts), aim_(aim) {
        for (const Meal& meal : model_.meals)
            unit_ = std::max(unit_, home_unit(meal) / (1 - model_.work.loss));
        if (!(unit_ > 0)) unit_ = 1;
        for (std::size_t m = 0; m < model_.meals.size(); ++m)
            add_meal(m);
        add_stock_columns();
        for (std::size_t i = 0; i < model_.stocks.size(); ++i) {
            for (std::size_t t = 0; t < model_.periods; ++t)
                add_stock_rows(i, t);
        }
        for (std::size_t t = 0; t < model_.periods; ++t)
            add_hours(t);
    }

    const lp::LinearProgram& program() const { return program_; }
    const std::vector<MealColumns>& meals() const { return meals_; }
    const StockColumns& stock(std::size_t i, std::size_t t) const { return stocks_[i][t]; }
    std::optional<std::size_t> hours(std::size_t t) const { return hours_rows_[t]; }
    std::optional<std::size_t> dry(std::size_t d, std::size_t t) const { return dry_[d][t]; }
    double unit() const { return unit_; }

  private:
    static double home_unit(const Meal& meal) {
        return meal.job == nullptr ? 0 : meal.need / meal.home_meets;
    }

    std::size_t column(std::string id, double cost, Number upper = {}) {
        return program_.add_column(
            {std::move(id), aim_ == Aim::least_cost ? cost : 0, 0.0, upper, false});
    }

    double hour_cost(double hours) const { return hours * model_.work.value_of_hour; }

    // The home feed's limits hold for whatever is weighed in, so that the program of one feed of
    // any weight stands beside the others as it is.
    void add_feed(const Meal& meal, const std::string& name, MealColumns& columns) {
        const FeedPart& part = parts_.at(meal.job);
        columns.first = program_.columns().size();
        for (const std::string& id : part.columns)
            column(name + "use " + id, 0);
        for (lp::Row row : part.rows) {
            row.id.insert(0, name);
            for (lp::Entry& entry : row.entries)
                entry.column += columns.first;
            program_.add_row(std::move(row));
        }
        columns.home_unit = home_unit(meal);
        columns.used_unit = columns.home_unit / (1 - model_.work.loss);
        const SeasonWork& work = model_.work;
        columns.home =
            column(name + "home feed",
                   columns.home_unit * (work.cost_per_kg + hour_cost(work.hours_per_kg)));
        lp::Row makes{name + "makes", 0.0, 0.0, {}};
        for (std::size_t i = 0; i < part.makes.size(); ++i) {
            if (part.makes[i] != 0) makes.entries.push_back({columns.first + i, part.makes[i]});
        }
        makes.entries.push_back({columns.home, -1.0});
        program_.add_row(std::move(makes));
    }

    void add_meal(std::size_t m) {
        const Meal& meal = model_.meals[m];
        const std::string name = fmt::format("{} {} ", meal.animals, meal.period);
        MealColumns columns;
        lp::Row need{name + "need", 1.0, {}, {}};
        if (meal.job != nullptr) {
            add_feed(meal, name, columns);
            need.entries.push_back({columns.home, 1.0});
        }
        for (const Bag& bag : meal.bags) {
            columns.bag_units.push_back(meal.need / bag.meets);
            columns.bags.push_back(column(fmt::format("{}bag {}", name, bag.feed),
                                          columns.bag_units.back() * bag.price));
            need.entries.push_back({columns.bags.back(), 1.0});
        }
        if (aim_ == Aim::least_missing) {
            const double meets = meal.bags.empty() ? meal.home_meets : meal.bags.front().meets;
            columns.miss = program_.add_column({name + "miss", meal.need / meets, 0.0, {}, false});
            need.entries.push_back({*columns.miss, 1.0});
        }
        program_.add_row(std::move(need));
        meals_.push_back(std::move(columns));
    }

    void add_stock_columns() {
        stocks_.assign(model_.stocks.size(), std::vector<StockColumns>(model_.periods));
        for (std::size_t i = 0; i < model_.stocks.size(); ++i) {
            const Stocked& stock = model_.stocks[i];
            for (std::size_t t = 0; t < model_.periods; ++t) {
                const std::string name = fmt::format("{} {}", stock.id, t);
                StockColumns& columns = stocks_[i][t];
                if (!stock.price.empty() && stock.price[t])
                    columns.buy = column("buy " + name, unit_ * *stock.price[t]);
                if (!stock.supply_kg.empty() && stock.supply_kg[t] > 0)
                    columns.harvest = column("harvest " + name, unit_ * stock.harvest_cost_per_kg,
                                             stock.supply_kg[t] / unit_);
                const bool keeps = stock.keeps_periods.value_or(1) > 0;
                if (t + 1 < model_.periods && keeps && stock.store_kg.value_or(1) > 0)
                    columns.store =
                        column("store " + name, unit_ * stock.store_cost_per_kg,
                               stock.store_kg ? Number(*stock.store_kg / unit_) : Number());
            }
        }
        for (std::size_t d = 0; d < model_.drying.size(); ++d) {
            const Drying& drying = model_.drying[d];
            dry_.emplace_back();
            for (std::size_t t = 0; t < model_.periods; ++t)
                dry_.back().push_back(column(fmt::format("dry {} {}", d, t),
                                             unit_ * (drying.cost + hour_cost(drying.hours))));
        }
    }

    void add_entry(lp::Row& row, std::optional<std::size_t> column, double value) const {
        if (column) row.entries.push_back({*column, value});
    }

    // What came in in a period, bought, harvested or dried.
    void add_inflow(lp::Row& row, std::size_t i, std::size_t t, double sign) const {
        add_entry(row, stocks_[i][t].buy, sign);
        add_entry(row, stocks_[i][t].harvest, sign);
        for (std::size_t d = 0; d < model_.drying.size(); ++d) {
            if (model_.drying[d].to == i) add_entry(row, dry_[d][t], sign * model_.drying[d].made);
        }
    }

    void add_row(lp::Row row) {
        std::sort(row.entries.begin(), row.entries.end(),
                  [](const lp::Entry& a, const lp::Entry& b) { return a.column < b.column; });
        program_.add_row(std::move(row));
    }

    void add_stock_rows(std::size_t i, std::size_t t) {
        const Stocked& stock = model_.stocks[i];
        // What is over may be thrown away.
        lp::Row row{fmt::format("stock {} {}", stock.id, t), 0.0, {}, {}};
        add_inflow(row, i, t, 1);
        if (t == 0) *row.lower = -(1 - stock.loss) * stock.stock_kg / unit_;
        if (t > 0) add_entry(row, stocks_[i][t - 1].store, 1 - stock.loss);
        add_entry(row, stocks_[i][t].store, -1);
        for (std::size_t d = 0; d < model_.drying.size(); ++d) {
            if (model_.drying[d].from == i) add_entry(row, dry_[d][t], -1);
        }
        for (std::size_t m = 0; m < model_.meals.size(); ++m) {
            const Meal& meal = model_.meals[m];
            if (meal.job == nullptr || meal.period != t) continue;
            for (std::size_t k = 0; k < meal.stocks.size(); ++k) {
                if (meal.stocks[k] == i)
                    row.entries.push_back({meals_[m].first + k, -meals_[m].used_unit / unit_});
            }
        }
        if (!row.entries.empty()) add_row(std::move(row));
        if (stock.keeps_periods && stocks_[i][t].store) add_keeping(i, t);
    }

    // In store is at most what came in in the last so many periods.
    void add_keeping(std::size_t i, std::size_t t) {
        const Stocked& stock = model_.stocks[i];
        const auto keeps = static_cast<std::size_t>(*stock.keeps_periods);
        // What was there at the beginning came in in the period before the first.
        const double before = keeps >= t + 2 ? stock.stock_kg : 0;
        lp::Row row{fmt::format("keeps {} {}", stock.id, t), {}, before / unit_, {}};
        add_entry(row, stocks_[i][t].store, 1);
        for (std::size_t s = keeps > t ? 0 : t + 1 - keeps; s <= t; ++s)
            add_inflow(row, i, s, -1);
        add_row(std::move(row));
    }

    void add_hours(std::size_t t) {
        hours_rows_.emplace_back();
        const SeasonWork& work = model_.work;
        if (work.hours.empty()) return;
        lp::Row row{fmt::format("hours {}", t), {}, work.hours[t], {}};
        for (std::size_t m = 0; m < model_.meals.size(); ++m) {
            if (model_.meals[m].job == nullptr || model_.meals[m].period != t) continue;
            if (work.hours_per_kg > 0)
                row.entries.push_back({meals_[m].home, work.hours_per_kg * meals_[m].home_unit});
        }
        for (std::size_t d = 0; d < model_.drying.size(); ++d) {
            if (model_.drying[d].hours > 0)
                add_entry(row, dry_[d][t], model_.drying[d].hours * unit_);
        }
        if (row.entries.empty()) return;
        hours_rows_.back() = program_.rows().size();
        add_row(std::move(row));
    }

    const SeasonModel& model_;
    const FeedParts& parts_;
    Aim aim_;
    double unit_ = 0;  // kg of one unit of what is bought, harvested, stored and dried
    lp::LinearProgram program_;
    std::vector<MealColumns> meals_;
    std::vector<std::vector<StockColumns>> stocks_;
    std::vector<std::vector<std::optional<std::size_t>>> dry_;
    std::vector<std::optional<std::size_t>> hours_rows_;
};

// Of plans that are as good, one that handles least: its point, with the multipliers of `optimum`.
lp::Solution handling_least(const Builder& built, const SeasonModel& model,
                            const lp::LinearProgram& program, lp::Solution optimum,
                            const lp::SolveOptions& options) {
    lp::LinearProgram face = lp::optimal_face(program, optimum);
    const auto mind = [&](std::optional<std::size_t> column, double kg) {
        if (column) face.set_cost(*column, kg);
    };
    for (std::size_t t = 0; t < model.periods; ++t) {
        for (std::size_t i = 0; i < model.stocks.size(); ++i) {
            const StockColumns& columns = built.stock(i, t);
            for (const auto& column : {columns.buy, columns.harvest, columns.store})
                mind(column, built.unit());
        }
        for (std::size_t d = 0; d < model.drying.size(); ++d)
            mind(built.dry(d, t), built.unit());
    }
    for (const MealColumns& meal : built.meals()) {
        for (std::size_t b = 0; b < meal.bags.size(); ++b)
            mind(meal.bags[b], meal.bag_units[b]);
    }
    lp::SolveOptions from = options;
    from.start = &optimum.basis;
    lp::Solution least = lp::solve(face, from);
    if (least.status != lp::Status::optimal) return optimum;
    lp::Solution moved = optimum;
    moved.primal = std::move(least.primal);
    moved.row_activity = std::move(least.row_activity);
    moved.objective = 0;
    for (std::size_t c = 0; c < moved.primal.size(); ++c)
        moved.objective += program.columns()[c].cost * moved.primal[c];
    return lp::certify(program, moved).holds() ? moved : optimum;
}

class Planner {
  public:
    Planner(const SeasonModel& model, const lp::SolveOptions& options)
        : model_(model), parts_(parts_of(model)), options_(options) {}

    SeasonPlan plan() {
        const Builder built(model_, parts_, Aim::least_cost);
        lp::Session session(built.program());
        const lp::Solution free = session.solve(options_);
        if (free.status == lp::Status::infeasible) return least_missing();
        if (!take(session.program(), free)) return std::move(plan_);
        const bool made = makes_feed(built, free);
        const double with_home = free.objective + (made ? model_.work.equipment : 0);
        const lp::Solution bought = without_home(built, session);
        if (bought.status == lp::Status::optimal) plan_.all_bought = bought.objective;
        const bool buys = made && plan_.all_bought && *plan_.all_bought < with_home;
        if (buys) {
            if (!take(session.program(), bought)) return std::move(plan_);
            fill(built, handling_least(built, model_, session.program(), bought, options_));
        } else {
            fill(built, handling_least(built, model_, built.program(), free, options_));
        }
        if (plan_.all_bought && !buys && !made) plan_.all_bought = free.objective;
        set_home(built, session, true);
        // The other way round.
        set_bags(built, session, false);
        const bool may_make = std::any_of(model_.meals.begin(), model_.meals.end(),
                                          [](const Meal& meal) { return meal.job != nullptr; });
        const lp::Solution home = session.solve(options_);
        if (may_make && home.status == lp::Status::optimal &&
            lp::certify(session.program(), home).holds()) {
            plan_.all_home = home.objective + (makes_feed(built, home) ? model_.work.equipment : 0);
        }
        set_bags(built, session, true);
        if (!buys) find_worth(built, session, free);
        return std::move(plan_);
    }

  private:
    // Keeps status and proof; false where there is no answer that holds.
    bool take(const lp::LinearProgram& program, const lp::Solution& solution) {
        plan_.status = solution.status;
        plan_.message = solution.message;
        if (solution.status != lp::Status::optimal) return false;
        plan_.proof = lp::certify(program, solution);
        if (plan_.proof.holds()) return true;
        plan_.status = lp::Status::failed;
        plan_.message = "the solver's answer did not pass the program's own check";
        return false;
    }

    bool makes_feed(const Builder& built, const lp::Solution& solution) const {
        for (std::size_t m = 0; m < model_.meals.size(); ++m) {
            if (model_.meals[m].job != nullptr && solution.primal[built.meals()[m].home] > nothing)
                return true;
        }
        return false;
    }

    void set_home(const Builder& built, lp::Session& session, bool allowed) const {
        for (std::size_t m = 0; m < model_.meals.size(); ++m) {
            if (model_.meals[m].job != nullptr)
                session.set_column_limits(built.meals()[m].home, 0.0,
                                          allowed ? Number() : Number(0.0));
        }
    }

    void set_bags(const Builder& built, lp::Session& session, bool allowed) const {
        for (std::size_t m = 0; m < model_.meals.size(); ++m) {
            if (model_.meals[m].job == nullptr) continue;
            for (const std::size_t bag : built.meals()[m].bags)
                session.set_column_limits(bag, 0.0, allowed ? Number() : Number(0.0));
        }
    }

    lp::Solution without_home(const Builder& built, lp::Session& session) const {
        set_home(built, session, false);
        lp::Solution solution = session.solve(options_);
        if (solution.status == lp::Status::optimal &&
            !lp::certify(session.program(), solution).holds()) {
            solution.status = lp::Status::failed;
        }
        return solution;
    }

    SeasonPlan least_missing() {
        const Builder built(model_, parts_, Aim::least_missing);
        lp::Session session(built.program());
        const lp::Solution least = session.solve(options_);
        if (!take(built.program(), least)) return std::move(plan_);
        fill(built, least);
        find_worth(built, session, least);
        plan_.status = lp::Status::infeasible;
        return std::move(plan_);
    }

    // Amounts that are nothing but rounding are none.
    static double kg(double value, double unit) { return value > nothing ? value * unit : 0; }

    void fill(const Builder& built, const lp::Solution& solution) {
        const std::vector<double>& x = solution.primal;
        plan_.hours.assign(model_.periods, 0);
        plan_.stocks.assign(model_.stocks.size(), std::vector<StockRow>(model_.periods));
        const SeasonWork& work = model_.work;
        SeasonCost& cost = plan_.cost;
        for (std::size_t m = 0; m < model_.meals.size(); ++m) {
            const Meal& meal = model_.meals[m];
            const MealColumns& columns = built.meals()[m];
            MealPlan amounts;
            if (meal.job != nullptr) {
                amounts.home_kg = kg(x[columns.home], columns.home_unit);
                amounts.used_kg.assign(meal.stocks.size(), 0);
                for (std::size_t k = 0; k < meal.stocks.size() && amounts.home_kg > 0; ++k) {
                    amounts.used_kg[k] = std::max(0.0, x[columns.first + k]) * columns.used_unit;
                    plan_.stocks[meal.stocks[k]][meal.period].used_kg += amounts.used_kg[k];
                }
            }
            for (std::size_t b = 0; b < columns.bags.size(); ++b) {
                amounts.bags_kg.push_back(kg(x[columns.bags[b]], columns.bag_units[b]));
                cost.bought_feed += amounts.bags_kg.back() * meal.bags[b].price;
            }
            if (columns.miss) amounts.missing = kg(x[*columns.miss], meal.need);
            cost.making += amounts.home_kg * work.cost_per_kg;
            plan_.hours[meal.period] += amounts.home_kg * work.hours_per_kg;
            if (amounts.home_kg > 0) cost.equipment = work.equipment;
            plan_.meals.push_back(std::move(amounts));
        }
        for (std::size_t d = 0; d < model_.drying.size(); ++d) {
            const Drying& drying = model_.drying[d];
            plan_.dried_kg.emplace_back();
            for (std::size_t t = 0; t < model_.periods; ++t) {
                const double from = kg(x[*built.dry(d, t)], built.unit());
                plan_.dried_kg.back().push_back(from);
                plan_.stocks[drying.from][t].dried_kg -= from;
                plan_.stocks[drying.to][t].dried_kg += from * drying.made;
                cost.drying += from * drying.cost;
                plan_.hours[t] += from * drying.hours;
            }
        }
        cost.work = sum(plan_.hours) * work.value_of_hour;
        for (std::size_t i = 0; i < model_.stocks.size(); ++i) {
            const Stocked& stock = model_.stocks[i];
            for (std::size_t t = 0; t < model_.periods; ++t) {
                const StockColumns& columns = built.stock(i, t);
                StockRow& row = plan_.stocks[i][t];
                if (columns.buy) row.bought_kg = kg(x[*columns.buy], built.unit());
                if (columns.harvest) row.harvested_kg = kg(x[*columns.harvest], built.unit());
                if (columns.buy) cost.ingredients += row.bought_kg * *stock.price[t];
                cost.harvest += row.harvested_kg * stock.harvest_cost_per_kg;
            }
            keep(built, x, i);
        }
    }

    // All that can be kept is kept, and the rest lost: the program asks only that there is enough.
    void keep(const Builder& built, const std::vector<double>& x, std::size_t i) {
        const Stocked& stock = model_.stocks[i];
        std::vector<StockRow>& rows = plan_.stocks[i];
        std::vector<double> inflow;
        double before = stock.stock_kg;
        for (std::size_t t = 0; t < rows.size(); ++t) {
            StockRow& row = rows[t];
            // Drying something from this takes from it, and is no inflow.
            double dried_in = 0;
            for (std::size_t d = 0; d < model_.drying.size(); ++d) {
                if (model_.drying[d].to == i)
                    dried_in += plan_.dried_kg[d][t] * model_.drying[d].made;
            }
            inflow.push_back(row.bought_kg + row.harvested_kg + dried_in);
            const double there = std::max(0.0, (1 - stock.loss) * before + row.bought_kg +
                                                   row.harvested_kg + row.dried_kg - row.used_kg);
            double most = there;
            if (stock.store_kg) most = std::min(most, *stock.store_kg);
            // Where that costs something, only what is wanted later.
            if (stock.store_cost_per_kg > 0) {
                const auto store = built.stock(i, t).store;
                most = std::min(most, store ? kg(x[*store], built.unit()) : 0);
            }
            if (stock.keeps_periods) {
                const auto keeps = static_cast<std::size_t>(*stock.keeps_periods);
                double recent = keeps >= t + 2 ? stock.stock_kg : 0;
                for (std::size_t s = keeps > t ? 0 : t + 1 - keeps; s <= t; ++s)
                    recent += inflow[s];
                most = std::min(most, recent);
            }
            // What rounding leaves over is nothing.
            const double moved = before + inflow.back() + row.used_kg + std::abs(row.dried_kg);
            row.stored_kg = most > nothing * moved ? most : 0;
            plan_.cost.storage += row.stored_kg * stock.store_cost_per_kg;
            const double lost = before + row.bought_kg + row.harvested_kg + row.dried_kg -
                                row.used_kg - row.stored_kg;
            row.lost_kg = lost > nothing * moved ? lost : 0;
            before = row.stored_kg;
        }
    }

    // What one more of each thing that runs out saves, by solving again with it.
    void find_worth(const Builder& built, lp::Session& session, const lp::Solution& optimum) {
        const double least = lp::tie_tolerance * lp::cost_size(built.program(), optimum.primal);
        std::size_t tried = 0;
        const auto try_one = [&](OneMore one, auto&& change) {
            if (++tried > most_tried) {
                plan_.worth_is_partial = true;
                return;
            }
            change(true);
            const lp::Solution more = session.solve(options_);
            if (more.status == lp::Status::optimal &&
                lp::certify(session.program(), more).holds()) {
                one.saves = optimum.objective - more.objective;
                const double size = std::abs(optimum.objective);
                if (one.saves > least_saving * size) plan_.worth.push_back(one);
            }
            change(false);
        };
        const auto column = [&](OneMore one, std::optional<std::size_t> at) {
            if (!at || !(optimum.reduced_cost[*at] < -least)) return;
            const Number upper = built.program().columns()[*at].upper;
            try_one(one, [&](bool more) {
                session.set_column_limits(*at, 0.0, *upper + (more ? 1 / built.unit() : 0));
            });
        };
        for (std::size_t t = 0; t < model_.periods; ++t) {
            for (std::size_t i = 0; i < model_.stocks.size(); ++i) {
                column({OneMore::What::supply, i, t, 0}, built.stock(i, t).harvest);
                column({OneMore::What::store, i, t, 0}, built.stock(i, t).store);
            }
            const auto row = built.hours(t);
            if (!row || !(optimum.row_dual[*row] < 0)) continue;
            try_one({OneMore::What::hours, {}, t, 0}, [&](bool more) {
                session.set_row_limits(*row, {}, model_.work.hours[t] + (more ? 1 : 0));
            });
        }
        std::stable_sort(
            plan_.worth.begin(), plan_.worth.end(),
            [](const OneMore& one, const OneMore& other) { return one.saves > other.saves; });
    }

    // Shares of a unit, or of the cost, below which there is nothing but rounding.
    static constexpr double nothing = 1e-9;
    static constexpr double least_saving = 1e-9;
    static constexpr std::size_t most_tried = 200;

    const SeasonModel& model_;
    const FeedParts parts_;
    const lp::SolveOptions& options_;
    SeasonPlan plan_;
};

}  // namespace

std::vector<std::vector<bool>> can_be_had(std::size_t periods, const std::vector<Stocked>& stocks,
                                          const std::vector<Drying>& drying) {
    std::vector<std::vector<bool>> comes(stocks.size(), std::vector<bool>(periods));
    std::vector<std::vector<bool>> there = comes;
    for (std::size_t t = 0; t < periods; ++t) {
        const auto is_there = [&](std::size_t i) {
            const Stocked& stock = stocks[i];
            const bool stored = stock.store_kg.value_or(1) > 0;
            const std::size_t keeps =
                !stored ? 0
                        : static_cast<std::size_t>(
                              stock.keeps_periods.value_or(static_cast<int>(periods)));
            // In store before the first period means carried into it, whatever room there is.
            if (stock.stock_kg > 0 && (t == 0 || (stored && keeps > t))) return true;
            for (std::size_t s = t > keeps ? t - keeps : 0; s <= t; ++s) {
                if (comes[i][s]) return true;
            }
            return false;
        };
        for (std::size_t i = 0; i < stocks.size(); ++i) {
            const Stocked& stock = stocks[i];
            comes[i][t] = (!stock.price.empty() && stock.price[t]) ||
                          (!stock.supply_kg.empty() && stock.supply_kg[t] > 0);
        }
        // What is dried may be dried again.
        for (std::size_t round = 0; round <= drying.size(); ++round) {
            for (std::size_t i = 0; i < stocks.size(); ++i)
                there[i][t] = is_there(i);
            for (const Drying& one : drying) {
                if (there[one.from][t]) comes[one.to][t] = true;
            }
        }
    }
    return there;
}

SeasonPlan plan_season(const SeasonModel& model, const lp::SolveOptions& options) {
    return Planner(model, options).plan();
}

struct SeasonTurnouts::State {
    FeedParts parts;
    const SeasonPlan* plan = nullptr;
    lp::Basis start;  // of the plan's own program
};

SeasonTurnouts::SeasonTurnouts(const SeasonModel& model, const SeasonPlan& plan)
    : state_(std::make_unique<State>()) {
    state_->parts = parts_of(model);
    state_->plan = &plan;
    const Builder built(model, state_->parts, Aim::least_cost);
    state_->start = lp::solve(built.program()).basis;
}

SeasonTurnouts::~SeasonTurnouts() = default;

namespace {

// The least cost of what each need can be met by from bags alone.
std::optional<double> bags_alone(const SeasonModel& model) {
    double cost = 0;
    for (const Meal& meal : model.meals) {
        std::optional<double> least;
        for (const Bag& bag : meal.bags) {
            const double one = meal.need / bag.meets * bag.price;
            if (!least || one < *least) least = one;
        }
        if (!least) return std::nullopt;
        cost += *least;
    }
    return cost;
}

std::optional<double> certified(const lp::LinearProgram& program, const lp::Solution& solution) {
    const bool holds =
        solution.status == lp::Status::optimal && lp::certify(program, solution).holds();
    return holds ? std::optional(solution.objective) : std::nullopt;
}

}  // namespace

SeasonTurnout SeasonTurnouts::of(const SeasonModel& turned_out,
                                 const lp::SolveOptions& options) const {
    const Builder built(turned_out, state_->parts, Aim::least_cost);
    lp::Session session(built.program());
    lp::SolveOptions from = options;
    if (!state_->start.columns.empty()) from.start = &state_->start;
    SeasonTurnout result;
    result.all_bought = bags_alone(turned_out);
    const double equipment = turned_out.work.equipment;
    const lp::Solution free = session.solve(from);
    result.best = certified(session.program(), free);
    if (result.best) *result.best += equipment;
    if (result.all_bought && (!result.best || *result.all_bought < *result.best))
        result.best = result.all_bought;
    const SeasonPlan& plan = *state_->plan;
    bool made = false;
    for (std::size_t m = 0; m < turned_out.meals.size(); ++m) {
        if (turned_out.meals[m].job == nullptr) continue;
        const MealColumns& columns = built.meals()[m];
        made = made || plan.meals[m].home_kg > 0;
        session.set_column_limits(columns.home, 0.0, plan.meals[m].home_kg / columns.home_unit);
    }
    // What the plan buys is paid whatever is made of it: so much is there at no further cost.
    double paid = made ? equipment : 0;
    for (std::size_t i = 0; i < turned_out.stocks.size(); ++i) {
        for (std::size_t t = 0; t < turned_out.periods; ++t) {
            const auto buy = built.stock(i, t).buy;
            if (!buy) continue;
            const double kg = plan.stocks[i][t].bought_kg;
            paid += kg * *turned_out.stocks[i].price[t];
            session.set_cost(*buy, 0);
            session.set_column_limits(*buy, 0.0, kg / built.unit());
        }
    }
    const lp::Solution bound = session.solve(options);
    result.is_short = bound.status == lp::Status::infeasible;
    result.as_planned = certified(session.program(), bound);
    if (result.as_planned) *result.as_planned += paid;
    return result;
}

}  // namespace feedwright::search
