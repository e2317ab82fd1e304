// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/cones.hpp"

#include "base/diagnostics.hpp"
#include "lp/polish.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

namespace feedwright::lp {

namespace {

void require_sound(const LinearProgram& program, const std::vector<Cone>& cones) {
    for (const Cone& cone : cones) {
        bool sound = std::isfinite(cone.lower) && std::isfinite(cone.weight) && cone.weight >= 0;
        const auto check = [&](const std::vector<Entry>& entries) {
            for (const Entry& entry : entries) {
                sound =
                    sound && std::isfinite(entry.value) && entry.column < program.columns().size();
            }
        };
        check(cone.entries);
        for (const Cone::Form& form : cone.forms) {
            check(form.entries);
            sound = sound && std::isfinite(form.constant);
        }
        if (!sound) throw Error("cone " + cone.id + ": not one of this program");
    }
}

// The continuous program.
class Approximation {
  public:
    Approximation(const LinearProgram& program, const std::vector<Cone>& cones,
                  const SolveOptions& options, const std::vector<Plane>& start)
        : program_(program),
          cones_(cones),
          options_(options),
          session_(with_planes(program, cones, start)),
          planes_(start) {
        for (const Cone& cone : cones)
            scales_.push_back(scale_of(cone));
        for (const Column& column : program.columns())
            costs_.push_back(column.cost);
        end_ = clock::now() +
               std::chrono::duration_cast<clock::duration>(
                   std::chrono::duration<double>(std::clamp(options.time_limit_seconds, 0.0, 1e6)));
    }

    ConeSolution run() {
        constexpr int most_rounds = 2000;
        // More than is asked is had for little, as long as it comes nearer.
        constexpr double aim = 1e-3 * cone_tolerance;
        double last = 1;
        for (int round = 1; round <= most_rounds; ++round) {
            found_ = solve_program();
            if (found_.status == Status::unbounded && round == 1 && !cones_.empty()) {
                add_middles();
                continue;
            }
            if (found_.status != Status::optimal) return result(round);
            const double short_by = shortfall(found_.primal);
            // A few rounds first, so that what is tight at the optimum is tight here.
            constexpr int patience = 3;
            constexpr double near = 1e-3;
            if (short_by <= near && (short_by <= cone_tolerance || round % patience == 0)) {
                if (polish()) return result(round + 1);
            }
            const bool enough = short_by <= aim || short_by > 0.5 * last;
            if (short_by <= cone_tolerance && enough) return result(round);
            last = short_by;
            add_planes(found_.primal, aim);
        }
        found_.status = Status::limit;
        found_.message = "the planes that stand for sure limits did not come near enough";
        return result(most_rounds);
    }

  private:
    using clock = std::chrono::steady_clock;

    Solution solve_program() {
        SolveOptions options = options_;
        if (rounds_++ > 0) options.start = nullptr;
        options.time_limit_seconds = std::chrono::duration<double>(end_ - clock::now()).count();
        return session_.solve(options);
    }

    double shortfall(const std::vector<double>& x) const {
        double worst = 0;
        for (std::size_t k = 0; k < cones_.size(); ++k)
            worst = std::max(worst, -slack_of(cones_[k], x) / scales_[k]);
        return worst;
    }

    // Planes at x of the cones that it misses by more than `share` of their scale.
    void add_planes(const std::vector<double>& x, double share) {
        for (std::size_t k = 0; k < cones_.size(); ++k) {
            if (-slack_of(cones_[k], x) <= share * scales_[k]) continue;
            Plane plane = plane_at(cones_, k, x);
            if (!is_there(plane)) add_plane(std::move(plane));
        }
    }

    // Whether a plane that differs from this one by nothing but rounding is there already.
    bool is_there(const Plane& plane) const {
        constexpr double rounding = 1e-13;
        return std::any_of(planes_.begin(), planes_.end(), [&](const Plane& other) {
            if (other.cone != plane.cone) return false;
            double apart = 0;
            for (std::size_t f = 0; f < plane.direction.size(); ++f)
                apart = std::max(apart, std::abs(plane.direction[f] - other.direction[f]));
            return apart <= rounding;
        });
    }

    void add_plane(Plane plane) {
        session_.add_row(row_of(cones_[plane.cone], plane, planes_.size()));
        planes_.push_back(std::move(plane));
    }

    // What each cone asks without its spread may be what keeps the costs from falling for ever.
    void add_middles() {
        for (std::size_t k = 0; k < cones_.size(); ++k)
            add_plane({k, std::vector<double>(cones_[k].forms.size(), 0.0)});
    }

    std::vector<double> cone_duals(const Solution& solution) const {
        std::vector<double> duals(cones_.size(), 0.0);
        for (std::size_t p = 0; p < planes_.size(); ++p)
            duals[planes_[p].cone] += solution.row_dual[program_.rows().size() + p];
        return duals;
    }

