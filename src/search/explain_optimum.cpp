// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/ties.hpp"
#include "search/edges.hpp"
#include "search/explain.hpp"
#include "search/program.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>
#include <vector>

namespace feedwright::search {

namespace {

using Number = std::optional<double>;

// Limits on one column in units of x, each from a limit of the job.
struct ColumnLimit {
    std::size_t limit = 0;
    double size = 1;  ///< number of the limit per unit of x
    Number lower;
    Number upper;
};

// A side of a limit as it stands in the program.
struct Resting {
    const limits::Limit* limit = nullptr;
    std::size_t index = 0;  ///< of the limit
    bool is_min = false;
    bool is_fixed = false;
    Number whole;  ///< what it is a share of, when that is the same for every mix
    bool is_row = false;
    std::size_t row = 0;
    std::size_t column = 0;
    double size = 1;  ///< columns: number of the limit per unit of x
};

// Whether a column rests on a bound of its own, or a row that no limit stands behind on one: the
// value is then within binding_margin of the bound, or of the parts of a row that it sums up.
bool at(double value, const Number& limit, double parts = 0) {
    return limit &&
           std::abs(value - *limit) <= limits::binding_margin * std::max(parts, std::abs(*limit));
}

void nearest_first(std::vector<UnusedItem>& unused) {
    const auto distance = [](const UnusedItem& item) {
        return item.enters_below ? item.price - *item.enters_below : HUGE_VAL;
    };
    std::stable_sort(unused.begin(), unused.end(), [&](const UnusedItem& a, const UnusedItem& b) {
        return distance(a) < distance(b);
    });
}

class OptimumExplainer {
  public:
    OptimumExplainer(const job::Job& job, const FeedProgram& feed, Formulation& result,
                     const lp::SolveOptions& options)
        : job_(job),
          result_(result),
          options_(options),
          feed_(feed),
          program_(held()),
          cone_program_(cone()) {
        most_cost_ = lp::cost_size(program_, x_);
    }

    void run() {
        if (!prepare()) return;
        for (limits::MixItem& item : result_.items)
            explain_used(item);
        for (UnusedItem& item : result_.unused)
            explain_unused(item);
        nearest_first(result_.unused);
        for (const Resting& place : places())
            explain_limit(place, true);
    }

    // The shadow prices alone.
    void price_limits() {
        if (!prepare()) return;
        for (const Resting& place : places())
            explain_limit(place, false);
    }

    // Whether the multipliers of the program, which then are the only ones, are what a limit's
    // number is worth on either side of it.
    bool has_one_price_each() {
        if (!simple_ || !Edges::from(program_, x_, active_limits())) return false;
        const std::vector<Resting> all = places();
        return std::all_of(all.begin(), all.end(), [&](const Resting& place) {
            return place.is_row || holding_at(place.column) == 1;
        });
    }

  private:
    bool prepare() {
        if (simple_) find_edges();
        if (edges_) return true;
        still_ = cone_session().solve(options_);
        return still_.status == lp::Status::optimal;
    }

    std::size_t index_of(const std::string& id) const {
        return static_cast<std::size_t>(job_.find(id) - job_.ingredients.data());
    }

    // The continuous program with every whole number held, and x_ completed by them.
    lp::LinearProgram held() {
        x_ = result_.amounts;
        x_.resize(feed_.program().columns().size());
        for (const Use& use : feed_.uses())
            x_[use.column] = result_.amounts[use.ingredient] > 0 ? 1 : 0;
        return hold_integers(feed_.program(), x_);
    }

    // The programs over directions and over mixes, for what the edges do not tell.
    lp::Session& cone_session() {
        if (!cone_) cone_.emplace(cone_program_);
        return *cone_;
    }
    lp::Session& whole_session() {
        if (!whole_) whole_.emplace(program_);
        return *whole_;
    }

