// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/lp/repricer.hpp"

#include "feedwright/base/diagnostics.hpp"
#include "feedwright/lp/solver.hpp"
#include "feedwright/lp/ties.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <mutex>
#include <string>
#include <unordered_map>
#include <utility>

namespace feedwright::lp {

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::size_t none = std::numeric_limits<std::size_t>::max();

// A reduced cost better than this share of the largest cost is worth a step.
constexpr double step_size = 1e-12;
// In scaled rows and kg: what counts as the same ratio, and the smallest pivot. A pivot only picks
// the next basis, whose numbers are then worked out from scratch.
constexpr double ratio_size = 1e-12;
constexpr double pivot_size = 1e-9;
constexpr double residual_size = 1e-9;

bool is(unsigned char rest, Rest wanted) {
    return rest == static_cast<unsigned char>(wanted);
}

// A power of two that brings `size` to between 1 and 2, so that scaling changes no digit.
double scale_for(double size) {
    return size > 0 ? std::ldexp(1.0, -std::ilogb(size)) : 1;
}

double violation(double value, double lower, double upper, double scale) {
    double worst = 0;
    if (lower > -infinity) worst = std::max(worst, (lower - value) / (scale + std::abs(lower)));
    if (upper < infinity) worst = std::max(worst, (value - upper) / (scale + std::abs(upper)));
    return worst;
}

// How far `value` is from the limit that a multiplier of this sign leans on, as certify measures.
double distance(double multiplier, double value, double lower, double upper, double scale) {
    const double limit = multiplier > 0 ? lower : upper;
    return std::isinf(limit) ? infinity : std::abs(value - limit) / (scale + std::abs(limit));
}

}  // namespace

struct VertexGraph::Store {
    const Vertex* root = nullptr;
    std::size_t most_bytes = 0;
    mutable std::mutex mutex;
    mutable std::size_t bytes = 0;
    mutable std::atomic<bool> full = false;
    mutable std::unordered_map<std::string, std::unique_ptr<const Vertex>> vertices;
    Vertex dead;  ///< where an edge leads that cannot be followed
};

// The program as dense arrays, and how a vertex is made from its basis.
struct VertexGraph::Data {
    explicit Data(const LinearProgram& program);

    std::unique_ptr<Vertex> vertex(std::vector<unsigned char> rests) const;
    std::unique_ptr<Store> new_store() const;

    double rest_value(std::size_t variable, unsigned char rest) const {
        return is(rest, Rest::at_upper) ? upper[variable] : lower[variable];
    }

    std::size_t columns = 0;
    std::size_t rows = 0;
    std::vector<double> coefficients;  // by rows
    std::vector<double> scaled;        // each row times its row_scale
    std::vector<double> row_scale;
    std::vector<double> row_size;  // largest coefficient, 1 where there is none
    std::vector<double> lower;     // of columns, then of scaled rows
    std::vector<double> upper;
    std::vector<double> row_lower;  // as given
    std::vector<double> row_upper;
    std::size_t most_bytes = 0;
    Status status = Status::failed;
    std::vector<unsigned char> root_rests;
    std::atomic<std::size_t> vertices_made = 0;
    std::mutex mutex;
    std::shared_ptr<const Store> current;

  private:
    bool solve_basis(Vertex& vertex, const std::vector<std::size_t>& basic_rows,
                     std::vector<double>& row_response) const;
    bool place(Vertex& vertex) const;
    void find_edges(Vertex& vertex, const std::vector<std::size_t>& basic_rows,
                    const std::vector<double>& row_response) const;
};

