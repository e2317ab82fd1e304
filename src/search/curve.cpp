// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/curve.hpp"

#include "limits/assessment.hpp"
#include "limits/mix.hpp"
#include "search/program.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::search {

namespace {

bool is_need(const limits::Limit& limit) {
    return limit.kind == limits::LimitKind::nutrient || limit.kind == limits::LimitKind::ratio;
}

bool is_fixed(const limits::Limit& limit) {
    return limit.min && limit.max && *limit.min == *limit.max;
}

class CurveTracer {
  public:
    CurveTracer(const job::Job& job, std::size_t column, const lp::SolveOptions& options)
        : job_(job), column_(column), options_(options), feed_(cheapest_program(job)) {
        share_.id = "inclusion asked";
        share_.amount.assign(job.ingredients.size(), 0.0);
        share_.amount[column] = 1;
        share_.per.assign(job.ingredients.size(), 0.01);
        whole_numbers_ = feed_.program().has_integers();
    }

    Curve trace(std::size_t steps) {
        Curve curve;
        curve.ingredient = job_.ingredients[column_].id;
        curve.name = job_.ingredients[column_].name;
        if (is_capped()) {
            const auto weights = [](const limits::Limit& limit) { return !is_need(limit); };
            curve.cap = extreme(feed_.relaxed(weights), share_, true);
        }
        const lp::LinearProgram all = feed_.relaxed();
        const auto lowest = extreme(all, share_, false);
        const auto highest = extreme(all, share_, true);
        const double end = curve.cap.value_or(highest.value_or(0));
        std::vector<double> places;
        for (std::size_t k = 0; k <= steps; ++k) {
            places.push_back(end * static_cast<double>(k) / static_cast<double>(steps));
        }
        if (!whole_numbers_ && lowest && highest) {
            curve.lowest = lowest;
            curve.highest = highest;
            add_place(places, *lowest, end);
            add_place(places, *highest, end);
        }
        for (const double place : places)
            curve.points.push_back(point(place, curve));
        return curve;
    }

  private:
    bool is_capped() const {
        return std::any_of(feed_.limits().begin(), feed_.limits().end(),
                           [&](const limits::Limit& limit) {
                               return !is_need(limit) && limit.kind != limits::LimitKind::balance &&
                                      limit.max && limit.amount[column_] > 0;
                           });
    }

    // An end of what is possible gets a point of its own between the even ones.
    static void add_place(std::vector<double>& places, double place, double end) {
        const double near = 1e-6 * std::max(1.0, end);
        if (place < 0 || place > end) return;
        const auto at = std::lower_bound(places.begin(), places.end(), place);
        if (at != places.end() && *at - place < near) return;
        if (at != places.begin() && place - *(at - 1) < near) return;
        places.insert(at, place);
    }

    // The ends are known up to rounding; a hair inside them a mix exists.
    static double inside(double place, const Curve& curve) {
        if (!curve.lowest || !curve.highest) return place;
        const double hair = 1e-8 * std::max(1.0, *curve.highest);
        if (*curve.highest - *curve.lowest < 2 * hair) return place;
        if (std::abs(place - *curve.lowest) < hair) return *curve.lowest + hair;
        if (std::abs(place - *curve.highest) < hair) return *curve.highest - hair;
        return place;
    }

    CurvePoint point(double inclusion, const Curve& curve) const {
        CurvePoint point;
        point.inclusion = inclusion;
        FeedProgram program = feed_;
        limits::Limit share = share_;
        share.min = share.max = inside(inclusion, curve);
        program.add_other(share);
        const lp::Solution solution = lp::solve(program.program(), options_);
        point.status = solution.status;
        if (solution.primal.empty()) return point;
        const std::vector<double> x = program.amounts_at(solution.primal);
        const double cost = limits::mix_of(job_, x).cost_per_kg;
        point.cost_per_kg = cost;
        const limits::Assessment assessment = limits::assess(job_, feed_.limits(), x);
        for (const limits::AnalysisItem& item : assessment.analysis) {
            if (item.nutrient == "crude_protein" && item.value > 0) {
                point.cost_per_kg_protein = 100 * cost / item.value;
            }
        }
        for (const limits::LimitResult& limit : assessment.limits) {
            if (!counts(limit.limit) || !limit.margin_percent) continue;
            // Limits that bind are equally close, whatever rounding says.
            const double margin = limit.binding ? 0.0 : *limit.margin_percent;
            if (limit.binding) ++point.tight;
            if (point.margin_percent && margin >= *point.margin_percent) continue;
            point.margin_percent = margin;
            point.tightest = limit.limit.id;
            point.tightest_name = limit.limit.name;
        }
        if (!whole_numbers_ && point.margin_percent) {
            point.room_percent = room(program, x, *point.margin_percent / 100);
        }
        return point;
    }