    std::vector<Edges::Active> active_limits() const {
        std::vector<Edges::Active> active;
        const auto add = [&](bool is_row, std::size_t index, const Number& lower,
                             const Number& upper) {
            if (lower || upper) active.push_back({is_row, index, !upper, !lower});
        };
        for (std::size_t c = 0; c < x_.size(); ++c) {
            add(false, c, cone_program_.columns()[c].lower, cone_program_.columns()[c].upper);
        }
        for (std::size_t r = 0; r < cone_program_.rows().size(); ++r) {
            add(true, r, cone_program_.rows()[r].lower, cone_program_.rows()[r].upper);
        }
        return active;
    }

    // Kept only where the mix is the one cheapest vertex: every limit it rests on costs something.
    void find_edges() {
        edges_ = Edges::from(program_, x_, active_limits());
        if (!edges_) return;
        for (std::size_t k = 0; k < x_.size(); ++k) {
            const Edges::Active& limit = edges_->active()[k];
            if (!limit.may_rise && !limit.may_fall) continue;
            const double size = limit.is_row ? size_of(program_.rows()[limit.index]) : 1;
            const double gain = limit.may_rise ? edges_->cost(k) : -edges_->cost(k);
            if (gain * size <= nudge()) {
                edges_.reset();
                return;
            }
        }
    }

    static double size_of(const lp::Row& row) {
        double scale = 0;
        for (const lp::Entry& entry : row.entries)
            scale = std::max(scale, std::abs(entry.value));
        return scale;
    }

    // The directions in which x can leave the mix, at their costs: each limit that holds with
    // equality, moved to zero. The mix is cheapest exactly when none of them has a cost below zero.
    lp::LinearProgram cone() {
        collect_column_limits();
        lp::LinearProgram cone;
        std::size_t held_limits = 0;
        for (std::size_t c = 0; c < x_.size(); ++c) {
            const lp::Column& column = program_.columns()[c];
            lp::Column direction{column.id, column.cost, {}, {}, false};
            if (at(x_[c], column.lower)) direction.lower = 0;
            if (at(x_[c], column.upper)) direction.upper = 0;
            if (direction.lower || direction.upper) ++held_limits;
            cone.add_column(std::move(direction));
        }
        const std::vector<Reached> reached = rows_reached();
        for (std::size_t r = 0; r < program_.rows().size(); ++r) {
            const lp::Row& row = program_.rows()[r];
            lp::Row direction{row.id, {}, {}, row.entries};
            if (reached[r].lower) direction.lower = 0;
            if (reached[r].upper) direction.upper = 0;
            if (direction.lower || direction.upper) ++held_limits;
            cone.add_row(std::move(direction));
        }
        // As many limits as columns: the multipliers are the only ones.
        simple_ = held_limits == x_.size();
        return cone;
    }

    struct Reached {
        bool lower = false;
        bool upper = false;
    };

    // On which of their sides the rows rest: a row of a limit on those that the limit has reached.
    std::vector<Reached> rows_reached() const {
        std::vector<Reached> reached(program_.rows().size());
        std::vector<bool> of_limit(program_.rows().size(), false);
        for (const Place& side : feed_.places()) {
            if (!side.row) continue;
            of_limit[*side.row] = true;
            const limits::Limit& limit = feed_.limits()[side.side.limit];
            const auto value = result_.assessment.limits[side.side.limit].value;
            // A share of nothing: both sides of its row are zero.
            if (value && !side.is_fixed &&
                !limits::margin_to(limit, *value, side.side.is_min).binds())
                continue;
            if (side.side.is_min || side.is_fixed) reached[*side.row].lower = true;
            if (!side.side.is_min || side.is_fixed) reached[*side.row].upper = true;
        }
        for (std::size_t r = 0; r < reached.size(); ++r) {
            if (of_limit[r]) continue;
            const lp::Row& row = program_.rows()[r];
            double value = 0;
            double parts = 0;
            for (const lp::Entry& entry : row.entries) {
                const double part = entry.value * x_[entry.column];
                value += part;
                parts = std::max(parts, std::abs(part));
            }
            reached[r] = {at(value, row.lower, parts), at(value, row.upper, parts)};
        }
        return reached;
    }

