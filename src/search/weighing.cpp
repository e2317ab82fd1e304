// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/weighing.hpp"

#include "base/diagnostics.hpp"
#include "base/exact.hpp"
#include "base/number.hpp"
#include "job/portion.hpp"
#include "search/program.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numeric>
#include <utility>

namespace feedwright::search {

namespace {

constexpr double micrograms_per_gram = 1e6;
constexpr double micrograms_per_kg = 1e9;

std::int64_t to_micrograms(double grams) {
    return std::llround(grams * micrograms_per_gram);
}

double to_grams(std::int64_t micrograms) {
    return static_cast<double>(micrograms) / micrograms_per_gram;
}

// A stock is a weight already, and is kept as one.
bool is_stock(const limits::Limit& limit) {
    return limit.role == limits::LimitRole::stock;
}

// The sign of (value - number) for weights: what is weighed in is on both sides of the comparison,
// so that nothing is divided.
int exact_side(const job::Job& job, const limits::Limit& limit, double number,
               const std::vector<std::int64_t>& micrograms) {
    const job::Portion portion(job);
    base::ExactSum sum;
    std::int64_t total = 0;
    for (std::size_t i = 0; i < micrograms.size(); ++i) {
        if (micrograms[i] == 0) continue;
        total += micrograms[i];
        const double weight = static_cast<double>(micrograms[i]);
        if (!limit.per.empty()) {
            sum.add({limit.amount[i], weight});
            sum.add({-number, limit.per[i], weight});
        } else if (portion.is_finished()) {
            // One kg of finished feed is sum(dry matter) / (100 - moisture).
            sum.add({limit.amount[i], 100, weight});
            sum.add({-limit.amount[i], *job.finished_moisture, weight});
            sum.add({-number, job.ingredients[i].composition.find("dry_matter")->value, weight});
        } else {
            sum.add({limit.amount[i], weight});
        }
    }
    if (limit.per.empty() && !portion.is_finished()) {
        sum.add({-number, portion.is_ration() ? micrograms_per_kg : static_cast<double>(total)});
    }
    return sum.sign();
}

class Weigher {
  public:
    /// `same`: leave out what the exact mix has none of.
    Weigher(const job::Job& job, const Formulation& exact, const WeighingScale& scale,
            const lp::SolveOptions& options, bool same)
        : job_(job),
          portion_(job),
          exact_(exact),
          options_(options),
          same_(same),
          count_(job.ingredients.size()),
          limits_(limits::limits_of(job)),
          feed_(job, {}) {
        result_.scale = scale;
        result_.exact_cost_per_kg = exact.cost_per_kg;
    }

    Weighing weigh() {
        set_steps();
        set_bounds();
        if (!result_.obstacles.empty()) {
            result_.status = lp::Status::infeasible;
            return std::move(result_);
        }
        build(false);
        search();
        return std::move(result_);
    }

  private:
    // A side of a limit as a row over whole steps.
    struct LimitRow {
        limits::Side side;
        std::size_t row = 0;
    };

    [[noreturn]] void refuse(std::string found, std::string expected, std::string hint) const {
        throw base::DataError(base::Diagnostic{job_.file, "the batch and the scale",
                                               std::move(found), std::move(expected),
                                               std::move(hint)});
    }

    // Kilograms that one kg of the job's amounts stands for.
    double batch_kg() const { return *portion_.weighed_per_kg(); }

    double exact_grams(std::size_t i) const { return 1000 * batch_kg() * exact_.amounts[i]; }

