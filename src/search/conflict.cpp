// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/conflict.hpp"

#include "lp/ties.hpp"
#include "search/program.hpp"
#include "search/side_rows.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <utility>

namespace feedwright::search {

namespace {

// Below this share of its number a miss is rounding.
constexpr double smallest_miss = 1e-8;

using Set = std::vector<std::size_t>;  // places in SideRows::rows()

std::vector<bool> marks(const Set& set, std::size_t count) {
    std::vector<bool> kept(count, false);
    for (const std::size_t s : set)
        kept[s] = true;
    return kept;
}

// One time limit for all searches of an explanation. That on steps is for the search for a mix.
class Budget {
  public:
    explicit Budget(const lp::SolveOptions& options) : options_(options) {
        options_.iteration_limit = lp::SolveOptions{}.iteration_limit;
    }

    lp::SolveOptions left() const {
        constexpr double least = 1e-3;
        lp::SolveOptions options = options_;
        options.time_limit_seconds = std::max(least, options_.time_limit_seconds - seconds());
        return options;
    }

    bool spent() const {
        const bool interrupted = options_.interrupt != nullptr && options_.interrupt->load();
        return interrupted || seconds() >= options_.time_limit_seconds;
    }

  private:
    double seconds() const {
        const std::chrono::duration<double> gone = std::chrono::steady_clock::now() - start_;
        return gone.count();
    }

    lp::SolveOptions options_;
    std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

// Finds sets of limits that cannot all be met and have none to spare, by the elastic and deletion
// filters.
class Filter {
  public:
    Filter(const SideRows& sides, const Budget& budget)
        : sides_(sides), budget_(budget), elastic_(sides.elastic()) {
        if (!elastic_.has_integers()) session_.emplace(elastic_);
        kept_.assign(sides.rows().size(), true);
    }

    // Those of `set` that have to do with its missing something, the least involved first; nothing
    // when all of it can be met.
    Set suspects(const Set& set) {
        keep(set);
        const lp::Solution solution = solve();
        std::vector<std::pair<double, std::size_t>> list;
        if (solution.status != lp::Status::optimal || solution.objective <= smallest_miss)
            return {};
        for (const std::size_t s : set) {
            // The multipliers of the limits that are of no account are zero: without those it is
            // the same. With whole numbers there are none to tell.
            double weight = 1;
            if (session_) {
                weight =
                    std::abs(solution.row_dual[sides_.first_row() + s]) * sides_.rows()[s].size;
            }
            constexpr double nothing = 1e-9;
            if (weight > nothing) list.emplace_back(weight, s);
        }
        std::sort(list.begin(), list.end());
        Set found;
        for (const auto& [weight, s] : list)
            found.push_back(s);
        return found;
    }

    // Leaves out of `order` one after the other, as long as what remains still cannot be met.
    Set reduce(const Set& order) {
        keep(order);
        Set needed;
        for (const std::size_t s : order) {
            set_kept(s, false);
            if (misses()) continue;
            set_kept(s, true);
            needed.push_back(s);
        }
        std::sort(needed.begin(), needed.end());
        return needed;
    }

    bool misses(const Set& set) {
        keep(set);
        return misses();
    }

    // A question was left open, so that a set may hold limits to spare.
    bool stopped() const { return stopped_; }

  private:
    void keep(const Set& set) {
        const auto kept = marks(set, kept_.size());
        for (std::size_t s = 0; s < kept_.size(); ++s)
            set_kept(s, kept[s]);
    }

    bool misses() {
        const lp::Solution solution = solve();
        return solution.status == lp::Status::optimal && solution.objective > smallest_miss;
    }

    lp::Solution solve() {
        const lp::SolveOptions options = budget_.left();
        lp::Solution solution = session_ ? session_->solve(options) : lp::solve(elastic_, options);
        stopped_ = stopped_ || solution.status == lp::Status::limit;
        return solution;
    }