VertexGraph::Data::Data(const LinearProgram& program)
    : columns(program.columns().size()), rows(program.rows().size()) {
    coefficients.assign(rows * columns, 0);
    for (const Column& column : program.columns()) {
        lower.push_back(column.lower.value_or(-infinity));
        upper.push_back(column.upper.value_or(infinity));
    }
    for (std::size_t r = 0; r < rows; ++r) {
        const Row& row = program.rows()[r];
        double size = 0;
        for (const Entry& entry : row.entries) {
            coefficients[r * columns + entry.column] = entry.value;
            size = std::max(size, std::abs(entry.value));
        }
        const double scale = scale_for(size);
        row_scale.push_back(scale);
        row_size.push_back(size > 0 ? size : 1);
        row_lower.push_back(row.lower.value_or(-infinity));
        row_upper.push_back(row.upper.value_or(infinity));
        lower.push_back(row_lower.back() * scale);
        upper.push_back(row_upper.back() * scale);
    }
    scaled = coefficients;
    for (std::size_t r = 0; r < rows; ++r) {
        for (std::size_t c = 0; c < columns; ++c)
            scaled[r * columns + c] *= row_scale[r];
    }
}

// Gauss-Jordan elimination of [basic columns in the non-basic rows | non-basic variables]. False
// when the basis is singular.
bool VertexGraph::Data::solve_basis(Vertex& vertex, const std::vector<std::size_t>& basic_rows,
                                    std::vector<double>& row_response) const {
    const auto& basic = vertex.basic_;
    const auto& nonbasic = vertex.nonbasic_;
    const std::size_t size = basic.size();
    const std::size_t width = size + nonbasic.size();
    std::vector<double> work(size * width);
    std::size_t i = 0;
    for (std::size_t j = 0; j < nonbasic.size(); ++j) {
        if (nonbasic[j] < columns) continue;
        const std::size_t r = nonbasic[j] - columns;
        const double* row = &scaled[r * columns];
        for (std::size_t b = 0; b < size; ++b)
            work[i * width + b] = row[basic[b]];
        for (std::size_t v = 0; v < nonbasic.size() && nonbasic[v] < columns; ++v) {
            work[i * width + size + v] = -row[nonbasic[v]];
        }
        work[i * width + size + j] = 1;
        ++i;
    }
    for (std::size_t p = 0; p < size; ++p) {
        std::size_t best = p;
        for (std::size_t r = p + 1; r < size; ++r) {
            if (std::abs(work[r * width + p]) > std::abs(work[best * width + p])) best = r;
        }
        double* pivot_row = &work[p * width];
        if (best != p) std::swap_ranges(pivot_row, pivot_row + width, &work[best * width]);
        if (std::abs(pivot_row[p]) < pivot_size) return false;
        const double pivot = 1 / pivot_row[p];
        for (std::size_t c = p; c < width; ++c)
            pivot_row[c] *= pivot;
        for (std::size_t r = 0; r < size; ++r) {
            double* row = &work[r * width];
            const double factor = row[p];
            if (r == p || factor == 0) continue;
            for (std::size_t c = p; c < width; ++c)
                row[c] -= factor * pivot_row[c];
        }
    }
    vertex.response_.resize(size * nonbasic.size());
    for (std::size_t b = 0; b < size; ++b) {
        std::copy_n(&work[b * width + size], nonbasic.size(),
                    &vertex.response_[b * nonbasic.size()]);
    }
    row_response.assign(basic_rows.size() * nonbasic.size(), 0);
    for (std::size_t s = 0; s < basic_rows.size(); ++s) {
        const double* row = &scaled[basic_rows[s] * columns];
        double* response = &row_response[s * nonbasic.size()];
        for (std::size_t v = 0; v < nonbasic.size() && nonbasic[v] < columns; ++v) {
            response[v] = row[nonbasic[v]];
        }
        for (std::size_t b = 0; b < size; ++b) {
            const double factor = row[basic[b]];
            const double* column = &vertex.response_[b * nonbasic.size()];
            if (factor == 0) continue;
            for (std::size_t v = 0; v < nonbasic.size(); ++v)
                response[v] += factor * column[v];
        }
    }
    return true;
}