    void set_steps() {
        if (!portion_.weighed_per_kg()) {
            refuse("no weight of the batch", "one, because the mix is to be weighed",
                   "Add --batch 25kg, or \"batch_kg\" to the job");
        }
        const WeighingScale& scale = result_.scale;
        const std::int64_t coarse = to_micrograms(scale.step_g);
        const std::int64_t fine = to_micrograms(scale.fine_step_g.value_or(scale.step_g));
        if (coarse <= 0 || fine <= 0) {
            refuse("a step of zero", "a step of at least a microgram", "");
        }
        if (coarse % fine != 0) {
            refuse(fmt::format("steps of {} g and {} g", base::shortest(scale.step_g),
                               base::shortest(*scale.fine_step_g)),
                   "a fine step that divides the other", "");
        }
        steps_.assign(count_, coarse);
        unit_ = coarse;
        for (std::size_t i = 0; i < count_; ++i) {
            const double grams = exact_grams(i);
            if (!scale.fine_step_g || !(grams > 0) || !(grams < scale.fine_below_g)) continue;
            steps_[i] = fine;
            unit_ = fine;
        }
        // Two scales, or a moisture to reach: weights rarely add up to the batch to the last digit,
        // and need not. Every limit is then one on what they do add up to.
        loose_ = !portion_.is_ration() && (portion_.is_finished() || unit_ < coarse);
        start_.resize(count_);
        for (std::size_t i = 0; i < count_; ++i) {
            start_[i] = to_micrograms(exact_grams(i)) / steps_[i];
        }
        batch_ = to_micrograms(1000 * batch_kg());
        // A quarter of an ounce is no whole number of micrograms; 20 lb are 1280 of them all the
        // same. What is weighed then differs from the batch by less than any balance can show.
        const double units = static_cast<double>(batch_) / static_cast<double>(unit_);
        constexpr double same_share = 1e-7;
        constexpr double same_steps = 0.01;
        if (std::abs(units - std::round(units)) < std::min(same_share * units, same_steps))
            batch_ = std::llround(units) * unit_;
        if (!portion_.is_ration() && !loose_ && batch_ % unit_ != 0) {
            refuse(fmt::format("a batch of {} g and steps of {} g",
                               base::shortest(to_grams(batch_)), base::shortest(to_grams(unit_))),
                   "a batch that is a whole number of steps", "Choose another batch or scale");
        }
    }

    double step_kg(std::size_t i) const {
        return static_cast<double>(steps_[i]) / micrograms_per_kg;
    }

    // The only ingredient of a limit whose sides are weights.
    std::optional<std::size_t> alone(const limits::Limit& limit) const {
        if (!limit.per.empty() || loose_) return std::nullopt;
        std::optional<std::size_t> only;
        for (std::size_t i = 0; i < count_; ++i) {
            if (limit.amount[i] == 0) continue;
            if (only || limit.amount[i] < 0) return std::nullopt;
            only = i;
        }
        return only;
    }

    // The sign of (value - number) when ingredient i has n steps of the batch, whatever else is in.
    int alone_side(const limits::Limit& limit, double number, std::size_t i, std::int64_t n) const {
        base::ExactSum sum;
        sum.add({limit.amount[i], static_cast<double>(n * steps_[i])});
        sum.add({-number, static_cast<double>(batch_)});
        return sum.sign();
    }