    // Whether x meets the program and the cones, but for rounding.
    bool is_point(const std::vector<double>& x) const {
        constexpr double rounding = 1e-12;
        for (std::size_t c = 0; c < x.size(); ++c) {
            const Column& column = program_.columns()[c];
            const double size = rounding * (1 + std::abs(x[c]));
            if (column.lower && x[c] < *column.lower - size) return false;
            if (column.upper && x[c] > *column.upper + size) return false;
        }
        for (const Row& row : program_.rows()) {
            double scale = 0;
            for (const Entry& entry : row.entries)
                scale = std::max(scale, std::abs(entry.value));
            const double value = value_at(row.entries, x);
            const double most = 0.1 * cone_tolerance;
            if (row.lower && value < *row.lower - most * (scale + std::abs(*row.lower)))
                return false;
            if (row.upper && value > *row.upper + most * (scale + std::abs(*row.upper)))
                return false;
        }
        return shortfall(x) <= 0.1 * cone_tolerance;
    }

    // What rests on a limit at an optimum of the program with planes.
    Guess guess_near(const Solution& near, const std::vector<double>& cone_dual) const {
        Guess guess;
        guess.primal = near.primal;
        for (std::size_t c = 0; c < near.primal.size(); ++c) {
            if (near.basis.columns[c] == Rest::basic) guess.free.push_back(c);
        }
        for (std::size_t r = 0; r < program_.rows().size(); ++r) {
            if (near.basis.rows[r] == Rest::basic) continue;
            const Row& row = program_.rows()[r];
            const bool at_upper = near.basis.rows[r] == Rest::at_upper;
            const auto& side = at_upper ? row.upper : (row.lower ? row.lower : row.upper);
            if (side) guess.rows.push_back({r, *side, near.row_dual[r]});
        }
        for (std::size_t k = 0; k < cones_.size(); ++k) {
            if (cone_dual[k] > 0) guess.cones.push_back({k, cones_[k].lower, cone_dual[k]});
        }
        return guess;
    }

    // Goes to the exact optimum, if Newton's method finds one that the planes there prove.
    bool polish() {
        Guess guess = guess_near(found_, cone_duals(found_));
        if (!lp::polish(program_, cones_, costs_, guess) || !is_point(guess.primal)) return false;
        const std::vector<double>& x = guess.primal;
        // Those that are tight there, and no others, are asked to touch.
        add_planes(x, -1e-7);
        Solution bound = solve_program();
        if (bound.status != Status::optimal) return false;
        Solution exact = bound;
        exact.primal = x;
        exact.objective = 0;
        for (std::size_t c = 0; c < x.size(); ++c)
            exact.objective += program_.columns()[c].cost * x[c];
        for (std::size_t r = 0; r < session_.program().rows().size(); ++r)
            exact.row_activity[r] = value_at(session_.program().rows()[r].entries, x);
        const Certificate proof = certify(session_.program(), exact);
        if (!proof.holds(cone_tolerance)) {
            found_ = std::move(bound);
            return false;
        }
        found_ = std::move(exact);
        return true;
    }

    ConeSolution result(int rounds) {
        ConeSolution all;
        all.program = session_.program();
        all.planes = planes_;
        all.rounds = rounds;
        if (found_.status == Status::optimal) {
            all.cone_dual = cone_duals(found_);
            all.shortfall = shortfall(found_.primal);
            all.gap = certify(all.program, found_).duality_gap;
        } else if (found_.status == Status::limit) {
            // A point of the program with planes need not be one of the cones.
            found_.primal.clear();
            found_.row_activity.clear();
        }
        all.solution = std::move(found_);
        return all;
    }