    void set_kept(std::size_t s, bool kept) {
        if (kept_[s] == kept) return;
        kept_[s] = kept;
        const std::size_t row = sides_.first_row() + s;
        const bool is_min = sides_.rows()[s].side.is_min;
        const std::optional number(sides_.row_number(s));
        const auto lower = kept && is_min ? number : std::nullopt;
        const auto upper = kept && !is_min ? number : std::nullopt;
        if (session_) {
            session_->set_row_limits(row, lower, upper);
        } else {
            elastic_.set_row_limits(row, lower, upper);
        }
    }

    const SideRows& sides_;
    const Budget& budget_;
    bool stopped_ = false;
    lp::LinearProgram elastic_;
    std::optional<lp::Session> session_;
    std::vector<bool> kept_;
};

// A set without any limit to spare. One that explains why a single need is out of reach of the
// amounts allowed comes before others: it is the easiest to follow. Of those, and of others, one
// with few limits.
class Chooser {
  public:
    Chooser(Filter& filter, const SideRows& sides) : filter_(filter), sides_(sides) {
        for (std::size_t s = 0; s < sides.rows().size(); ++s) {
            (sides.rows()[s].frames ? frame_ : needs_).push_back(s);
        }
    }

    // `whole_numbers`: every question takes a search, so the few that matter are asked.
    Set choose(bool whole_numbers) {
        if (!whole_numbers) {
            take_smaller(frame_);
            if (!best_.empty()) return best_;
            for (const std::size_t need : needs_) {
                Set with_need = frame_;
                with_need.push_back(need);
                take_smaller(with_need);
            }
            if (!best_.empty()) return best_;
        }
        Set all = frame_;
        all.insert(all.end(), needs_.begin(), needs_.end());
        take_smaller(all);
        return best_;
    }

  private:
    // Tries a few orders of leaving out.
    void take_smaller(const Set& set) {
        const Set by_weight = filter_.suspects(set);
        if (by_weight.empty()) return;
        Set frame_first = by_weight;
        std::stable_partition(frame_first.begin(), frame_first.end(),
                              [&](std::size_t s) { return sides_.rows()[s].frames; });
        Set needs_first = by_weight;
        std::stable_partition(needs_first.begin(), needs_first.end(),
                              [&](std::size_t s) { return !sides_.rows()[s].frames; });
        std::vector<const Set*> orders{&by_weight};
        for (const Set* order : {&frame_first, &needs_first}) {
            const bool known = std::any_of(orders.begin(), orders.end(),
                                           [&](const Set* other) { return *other == *order; });
            if (!known) orders.push_back(order);
        }
        for (const Set* order : orders) {
            Set found = filter_.reduce(*order);
            if (best_.empty() || found.size() < best_.size()) best_ = std::move(found);
        }
    }

    Filter& filter_;
    const SideRows& sides_;
    Set frame_;
    Set needs_;
    Set best_;
};

// The best value of the limit in row s under `program`.
std::optional<double> reach(const SideRows& sides, const lp::LinearProgram& program, std::size_t s,
                            const lp::SolveOptions& options) {
    return extreme(program, sides.limit(s), sides.rows()[s].side.is_min, options);
}

// Four digits, on the side that is easier to meet.
double rounded_outward(double value, bool is_min) {
    if (value == 0) return 0;
    const double unit = std::pow(10, std::floor(std::log10(std::abs(value))) - 3);
    // A value that is whole units but for rounding stays as it is.
    constexpr double rounding = 1e-9;
    const double units = value / unit;
    const double whole = is_min ? std::floor(units + rounding) : std::ceil(units - rounding);
    // Dividing by a whole power of ten prints better than multiplying by a broken one.
    return unit < 1 ? whole / std::round(1 / unit) : whole * unit;
}

void set_prices(lp::LinearProgram& program, const job::Job& job) {
    for (std::size_t i = 0; i < job.ingredients.size(); ++i) {
        program.set_cost(i, *job.ingredients[i].price);
    }
}

class ConflictExplainer {
  public:
    ConflictExplainer(const job::Job& job, const lp::SolveOptions& options)
        : job_(job), budget_(options), program_(cheapest_program(job)) {}