    void set_bounds() {
        lower_.assign(count_, 0);
        upper_.assign(count_, std::nullopt);
        const auto cut = [&](std::size_t i, std::int64_t most) {
            upper_[i] = std::min(upper_[i].value_or(most), most);
        };
        for (std::size_t i = 0; i < count_; ++i) {
            const job::Choice& choice = job_.ingredients[i];
            if (const auto most = portion_.most_of(i)) {
                cut(i,
                    static_cast<std::int64_t>(*most * static_cast<double>(batch_ + 2 * steps_[i])) /
                        steps_[i]);
            }
            if (same_ && !(exact_.amounts[i] > 0)) cut(i, 0);
            if (choice.stock_kg) cut(i, to_micrograms(1000 * *choice.stock_kg) / steps_[i]);
            if (result_.scale.fine_step_g && steps_[i] < to_micrograms(result_.scale.step_g)) {
                cut(i, to_micrograms(result_.scale.fine_below_g) / steps_[i]);
            }
        }
        for (const limits::Limit& limit : limits_) {
            if (limit.advisory || limit.kind == limits::LimitKind::balance || is_stock(limit))
                continue;
            const auto i = alone(limit);
            if (!i) continue;
            const double whole = static_cast<double>(batch_);
            const auto steps = [&](double number) {
                return std::llround(number / limit.amount[*i] * whole /
                                    static_cast<double>(steps_[*i]));
            };
            std::int64_t lower = 0;
            std::optional<std::int64_t> upper;
            if (limit.min) {
                lower = std::max<std::int64_t>(0, steps(*limit.min) - 1);
                while (alone_side(limit, *limit.min, *i, lower) < 0)
                    ++lower;
            }
            if (limit.max) {
                upper = steps(*limit.max) + 1;
                while (*upper >= 0 && alone_side(limit, *limit.max, *i, *upper) > 0)
                    --*upper;
            }
            if (upper && lower > *upper) {
                Obstacle obstacle = obstacle_of(limit);
                obstacle.step_g = to_grams(steps_[*i]);
                const auto grams = [&](double number) {
                    return number / limit.amount[*i] * whole / micrograms_per_gram;
                };
                if (limit.min) obstacle.min_g = grams(*limit.min);
                if (limit.max) obstacle.max_g = grams(*limit.max);
                result_.obstacles.push_back(std::move(obstacle));
                continue;
            }
            lower_[*i] = std::max(lower_[*i], lower);
            if (upper) cut(*i, *upper);
        }
        for (std::size_t i = 0; i < count_ && result_.obstacles.empty(); ++i) {
            if (!upper_[i] || lower_[i] <= *upper_[i]) continue;
            Obstacle obstacle;
            obstacle.limit = "inclusion:" + job_.ingredients[i].id;
            obstacle.name = job_.ingredients[i].name;
            obstacle.min_g = to_grams(lower_[i] * steps_[i]);
            obstacle.max_g = to_grams(*upper_[i] * steps_[i]);
            obstacle.step_g = to_grams(steps_[i]);
            result_.obstacles.push_back(std::move(obstacle));
        }
    }

    static Obstacle obstacle_of(const limits::Limit& limit) {
        Obstacle obstacle;
        obstacle.limit = limit.id;
        obstacle.name = limit.name;
        obstacle.unit = limits::unit_in_words(limit);
        obstacle.min = limit.min;
        obstacle.max = limit.max;
        return obstacle;
    }

    // `misses`: lets every row of a limit be missed, at a cost in proportion, and nothing else
    // costs. The columns count steps from the start, which is near the exact mix, so that the
    // solver's tolerance is one on few steps.
    void build(bool misses) {
        feed_ = FeedProgram(job_, limits_);
        feed_.set_feed(loose_ ? std::nullopt : std::optional(batch_kg()));
        rows_.clear();
        planes_.clear();
        moved_ = false;
        // A batch that may end a little light must not gain by it: feed costs what it costs per kg
        // in the exact mix, and only what goes beyond that is minimised.
        const double per_kg = loose_ ? exact_.cost : 0;
        double base = per_kg * batch_kg();
        for (std::size_t i = 0; i < count_; ++i) {
            lp::Column column;
            column.id = job_.ingredients[i].id;
            column.cost = (*job_.ingredients[i].price - per_kg * portion_.makes(i)) * step_kg(i);
            column.lower = static_cast<double>(lower_[i] - start_[i]);
            if (upper_[i]) column.upper = static_cast<double>(*upper_[i] - start_[i]);
            column.integer = true;
            base += column.cost * static_cast<double>(start_[i]);
            if (misses) column.cost = 0;
            feed_.add_steps(std::move(column), step_kg(i), static_cast<double>(start_[i]));
        }
        add_total();
        for (std::size_t k = 0; k < limits_.size(); ++k) {
            const limits::Limit& limit = limits_[k];
            if (limit.advisory || limit.kind == limits::LimitKind::balance || is_stock(limit))
                continue;
            if (alone(limit)) continue;
            if (limit.min) add_side({k, true}, misses);
            if (limit.max) add_side({k, false}, misses);
        }
        add_uses();
        cones_ = misses ? std::vector<lp::Cone>{} : feed_.cones();
        // The cost of the start, so that a gap is a share of the whole cost.
        feed_.add_column("start", misses ? 0 : base, 1.0, 1.0);
        if (!cones_.empty()) add_first_planes();
    }

