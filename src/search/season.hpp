// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "lp/solution.hpp"
#include "lp/solver.hpp"

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

// Feeds of several animals over several periods, from ingredients that are bought, harvested,
// stored and dried: one linear program. Amounts are kg; periods are counted from 0.
namespace feedwright::search {

/// An ingredient over the periods.
struct Stocked {
    std::string id;
    std::vector<std::optional<double>> price;  ///< of each period; empty where it cannot be bought
    std::vector<double> supply_kg;             ///< the most that can be harvested in each period
    double harvest_cost_per_kg = 0;
    double stock_kg = 0;               ///< in store before the first period
    std::optional<int> keeps_periods;  ///< how long it can be stored; empty: without end
    double loss = 0;                   ///< share of what is in store that is lost in a period
    std::optional<double> store_kg;    ///< the most that can be in store at the end of a period
    double store_cost_per_kg = 0;      ///< for what is in store at the end of a period
};

/// Drying one ingredient makes another.
struct Drying {
    std::size_t from = 0;  ///< of SeasonModel::stocks
    std::size_t to = 0;
    double made = 1;  ///< kg of it that one kg of `from` makes
    double cost = 0;  ///< of one kg of `from`, without hours
    double hours = 0;
};

/// A bought feed as some animals can have it in a period.
struct Bag {
    std::size_t feed = 0;
    double price = 0;
    double meets = 1;  ///< of the need, one kg
};

/// Some animals in one period: what they need and what they can be given. A need is met by the feed
/// in kg, or by the gain that it makes.
struct Meal {
    std::size_t animals = 0;
    std::size_t period = 0;
    double need = 0;
    /// The home feed; nullptr: none may be given. Its limits are settled. It outlives the model.
    const job::Job* job = nullptr;
    std::vector<std::size_t> stocks;  ///< of each ingredient of the job
    double home_meets = 1;            ///< of the need, one kg of home feed
    std::vector<Bag> bags;
};

struct SeasonWork {
    double cost_per_kg = 0;  ///< of home feed, without hours
    double hours_per_kg = 0;
    double value_of_hour = 0;
    double loss = 0;            ///< share of what is weighed in
    std::vector<double> hours;  ///< that there are in each period; empty: no limit
    double equipment = 0;       ///< cost for the season, if any home feed is made
};

struct SeasonModel {
    std::size_t periods = 0;
    std::vector<Stocked> stocks;
    std::vector<Drying> drying;
    std::vector<Meal> meals;
    SeasonWork work;
};

/// For each ingredient and period, whether there can be any of it then.
std::vector<std::vector<bool>> can_be_had(std::size_t periods, const std::vector<Stocked>& stocks,
                                          const std::vector<Drying>& drying);

struct MealPlan {
    double home_kg = 0;
    std::vector<double> used_kg;  ///< of each ingredient of the job, as weighed in
    std::vector<double> bags_kg;  ///< of each of Meal::bags
    double missing = 0;           ///< of the need, where no plan meets all needs
};

/// An ingredient in a period. What is in store at its end is what was there at its beginning, and
/// what was bought, harvested and dried, less what was used and lost.
struct StockRow {
    double bought_kg = 0;
    double harvested_kg = 0;
    double dried_kg = 0;  ///< made by drying; below zero: taken to be dried
    double used_kg = 0;
    double stored_kg = 0;
    double lost_kg = 0;  ///< by the loss in store, or thrown away
};

struct SeasonCost {
    double ingredients = 0;
    double harvest = 0;
    double storage = 0;
    double drying = 0;  ///< without hours
    double making = 0;  ///< likewise
    double work = 0;    ///< hours at their value
    double bought_feed = 0;
    double equipment = 0;
    double total() const {
        return ingredients + harvest + storage + drying + making + work + bought_feed + equipment;
    }
};

/// What one more saves: a kg that can be harvested, a kg of room in store, an hour.
struct OneMore {
    enum class What { supply, store, hours };
    What what = What::supply;
    std::optional<std::size_t> stock;
    std::size_t period = 0;
    double saves = 0;
};

struct SeasonPlan {
    lp::Status status = lp::Status::failed;
    std::string message;
    SeasonCost cost;
    std::vector<MealPlan> meals;                ///< of each of SeasonModel::meals
    std::vector<std::vector<StockRow>> stocks;  ///< of each ingredient and period
    std::vector<std::vector<double>> dried_kg;  ///< of each drying and period: kg of `from`
    std::vector<double> hours;                  ///< of each period
    /// Of the linear program; whether equipment is bought is settled by solving with and without.
    lp::Certificate proof;
    std::optional<double> all_bought;  ///< least cost with no home feed
    std::optional<double> all_home;    ///< least cost with no bought feed where home feed may be
                                       ///< given
    std::vector<OneMore> worth;        ///< most first
    bool worth_is_partial = false;     ///< not all that may be worth something was looked at
};

/// The least cost of meeting every need. Without a way to do that (status infeasible) the amounts
/// are those that leave the least of the needs unmet, each measured by the feed that it takes.
/// Throws base::DataError as limits::limits_of does.
SeasonPlan plan_season(const SeasonModel& model, const lp::SolveOptions& options = {});

/// What a season costs when it turns out as `model` says.
struct SeasonTurnout {
    std::optional<double> best;        ///< had it been known beforehand
    std::optional<double> as_planned;  ///< with the plan
    bool is_short = false;             ///< with the plan not all can be fed
    std::optional<double> all_bought;
};

/// Seasons that differ from one another in prices, supplies and what feeds meet alone. To a plan
/// one keeps so: what it buys of ingredients is bought in its periods, and home feed is made at
/// most as much as it says; recipes follow what can be harvested, within the limits, and bought
/// feed fills what is missing.
class SeasonTurnouts {
  public:
    /// `plan` is that of `model` and has a status of optimal.
    SeasonTurnouts(const SeasonModel& model, const SeasonPlan& plan);
    ~SeasonTurnouts();
    SeasonTurnouts(const SeasonTurnouts&) = delete;
    SeasonTurnouts& operator=(const SeasonTurnouts&) = delete;

    SeasonTurnout of(const SeasonModel& turned_out, const lp::SolveOptions& options = {}) const;

  private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace feedwright::search