    Conflict explain() {
        Conflict conflict;
        const SideRows continuous(job_, program_, false);
        Filter filter(continuous, budget_);
        Set set = Chooser(filter, continuous).choose(false);
        if (!program_.program().has_integers()) {
            name(continuous, set, conflict);
            mend(continuous, filter, set, conflict);
            return conflict;
        }
        const SideRows whole(job_, program_, true);
        Filter slow(whole, budget_);
        conflict.with_whole_numbers = set.empty();
        if (set.empty()) set = Chooser(slow, whole).choose(true);
        name(conflict.with_whole_numbers ? whole : continuous, set, conflict);
        mend(whole, slow, set, conflict);
        return conflict;
    }

  private:
    void name(const SideRows& sides, const Set& set, Conflict& conflict) const {
        Set needs_first = set;
        std::stable_partition(needs_first.begin(), needs_first.end(),
                              [&](std::size_t s) { return !sides.rows()[s].frames; });
        for (const std::size_t s : needs_first) {
            auto others = marks(set, sides.rows().size());
            others[s] = false;
            Clash clash{sides.side(s), reach(sides, sides.holding(others), s, budget_.left()), {}};
            for (const std::size_t i : sides.limit(s).unknown)
                clash.unknown_in.push_back(job_.ingredients[i].name);
            conflict.limits.push_back(std::move(clash));
        }
    }

    void mend(const SideRows& sides, Filter& filter, const Set& set, Conflict& conflict) {
        find_nearest(sides, filter, conflict);
        for (const std::size_t s : set)
            find_fix(sides, s, conflict);
        if (job_.at_most && conflict.with_whole_numbers) count_fewest(sides, conflict);
        if (filter.stopped() || budget_.spent()) {
            // Nothing is claimed that a search did not come to the end of.
            conflict.unfinished = true;
            conflict.limits.clear();
            conflict.fixes.clear();
            conflict.fewest.reset();
        }
        std::stable_sort(
            conflict.fixes.begin(), conflict.fixes.end(),
            [](const Fix& a, const Fix& b) { return a.change_percent < b.change_percent; });
    }

    // How many ingredients it takes when every limit is kept.
    void count_fewest(const SideRows& sides, Conflict& conflict) const {
        lp::LinearProgram program = sides.holding_all();
        for (std::size_t c = 0; c < program.columns().size(); ++c) {
            if (program.columns()[c].integer) program.set_cost(c, 1);
        }
        program.set_row_limits(*sides.count_row(), {}, {});
        const lp::Solution solution = lp::solve(program, budget_.left());
        if (solution.status != lp::Status::optimal) return;
        conflict.fewest = static_cast<int>(std::lround(solution.objective));
    }

    void find_nearest(const SideRows& sides, Filter& filter, Conflict& conflict) {
        Set frame;
        for (std::size_t s = 0; s < sides.rows().size(); ++s) {
            if (sides.rows()[s].frames) frame.push_back(s);
        }
        NearestMix nearest;
        nearest.keeps_amounts = !filter.misses(frame);
        lp::LinearProgram program = sides.elastic();
        if (nearest.keeps_amounts) {
            for (const std::size_t s : frame)
                program.set_column_limits(sides.first_miss() + s, 0.0, 0.0);
        }
        lp::Solution solution = lp::solve(program, budget_.left());
        if (solution.status != lp::Status::optimal) return;
        if (program.has_integers()) {
            program = hold_integers(std::move(program), solution.primal);
            solution = lp::solve(program, budget_.left());
            if (solution.status != lp::Status::optimal) return;
        }
        // Of the mixes that miss as little the cheapest, and of those one by the rule for ties.
        lp::LinearProgram cheapest = lp::optimal_face(program, solution);
        set_prices(cheapest, job_);
        lp::SolveOptions from_there = budget_.left();
        from_there.start = &solution.basis;
        const lp::Solution priced = lp::solve(cheapest, from_there);
        if (priced.status == lp::Status::optimal) {
            solution =
                lp::settle_tie(cheapest, priced, job_.ingredients.size(), budget_.left()).solution;
        }
        static_cast<limits::Mix&>(nearest) =
            limits::mix_of(job_, program_.limits(), program_.amounts_at(solution.primal));
        nearest.assessment = limits::assess(job_, program_.limits(), nearest.amounts);
        for (const limits::LimitResult& result : nearest.assessment.limits) {
            if (!result.limit.advisory && !result.met && result.value)
                nearest.misses.push_back(miss_of(result));
        }
        if (nearest.misses.empty()) name_the_least_missed(nearest);
        std::stable_sort(nearest.misses.begin(), nearest.misses.end(),
                         [](const Miss& a, const Miss& b) {
                             return a.miss_percent.value_or(1e300) > b.miss_percent.value_or(1e300);
                         });
        conflict.nearest = std::move(nearest);
    }