    // Those of the mix in no steps: most of what a mix in whole steps needs.
    void add_first_planes() {
        lp::LinearProgram free = feed_.program();
        for (std::size_t c = 0; c < free.columns().size(); ++c)
            free.set_integer(c, false);
        planes_ = lp::solve(free, cones_, options_).planes;
        feed_.program() = lp::with_planes(std::move(feed_.program()), cones_, planes_);
    }

    // Adds a plane for each limit that must hold surely and does not at the point.
    bool is_sure(const std::vector<double>& point) {
        bool sure = true;
        for (std::size_t k = 0; k < cones_.size(); ++k) {
            if (lp::slack_of(cones_[k], point) >= -lp::cone_tolerance * lp::scale_of(cones_[k]))
                continue;
            sure = false;
            planes_.push_back(lp::plane_at(cones_, k, point));
            feed_.program().add_row(lp::row_of(cones_[k], planes_.back(), planes_.size() - 1));
        }
        return sure;
    }

    void add_side(const limits::Side& side, bool misses) {
        const double number = limits::number_of(limits_[side.limit], side.is_min);
        std::optional<Give> give;
        if (misses) {
            // Misses count as shares of their numbers.
            const std::size_t miss = feed_.add_column("miss " + std::to_string(rows_.size()), 1e4);
            give = Give{miss, batch_kg() * std::max(std::abs(number), 1e-6)};
        }
        rows_.push_back({side, feed_.add_side(side, number, give)});
    }

    void add_total() {
        if (portion_.is_ration()) return;
        if (!loose_) {
            lp::Row row{"total", {}, {}, {}};
            std::int64_t left = batch_ / unit_;
            for (std::size_t i = 0; i < count_; ++i) {
                const std::int64_t units = steps_[i] / unit_;
                row.entries.push_back({i, static_cast<double>(units)});
                left -= units * start_[i];
            }
            row.lower = row.upper = static_cast<double>(left);
            feed_.program().add_row(std::move(row));
            return;
        }
        std::vector<double> makes(count_);
        for (std::size_t i = 0; i < count_; ++i)
            makes[i] = portion_.makes(i);
        const double step = result_.scale.step_g / 1000;
        feed_.add_row("finished feed", makes, batch_kg() - step, batch_kg() + step);
    }

    void add_uses() {
        std::vector<std::size_t> counted;
        for (std::size_t i = 0; i < count_; ++i) {
            if (!feed_.is_use_asked(i)) continue;
            FeedProgram::UseRule rule{i, {}, static_cast<double>(*upper_[i])};
            if (const auto& asked = job_.ingredients[i].min_if_used) {
                const double share = *asked / portion_.weight_per_kg();
                // A least weight within rounding of a whole number of steps is meant to be it.
                rule.least = std::ceil(share * batch_kg() / step_kg(i) - 1e-9);
            }
            counted.push_back(feed_.add_use(rule));
        }
        if (job_.at_most) feed_.add_count("at most", counted, *job_.at_most);
    }

    std::vector<std::int64_t> weights_of(const lp::Solution& solution) const {
        std::vector<std::int64_t> weights(count_);
        for (std::size_t i = 0; i < count_; ++i) {
            weights[i] = (start_[i] + std::llround(solution.primal[i])) * steps_[i];
        }
        return weights;
    }

    // Moves the rows of limits that these weights miss, be it by 1e-12, away from them.
    bool tighten(const std::vector<std::int64_t>& weights, const lp::Solution& solution) {
        bool all_met = true;
        for (const auto& [side, row] : rows_) {
            const limits::Limit& limit = limits_[side.limit];
            const int sign =
                exact_side(job_, limit, limits::number_of(limit, side.is_min), weights);
            if (side.is_min ? sign >= 0 : sign <= 0) continue;
            all_met = false;
            const lp::Row& asked = feed_.program().rows()[row];
            const double number = side.is_min ? *asked.lower : *asked.upper;
            const double missed = std::abs(solution.row_activity[row] - number);
            const double by = 2 * missed + 1e-9 * std::max(1.0, std::abs(number));
            if (side.is_min) {
                feed_.program().set_row_limits(row, number + by, {});
            } else {
                feed_.program().set_row_limits(row, {}, number - by);
            }
        }
        return all_met;
    }

