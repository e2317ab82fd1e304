// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/ties.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

namespace feedwright::lp {

namespace {

double row_size(const Row& row) {
    double size = 0;
    for (const Entry& entry : row.entries)
        size = std::max(size, std::abs(entry.value));
    return size > 0 ? size : 1;
}

bool rests(Rest rest) {
    return rest != Rest::basic;
}

bool is_fixed(const std::optional<double>& lower, const std::optional<double>& upper) {
    return lower && upper && *lower == *upper;
}

// Holds every limit of `target` whose multiplier, in an optimum of its program, is not zero, and
// drops all costs. `Target` is a LinearProgram or a Session of one.
template <class Target>
void hold_multipliers(Target& target, const LinearProgram& program, const Solution& optimum,
                      double size_of_costs) {
    const auto held = [](double multiplier, const std::optional<double>& lower,
                         const std::optional<double>& upper) {
        return multiplier > 0 ? lower : upper;
    };
    for (std::size_t c = 0; c < optimum.reduced_cost.size(); ++c) {
        const double d = optimum.reduced_cost[c];
        target.set_cost(c, 0);
        if (std::abs(d) <= tie_tolerance * size_of_costs) continue;
        const auto limit = held(d, program.columns()[c].lower, program.columns()[c].upper);
        if (limit) target.set_column_limits(c, limit, limit);
    }
    for (std::size_t r = 0; r < optimum.row_dual.size(); ++r) {
        const double y = optimum.row_dual[r];
        if (std::abs(y) * row_size(program.rows()[r]) <= tie_tolerance * size_of_costs) continue;
        const auto limit = held(y, program.rows()[r].lower, program.rows()[r].upper);
        if (limit) target.set_row_limits(r, limit, limit);
    }
}

// The optima of a program, and with each objective minimised over them those that are best by it
// too.
class Face {
  public:
    Face(const LinearProgram& program, const Solution& optimum, const SolveOptions& options)
        : session_(program), options_(options), now_(optimum) {
        for (const Row& row : program.rows())
            row_sizes_.push_back(row_size(row));
        hold_multipliers(session_, session_.program(), now_, cost_size(program, now_.primal));
    }

    const Solution& now() const { return now_; }

    // Whether the face is a single point: no resting limit without a multiplier can be left.
    std::optional<bool> is_point() {
        const LinearProgram& face = session_.program();
        std::vector<double> away(face.columns().size(), 0.0);
        bool any = false;
        const auto leave = [&](Rest rest) {
            any = true;
            return rest == Rest::at_upper ? -1.0 : 1.0;
        };
        for (std::size_t c = 0; c < away.size(); ++c) {
            const Column& column = face.columns()[c];
            const Rest rest = now_.basis.columns[c];
            if (!rests(rest) || is_fixed(column.lower, column.upper)) continue;
            if (rest == Rest::free) return false;  // it can go either way at no cost
            away[c] += leave(rest);
        }
        for (std::size_t r = 0; r < face.rows().size(); ++r) {
            const Row& row = face.rows()[r];
            const Rest rest = now_.basis.rows[r];
            if (!rests(rest) || is_fixed(row.lower, row.upper)) continue;
            if (rest == Rest::free) return false;
            const double sign = leave(rest);
            for (const Entry& entry : row.entries) {
                away[entry.column] += sign * entry.value / row_sizes_[r];
            }
        }
        if (!any) return true;
        double before = 0;
        for (std::size_t c = 0; c < away.size(); ++c) {
            session_.set_cost(c, -away[c]);
            before -= away[c] * now_.primal[c];
        }
        const Solution solution = solve();
        clear_costs();
        if (solution.status == Status::unbounded) return false;
        if (solution.status != Status::optimal) return std::nullopt;
        constexpr double rounding = 1e-8;
        return before - solution.objective <= rounding;
    }

    // Goes on to the points of the face with the least of column c, if there is a least. False when
    // the solver fails.
    bool minimise(std::size_t c) {
        const Column column = session_.program().columns()[c];
        if (is_fixed(column.lower, column.upper)) return true;
        if (column.lower && now_.primal[c] <= *column.lower) {
            session_.set_column_limits(c, column.lower, column.lower);
            return true;
        }
        session_.set_cost(c, 1);
        Solution solution = solve();
        session_.set_cost(c, 0);
        if (solution.status == Status::unbounded) return true;
        if (solution.status != Status::optimal) return false;
        now_ = std::move(solution);
        hold_multipliers(session_, session_.program(), now_, 1);
        return true;
    }

  private:
    Solution solve() {
        SolveOptions options = options_;
        options.start = &now_.basis;
        return session_.solve(options);
    }

    void clear_costs() {
        for (std::size_t c = 0; c < session_.program().columns().size(); ++c) {
            session_.set_cost(c, 0);
        }
    }

    Session session_;
    SolveOptions options_;
    Solution now_;
    std::vector<double> row_sizes_;
};

// Whether some limit that the basis rests on has no multiplier: only then can there be another
// optimum.
bool may_tie(const LinearProgram& program, const Solution& optimum) {
    const double size_of_costs = cost_size(program, optimum.primal);
    for (std::size_t c = 0; c < program.columns().size(); ++c) {
        const Column& column = program.columns()[c];
        if (!rests(optimum.basis.columns[c]) || is_fixed(column.lower, column.upper)) continue;
        if (std::abs(optimum.reduced_cost[c]) <= tie_tolerance * size_of_costs) return true;
    }
    for (std::size_t r = 0; r < program.rows().size(); ++r) {
        const Row& row = program.rows()[r];
        if (!rests(optimum.basis.rows[r]) || is_fixed(row.lower, row.upper)) continue;
        const double size = std::abs(optimum.row_dual[r]) * row_size(row);
        if (size <= tie_tolerance * size_of_costs) return true;
    }
    return false;
}

}  // namespace

LinearProgram optimal_face(const LinearProgram& program, const Solution& optimum) {
    LinearProgram face = program;
    hold_multipliers(face, program, optimum, cost_size(program, optimum.primal));
    return face;
}

Settled settle_tie(const LinearProgram& program, const Solution& optimum, std::size_t count,
                   const SolveOptions& options) {
    Settled result;
    result.solution = optimum;
    result.unique = true;
    if (!may_tie(program, optimum)) return result;
    Face face(program, optimum, options);
    result.unique = face.is_point();
    if (result.unique.value_or(false)) return result;
    for (std::size_t c = std::min(count, program.columns().size()); c-- > 0;) {
        if (!face.minimise(c)) {
            result.unique.reset();
            return result;
        }
    }
    Solution chosen = optimum;
    chosen.primal = face.now().primal;
    chosen.row_activity = face.now().row_activity;
    chosen.objective = 0;
    for (std::size_t c = 0; c < chosen.primal.size(); ++c) {
        chosen.objective += program.columns()[c].cost * chosen.primal[c];
    }
    if (!certify(program, chosen).holds()) {
        result.unique.reset();
        return result;
    }
    result.moved = chosen.primal != optimum.primal;
    result.solution = std::move(chosen);
    return result;
}

}  // namespace feedwright::lp
