// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/cone_repricer.hpp"

#include "base/dense.hpp"
#include "lp/polish.hpp"
#include "lp/solver.hpp"
#include "lp/ties.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <random>
#include <utility>

namespace feedwright::lp {

namespace {

// A multiplier of the wrong sign, over the costs of what is used, that is rounding.
constexpr double no_multiplier = 1e-12;

// The costs that points are looked for at: the program's own times factors near 1.
// std::uniform_real_distribution is not the same everywhere; this is.
std::vector<std::vector<double>> costs_to_try(const LinearProgram& program) {
    constexpr std::size_t tries = 400;
    constexpr std::array spreads{0.1, 0.2};
    std::mt19937_64 random(1);
    std::vector<std::vector<double>> all;
    for (std::size_t t = 0; t < tries; ++t) {
        const double spread = spreads.at(t % spreads.size());
        std::vector<double> costs;
        for (const Column& column : program.columns()) {
            const double unit = static_cast<double>(random() >> 11U) * 0x1p-53;
            costs.push_back(column.cost * (1 + spread * (2 * unit - 1)));
        }
        all.push_back(std::move(costs));
    }
    return all;
}

LinearProgram with_costs(LinearProgram program, const std::vector<double>& costs) {
    for (std::size_t c = 0; c < costs.size(); ++c)
        program.set_cost(c, costs[c]);
    return program;
}

// What leaning on a limit says of the sign of its multiplier.
enum class Lean { on_lower, on_upper, either };

// A point, and the limits met exactly there, those of cones by the planes that touch them.
struct Point {
    Guess guess;
    std::vector<double> gradients;  // a limit after another, each over all columns
    std::vector<double> sides;
    std::vector<double> sizes;  // what makes a multiplier comparable with costs
    std::vector<Lean> leans;
    std::vector<Lean> column_leans;  // of columns that are not free
    std::vector<double> inverse;     // of the gradients within the free columns; empty: none
    double primal_residual = 0;

    std::size_t limits() const { return sides.size(); }
    bool is_fixed() const { return guess.free.size() == limits() && !inverse.empty(); }
};

// How far a multiplier is on the wrong side of 0.
double wrong_by(double multiplier, Lean lean) {
    switch (lean) {
        case Lean::on_lower:
            return -multiplier;
        case Lean::on_upper:
            return multiplier;
        case Lean::either:
            break;
    }
    return 0;
}

Lean lean_of(double value, const std::optional<double>& lower, const std::optional<double>& upper) {
    if (lower && upper && *lower == *upper) return Lean::either;
    return lower && value <= *lower ? Lean::on_lower : Lean::on_upper;
}

// Planes are where the search for a point begins; more of them that are nearly the same would only
// make bases ill-conditioned.
bool is_near(const Plane& one, const Plane& other) {
    constexpr double near = 1e-2;
    if (one.cone != other.cone) return false;
    for (std::size_t f = 0; f < one.direction.size(); ++f) {
        if (std::abs(one.direction[f] - other.direction[f]) > near) return false;
    }
    return true;
}

bool has(const std::vector<Tight>& list, std::size_t at) {
    return std::any_of(list.begin(), list.end(),
                       [&](const Tight& tight) { return tight.at == at; });
}

}  // namespace

struct ConeRepricer::Shared {
    Shared(const LinearProgram& given, const std::vector<Cone>& with)
        : program(given), cones(with) {
        for (const Cone& cone : cones)
            scales.push_back(scale_of(cone));
        for (const Row& row : program.rows()) {
            double size = 0;
            for (const Entry& entry : row.entries)
                size = std::max(size, std::abs(entry.value));
            row_sizes.push_back(size > 0 ? size : 1);
        }
    }

    std::optional<Point> settle(Guess guess, std::span<const double> costs) const;
    bool correct(Guess& guess, double size_of_costs) const;
    bool free_dearest(Guess& guess, const std::vector<Lean>& leans,
                      const std::vector<double>& reduced) const;
    Point point_at(Guess guess) const;
    double primal_residual(const std::vector<double>& x) const;
    void find_points();
    void sort_points(const std::vector<std::size_t>& met);
    Guess guess_of(const ConeSolution& found) const;
    Guess guess_of(const Repriced& vertex) const;
    std::optional<Point> near_vertex(Repricer& of, std::span<const double> costs) const;