    const LinearProgram& program_;
    const std::vector<Cone>& cones_;
    SolveOptions options_;
    Session session_;
    std::vector<Plane> planes_;
    std::vector<double> scales_;
    std::vector<double> costs_;
    Solution found_;
    int rounds_ = 0;
    clock::time_point end_;
};

LinearProgram hold(LinearProgram program, const std::vector<double>& values) {
    for (std::size_t c = 0; c < program.columns().size(); ++c) {
        if (!program.columns()[c].integer) continue;
        program.set_integer(c, false);
        program.set_column_limits(c, values[c], values[c]);
    }
    return program;
}

LinearProgram continuous(LinearProgram program) {
    for (std::size_t c = 0; c < program.columns().size(); ++c)
        program.set_integer(c, false);
    return program;
}

ConeSolution solve_with_whole_numbers(const LinearProgram& program, const std::vector<Cone>& cones,
                                      const SolveOptions& options,
                                      const std::vector<Plane>& start) {
    using clock = std::chrono::steady_clock;
    const auto begin = clock::now();
    const auto left = [&] {
        SolveOptions own = options;
        own.start = nullptr;
        const std::chrono::duration<double> gone = clock::now() - begin;
        own.time_limit_seconds = std::max(1e-3, options.time_limit_seconds - gone.count());
        return own;
    };
    const LinearProgram free = continuous(program);
    ConeSolution root = Approximation(free, cones, left(), start).run();
    if (root.solution.status != Status::optimal) return root;
    std::vector<Plane> planes = root.planes;
    int rounds = root.rounds;
    std::optional<ConeSolution> best;
    std::optional<double> bound;
    const auto finish = [&](Status status, std::string message) {
        ConeSolution all;
        if (best) all = std::move(*best);
        all.rounds = rounds;
        all.planes = best ? all.planes : planes;
        all.solution.status = status;
        all.solution.message = std::move(message);
        if (best && bound) all.solution.bound = std::min(*bound, all.solution.objective);
        return all;
    };
    constexpr int most_rounds = 1000;
    for (int round = 0; round < most_rounds; ++round) {
        const LinearProgram whole = with_planes(program, cones, planes);
        const Solution found = solve(whole, left());
        ++rounds;
        if (found.status == Status::infeasible) {
            if (!best) return finish(Status::infeasible, "");
            bound = best->solution.objective;
            return finish(Status::optimal, "");
        }
        if (found.status != Status::optimal) {
            if (found.bound) bound = std::max(bound.value_or(*found.bound), *found.bound);
            return finish(found.status == Status::limit ? Status::limit : Status::failed,
                          found.message);
        }
        bound = found.bound.value_or(found.objective);
        const auto close_to = [&](double cost) {
            const double size = cost_size(program, best->solution.primal) + std::abs(cost);
            return cost - *bound <= std::max(options.cost_gap, cone_tolerance * size);
        };
        if (best && close_to(best->solution.objective)) return finish(Status::optimal, "");
        const LinearProgram held = hold(program, found.primal);
        ConeSolution exact = Approximation(held, cones, left(), planes).run();
        rounds += exact.rounds;
        const bool grew = exact.planes.size() > planes.size();
        planes = exact.planes;
        if (exact.solution.status == Status::limit || exact.solution.status == Status::failed) {
            return finish(exact.solution.status, exact.solution.message);
        }
        if (exact.solution.status == Status::optimal &&
            (!best || exact.solution.objective < best->solution.objective)) {
            best = std::move(exact);
            if (close_to(best->solution.objective)) return finish(Status::optimal, "");
        }
        if (!grew) {
            if (best) return finish(Status::optimal, "");
            return finish(Status::failed, "the whole numbers found do not hold with the cones");
        }
    }
    return finish(Status::limit, "the planes that stand for sure limits did not come near enough");
}

}  // namespace

double value_at(const std::vector<Entry>& entries, const std::vector<double>& x) {
    long double sum = 0;
    for (const Entry& entry : entries)
        sum += static_cast<long double>(entry.value) * x[entry.column];
    return static_cast<double>(sum);
}

std::vector<double> forms_at(const Cone& cone, const std::vector<double>& x, double& length) {
    std::vector<double> values;
    double sum = 0;
    for (const Cone::Form& form : cone.forms) {
        values.push_back(form.constant + value_at(form.entries, x));
        sum += values.back() * values.back();
    }
    length = std::sqrt(sum);
    return values;
}

Plane plane_at(const std::vector<Cone>& cones, std::size_t k, const std::vector<double>& x) {
    double length = 0;
    Plane plane{k, forms_at(cones[k], x, length)};
    for (double& part : plane.direction)
        part = length > 0 ? part / length : 0;
    return plane;
}

Row row_of(const Cone& cone, const Plane& plane, std::size_t number) {
    std::map<std::size_t, long double> sum;
    for (const Entry& entry : cone.entries)
        sum[entry.column] += entry.value;
    long double lower = cone.lower;
    for (std::size_t f = 0; f < cone.forms.size(); ++f) {
        const long double factor = static_cast<long double>(cone.weight) * plane.direction[f];
        for (const Entry& entry : cone.forms[f].entries)
            sum[entry.column] -= factor * entry.value;
        lower += factor * cone.forms[f].constant;
    }
    Row row{
        "plane " + std::to_string(number) + " of " + cone.id, static_cast<double>(lower), {}, {}};
    for (const auto& [column, value] : sum)
        row.entries.push_back({column, static_cast<double>(value)});
    return row;
}

double slack_of(const Cone& cone, const std::vector<double>& x) {
    double length = 0;
    forms_at(cone, x, length);
    return value_at(cone.entries, x) - cone.weight * length - cone.lower;
}

double scale_of(const Cone& cone) {
    double scale = 0;
    for (const Entry& entry : cone.entries)
        scale = std::max(scale, std::abs(entry.value));
    for (const Cone::Form& form : cone.forms) {
        for (const Entry& entry : form.entries)
            scale = std::max(scale, cone.weight * std::abs(entry.value));
    }
    return (scale > 0 ? scale : 1) + std::abs(cone.lower);
}

LinearProgram with_planes(LinearProgram program, const std::vector<Cone>& cones,
                          const std::vector<Plane>& planes) {
    for (std::size_t p = 0; p < planes.size(); ++p)
        program.add_row(row_of(cones[planes[p].cone], planes[p], p));
    return program;
}

ConeSolution solve(const LinearProgram& program, const std::vector<Cone>& cones,
                   const SolveOptions& options, const std::vector<Plane>& start) {
    require_sound(program, cones);
    if (program.has_integers()) return solve_with_whole_numbers(program, cones, options, start);
    return Approximation(program, cones, options, start).run();
}

}  // namespace feedwright::lp