// The values of all variables; false when they do not keep to the limits.
bool VertexGraph::Data::place(Vertex& vertex) const {
    const auto& basic = vertex.basic_;
    const auto& nonbasic = vertex.nonbasic_;
    vertex.primal_.assign(columns, 0);
    for (const std::size_t v : nonbasic) {
        if (v < columns) vertex.primal_[v] = rest_value(v, vertex.rests_[v]);
    }
    const auto activity = [&](std::size_t r, const std::vector<double>& matrix) {
        double sum = 0;
        for (std::size_t c = 0; c < columns; ++c)
            sum += matrix[r * columns + c] * vertex.primal_[c];
        return sum;
    };
    // From the non-basic columns alone, then twice from what is left over.
    constexpr int rounds = 3;
    for (int round = 0; round < rounds; ++round) {
        std::vector<double> missing(nonbasic.size());
        for (std::size_t j = 0; j < nonbasic.size(); ++j) {
            if (nonbasic[j] < columns) continue;
            const double wanted = rest_value(nonbasic[j], vertex.rests_[nonbasic[j]]);
            missing[j] = wanted - activity(nonbasic[j] - columns, scaled);
        }
        for (std::size_t b = 0; b < basic.size(); ++b) {
            double change = 0;
            for (std::size_t j = 0; j < nonbasic.size(); ++j) {
                change += vertex.response_[b * nonbasic.size() + j] * missing[j];
            }
            vertex.primal_[basic[b]] += change;
        }
    }
    vertex.primal_residual_ = 0;
    for (std::size_t c = 0; c < columns; ++c) {
        vertex.primal_residual_ =
            std::max(vertex.primal_residual_, violation(vertex.primal_[c], lower[c], upper[c], 1));
    }
    vertex.row_activity_.resize(rows);
    for (std::size_t r = 0; r < rows; ++r) {
        const double value = activity(r, coefficients);
        vertex.row_activity_[r] = value;
        if (!std::isfinite(value)) return false;
        vertex.primal_residual_ = std::max(
            vertex.primal_residual_, violation(value, row_lower[r], row_upper[r], row_size[r]));
    }
    return vertex.primal_residual_ <= residual_size;
}

// For every non-basic variable: how far it can leave its limit, and which variable then stops it.
// Twice over the basic variables: the shortest reach with a little slack, then the largest pivot
// within it, the first where they are equal.
void VertexGraph::Data::find_edges(Vertex& vertex, const std::vector<std::size_t>& basic_rows,
                                   const std::vector<double>& row_response) const {
    const std::size_t width = vertex.nonbasic_.size();
    std::vector<double> direction(width, 0);
    std::vector<double> shortest(width, infinity);
    vertex.away_.resize(width);
    for (std::size_t j = 0; j < width; ++j) {
        const std::size_t variable = vertex.nonbasic_[j];
        vertex.away_[j].leaving = none;
        if (lower[variable] == upper[variable]) continue;
        direction[j] = is(vertex.rests_[variable], Rest::at_upper) ? -1 : 1;
        vertex.away_[j].direction = direction[j];
    }
    // visit(variable, room upwards, room downwards, its response to each non-basic variable)
    const auto each_basic = [&](const auto& visit) {
        const auto look = [&](std::size_t variable, double value, const double* response) {
            visit(variable, std::max(upper[variable] - value, 0.0),
                  std::max(value - lower[variable], 0.0), response);
        };
        for (std::size_t b = 0; b < vertex.basic_.size(); ++b) {
            const std::size_t column = vertex.basic_[b];
            look(column, vertex.primal_[column], &vertex.response_[b * width]);
        }
        for (std::size_t s = 0; s < basic_rows.size(); ++s) {
            const std::size_t r = basic_rows[s];
            look(columns + r, vertex.row_activity_[r] * row_scale[r], &row_response[s * width]);
        }
    };
    each_basic([&](std::size_t, double up, double down, const double* response) {
        for (std::size_t j = 0; j < width; ++j) {
            const double rate = direction[j] * response[j];
            const double size = std::abs(rate);
            const double ratio = ((rate > 0 ? up : down) + ratio_size) / size;
            shortest[j] = size >= pivot_size && ratio < shortest[j] ? ratio : shortest[j];
        }
    });
    for (std::size_t j = 0; j < width; ++j) {
        const std::size_t variable = vertex.nonbasic_[j];
        Vertex::Away& away = vertex.away_[j];
        away.reach = upper[variable] - lower[variable];
        if (std::isfinite(shortest[j]) && shortest[j] < away.reach) continue;
        // From one of its limits to the other, or without end.
        if (std::isfinite(away.reach) && away.direction != 0) away.leaving = variable;
        away.to_upper = away.direction > 0;
        shortest[j] = -1;
    }
    std::vector<double> largest(width, pivot_size);
    each_basic([&](std::size_t variable, double up, double down, const double* response) {
        for (std::size_t j = 0; j < width; ++j) {
            const double rate = direction[j] * response[j];
            const double size = std::abs(rate);
            const double room = rate > 0 ? up : down;
            const bool first = vertex.away_[j].leaving == none && size >= largest[j];
            if (room > shortest[j] * size || !(first || size > largest[j])) continue;
            largest[j] = size;
            vertex.away_[j].reach = room / size;
            vertex.away_[j].leaving = variable;
            vertex.away_[j].to_upper = rate > 0;
        }
    });
}