    static bool counts(const limits::Limit& limit) {
        return is_need(limit) && !limit.advisory && !is_fixed(limit);
    }

    // The largest t with value >= min (1 + t) and value <= max (1 - t) for every need. Shares make
    // it a question of ratios; each round solves for the largest surplus at the t of the round
    // before (Dinkelbach 1967), which ends after a few.
    std::optional<double> room(const FeedProgram& at_inclusion, std::vector<double> x,
                               double t) const {
        constexpr int most_rounds = 12;
        constexpr double enough = 1e-7;
        for (int round = 0; round < most_rounds; ++round) {
            FeedProgram program = at_inclusion;
            for (std::size_t c = 0; c < program.program().columns().size(); ++c)
                program.program().set_cost(c, 0);
            const std::size_t surplus = program.add_column("surplus", -1.0, {}, 1000.0);
            for (std::size_t k = 0; k < program.limits().size(); ++k) {
                const limits::Limit& limit = program.limits()[k];
                if (!counts(limit)) continue;
                if (limit.min && *limit.min != 0) add_surplus(program, {k, true}, t, x, surplus);
                if (limit.max && *limit.max != 0) add_surplus(program, {k, false}, t, x, surplus);
            }
            const lp::Solution solution = lp::solve(program.program(), options_);
            if (solution.status != lp::Status::optimal) return std::nullopt;
            std::copy_n(solution.primal.begin(), x.size(), x.begin());
            const double next = least_room(x);
            if (next < t + enough) return 100 * std::max(t, next);
            t = next;
        }
        return 100 * t;
    }

    // value >= min (1 + t) + surplus |min|, or the same of a maximum, multiplied out.
    void add_surplus(FeedProgram& program, const limits::Side& side, double t,
                     const std::vector<double>& x, std::size_t surplus) const {
        const limits::Limit& limit = program.limit_of(side);
        const double number = limits::number_of(limit, side.is_min);
        const double size = std::abs(number) * limits::scale_of(limit, x);
        if (!(size > 0)) return;
        const double wanted = number + (side.is_min ? t : -t) * std::abs(number);
        program.add_side(side, wanted, Give{surplus, -size});
    }

    double least_room(const std::vector<double>& x) const {
        double least = 1e9;
        for (const limits::Limit& limit : feed_.limits()) {
            if (!counts(limit)) continue;
            const auto value = limits::value_of(limit, x);
            if (!value) continue;
            if (limit.min && *limit.min != 0) {
                least = std::min(least, (*value - *limit.min) / std::abs(*limit.min));
            }
            if (limit.max && *limit.max != 0) {
                least = std::min(least, (*limit.max - *value) / std::abs(*limit.max));
            }
        }
        return least;
    }

    const job::Job& job_;
    std::size_t column_;
    const lp::SolveOptions& options_;
    FeedProgram feed_;
    limits::Limit share_;  // of the ingredient in what is weighed in, percent
    bool whole_numbers_ = false;
};

}  // namespace

Curve inclusion_curve(const job::Job& job, std::string_view ingredient, std::size_t steps,
                      const lp::SolveOptions& options) {
    job::Job open = job;
    const auto at =
        std::find_if(open.ingredients.begin(), open.ingredients.end(),
                     [&](const job::Choice& choice) { return choice.id == ingredient; });
    const bool had_minimum = (at->min && *at->min > 0) || at->min_if_used;
    at->min.reset();
    at->min_if_used.reset();
    const auto column = static_cast<std::size_t>(at - open.ingredients.begin());
    Curve curve = CurveTracer(open, column, options).trace(steps);
    curve.own_minimum_left_out = had_minimum;
    return curve;
}

}  // namespace feedwright::search