    void collect_column_limits() {
        std::vector<bool> is_row(feed_.limits().size(), false);
        for (const Place& side : feed_.places()) {
            if (side.row) is_row[side.side.limit] = true;
        }
        column_limits_.resize(job_.ingredients.size());
        for (std::size_t k = 0; k < feed_.limits().size(); ++k) {
            const limits::Limit& limit = feed_.limits()[k];
            if (limit.kind != limits::LimitKind::inclusion || limit.advisory || is_row[k]) continue;
            const auto entry = std::find_if(limit.amount.begin(), limit.amount.end(),
                                            [](double a) { return a != 0; });
            if (entry == limit.amount.end()) continue;
            ColumnLimit own{k, *entry, {}, {}};
            if (limit.min) own.lower = *limit.min / own.size;
            if (limit.max) own.upper = *limit.max / own.size;
            column_limits_[static_cast<std::size_t>(entry - limit.amount.begin())].push_back(own);
        }
    }

    // Every side of a binding limit on which the mix rests.
    std::vector<Resting> places() const {
        std::vector<Resting> list;
        const auto add = [&](Resting place, std::size_t k, double value) {
            const limits::Limit& limit = feed_.limits()[k];
            const limits::LimitResult& found = result_.assessment.limits[k];
            if (!found.binding) return;
            const Number& number = place.is_min ? limit.min : limit.max;
            if (!number || !limits::margin_to(limit, value, place.is_min).binds()) return;
            place.limit = &limit;
            place.index = k;
            place.whole = limits::fixed_whole(limit, feed_.limits());
            list.push_back(place);
        };
        for (const Place& side : feed_.places()) {
            const auto value = result_.assessment.limits[side.side.limit].value;
            if (!side.row || !value) continue;
            Resting place;
            place.is_min = side.side.is_min;
            place.is_fixed = side.is_fixed;
            place.is_row = true;
            place.row = *side.row;
            add(place, side.side.limit, *value);
        }
        for (std::size_t c = 0; c < column_limits_.size(); ++c) {
            for (const ColumnLimit& own : column_limits_[c]) {
                const auto value = result_.assessment.limits[own.limit].value;
                if (!value) continue;
                Resting place;
                place.column = c;
                place.size = own.size;
                for (const bool is_min : {true, false}) {
                    place.is_min = is_min;
                    add(place, own.limit, *value);
                }
            }
        }
        return list;
    }

    // ---- prices

    // What the cheapest way costs to have one kg more (sign 1) or less (-1) of column c; nullopt
    // when there is no way.
    Number cost_of_change(std::size_t c, double sign) {
        const lp::Column rest = cone_program_.columns()[c];
        if (sign > 0 ? rest.upper.has_value() : rest.lower.has_value()) return std::nullopt;
        if (edges_) return cheapest_edge(c, sign);
        cone_session().set_column_limits(c, sign, sign);
        const lp::Solution way = cone_session().solve(options_);
        cone_session().set_column_limits(c, rest.lower, rest.upper);
        if (way.status != lp::Status::optimal) return std::nullopt;
        return std::max(0.0, way.objective);
    }

    Number cheapest_edge(std::size_t c, double sign) const {
        Number best;
        double length = 0;
        for (std::size_t k = 0; k < x_.size(); ++k) {
            length = std::max(length, std::abs(edges_->change(k, c)));
        }
        for (std::size_t k = 0; k < x_.size(); ++k) {
            const Edges::Active& limit = edges_->active()[k];
            if (!limit.may_rise && !limit.may_fall) continue;
            const double way = limit.may_rise ? 1 : -1;
            const double gain = sign * way * edges_->change(k, c);
            if (gain <= 1e-11 * length) continue;
            const double cost = std::max(0.0, way * edges_->cost(k)) / gain;
            if (!best || cost < *best) best = cost;
        }
        return best;
    }

    void explain_used(limits::MixItem& item) {
        const std::size_t i = index_of(item.id);
        if (const Number more = cost_of_change(i, 1); more && *item.price - *more > 0) {
            item.price_low = *item.price - *more;
        }
        if (const Number less = cost_of_change(i, -1)) item.price_high = *item.price + *less;
    }

