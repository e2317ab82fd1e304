// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/additions.hpp"

#include "search/side_rows.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <set>
#include <tuple>
#include <utility>

namespace feedwright::search {

namespace {

// A minimum of one ingredient alone holds only where that ingredient is let in.
struct OwnMinimum {
    std::size_t row;
    double number;
};

}  // namespace

struct Additions::State {
    State(const job::Job& wide, std::vector<std::size_t> places,
          const std::function<double(const limits::Limit&)>& weight, const lp::SolveOptions& solve)
        : job(with_any_prices(wide)),
          sides(job, cheapest_program(job), false),
          candidates(std::move(places)),
          options(solve) {
        lp::LinearProgram program = sides.elastic();
        most.assign(candidates.size(), 1);
        minima.resize(candidates.size());
        for (std::size_t s = 0; s < sides.rows().size(); ++s) {
            program.set_cost(sides.first_miss() + s, weight(sides.limit(s)));
            note_own(s);
        }
        for (const std::size_t column : candidates)
            program.set_column_limits(column, 0.0, 0.0);
        session.emplace(program);
        for (const auto& list : minima) {
            for (const OwnMinimum& minimum : list)
                session->set_row_limits(minimum.row, {}, {});
        }
    }

    void note_own(std::size_t s) {
        const limits::Limit& limit = sides.limit(s);
        if (limit.kind != limits::LimitKind::inclusion || !limit.per.empty()) return;
        for (std::size_t k = 0; k < candidates.size(); ++k) {
            const double amount = limit.amount[candidates[k]];
            if (!(amount > 0)) continue;
            const double number = sides.rows()[s].wanted;
            if (!sides.rows()[s].side.is_min) {
                most[k] = std::min(most[k], number / amount);
            } else if (std::count_if(limit.amount.begin(), limit.amount.end(),
                                     [](double a) { return a != 0; }) == 1) {
                minima[k].push_back({sides.first_row() + s, number});
            }
        }
    }

    void let_in(std::size_t k, bool in) {
        session->set_column_limits(candidates[k], 0.0, in ? std::nullopt : std::optional(0.0));
        for (const OwnMinimum& minimum : minima[k]) {
            session->set_row_limits(minimum.row, in ? std::optional(minimum.number) : std::nullopt,
                                    {});
        }
    }

    job::Job job;
    SideRows sides;
    std::vector<std::size_t> candidates;
    lp::SolveOptions options;
    std::vector<double> most;  // of each candidate, by limits on it alone
    std::vector<std::vector<OwnMinimum>> minima;
    std::optional<lp::Session> session;
};

Additions::Additions(const job::Job& wide, std::vector<std::size_t> candidates,
                     const std::function<double(const limits::Limit&)>& weight,
                     const lp::SolveOptions& options)
    : state_(std::make_unique<State>(wide, std::move(candidates), weight, options)) {}

Additions::~Additions() = default;

Additions::Found Additions::with(const Set& set) {
    for (const std::size_t k : set)
        state_->let_in(k, true);
    const lp::Solution solution = state_->session->solve(state_->options);
    for (const std::size_t k : set)
        state_->let_in(k, false);
    const bool solved = solution.status == lp::Status::optimal;
    return {set, solved ? solution.objective : HUGE_VAL};
}

std::vector<Additions::Found> Additions::grow(const std::vector<Found>& sets,
                                              std::size_t most_tried) {
    State& state = *state_;
    std::set<Set> seen;
    std::vector<Found> grown;
    for (const Found& from : sets) {
        for (const std::size_t k : from.set)
            state.let_in(k, true);
        const lp::Solution base = state.session->solve(state.options);
        std::vector<std::pair<double, std::size_t>> pulling;
        if (base.status == lp::Status::optimal) {
            for (std::size_t k = 0; k < state.candidates.size(); ++k) {
                if (std::find(from.set.begin(), from.set.end(), k) != from.set.end()) continue;
                // What it could take off at most; without a pull on what is missed it can take off
                // nothing.
                const double gain = base.reduced_cost[state.candidates[k]] * state.most[k];
                if (gain < -1e-9) pulling.emplace_back(gain, k);
            }
        }
        std::sort(pulling.begin(), pulling.end());
        if (pulling.size() > most_tried) pulling.resize(most_tried);
        for (const auto& [gain, k] : pulling) {
            Set set = from.set;
            set.insert(std::upper_bound(set.begin(), set.end(), k), k);
            if (!seen.insert(set).second) continue;
            state.let_in(k, true);
            lp::SolveOptions from_base = state.options;
            from_base.start = &base.basis;
            const lp::Solution solution = state.session->solve(from_base);
            state.let_in(k, false);
            if (solution.status != lp::Status::optimal) continue;
            if (solution.objective < from.missed - nothing) {
                grown.push_back({std::move(set), solution.objective});
            }
        }
        for (const std::size_t k : from.set)
            state.let_in(k, false);
    }
    // Misses that no one could tell apart count as the same.
    const auto order = [](const Found& one) {
        constexpr double step = 1e-3;
        return std::tuple(one.missed > nothing, std::floor(one.missed / step),
                          std::accumulate(one.set.begin(), one.set.end(), std::size_t{0}));
    };
    std::stable_sort(grown.begin(), grown.end(),
                     [&](const Found& a, const Found& b) { return order(a) < order(b); });
    return grown;
}

}  // namespace feedwright::search