    // Seconds, for all searches together.
    double left() const {
        const std::chrono::duration<double> gone = std::chrono::steady_clock::now() - begun_;
        return std::max(options_.time_limit_seconds - gone.count(), 1e-3);
    }

    void search() {
        const int most_rounds = cones_.empty() ? 8 : 100;
        std::optional<double> bound;
        for (int round = 0; round < most_rounds; ++round) {
            lp::SolveOptions options = options_;
            options.time_limit_seconds = left();
            const lp::Solution solution = lp::solve(feed_.program(), options);
            result_.status = solution.status;
            result_.message = solution.message;
            // A later round leaves out mixes where a row was moved: the one before bounds them all.
            if (!moved_) bound = solution.bound;
            if (solution.status == lp::Status::infeasible && !same_) find_obstacles();
            if (solution.primal.empty()) return;
            std::vector<std::int64_t> weights = weights_of(solution);
            if (!is_sure(solution.primal)) continue;
            moved_ = true;
            if (tighten(weights, solution)) {
                result_.micrograms = std::move(weights);
                finish(bound);
                return;
            }
        }
        result_.status = lp::Status::failed;
        result_.message =
            "no mix in whole steps was found that meets every limit to the last digit";
    }

    void finish(const std::optional<double>& bound) {
        double finished_kg = 0;
        double total_kg = 0;
        for (std::size_t i = 0; i < count_; ++i) {
            const double kg = static_cast<double>(result_.micrograms[i]) / micrograms_per_kg;
            total_kg += kg;
            finished_kg += portion_.makes(i) * kg;
            result_.cost += *job_.ingredients[i].price * kg;
        }
        result_.weighed_kg = total_kg;
        result_.finished_kg = finished_kg;
        result_.cost_per_kg = finished_kg > 0 ? result_.cost / finished_kg : 0;
        const double per = portion_.is_ration() ? 1 : finished_kg;
        for (std::size_t i = 0; i < count_; ++i) {
            const job::Choice& choice = job_.ingredients[i];
            const double kg = static_cast<double>(result_.micrograms[i]) / micrograms_per_kg;
            result_.amounts.push_back(kg / per);
            if (result_.micrograms[i] == 0) continue;
            WeighedItem item;
            item.id = choice.id;
            item.name = choice.name;
            item.grams = to_grams(result_.micrograms[i]);
            item.exact_grams = exact_grams(i);
            item.fine = steps_[i] < to_micrograms(result_.scale.step_g);
            item.percent = 100 * kg / total_kg;
            item.price = *choice.price;
            item.cost = *choice.price * kg;
            result_.mix.push_back(std::move(item));
        }
        std::stable_sort(
            result_.mix.begin(), result_.mix.end(),
            [](const WeighedItem& a, const WeighedItem& b) { return a.grams > b.grams; });
        result_.assessment = limits::assess(job_, limits_, result_.amounts);
        if (!portion_.is_ration()) assess_stocks(finished_kg);
        fill_gap(bound);
    }

    // What there is for the batch is a weight, also when the batch ends a step heavier or lighter.
    void assess_stocks(double finished_kg) {
        std::vector<double> per_batch_kg = result_.amounts;
        for (double& amount : per_batch_kg)
            amount *= finished_kg / batch_kg();
        for (std::size_t k = 0; k < limits_.size(); ++k) {
            if (!is_stock(limits_[k])) continue;
            result_.assessment.limits[k] =
                limits::assess(job_, {limits_[k]}, per_batch_kg).limits[0];
        }
    }

    // The exact mix bounds every mix of whole steps too, unless a weight that is given (a stock, a
    // least amount) is another share of a batch that may end a step lighter or heavier.
    bool exact_is_bound() const {
        if (!loose_) return true;
        return std::none_of(job_.ingredients.begin(), job_.ingredients.end(),
                            [](const job::Choice& c) { return c.stock_kg || c.min_if_used; });
    }