    // The multipliers of a point's limits at these costs, and how far the worst of all multipliers
    // is on the wrong side of 0, over the costs of what is used.
    double price(const Point& point, std::span<const double> costs, std::vector<double>& duals,
                 std::vector<double>& reduced, double give_up_at) const;
    // Whether the point is proven to be the optimum; fills `result`.
    bool prove(const Point& point, std::span<const double> costs, const std::vector<double>& duals,
               const std::vector<double>& reduced, Repriced& result) const;

    LinearProgram program;
    std::vector<Cone> cones;
    std::vector<double> scales;        // of the cones
    std::vector<double> row_sizes;     // the largest coefficient of each row
    std::vector<Point> points;         // those met most often first
    std::vector<Plane> planes;         // that touch at those
    std::vector<Plane> start;          // of the optimum at the own costs
    std::optional<Repricer> vertices;  // of the program with the planes
    Status status = Status::failed;
};

struct ConeRepricer::State {
    explicit State(std::shared_ptr<const Shared> all)
        : shared(std::move(all)), notes(shared->points.size()) {
        if (shared->vertices) vertices.emplace(shared->vertices->another());
    }

    std::shared_ptr<const Shared> shared;
    std::optional<Repricer> vertices;
    std::vector<std::shared_ptr<const void>> notes;  // of the points
    std::vector<double> duals;
    std::vector<double> reduced;
    std::optional<Point> moving;  // an optimum that no point of `shared` is
    std::shared_ptr<const void> moving_note;
};

// ---- points

// The optimum from a guess at what is tight there; a few times what turns out wrong is corrected.
std::optional<Point> ConeRepricer::Shared::settle(Guess guess,
                                                  std::span<const double> costs) const {
    constexpr int most_corrections = 8;
    std::vector<double> duals;
    std::vector<double> reduced;
    for (int times = 0; times < most_corrections; ++times) {
        if (!polish(program, cones, costs, guess)) return std::nullopt;
        if (correct(guess, cost_size(costs, guess.primal))) continue;
        Point point = point_at(std::move(guess));
        if (price(point, costs, duals, reduced, 1) <= no_multiplier) return point;
        guess = std::move(point.guess);
        if (!free_dearest(guess, point.column_leans, reduced)) return std::nullopt;
    }
    return std::nullopt;
}

// Frees the column whose limit is worth most to leave.
bool ConeRepricer::Shared::free_dearest(Guess& guess, const std::vector<Lean>& leans,
                                        const std::vector<double>& reduced) const {
    std::optional<std::size_t> dearest;
    double most = 0;
    for (std::size_t c = 0; c < reduced.size(); ++c) {
        const double wrong = wrong_by(reduced[c], leans[c]);
        if (wrong <= most || std::binary_search(guess.free.begin(), guess.free.end(), c)) continue;
        most = wrong;
        dearest = c;
    }
    if (!dearest) return false;
    guess.free.insert(std::upper_bound(guess.free.begin(), guess.free.end(), *dearest), *dearest);
    return true;
}

// Lets go of the limits whose multipliers have the wrong sign, and takes those that the point does
// not meet. False when there is nothing to correct.
bool ConeRepricer::Shared::correct(Guess& guess, double size_of_costs) const {
    const std::vector<Row>& rows = program.rows();
    const std::vector<Column>& columns = program.columns();
    const double none = no_multiplier * size_of_costs;
    std::size_t changes = std::erase_if(guess.cones, [&](const Tight& tight) {
        return wrong_by(tight.dual, Lean::on_lower) * scales[tight.at] > none;
    });
    changes += std::erase_if(guess.rows, [&](const Tight& tight) {
        const Row& row = rows[tight.at];
        const Lean lean = lean_of(tight.side, row.lower, row.upper);
        return wrong_by(tight.dual, lean) * row_sizes[tight.at] > none;
    });
    changes += std::erase_if(guess.free, [&](std::size_t c) {
        double& x = guess.primal[c];
        const bool below = columns[c].lower && x < *columns[c].lower;
        const bool above = columns[c].upper && x > *columns[c].upper;
        if (below) x = *columns[c].lower;
        if (above) x = *columns[c].upper;
        return below || above;
    });
    constexpr double far = 0.1 * cone_tolerance;
    for (std::size_t r = 0; r < rows.size(); ++r) {
        if (has(guess.rows, r)) continue;
        const double value = value_at(rows[r].entries, guess.primal);
        for (const auto& [side, sign] : {std::pair{rows[r].lower, 1.0}, {rows[r].upper, -1.0}}) {
            if (!side) continue;
            if (sign * (*side - value) <= far * (row_sizes[r] + std::abs(*side))) continue;
            guess.rows.push_back({r, *side, 0});
            ++changes;
        }
    }
    for (std::size_t k = 0; k < cones.size(); ++k) {
        if (has(guess.cones, k) || slack_of(cones[k], guess.primal) >= -far * scales[k]) continue;
        guess.cones.push_back({k, cones[k].lower, 0});
        ++changes;
    }
    return changes > 0;
}

Point ConeRepricer::Shared::point_at(Guess guess) const {
    const std::vector<Column>& columns = program.columns();
    Point point;
    point.guess = std::move(guess);
    const std::vector<double>& x = point.guess.primal;
    const std::size_t width = columns.size();
    const auto add = [&](const std::vector<Entry>& entries, double side, double size, Lean lean) {
        point.gradients.resize(point.gradients.size() + width, 0.0);
        double* const gradient = &point.gradients[point.gradients.size() - width];
        for (const Entry& entry : entries)
            gradient[entry.column] += entry.value;
        point.sides.push_back(side);
        point.sizes.push_back(size);
        point.leans.push_back(lean);
    };
    for (const Tight& tight : point.guess.rows) {
        const Row& row = program.rows()[tight.at];
        add(row.entries, tight.side, row_sizes[tight.at],
            lean_of(tight.side, row.lower, row.upper));
    }
    for (const Tight& tight : point.guess.cones) {
        const Row plane = row_of(cones[tight.at], plane_at(cones, tight.at, x), 0);
        add(plane.entries, *plane.lower, scales[tight.at], Lean::on_lower);
    }
    for (std::size_t c = 0; c < width; ++c)
        point.column_leans.push_back(lean_of(x[c], columns[c].lower, columns[c].upper));
    point.primal_residual = primal_residual(x);
    const std::size_t n = point.limits();
    if (point.guess.free.size() != n) return point;
    std::vector<double> matrix;
    for (std::size_t t = 0; t < n; ++t) {
        for (const std::size_t c : point.guess.free)
            matrix.push_back(point.gradients[t * width + c] / point.sizes[t]);
    }
    constexpr double least_pivot = 1e-9;
    if (auto inverse = base::inverse(std::move(matrix), n, least_pivot))
        point.inverse = std::move(*inverse);
    return point;
}

double ConeRepricer::Shared::primal_residual(const std::vector<double>& x) const {
    double worst = 0;
    const auto look = [&](double value, const std::optional<double>& lower,
                          const std::optional<double>& upper, double size) {
        if (lower) worst = std::max(worst, (*lower - value) / (size + std::abs(*lower)));
        if (upper) worst = std::max(worst, (value - *upper) / (size + std::abs(*upper)));
    };
    for (std::size_t c = 0; c < x.size(); ++c)
        look(x[c], program.columns()[c].lower, program.columns()[c].upper, 1);
    for (std::size_t r = 0; r < program.rows().size(); ++r) {
        const Row& row = program.rows()[r];
        look(value_at(row.entries, x), row.lower, row.upper, row_sizes[r]);
    }
    for (std::size_t k = 0; k < cones.size(); ++k)
        worst = std::max(worst, -slack_of(cones[k], x) / scales[k]);
    return worst;
}

double ConeRepricer::Shared::price(const Point& point, std::span<const double> costs,
                                   std::vector<double>& duals, std::vector<double>& reduced,
                                   double give_up_at) const {
    const std::size_t n = point.limits();
    const std::size_t width = costs.size();
    const double scale = cost_size(costs, point.guess.primal);
    duals.assign(n, 0.0);
    if (point.is_fixed()) {
        for (std::size_t f = 0; f < n; ++f) {
            const double cost = costs[point.guess.free[f]];
            for (std::size_t t = 0; t < n; ++t)
                duals[t] += cost * point.inverse[f * n + t];
        }
        for (std::size_t t = 0; t < n; ++t)
            duals[t] /= point.sizes[t];
    } else {
        std::size_t next = 0;
        for (const std::vector<Tight>* list : {&point.guess.rows, &point.guess.cones}) {
            for (const Tight& tight : *list)
                duals[next++] = tight.dual;
        }
    }
    double worst = 0;
    for (std::size_t t = 0; t < n; ++t)
        worst = std::max(worst, wrong_by(duals[t] * point.sizes[t], point.leans[t]) / scale);
    if (worst > give_up_at) return worst;
    reduced.assign(costs.begin(), costs.end());
    for (std::size_t t = 0; t < n; ++t) {
        const double* const gradient = &point.gradients[t * width];
        for (std::size_t c = 0; c < width; ++c)
            reduced[c] -= duals[t] * gradient[c];
    }
    // What a free column has left is rounding, and for prove() to judge.
    std::size_t next_free = 0;
    for (std::size_t c = 0; c < width; ++c) {
        if (next_free < point.guess.free.size() && point.guess.free[next_free] == c) {
            ++next_free;
            continue;
        }
        worst = std::max(worst, wrong_by(reduced[c], point.column_leans[c]) / scale);
    }
    return worst;
}

bool ConeRepricer::Shared::prove(const Point& point, std::span<const double> costs,
                                 const std::vector<double>& duals,
                                 const std::vector<double>& reduced, Repriced& result) const {
    const std::vector<double>& x = point.guess.primal;
    const double scale = cost_size(costs, x);
    Certificate proof;
    proof.primal_residual = point.primal_residual;
    result.unique = true;
    result.reduced_cost = reduced;
    double dual_cost = 0;
    for (std::size_t t = 0; t < point.limits(); ++t) {
        dual_cost += duals[t] * point.sides[t];
        const double size = duals[t] * point.sizes[t] / scale;
        proof.dual_residual = std::max(proof.dual_residual, wrong_by(size, point.leans[t]));
        if (point.leans[t] != Lean::either && std::abs(size) <= tie_tolerance)
            result.unique = false;
    }
    double cost_moved = 0;
    result.objective = 0;
    std::size_t next_free = 0;
    for (std::size_t c = 0; c < x.size(); ++c) {
        const double part = costs[c] * x[c];
        result.objective += part;
        cost_moved += std::abs(part);
        if (next_free < point.guess.free.size() && point.guess.free[next_free] == c) {
            ++next_free;
            const double size = std::max(scale, std::abs(costs[c]));
            proof.dual_residual = std::max(proof.dual_residual, std::abs(reduced[c]) / size);
            result.reduced_cost[c] = 0;
            continue;
        }
        dual_cost += reduced[c] * x[c];
        const double size = reduced[c] / scale;
        proof.dual_residual = std::max(proof.dual_residual, wrong_by(size, point.column_leans[c]));
        if (point.column_leans[c] != Lean::either && std::abs(size) <= tie_tolerance)
            result.unique = false;
    }
    proof.duality_gap = std::abs(result.objective - dual_cost) / (scale + cost_moved);
    result.certificate = proof;
    return proof.holds(cone_tolerance);
}

// ---- looking for points

Guess ConeRepricer::Shared::guess_of(const ConeSolution& found) const {
    Guess guess;
    guess.primal = found.solution.primal;
    for (std::size_t c = 0; c < guess.primal.size(); ++c) {
        const Column& column = program.columns()[c];
        const double x = guess.primal[c];
        if ((column.lower && x <= *column.lower) || (column.upper && x >= *column.upper)) continue;
        guess.free.push_back(c);
    }
    for (std::size_t r = 0; r < program.rows().size(); ++r) {
        const double dual = found.solution.row_dual[r];
        const Row& row = program.rows()[r];
        const auto& side = dual > 0 ? row.lower : row.upper;
        if (dual != 0 && side) guess.rows.push_back({r, *side, dual});
    }
    for (std::size_t k = 0; k < cones.size(); ++k) {
        if (found.cone_dual[k] > 0) guess.cones.push_back({k, cones[k].lower, found.cone_dual[k]});
    }
    return guess;
}

Guess ConeRepricer::Shared::guess_of(const Repriced& vertex) const {
    const std::vector<Row>& rows = program.rows();
    Guess guess;
    guess.primal.assign(vertex.primal.begin(), vertex.primal.end());
    for (std::size_t c = 0; c < guess.primal.size(); ++c) {
        if (vertex.reduced_cost[c] == 0) guess.free.push_back(c);
    }
    for (std::size_t r = 0; r < rows.size(); ++r) {
        const double dual = vertex.row_dual[r];
        const auto& side = dual > 0 ? rows[r].lower : rows[r].upper;
        if (dual != 0 && side) guess.rows.push_back({r, *side, dual});
    }
    std::vector<double> cone_dual(cones.size(), 0.0);
    // Planes may have been found since.
    for (std::size_t p = 0; rows.size() + p < vertex.row_dual.size(); ++p)
        cone_dual[planes[p].cone] += vertex.row_dual[rows.size() + p];
    for (std::size_t k = 0; k < cones.size(); ++k) {
        if (cone_dual[k] > 0) guess.cones.push_back({k, cones[k].lower, cone_dual[k]});
    }
    return guess;
}

std::optional<Point> ConeRepricer::Shared::near_vertex(Repricer& of,
                                                       std::span<const double> costs) const {
    Repriced vertex;
    if (!of.solve(costs, vertex)) return std::nullopt;
    return settle(guess_of(vertex), costs);
}

void ConeRepricer::Shared::find_points() {
    constexpr int most_rounds = 6;
    constexpr int most_solved = 8;  // in a round, the slow way
    std::vector<double> own;
    for (const Column& column : program.columns())
        own.push_back(column.cost);
    const ConeSolution first = lp::solve(program, cones);
    status = first.solution.status;
    start = first.planes;
    if (status != Status::optimal) return;
    std::vector<std::size_t> met;
    const auto keep = [&](std::optional<Point> point) {
        if (!point || !point->is_fixed()) return;
        for (const Tight& tight : point->guess.cones) {
            Plane plane = plane_at(cones, tight.at, point->guess.primal);
            const bool is_new = std::none_of(planes.begin(), planes.end(), [&](const Plane& other) {
                return is_near(plane, other);
            });
            if (is_new) planes.push_back(std::move(plane));
        }
        points.push_back(std::move(*point));
        met.push_back(0);
    };
    keep(settle(guess_of(first), own));
    const std::vector<std::vector<double>> tried = costs_to_try(program);
    std::vector<double> duals;
    std::vector<double> reduced;
    for (int round = 0;; ++round) {
        const std::size_t planes_before = planes.size();
        vertices.emplace(with_planes(program, cones, planes));
        if (round == most_rounds) break;
        std::fill(met.begin(), met.end(), 0);
        int solved = 0;
        for (const std::vector<double>& costs : tried) {
            const auto at = std::find_if(points.begin(), points.end(), [&](const Point& point) {
                return price(point, costs, duals, reduced, no_multiplier) <= no_multiplier;
            });
            if (at != points.end()) {
                ++met[static_cast<std::size_t>(at - points.begin())];
                continue;
            }
            std::optional<Point> found = near_vertex(*vertices, costs);
            if (!found && solved++ < most_solved) {
                const ConeSolution slow = lp::solve(with_costs(program, costs), cones, {}, start);
                if (slow.solution.status == Status::optimal) found = settle(guess_of(slow), costs);
            }
            keep(std::move(found));
        }
        if (planes.size() == planes_before) break;
    }
    sort_points(met);
}

// Those met most often first.
void ConeRepricer::Shared::sort_points(const std::vector<std::size_t>& met) {
    std::vector<std::size_t> order(points.size());
    for (std::size_t p = 0; p < order.size(); ++p)
        order[p] = p;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return met[a] > met[b]; });
    std::vector<Point> sorted;
    for (const std::size_t p : order)
        sorted.push_back(std::move(points[p]));
    points = std::move(sorted);
}