    void explain_unused(UnusedItem& item) {
        const std::size_t i = index_of(item.id);
        if (item.enters_unknown) return;
        const lp::Column& rest = cone_program_.columns()[i];
        if (rest.upper) return;  // held at nothing
        const auto edge = edges_ ? edges_->find(false, i) : std::nullopt;
        const Number more = edge                 ? Number(std::max(0.0, edges_->cost(*edge)))
                            : simple_ && !edges_ ? Number(std::max(0.0, still_.reduced_cost[i]))
                                                 : cost_of_change(i, 1);
        if (!more || !(item.price - *more > 0)) return;
        item.enters_below = item.price - *more;
        if (edge) {
            const Number step = edges_->reach(*edge, 1, {}, program_.columns()[i].upper);
            if (!step) return;
            double total = 0;
            for (std::size_t c = 0; c < job_.ingredients.size(); ++c) {
                total += x_[c] + *step * edges_->change(*edge, c);
            }
            if (*step > 0 && total > 0) item.enters_percent = 100 * (x_[i] + *step) / total;
            return;
        }
        whole_session().set_cost(i, *item.enters_below - nudge());
        const lp::Solution with = whole_session().solve(options_);
        whole_session().set_cost(i, item.price);
        if (with.status != lp::Status::optimal) return;
        const double total =
            std::accumulate(with.primal.begin(),
                            with.primal.begin() + static_cast<long>(job_.ingredients.size()), 0.0);
        if (with.primal[i] > 0 && total > 0) item.enters_percent = 100 * with.primal[i] / total;
    }

    // A change of a price too small to notice, and far above the solver's tolerance.
    double nudge() const { return 1e-6 * most_cost_; }

    // ---- limits

    // A total that moved would be another feed: of the balance there is only a price.
    void explain_limit(const Resting& place, bool with_ends) {
        limits::LimitResult& limit = result_.assessment.limits[place.index];
        // Equally cheap mixes may be of different wholes; the rate then depends on which is
        // changed.
        if (!place.whole && !result_.unique_in_use.value_or(false)) return;
        with_ends = with_ends && place.limit->kind != limits::LimitKind::balance;
        const auto rise = respond(place, 1, with_ends);
        const auto fall = respond(place, -1, with_ends);
        limit.shadow_price.reset();
        for (const auto& response : {rise, fall}) {
            if (!limit.shadow_price && response) limit.shadow_price = response->per_unit;
        }
        if (!with_ends) return;
        limit.rise = rise;
        limit.fall = fall;
        limit.drifts = !place.whole;
    }

    std::optional<limits::Response> respond(const Resting& place, double sign, bool with_end) {
        limits::Response response;
        response.per_unit = rate(place, sign);
        if (!place.whole && !response.per_unit) {
            // No small change will do; giving up all that it is a share of may.
            return std::nullopt;
        }
        if (!response.per_unit || !place.whole || !with_end) return response;
        // What a loosened limit does not change it never will.
        const bool loosens = !place.is_fixed && (place.is_min ? sign < 0 : sign > 0);
        if (loosens && std::abs(*response.per_unit) * unit(place) <= nudge()) return response;
        response.until = end_of_rate(place, *response.per_unit, sign);
        return response;
    }

    // By how much a row or bound has to move for the limit's number to move by one, in units of x
    // (for a row, over its largest coefficient): makes rates of different limits comparable.
    double unit(const Resting& place) const {
        if (!place.is_row) return place.size;
        return size_of(program_.rows()[place.row]) / whole_now(place);
    }

    double whole_now(const Resting& place) const {
        return place.whole ? *place.whole : limits::scale_of(*place.limit, result_.amounts);
    }

    Number rate(const Resting& place, double sign) {
        if (place.is_row) return row_rate(place, sign);
        return column_rate(place, sign);
    }