std::unique_ptr<Vertex> VertexGraph::Data::vertex(std::vector<unsigned char> rests) const {
    auto made = std::make_unique<Vertex>();
    std::vector<std::size_t> basic_rows;
    for (std::size_t v = 0; v < columns + rows; ++v) {
        if (is(rests[v], Rest::free)) return nullptr;
        if (!is(rests[v], Rest::basic)) {
            made->nonbasic_.push_back(v);
        } else if (v < columns) {
            made->basic_.push_back(v);
        } else {
            basic_rows.push_back(v - columns);
        }
    }
    if (made->nonbasic_.size() != columns) return nullptr;
    made->rests_ = std::move(rests);
    std::vector<double> row_response;
    if (!solve_basis(*made, basic_rows, row_response)) return nullptr;
    if (!place(*made)) return nullptr;
    find_edges(*made, basic_rows, row_response);
    made->next_ = std::make_unique<std::atomic<const Vertex*>[]>(made->nonbasic_.size());
    const std::size_t doubles = made->response_.size() + made->primal_.size() +
                                made->row_activity_.size() + made->basic_.size() +
                                2 * made->nonbasic_.size();
    // A note is about as large as what a report says of each column.
    constexpr std::size_t overhead = 1024;
    made->bytes_ = overhead + doubles * sizeof(double) + made->away_.size() * sizeof(Vertex::Away) +
                   2 * made->rests_.size() + columns * 32;
    return made;
}

std::unique_ptr<VertexGraph::Store> VertexGraph::Data::new_store() const {
    auto store = std::make_unique<Store>();
    store->most_bytes = most_bytes;
    if (root_rests.empty()) return store;
    if (auto root = vertex(root_rests)) {
        store->root = root.get();
        store->bytes = root->bytes_;
        store->vertices.emplace(std::string(root_rests.begin(), root_rests.end()), std::move(root));
    }
    return store;
}

VertexGraph::VertexGraph(const LinearProgram& program, std::size_t most_bytes)
    : data_(std::make_unique<Data>(program)) {
    data_->most_bytes = most_bytes;
    if (program.has_integers()) {
        throw Error("the vertices of a program with integer columns say nothing about it");
    }
    const Solution solution = lp::solve(program);
    data_->status = solution.status;
    if (solution.status == Status::optimal) {
        for (const auto* part : {&solution.basis.columns, &solution.basis.rows}) {
            for (const Rest rest : *part) {
                data_->root_rests.push_back(static_cast<unsigned char>(rest));
            }
        }
    }
    data_->current = data_->new_store();
}

VertexGraph::~VertexGraph() = default;

Status VertexGraph::status() const {
    return data_->status;
}

std::size_t VertexGraph::made() const {
    return data_->vertices_made.load(std::memory_order_relaxed);
}

std::shared_ptr<const VertexGraph::Store> VertexGraph::store() const {
    const std::lock_guard lock(data_->mutex);
    if (data_->current->full.load(std::memory_order_relaxed)) data_->current = data_->new_store();
    return data_->current;
}