// ---- the class

ConeRepricer::ConeRepricer(const LinearProgram& program, const std::vector<Cone>& cones) {
    auto shared = std::make_shared<Shared>(program, cones);
    shared->find_points();
    state_ = std::make_unique<State>(std::move(shared));
}

ConeRepricer::ConeRepricer(std::unique_ptr<State> state) : state_(std::move(state)) {}

ConeRepricer::~ConeRepricer() = default;
ConeRepricer::ConeRepricer(ConeRepricer&&) noexcept = default;

ConeRepricer ConeRepricer::another() const {
    return ConeRepricer(std::make_unique<State>(state_->shared));
}

Status ConeRepricer::status() const {
    return state_->shared->status;
}

const std::vector<Plane>& ConeRepricer::planes() const {
    return state_->shared->start;
}

bool ConeRepricer::solve(std::span<const double> costs, Repriced& result) {
    State& state = *state_;
    const Shared& shared = *state.shared;
    if (shared.status != Status::optimal) return false;
    const auto tell = [&](const Point& point, std::shared_ptr<const void>& note) {
        if (!shared.prove(point, costs, state.duals, state.reduced, result)) return false;
        result.primal = point.guess.primal;
        result.row_activity = {};
        result.row_dual.clear();
        result.note = &note;
        result.known = note != nullptr;
        result.pivots = 0;
        return true;
    };
    for (std::size_t p = 0; p < shared.points.size(); ++p) {
        const Point& point = shared.points[p];
        const double wrong = shared.price(point, costs, state.duals, state.reduced, no_multiplier);
        if (wrong <= no_multiplier && tell(point, state.notes[p])) return true;
    }
    state.moving = shared.near_vertex(*state.vertices, costs);
    state.moving_note.reset();
    if (!state.moving) return false;
    shared.price(*state.moving, costs, state.duals, state.reduced, 1);
    return tell(*state.moving, state.moving_note);
}

}  // namespace feedwright::lp