    // Change of cost per unit that the number rises, from a move of `sign`.
    Number row_rate(const Resting& place, double sign) {
        const double step = whole_now(place);
        // A side that is no edge of the vertex has no price by its edges.
        const auto edge = edges_ ? edges_->find(true, place.row) : std::nullopt;
        if (edge) return step * edges_->cost(*edge);
        if (simple_ && !edges_) return step * still_.row_dual[place.row];
        const lp::Row rest = cone_program_.rows()[place.row];
        Number lower = rest.lower;
        Number upper = rest.upper;
        if (place.is_fixed || place.is_min) lower = sign;
        if (place.is_fixed || !place.is_min) upper = sign;
        if (lower && upper && *lower > *upper) return std::nullopt;
        cone_session().set_row_limits(place.row, lower, upper);
        const lp::Solution way = cone_session().solve(options_);
        cone_session().set_row_limits(place.row, rest.lower, rest.upper);
        if (way.status != lp::Status::optimal) return std::nullopt;
        return without_sign_of_zero(sign * step * way.objective);
    }

    // The bounds of column c when the number of limit k, side is_min, moves by `sign`, as a
    // direction.
    Number column_rate(const Resting& place, double sign) {
        const std::size_t c = place.column;
        if (const auto edge = own_edge(place)) {
            return without_sign_of_zero(edges_->cost(*edge) / place.size);
        }
        const lp::Column rest = cone_program_.columns()[c];
        Number lower;
        Number upper;
        const auto raise = [&](double value) { lower = std::max(lower.value_or(value), value); };
        const auto reduce = [&](double value) { upper = std::min(upper.value_or(value), value); };
        if (at(x_[c], 0.0)) raise(0);
        for (const ColumnLimit& other : column_limits_[c]) {
            const bool own = other.limit == place.index;
            if (at(x_[c], other.lower)) raise(own && place.is_min ? sign : 0);
            if (at(x_[c], other.upper)) reduce(own && !place.is_min ? sign : 0);
        }
        if (lower && upper && *lower > *upper) return std::nullopt;
        cone_session().set_column_limits(c, lower, upper);
        const lp::Solution way = cone_session().solve(options_);
        cone_session().set_column_limits(c, rest.lower, rest.upper);
        if (way.status != lp::Status::optimal) return std::nullopt;
        return without_sign_of_zero(sign * way.objective / place.size);
    }

    // The edge of a column's limit, where no other limit of the column holds there as well.
    std::optional<std::size_t> own_edge(const Resting& place) const {
        if (!edges_ || holding_at(place.column) != 1) return std::nullopt;
        return edges_->find(false, place.column);
    }

    // How many limits of its own column c rests on.
    std::size_t holding_at(std::size_t c) const {
        std::size_t holding = at(x_[c], 0.0) ? 1 : 0;
        for (const ColumnLimit& other : column_limits_[c]) {
            if (at(x_[c], other.lower)) ++holding;
            if (at(x_[c], other.upper)) ++holding;
        }
        return holding;
    }

    static double without_sign_of_zero(double value) { return value + 0.0; }

    // The same where one limit is left and all others kept: up to the next limit on the way.
    Number end_of_edge(const Resting& place, std::size_t edge, double sign) const {
        const double now = *(place.is_min ? place.limit->min : place.limit->max);
        Number lower;
        Number upper;
        if (place.is_row && !place.is_fixed) {
            const lp::Row& row = program_.rows()[place.row];
            (place.is_min ? upper : lower) = place.is_min ? row.upper : row.lower;
        } else if (!place.is_row) {
            lower = 0;
            for (const ColumnLimit& other : column_limits_[place.column]) {
                const bool own = other.limit == place.index;
                if (other.lower && !(own && place.is_min)) lower = std::max(*lower, *other.lower);
                if (other.upper && !(own && !place.is_min)) {
                    upper = std::min(upper.value_or(*other.upper), *other.upper);
                }
            }
        }
        const Number step = edges_->reach(edge, sign, lower, upper);
        if (!step) return std::nullopt;
        const double per_number = place.is_row ? *place.whole : 1 / place.size;
        return now + sign * *step / per_number;
    }