const Vertex* VertexGraph::follow(const Store& store, const Vertex& from, std::size_t edge) const {
    const Vertex::Away& away = from.away_[edge];
    std::vector<unsigned char> rests = from.rests_;
    if (away.leaving == none) {
        rests.clear();
    } else {
        rests[from.nonbasic_[edge]] = static_cast<unsigned char>(Rest::basic);
        const bool fixed = data_->lower[away.leaving] == data_->upper[away.leaving];
        rests[away.leaving] = static_cast<unsigned char>(fixed           ? Rest::fixed
                                                         : away.to_upper ? Rest::at_upper
                                                                         : Rest::at_lower);
    }
    std::string key(rests.begin(), rests.end());
    const Vertex* found = nullptr;
    {
        const std::lock_guard lock(store.mutex);
        const auto at = store.vertices.find(key);
        if (at != store.vertices.end()) found = at->second.get();
    }
    if (found == nullptr) {
        std::unique_ptr<const Vertex> made =
            rests.empty() ? nullptr : data_->vertex(std::move(rests));
        if (made != nullptr) {
            data_->vertices_made.fetch_add(1, std::memory_order_relaxed);
            const std::lock_guard lock(store.mutex);
            const auto [at, is_new] = store.vertices.emplace(std::move(key), std::move(made));
            found = at->second.get();
            if (is_new) store.bytes += found->bytes_;
            if (store.bytes > store.most_bytes) store.full.store(true, std::memory_order_relaxed);
        }
    }
    if (found == nullptr) found = &store.dead;
    from.next_[edge].store(found, std::memory_order_release);
    return found;
}

Repricer::Repricer(const VertexGraph& graph) : graph_(graph), store_(graph.store()) {}

bool Repricer::solve(std::span<const double> costs, Repriced& result) {
    if (store_->full.load(std::memory_order_relaxed)) store_ = graph_.store();
    const Vertex* vertex = store_->root;
    if (vertex == nullptr) return false;
    const std::size_t columns = costs.size();
    double largest_cost = 0;
    for (const double cost : costs)
        largest_cost = std::max(largest_cost, std::abs(cost));
    const double worth_it = step_size * largest_cost;
    const double tie = tie_tolerance * largest_cost;
    const auto most_steps = static_cast<int>(100 + 4 * vertex->rests_.size());
    constexpr int patience = 10;
    int standing = 0;
    bool tied = false;
    result.steps = 0;
    result.known = true;
    reduced_.resize(columns);
    while (true) {
        const std::size_t width = columns;  // as many variables are non-basic
        const auto& nonbasic = vertex->nonbasic_;
        for (std::size_t j = 0; j < width; ++j) {
            reduced_[j] = nonbasic[j] < columns ? costs[nonbasic[j]] : 0;
        }
        for (std::size_t b = 0; b < vertex->basic_.size(); ++b) {
            const double cost = costs[vertex->basic_[b]];
            const double* response = &vertex->response_[b * width];
            for (std::size_t j = 0; j < width; ++j)
                reduced_[j] += cost * response[j];
        }
        std::size_t edge = none;
        if (!tied) {
            edge = best_edge(*vertex, worth_it, standing > patience);
            tied = edge == none;
        }
        if (tied) edge = tied_edge(*vertex, tie, result.unique);
        if (edge == none) break;
        if (result.steps == most_steps) return false;
        standing = vertex->away_[edge].reach > 0 ? 0 : standing + 1;
        const Vertex* next = vertex->next_[edge].load(std::memory_order_acquire);
        if (next == nullptr) {
            result.known = false;
            next = graph_.follow(*store_, *vertex, edge);
        }
        if (next->basic_.empty() && next->nonbasic_.empty()) return false;
        vertex = next;
        ++result.steps;
    }
    result.vertex = vertex;
    return certify(costs, result);
}

// The edge along which the cost falls most; where none gets anywhere (several bases at one point)
// the steepest, or with `in_order` the first, so as not to go in circles. None at an optimum.
std::size_t Repricer::best_edge(const Vertex& vertex, double worth_it, bool in_order) const {
    std::size_t by_fall = none;
    std::size_t by_slope = none;
    std::size_t first = none;
    double most_fall = 0;
    double most_slope = worth_it;
    for (std::size_t j = 0; j < vertex.nonbasic_.size(); ++j) {
        const Vertex::Away& away = vertex.away_[j];
        const double slope = -away.direction * reduced_[j];
        if (slope <= worth_it) continue;
        if (first == none) first = j;
        const double fall = slope * away.reach;
        if (fall > most_fall) {
            most_fall = fall;
            by_fall = j;
        }
        if (slope > most_slope) {
            most_slope = slope;
            by_slope = j;
        }
    }
    if (by_fall != none) return by_fall;
    return in_order ? first : by_slope;
}