    // No mix, and yet no limit is missed by what counts as a miss: what is off by less is the
    // reason.
    static void name_the_least_missed(NearestMix& nearest) {
        const limits::LimitResult* nearest_side = nullptr;
        double least = 0;
        for (const limits::LimitResult& result : nearest.assessment.limits) {
            if (result.limit.advisory || !result.value) continue;
            const auto margin = limits::margin_of(result.limit, *result.value);
            if (!margin || !(margin->scaled() < least)) continue;
            nearest_side = &result;
            least = margin->scaled();
        }
        if (nearest_side != nullptr) nearest.misses.push_back(miss_of(*nearest_side));
    }

    static Miss miss_of(const limits::LimitResult& result) {
        const limits::Limit& limit = result.limit;
        const bool is_min = limit.min && *result.value < *limit.min;
        const double wanted = limits::number_of(limit, is_min);
        Miss miss{
            limits::asked_side(limit, is_min), *result.value, std::abs(wanted - *result.value), {}};
        if (wanted != 0) miss.miss_percent = 100 * miss.miss / std::abs(wanted);
        return miss;
    }

    // What the limit in row s would have to be for a mix to exist, all others as they are.
    void find_fix(const SideRows& sides, std::size_t s, Conflict& conflict) {
        // What an animal tolerates, or is safe, is not for giving way.
        const limits::Limit& asked = sides.limit(s);
        const bool is_cap = asked.kind == limits::LimitKind::inclusion && !asked.level.empty();
        const bool replaces = asked.kind == limits::LimitKind::replacement && asked.source != "job";
        if (is_cap || replaces || !asked.harms.empty()) return;
        std::vector<bool> others(sides.rows().size(), true);
        others[s] = false;
        const auto best = reach(sides, sides.holding(others), s, budget_.left());
        if (!best) return;
        Fix fix;
        fix.side = sides.side(s);
        fix.to = rounded_outward(*best, fix.side.is_min);
        if (fix.side.is_min && fix.to < 0) return;
        lp::LinearProgram program =
            sides.holding(std::vector<bool>(others.size(), true), s, fix.to);
        set_prices(program, job_);
        const lp::Solution solution = lp::solve(program, budget_.left());
        if (solution.status != lp::Status::optimal) return;
        fix.cost_per_kg = limits::mix_of(job_, program_.amounts_at(solution.primal)).cost_per_kg;
        const double change = std::abs(fix.to - fix.side.wanted);
        fix.change_percent =
            100 * (fix.side.wanted != 0 ? change / std::abs(fix.side.wanted) : change);
        conflict.fixes.push_back(std::move(fix));
    }

    const job::Job& job_;
    Budget budget_;
    FeedProgram program_;
};

}  // namespace

Conflict explain_conflict(const job::Job& job, const lp::SolveOptions& options) {
    return ConflictExplainer(job, options).explain();
}

}  // namespace feedwright::search
