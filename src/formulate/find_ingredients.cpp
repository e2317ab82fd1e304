// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/formulate/conflict.hpp"
#include "feedwright/formulate/model.hpp"
#include "formulate/side_rows.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::formulate {

namespace {

constexpr std::size_t most_shown = 5;

// A copy whose ingredients all have a price, as a model needs; no result depends on it.
job::Job priced(job::Job job) {
    for (job::Choice& choice : job.ingredients) {
        if (!choice.price) choice.price = 0;
    }
    return job;
}

// The elastic program of the job with a column for each candidate, held at zero; what one brings to
// each limit is taken from the limits of the wide job. Limits that only candidates have (their
// caps) bound their columns.
class Screen {
  public:
    Screen(const job::Job& job, const job::Job& wide)
        : model_(build_model(job)), sides_(job, model_, false) {
        const std::vector<Limit> limits = limits_of(wide);
        std::map<std::string, const Limit*> by_id;
        for (const Limit& limit : limits)
            by_id[limit.id] = &limit;
        program_ = sides_.elastic();
        first_ = program_.columns().size();
        std::vector<std::size_t> places;  // in wide
        for (std::size_t i = 0; i < wide.ingredients.size(); ++i) {
            if (job.find(wide.ingredients[i].id) != nullptr) continue;
            ids_.push_back(wide.ingredients[i].id);
            places.push_back(i);
            program_.add_column({"+ " + ids_.back(), 0, 0.0, 0.0, false});
        }
        most_.assign(ids_.size(), {});
        for (const Limit& limit : limits)
            note_bound(limit, places);
        lp::LinearProgram wider;
        for (const lp::Column& column : program_.columns())
            wider.add_column(column);
        for (std::size_t r = 0; r < program_.rows().size(); ++r) {
            lp::Row row = program_.rows()[r];
            add_candidates(row, r, places, by_id);
            wider.add_row(std::move(row));
        }
        program_ = std::move(wider);
    }

    // Some of those that, each alone, leave nothing missed: the ones that pull hardest on what is
    // missed are tried first, and few of them, because a user waits for the answer.
    std::vector<std::string> enough(const lp::SolveOptions& options) {
        constexpr std::size_t most_tried = 20;
        std::vector<std::string> found;
        lp::Session session(program_);
        const lp::Solution base = session.solve(options);
        if (base.status != lp::Status::optimal) return found;
        std::vector<std::size_t> pulling;
        for (std::size_t k = 0; k < ids_.size(); ++k) {
            // Without a pull on what is missed now it can take nothing off it.
            if (base.reduced_cost[first_ + k] < -1e-9) pulling.push_back(k);
        }
        std::stable_sort(pulling.begin(), pulling.end(), [&](std::size_t one, std::size_t other) {
            return base.reduced_cost[first_ + one] < base.reduced_cost[first_ + other];
        });
        if (pulling.size() > most_tried) pulling.resize(most_tried);
        for (const std::size_t k : pulling) {
            if (found.size() == most_shown) break;
            const std::size_t c = first_ + k;
            session.set_column_limits(c, 0.0, most_[k]);
            lp::SolveOptions from_base = options;
            from_base.start = &base.basis;
            const lp::Solution with = session.solve(from_base);
            session.set_column_limits(c, 0.0, 0.0);
            constexpr double smallest_miss = 1e-8;
            if (with.status == lp::Status::optimal && with.objective <= smallest_miss) {
                found.push_back(ids_[k]);
            }
        }
        return found;
    }

  private:
    void note_bound(const Limit& limit, const std::vector<std::size_t>& places) {
        if (limit.kind != LimitKind::inclusion || limit.advisory || !limit.max ||
            !limit.per.empty()) {
            return;
        }
        for (std::size_t k = 0; k < places.size(); ++k) {
            const double amount = limit.amount[places[k]];
            if (!(amount > 0)) continue;
            const double most = *limit.max / amount;
            most_[k] = std::min(most_[k].value_or(most), most);
        }
    }