// Among optima: the first edge without a cost that leads to less of the last column; of those that
// leave it as it is, to less of the one before, and so on. None where no edge does.
std::size_t Repricer::tied_edge(const Vertex& vertex, double tie, bool& unique) const {
    constexpr double smallest_change = 1e-9;
    const std::size_t width = vertex.nonbasic_.size();
    unique = true;
    for (std::size_t j = 0; j < width; ++j) {
        const Vertex::Away& away = vertex.away_[j];
        if (away.direction == 0 || std::abs(reduced_[j]) > tie) continue;
        unique = false;
        if (away.leaving == none) continue;
        double change = 0;
        std::size_t last = 0;
        if (vertex.nonbasic_[j] < width) {
            change = away.direction;
            last = vertex.nonbasic_[j];
        }
        for (std::size_t b = vertex.basic_.size(); b-- > 0;) {
            const double response = away.direction * vertex.response_[b * width + j];
            if (std::abs(response) <= smallest_change) continue;
            if (change == 0 || vertex.basic_[b] > last) change = response;
            break;
        }
        if (change < 0) return j;
    }
    return none;
}

// lp::certify on what the vertex and the costs give, without what it would work out anew for every
// list of costs: the primal part, and the rows that are basic, whose duals are zero.
bool Repricer::certify(std::span<const double> costs, Repriced& result) {
    const Vertex& vertex = *result.vertex;
    const VertexGraph::Data& data = *graph_.data_;
    const std::size_t columns = data.columns;
    double largest_cost = 0;
    double cost_size = 0;
    result.objective = 0;
    result.reduced_cost.assign(costs.begin(), costs.end());
    result.row_dual.assign(data.rows, 0);
    for (std::size_t c = 0; c < columns; ++c) {
        const double part = costs[c] * vertex.primal_[c];
        result.objective += part;
        cost_size += std::abs(part);
        largest_cost = std::max(largest_cost, std::abs(costs[c]));
    }
    if (largest_cost == 0) largest_cost = 1;
    double dual_cost = 0;
    double residual = 0;
    const auto measure = [&](double multiplier, double size, double value, double lower,
                             double upper, double scale) {
        if (multiplier == 0) return;
        const double limit = multiplier > 0 ? lower : upper;
        if (!std::isinf(limit)) dual_cost += multiplier * limit;
        const double away = distance(multiplier, value, lower, upper, scale);
        residual = std::max(residual, std::min(size, away));
    };
    for (std::size_t j = 0; j < vertex.nonbasic_.size(); ++j) {
        if (vertex.nonbasic_[j] < columns) continue;
        const std::size_t r = vertex.nonbasic_[j] - columns;
        const double dual = reduced_[j] * data.row_scale[r];
        result.row_dual[r] = dual + 0.0;
        const double* row = &data.coefficients[r * columns];
        for (std::size_t c = 0; c < columns; ++c)
            result.reduced_cost[c] -= dual * row[c];
        measure(dual, std::abs(dual) * data.row_size[r] / largest_cost, vertex.row_activity_[r],
                data.row_lower[r], data.row_upper[r], data.row_size[r]);
    }
    for (std::size_t c = 0; c < columns; ++c) {
        const double reduced = result.reduced_cost[c];
        measure(reduced, std::abs(reduced) / largest_cost, vertex.primal_[c], data.lower[c],
                data.upper[c], 1);
    }
    // What should be zero is rounding, not a price.
    for (const std::size_t c : vertex.basic_)
        result.reduced_cost[c] = 0;
    result.certificate.primal_residual = vertex.primal_residual_;
    result.certificate.dual_residual = residual;
    result.certificate.duality_gap =
        std::abs(result.objective - dual_cost) / (largest_cost + cost_size);
    return result.certificate.holds(residual_size);
}

}  // namespace feedwright::lp