    // The number up to which the cost changes at `rate`: there a mix is cheapest that pays `rate`
    // for every unit of the limit's value, and a hair more (or less) than it beyond.
    Number end_of_rate(const Resting& place, double rate, double sign) {
        const auto edge = !edges_        ? std::nullopt
                          : place.is_row ? edges_->find(true, place.row)
                                         : own_edge(place);
        if (edge) return end_of_edge(place, *edge, sign);
        const double tilted = rate + sign * nudge() / unit(place);
        std::vector<lp::Entry> priced;
        double per_value = 0;  // price of one unit of the row or column
        if (place.is_row) {
            const lp::Row row = program_.rows()[place.row];
            priced = row.entries;
            per_value = tilted / *place.whole;
            const bool both = place.is_fixed;
            whole_session().set_row_limits(place.row, both || place.is_min ? Number{} : row.lower,
                                           both || !place.is_min ? Number{} : row.upper);
        } else {
            priced = {{place.column, 1.0}};
            per_value = tilted * place.size;
            Number lower = 0;
            Number upper;
            for (const ColumnLimit& other : column_limits_[place.column]) {
                const bool own = other.limit == place.index;
                if (other.lower && !(own && place.is_min)) lower = std::max(*lower, *other.lower);
                if (other.upper && !(own && !place.is_min)) {
                    upper = std::min(upper.value_or(*other.upper), *other.upper);
                }
            }
            whole_session().set_column_limits(place.column, lower, upper);
        }
        for (const lp::Entry& entry : priced) {
            whole_session().set_cost(
                entry.column, program_.columns()[entry.column].cost - per_value * entry.value);
        }
        const lp::Solution there = whole_session().solve(options_);
        for (const lp::Entry& entry : priced) {
            whole_session().set_cost(entry.column, program_.columns()[entry.column].cost);
        }
        if (place.is_row) {
            const lp::Row& row = program_.rows()[place.row];
            whole_session().set_row_limits(place.row, row.lower, row.upper);
        } else {
            const lp::Column& column = program_.columns()[place.column];
            whole_session().set_column_limits(place.column, column.lower, column.upper);
        }
        if (there.status != lp::Status::optimal) return std::nullopt;
        if (!place.is_row) return there.primal[place.column] * place.size;
        const double activity = there.row_activity[place.row] / *place.whole;
        if (place.limit->per.empty()) return activity;
        return activity + *(place.is_min ? place.limit->min : place.limit->max);
    }

    const job::Job& job_;
    Formulation& result_;
    lp::SolveOptions options_;
    const FeedProgram& feed_;
    std::vector<double> x_;
    bool simple_ = false;
    std::vector<std::vector<ColumnLimit>> column_limits_;
    lp::LinearProgram program_;
    lp::LinearProgram cone_program_;
    std::optional<Edges> edges_;
    std::optional<lp::Session> cone_;
    std::optional<lp::Session> whole_;
    lp::Solution still_;
    double most_cost_ = 0;
};

// The price of a limit that must hold surely is that of its cone. How far it holds bends with it.
void add_sure_prices(Formulation& result) {
    for (limits::LimitResult& limit : result.assessment.limits) {
        if (!limit.sure_binding) continue;
        limit.shadow_price = limit.shadow_price.value_or(0) + limit.sure_price;
        limit.rise = limit.fall = std::nullopt;
    }
}

}  // namespace

void explain_optimum(const job::Job& job, const FeedProgram& program, Formulation& result,
                     const lp::SolveOptions& options) {
    if (result.status != lp::Status::optimal) return;
    if (result.planes.empty()) {
        OptimumExplainer(job, program, result, options).run();
        return;
    }
    // The planes that touch the cones at the mix stand for them: what it is cheapest for under them
    // it is cheapest for under the cones.
    FeedProgram touched = program;
    touched.program() = lp::with_planes(touched.program(), program.cones(), result.planes);
    OptimumExplainer(job, touched, result, options).run();
    add_sure_prices(result);
}

void price_limits(const job::Job& job, const FeedProgram& program, Formulation& result,
                  const lp::SolveOptions& options) {
    if (result.status != lp::Status::optimal) return;
    OptimumExplainer(job, program, result, options).price_limits();
}

bool has_one_price_each(const job::Job& job, const FeedProgram& program, Formulation& result) {
    return OptimumExplainer(job, program, result, {}).has_one_price_each();
}

}  // namespace feedwright::search