    void fill_gap(const std::optional<double>& bound) {
        std::optional<double> best;
        if (exact_is_bound()) best = exact_.bound.value_or(exact_.cost);
        if (bound) {
            double per_kg = *bound / batch_kg();
            if (loose_) {
                // What the batch costs beyond the exact price of its weight, at the weight within
                // reach that makes the smaller claim.
                const double beyond = *bound - exact_.cost * batch_kg();
                const double step = result_.scale.step_g / 1000;
                per_kg = exact_.cost + beyond / (batch_kg() + (beyond > 0 ? step : -step));
            }
            best = std::max(best.value_or(per_kg), per_kg);
        }
        double per_kg = best.value_or(0);
        if (result_.weighed_kg > 0) per_kg /= portion_.feed_kg(result_.weighed_kg);
        result_.bound_per_kg = std::min(per_kg, result_.cost_per_kg);
        if (result_.cost_per_kg > 0) {
            result_.gap_percent =
                100 * (result_.cost_per_kg - result_.bound_per_kg) / result_.cost_per_kg;
        }
    }

    // Names the limits that the nearest weights miss.
    void find_obstacles() {
        build(true);
        lp::SolveOptions options = options_;
        options.time_limit_seconds = left();
        options.integer_gap = 0.01;
        const lp::Solution nearest = lp::solve(feed_.program(), options);
        if (nearest.primal.empty()) return;
        const auto weights = weights_of(nearest);
        std::vector<double> kg(count_);
        double whole = 0;
        for (std::size_t i = 0; i < count_; ++i) {
            kg[i] = static_cast<double>(weights[i]) / micrograms_per_kg;
            whole += portion_.makes(i) * kg[i];
        }
        if (!portion_.is_ration() && whole > 0) {
            for (double& amount : kg)
                amount /= whole;
        }
        for (std::size_t k = 0; k < limits_.size(); ++k) {
            const bool has_row = std::any_of(rows_.begin(), rows_.end(), [&](const LimitRow& one) {
                return one.side.limit == k;
            });
            if (!has_row || meets_exactly(job_, limits_[k], weights)) continue;
            Obstacle obstacle = obstacle_of(limits_[k]);
            obstacle.step_g = to_grams(unit_);
            obstacle.nearest = limits::value_of(limits_[k], kg);
            result_.obstacles.push_back(std::move(obstacle));
        }
    }

    const job::Job& job_;
    job::Portion portion_;
    const Formulation& exact_;
    const lp::SolveOptions& options_;
    bool same_;
    std::size_t count_;
    std::vector<limits::Limit> limits_;
    Weighing result_;
    std::vector<std::int64_t> steps_;  // micrograms in a step, one an ingredient
    std::vector<std::int64_t> start_;  // steps in the start
    std::vector<std::int64_t> lower_;  // steps
    std::vector<std::optional<std::int64_t>> upper_;
    std::int64_t unit_ = 1;   // micrograms: what every step is a multiple of
    std::int64_t batch_ = 0;  // micrograms; of a ration what one kg of its amounts is
    bool loose_ = false;      // the batch is met within a step, not exactly
    FeedProgram feed_;
    std::vector<lp::Cone> cones_;
    std::vector<lp::Plane> planes_;
    bool moved_ = false;  // a row, so that mixes were left out
    std::vector<LimitRow> rows_;
    std::chrono::steady_clock::time_point begun_ = std::chrono::steady_clock::now();
};

}  // namespace

bool meets_exactly(const job::Job& job, const limits::Limit& limit,
                   const std::vector<std::int64_t>& micrograms) {
    if (limit.min && exact_side(job, limit, *limit.min, micrograms) < 0) return false;
    return !limit.max || exact_side(job, limit, *limit.max, micrograms) <= 0;
}

Weighing weigh(const job::Job& job, const Formulation& exact, const WeighingScale& scale,
               const lp::SolveOptions& options) {
    Weighing same = Weigher(job, exact, scale, options, true).weigh();
    if (same.status != lp::Status::infeasible) return same;
    Weighing any = Weigher(job, exact, scale, options, false).weigh();
    any.same_ingredients = false;
    return any;
}

}  // namespace feedwright::search