    void add_candidates(lp::Row& row, std::size_t r, const std::vector<std::size_t>& places,
                        const std::map<std::string, const Limit*>& by_id) const {
        const bool is_side = r >= sides_.first_row();
        const std::string id = is_side ? sides_.limit(r - sides_.first_row()).id : row.id;
        const auto at = by_id.find(id);
        if (at == by_id.end()) return;
        const double number = is_side ? sides_.rows()[r - sides_.first_row()].wanted : 0;
        for (std::size_t k = 0; k < places.size(); ++k) {
            const Limit& limit = *at->second;
            double value = limit.amount[places[k]];
            if (!limit.per.empty()) value -= number * limit.per[places[k]];
            if (value != 0) row.entries.push_back({first_ + k, value});
        }
    }

    Model model_;
    SideRows sides_;
    lp::LinearProgram program_;
    std::size_t first_ = 0;
    std::vector<std::string> ids_;
    std::vector<std::optional<double>> most_;
};

// The price of ingredient i at which the cheapest mix costs `target`; nullopt when it costs more
// even for nothing. The least cost is concave in the price, so Newton's steps from nothing never go
// too far.
std::optional<double> price_for(lp::LinearProgram program, std::size_t i, double target,
                                const lp::SolveOptions& options) {
    lp::Session session(program);
    double price = 0;
    constexpr int steps = 50;
    for (int step = 0; step < steps; ++step) {
        session.set_cost(i, price);
        const lp::Solution solution = session.solve(options);
        if (solution.status != lp::Status::optimal || !(solution.primal[i] > 0))
            return std::nullopt;
        const double gap = target - solution.objective;
        if (gap < -1e-12 * std::abs(target)) return step == 0 ? std::nullopt : std::optional(price);
        const double rise = gap / solution.primal[i];
        if (rise <= 1e-9 * price) return price > 0 ? std::optional(price) : std::nullopt;
        price += rise;
    }
    return price;
}

std::optional<IngredientFix> examine(const job::Job& job, const std::string& id,
                                     const Conflict& conflict, const lp::SolveOptions& options) {
    const Model model = build_model(job);
    const SideRows sides(job, model, false);
    const std::size_t i = static_cast<std::size_t>(job.find(id) - job.ingredients.data());
    lp::LinearProgram program = sides.holding(std::vector<bool>(sides.rows().size(), true));
    program.set_cost(i, 1);
    const lp::Solution least = lp::solve(program, options);
    if (least.status != lp::Status::optimal || !(least.primal[i] > 0)) return std::nullopt;
    double total = 0;
    for (std::size_t k = 0; k < job.ingredients.size(); ++k)
        total += least.primal[k];
    IngredientFix fix{id, job.ingredients[i].name, 100 * least.primal[i] / total, {}, {}};
    if (job.free_total) return fix;
    for (std::size_t k = 0; k < job.ingredients.size(); ++k) {
        program.set_cost(k, *job.ingredients[k].price);
    }
    lp::LinearProgram with_least = program;
    with_least.set_cost(i, 0);
    // A hair more than the least, for rounding.
    with_least.set_column_limits(i, 0.0, least.primal[i] * (1 + 1e-9));
    const lp::Solution rest = lp::solve(with_least, options);
    if (rest.status == lp::Status::optimal) fix.rest_cost_per_kg = rest.objective;
    std::optional<double> cheapest;
    for (const Fix& other : conflict.fixes) {
        cheapest = std::min(cheapest.value_or(other.cost_per_kg), other.cost_per_kg);
    }
    if (!cheapest) return fix;
    fix.pays_below = price_for(std::move(program), i, *cheapest, options);
    return fix;
}

}  // namespace

void find_ingredients(const job::Job& job, const job::Job& wide,
                      const std::function<job::Job(const std::string&)>& with, Conflict& conflict,
                      const lp::SolveOptions& options) {
    if (conflict.unfinished || build_model(job).program.has_integers()) return;
    for (const std::string& id : Screen(job, priced(wide)).enough(options)) {
        if (auto fix = examine(priced(with(id)), id, conflict, options)) {
            conflict.ingredients.push_back(std::move(*fix));
        }
    }
    std::stable_sort(conflict.ingredients.begin(), conflict.ingredients.end(),
                     [](const IngredientFix& a, const IngredientFix& b) {
                         return a.least_percent < b.least_percent;
                     });
    if (conflict.ingredients.size() > most_shown) conflict.ingredients.resize(most_shown);
}

}  // namespace feedwright::formulate
