// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/repricer.hpp"

#include "base/dense.hpp"
#include "base/diagnostics.hpp"
#include "lp/solver.hpp"
#include "lp/ties.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <unordered_map>
#include <utility>

namespace feedwright::lp {

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::size_t none = std::numeric_limits<std::size_t>::max();

// In scaled rows and kg, multipliers over the costs of what is used (cost_size()).
constexpr double worth_a_step = 1e-12;  // a reduced cost that is worth leaving a limit for
constexpr double ratio_slack = 1e-12;   // what counts as the same ratio
constexpr double least_pivot = 1e-9;
constexpr double most_residual = 1e-9;
// The margin of a clear optimum. Rounding is a hundred thousand times smaller, so that no other
// basis can pass for optimal beside one that has it.
constexpr double clear_margin = 1e-7;
// Rounding piles up from pivot to pivot; a tableau is worked out anew after so many.
constexpr int fresh_for = 100;

bool is(unsigned char rest, Rest wanted) {
    return rest == static_cast<unsigned char>(wanted);
}

unsigned char to_byte(Rest rest) {
    return static_cast<unsigned char>(rest);
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

double cost_at(std::span<const double> costs, const std::vector<double>& point) {
    double sum = 0;
    for (std::size_t c = 0; c < costs.size(); ++c)
        sum += costs[c] * point[c];
    return sum;
}

// A vertex of the feasible region as one basis describes it: what does not depend on costs.
struct Vertex {
    std::vector<unsigned char> rests;        // Rest of every column, then of every row
    std::vector<std::size_t> basic_columns;  // as many as there are
    std::vector<std::size_t> resting_rows;   // of these
    std::vector<double> inverse;  // of the basic columns within the (scaled) resting rows
    std::vector<double> primal;
    std::vector<double> row_activity;
    double primal_residual = 0;
    bool clear = false;  // no basic variable is near a limit of its own: one basis describes it
    std::shared_ptr<const void> note;
};

struct Data;

// A resting variable that can be left, by its place in a tableau, and what happens then.
struct Edge {
    std::size_t column = none;
    double direction = 0;    // +1 up from a lower limit, -1 down from an upper
    double reach = 0;        // until something stops it
    std::size_t row = none;  // of the basic variable that does; none: its own other limit
    bool to_upper = false;   // whether that variable ends on its upper limit
};

// Variables are counted columns first, then rows; the variable of a row is its activity, times the
// row's scale.
struct Tableau {
    std::vector<unsigned char> rests;   // Rest of every variable
    std::vector<std::size_t> basic;     // as many as there are rows
    std::vector<std::size_t> nonbasic;  // as many as there are columns
    std::vector<double> response;       // change of basic[i] per unit of nonbasic[j]; by i
    std::vector<double> value;          // of basic[i]
    std::vector<double> reduced;        // cost per unit of nonbasic[j]
    std::vector<double> point;          // value of every column, for size_of()
    int age = 0;                        // pivots since it was worked out from the basis

    void find_reduced(std::span<const double> costs);
    double size_of(std::span<const double> costs, const Data& data);
    Edge edge(const Data& data, std::size_t column) const;
    Edge falling_edge(const Data& data, double worth_it, bool in_order) const;
    Edge tied_edge(const Data& data, double tie) const;
    void follow(const Data& data, const Edge& edge);
};

// The program as dense arrays.
struct Data {
    explicit Data(const LinearProgram& program);

    bool split(const std::vector<unsigned char>& rests, Vertex& vertex,
               std::vector<std::size_t>& basic_rows) const;
    std::unique_ptr<Vertex> vertex(std::vector<unsigned char> rests) const;
    bool place(Vertex& vertex) const;
    bool is_clear(const Vertex& vertex, const std::vector<std::size_t>& basic_rows) const;
    std::unique_ptr<Tableau> tableau(const std::vector<unsigned char>& rests) const;

    double rest_value(std::size_t variable, unsigned char rest) const {
        return is(rest, Rest::at_upper) ? upper[variable] : lower[variable];
    }
    double activity(const std::vector<double>& matrix, std::size_t row,
                    const std::vector<double>& point) const {
        double sum = 0;
        for (std::size_t c = 0; c < columns; ++c)
            sum += matrix[row * columns + c] * point[c];
        return sum;
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
    Status status = Status::failed;
    std::unique_ptr<const Tableau> root;
    std::vector<double> root_point;
};

Data::Data(const LinearProgram& program)
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

// Which columns are basic, which rows rest, and which are basic. False for what is no basis, or one
// in which something rests without a limit.
bool Data::split(const std::vector<unsigned char>& rests, Vertex& vertex,
                 std::vector<std::size_t>& basic_rows) const {
    for (std::size_t v = 0; v < columns + rows; ++v) {
        if (is(rests[v], Rest::free)) return false;
        const bool basic = is(rests[v], Rest::basic);
        if (v < columns) {
            if (basic) vertex.basic_columns.push_back(v);
        } else {
            (basic ? basic_rows : vertex.resting_rows).push_back(v - columns);
        }
    }
    return vertex.basic_columns.size() == vertex.resting_rows.size();
}

std::unique_ptr<Vertex> Data::vertex(std::vector<unsigned char> rests) const {
    auto made = std::make_unique<Vertex>();
    std::vector<std::size_t> basic_rows;
    if (!split(rests, *made, basic_rows)) return nullptr;
    made->rests = std::move(rests);
    const std::size_t size = made->basic_columns.size();
    std::vector<double> basis(size * size);
    for (std::size_t i = 0; i < size; ++i) {
        const double* row = &scaled[made->resting_rows[i] * columns];
        for (std::size_t b = 0; b < size; ++b)
            basis[i * size + b] = row[made->basic_columns[b]];
    }
    auto inverse = base::inverse(std::move(basis), size, least_pivot);
    if (!inverse) return nullptr;
    made->inverse = std::move(*inverse);
    if (!place(*made)) return nullptr;
    made->clear = is_clear(*made, basic_rows);
    return made;
}

// The values of all variables; false when they do not keep to the limits.
bool Data::place(Vertex& vertex) const {
    const std::size_t size = vertex.basic_columns.size();
    vertex.primal.assign(columns, 0);
    for (std::size_t c = 0; c < columns; ++c) {
        const unsigned char rest = vertex.rests[c];
        if (!is(rest, Rest::basic)) vertex.primal[c] = rest_value(c, rest);
    }
    // From the resting columns alone, then twice from what is left over.
    constexpr int rounds = 3;
    std::vector<double> missing(size);
    for (int round = 0; round < rounds; ++round) {
        for (std::size_t i = 0; i < size; ++i) {
            const std::size_t r = vertex.resting_rows[i];
            missing[i] = rest_value(columns + r, vertex.rests[columns + r]) -
                         activity(scaled, r, vertex.primal);
        }
        for (std::size_t b = 0; b < size; ++b) {
            double change = 0;
            for (std::size_t i = 0; i < size; ++i)
                change += vertex.inverse[b * size + i] * missing[i];
            vertex.primal[vertex.basic_columns[b]] += change;
        }
    }
    vertex.primal_residual = 0;
    for (std::size_t c = 0; c < columns; ++c) {
        vertex.primal_residual =
            std::max(vertex.primal_residual, violation(vertex.primal[c], lower[c], upper[c], 1));
    }
    vertex.row_activity.resize(rows);
    for (std::size_t r = 0; r < rows; ++r) {
        const double value = activity(coefficients, r, vertex.primal);
        if (!std::isfinite(value)) return false;
        vertex.row_activity[r] = value;
        vertex.primal_residual = std::max(
            vertex.primal_residual, violation(value, row_lower[r], row_upper[r], row_size[r]));
    }
    return vertex.primal_residual <= most_residual;
}

bool Data::is_clear(const Vertex& vertex, const std::vector<std::size_t>& basic_rows) const {
    const auto inside = [&](std::size_t variable, double value) {
        return value - lower[variable] > clear_margin && upper[variable] - value > clear_margin;
    };
    return std::all_of(vertex.basic_columns.begin(), vertex.basic_columns.end(),
                       [&](std::size_t c) { return inside(c, vertex.primal[c]); }) &&
           std::all_of(basic_rows.begin(), basic_rows.end(), [&](std::size_t r) {
               return inside(columns + r, vertex.row_activity[r] * row_scale[r]);
           });
}

std::unique_ptr<Tableau> Data::tableau(const std::vector<unsigned char>& rests) const {
    const std::unique_ptr<Vertex> at = vertex(rests);
    if (!at) return nullptr;
    auto made = std::make_unique<Tableau>();
    made->rests = rests;
    const std::size_t size = at->basic_columns.size();
    for (std::size_t v = 0; v < columns + rows; ++v) {
        (is(rests[v], Rest::basic) ? made->basic : made->nonbasic).push_back(v);
    }
    made->response.assign(rows * columns, 0);
    made->reduced.assign(columns, 0);
    // Basic columns: inverse x (resting row - resting columns within it).
    for (std::size_t b = 0; b < size; ++b) {
        double* response = &made->response[b * columns];
        for (std::size_t i = 0; i < size; ++i) {
            const double factor = at->inverse[b * size + i];
            const double* row = &scaled[at->resting_rows[i] * columns];
            std::size_t j = 0;
            for (; j < columns && made->nonbasic[j] < columns; ++j)
                response[j] -= factor * row[made->nonbasic[j]];
            response[j + i] += factor;
        }
        made->value.push_back(at->primal[at->basic_columns[b]]);
    }
    // Basic rows: their coefficients times how the columns respond.
    for (std::size_t k = size; k < rows; ++k) {
        const std::size_t r = made->basic[k] - columns;
        const double* row = &scaled[r * columns];
        double* response = &made->response[k * columns];
        for (std::size_t j = 0; j < columns && made->nonbasic[j] < columns; ++j)
            response[j] = row[made->nonbasic[j]];
        for (std::size_t b = 0; b < size; ++b) {
            const double factor = row[at->basic_columns[b]];
            if (factor == 0) continue;
            const double* column = &made->response[b * columns];
            for (std::size_t j = 0; j < columns; ++j)
                response[j] += factor * column[j];
        }
        made->value.push_back(at->row_activity[r] * row_scale[r]);
    }
    return made;
}

void Tableau::find_reduced(std::span<const double> costs) {
    const std::size_t columns = nonbasic.size();
    for (std::size_t j = 0; j < columns; ++j)
        reduced[j] = nonbasic[j] < columns ? costs[nonbasic[j]] : 0;
    for (std::size_t i = 0; i < basic.size(); ++i) {
        if (basic[i] >= columns) continue;
        const double cost = costs[basic[i]];
        const double* row = &response[i * columns];
        for (std::size_t j = 0; j < columns; ++j)
            reduced[j] += cost * row[j];
    }
}

// What costs are measured by where the tableau stands.
double Tableau::size_of(std::span<const double> costs, const Data& data) {
    const std::size_t columns = nonbasic.size();
    point.assign(columns, 0);
    for (std::size_t j = 0; j < columns; ++j) {
        if (nonbasic[j] < columns)
            point[nonbasic[j]] = data.rest_value(nonbasic[j], rests[nonbasic[j]]);
    }
    for (std::size_t i = 0; i < basic.size(); ++i) {
        if (basic[i] < columns) point[basic[i]] = value[i];
    }
    return cost_size(costs, point);
}

// The ratio test, twice over the basic variables: the shortest reach with a little slack, then the
// largest pivot within it, the one of the lowest number where they are equal.
Edge Tableau::edge(const Data& data, std::size_t column) const {
    const std::size_t columns = nonbasic.size();
    const std::size_t variable = nonbasic[column];
    Edge found;
    found.column = column;
    found.direction = is(rests[variable], Rest::at_upper) ? -1 : 1;
    const auto each = [&](const auto& visit) {
        const double* rate = &response[column];
        for (std::size_t i = 0; i < basic.size(); ++i, rate += columns) {
            const double speed = found.direction * *rate;
            if (std::abs(speed) < least_pivot) continue;
            const bool up = speed > 0;
            const double room =
                up ? data.upper[basic[i]] - value[i] : value[i] - data.lower[basic[i]];
            visit(i, std::max(room, 0.0), std::abs(speed), up);
        }
    };
    double shortest = infinity;
    each([&](std::size_t, double room, double speed, bool) {
        shortest = std::min(shortest, (room + ratio_slack) / speed);
    });
    found.reach = data.upper[variable] - data.lower[variable];
    if (std::isinf(shortest) || found.reach <= shortest) return found;
    double largest = 0;
    each([&](std::size_t i, double room, double speed, bool up) {
        // Divided as above: a large room is no longer than itself only so.
        if (room / speed > shortest || speed < largest) return;
        if (speed == largest && basic[i] > basic[found.row]) return;
        largest = speed;
        found.reach = room / speed;
        found.row = i;
        found.to_upper = up;
    });
    return found;
}

// The steepest edge (looking along others for the one that falls most takes more time than the
// pivots it saves); with `in_order` that of the lowest variable (Bland), so as not to go in circles
// where several bases share a point.
Edge Tableau::falling_edge(const Data& data, double worth_it, bool in_order) const {
    std::size_t chosen = none;
    double steepest = worth_it;
    for (std::size_t j = 0; j < nonbasic.size(); ++j) {
        const std::size_t variable = nonbasic[j];
        const double slope = is(rests[variable], Rest::at_upper) ? reduced[j] : -reduced[j];
        if (slope <= worth_it || data.lower[variable] == data.upper[variable]) continue;
        const bool lower_one = chosen == none || variable < nonbasic[chosen];
        const bool better =
            in_order ? lower_one : slope > steepest || (slope == steepest && lower_one);
        if (!better) continue;
        steepest = slope;
        chosen = j;
    }
    return chosen == none ? Edge{} : edge(data, chosen);
}

// Among optima: an edge without a cost that leads to less of the last column; of those that leave
// it as it is, to less of the one before, and so on.
Edge Tableau::tied_edge(const Data& data, double tie) const {
    constexpr double smallest_change = 1e-9;
    const std::size_t columns = nonbasic.size();
    for (std::size_t j = 0; j < columns; ++j) {
        const std::size_t variable = nonbasic[j];
        if (data.lower[variable] == data.upper[variable] || std::abs(reduced[j]) > tie) continue;
        const double direction = is(rests[variable], Rest::at_upper) ? -1 : 1;
        double change = variable < columns ? direction : 0;
        std::size_t last = variable < columns ? variable : 0;
        for (std::size_t i = 0; i < basic.size(); ++i) {
            const double speed = direction * response[i * columns + j];
            if (basic[i] >= columns || std::abs(speed) <= smallest_change) continue;
            if (change == 0 || basic[i] > last) {
                change = speed;
                last = basic[i];
            }
        }
        if (change < 0) return edge(data, j);
    }
    return {};
}

void Tableau::follow(const Data& data, const Edge& edge) {
    const std::size_t columns = nonbasic.size();
    const std::size_t entering = nonbasic[edge.column];
    const double step = edge.direction * edge.reach;
    for (std::size_t i = 0; i < basic.size(); ++i)
        value[i] += step * response[i * columns + edge.column];
    const double begun = data.rest_value(entering, rests[entering]);
    if (edge.row == none) {
        rests[entering] = to_byte(edge.direction > 0 ? Rest::at_upper : Rest::at_lower);
        return;
    }
    const std::size_t leaving = basic[edge.row];
    double* pivot_row = &response[edge.row * columns];
    const double pivot = pivot_row[edge.column];
    // entering = (leaving - the rest of its row) / pivot
    for (std::size_t j = 0; j < columns; ++j)
        pivot_row[j] /= -pivot;
    pivot_row[edge.column] = 1 / pivot;
    const auto exchange = [&](double* row) {
        const double factor = row[edge.column];
        if (factor == 0) return;
        row[edge.column] = 0;
        for (std::size_t j = 0; j < columns; ++j)
            row[j] += factor * pivot_row[j];
    };
    for (std::size_t i = 0; i < basic.size(); ++i) {
        if (i != edge.row) exchange(&response[i * columns]);
    }
    exchange(reduced.data());
    basic[edge.row] = entering;
    nonbasic[edge.column] = leaving;
    value[edge.row] = begun + step;
    rests[entering] = to_byte(Rest::basic);
    const bool fixed = data.lower[leaving] == data.upper[leaving];
    rests[leaving] = to_byte(fixed ? Rest::fixed : edge.to_upper ? Rest::at_upper : Rest::at_lower);
    ++age;
}

// What Repricers share, and where their walks start.
std::shared_ptr<const Data> prepared(const LinearProgram& program) {
    if (program.has_integers()) {
        throw Error("the vertices of a program with integer columns say nothing about it");
    }
    auto data = std::make_shared<Data>(program);
    const Solution solution = lp::solve(program);
    data->status = solution.status;
    if (solution.status != Status::optimal) return data;
    std::vector<unsigned char> rests;
    for (const auto* part : {&solution.basis.columns, &solution.basis.rows}) {
        for (const Rest rest : *part)
            rests.push_back(to_byte(rest));
    }
    data->root = data->tableau(rests);
    if (data->root) data->root_point = data->vertex(rests)->primal;
    return data;
}

}  // namespace

// The walk from vertex to vertex along edges of the region.
//
// Costs are in no limit, so all of a vertex but its price is the same for any costs. It is worked
// out once, from its basis alone, and kept.
//
// The walk begins where the last one ended, or at the first vertex if that costs less. Its end
// counts at once when it is clear: the only optimal vertex, described by only one basis, both by a
// margin far above rounding, so that any walk ends there. Otherwise the walk is made again from the
// first vertex, and then depends on nothing but the costs.
struct Repricer::State {
    State(std::shared_ptr<const Data> shared, std::size_t most)
        : data_(std::move(shared)), most_bytes_(most), now_(std::make_unique<Tableau>()) {}

    bool solve(std::span<const double> costs, Repriced& result);

    enum class End { clear, unclear, none };

    Vertex* find(bool& known);
    End walk(std::span<const double> costs, bool settle, Repriced& result);
    bool reach_optimum(std::span<const double> costs, bool settle, int& pivots);
    bool price(std::span<const double> costs, Repriced& result, bool& clear);

    std::shared_ptr<const Data> data_;
    std::size_t most_bytes_;
    std::size_t bytes_ = 0;                                              // of the vertices, about
    std::unordered_map<std::string, std::unique_ptr<Vertex>> vertices_;  // by their rests
    std::unique_ptr<Tableau> now_;  // where the last walk ended
    Vertex* last_ = nullptr;        // the vertex there, if it is clear
    Vertex* at_ = nullptr;          // the vertex that is being priced
    bool settled_ = false;          // the walk followed edges without a cost
    std::vector<double> duals_;
};

Repricer::Repricer(const LinearProgram& program, std::size_t most_bytes)
    : Repricer(std::make_unique<State>(prepared(program), most_bytes)) {}

Repricer::Repricer(std::unique_ptr<State> state) : state_(std::move(state)) {}

Repricer::~Repricer() = default;
Repricer::Repricer(Repricer&&) noexcept = default;

Repricer Repricer::another() const {
    return Repricer(std::make_unique<State>(state_->data_, state_->most_bytes_));
}

Status Repricer::status() const {
    return state_->data_->status;
}

bool Repricer::solve(std::span<const double> costs, Repriced& result) {
    return state_->solve(costs, result);
}

bool Repricer::State::solve(std::span<const double> costs, Repriced& result) {
    if (!data_->root) return false;
    if (bytes_ > most_bytes_) {
        last_ = nullptr;
        bytes_ = 0;
        vertices_.clear();
    }
    result.pivots = 0;
    result.known = true;
    if (last_ != nullptr && cost_at(costs, last_->primal) < cost_at(costs, data_->root_point)) {
        if (walk(costs, false, result) == End::clear) return true;
        result.pivots = 0;
        result.known = true;
    }
    // From here on nothing but the costs decides.
    *now_ = *data_->root;
    const End end = walk(costs, true, result);
    // A walk from an unclear vertex would be for nothing.
    if (end != End::clear) last_ = nullptr;
    return end != End::none;
}

// From where the tableau stands to an optimum, and what it costs there. With `settle`, on to the
// optimum that the rule for ties names.
Repricer::State::End Repricer::State::walk(std::span<const double> costs, bool settle,
                                           Repriced& result) {
    constexpr int most_rounds = 4;
    for (int round = 0; round < most_rounds; ++round) {
        Vertex* before = last_;
        const int pivots = result.pivots;
        last_ = nullptr;
        settled_ = false;
        if (!reach_optimum(costs, settle, result.pivots)) return End::none;
        const bool moved = result.pivots != pivots || round > 0 || settle || before == nullptr;
        at_ = moved ? find(result.known) : before;
        if (at_ == nullptr) return End::none;
        bool clear = false;
        if (price(costs, result, clear)) {
            result.primal = at_->primal;
            result.row_activity = at_->row_activity;
            result.note = &at_->note;
            if (at_->clear) last_ = at_;
            return clear ? End::clear : End::unclear;
        }
        // Rounding of the tableau hid that the cost can still fall.
        now_ = data_->tableau(now_->rests);
        if (!now_) break;
    }
    if (!now_) now_ = std::make_unique<Tableau>();
    return End::none;
}

// The vertex of the tableau's basis; nullptr if there is none.
Vertex* Repricer::State::find(bool& known) {
    std::string key(now_->rests.begin(), now_->rests.end());
    const auto at = vertices_.find(key);
    if (at != vertices_.end()) return at->second.get();
    known = false;
    std::unique_ptr<Vertex> made = data_->vertex(now_->rests);
    if (!made) return nullptr;
    // A note is about as large as what a report says of each column.
    constexpr std::size_t overhead = 1024;
    constexpr std::size_t note = 32;
    bytes_ += overhead + 2 * key.size() + data_->columns * note +
              sizeof(double) * (made->inverse.size() + 2 * made->basic_columns.size() +
                                data_->columns + data_->rows);
    return vertices_.emplace(std::move(key), std::move(made)).first->second.get();
}

// The primal simplex method on the tableau. False when there is no end to it.
bool Repricer::State::reach_optimum(std::span<const double> costs, bool settle, int& pivots) {
    const auto most_pivots = static_cast<int>(200 + 10 * (data_->columns + data_->rows));
    constexpr int patience = 20;
    int standing = 0;
    bool tied = false;
    now_->find_reduced(costs);
    double size = now_->size_of(costs, *data_);
    double worked_out_at = size;  // the costs that the reduced costs carry the rounding of
    while (true) {
        if (now_->age >= fresh_for) {
            now_ = data_->tableau(now_->rests);
            if (!now_) {
                now_ = std::make_unique<Tableau>();
                return false;
            }
            now_->find_reduced(costs);
            worked_out_at = size;
        }
        Edge edge;
        if (!tied) {
            edge = now_->falling_edge(*data_, worth_a_step * size, standing > patience);
            if (edge.column == none && worked_out_at > size) {
                // What is used has become cheaper by far: so must the rounding of its prices.
                now_->find_reduced(costs);
                worked_out_at = size;
                edge = now_->falling_edge(*data_, worth_a_step * size, standing > patience);
            }
            tied = edge.column == none;
        }
        if (tied && settle) {
            edge = now_->tied_edge(*data_, tie_tolerance * size);
            if (edge.column != none) settled_ = true;
        }
        if (edge.column == none) return true;
        if (!std::isfinite(edge.reach) || ++pivots > most_pivots) return false;
        standing = edge.reach > 0 ? 0 : standing + 1;
        now_->follow(*data_, edge);
        size = now_->size_of(costs, *data_);
        worked_out_at = std::max(worked_out_at, size);
    }
}

// Duals from the vertex's own inverse, everything else from the program's own data: lp::certify
// without what it would work out anew for every list of costs, the primal part. False when the cost
// could still fall by a step, or the certificate does not hold. `clear` as State says.
bool Repricer::State::price(std::span<const double> costs, Repriced& result, bool& clear) {
    const Vertex& vertex = *at_;
    const std::size_t columns = data_->columns;
    const std::size_t size = vertex.basic_columns.size();
    const double scale = cost_size(costs, vertex.primal);
    result.reduced_cost.assign(costs.begin(), costs.end());
    result.row_dual.assign(data_->rows, 0);
    duals_.assign(size, 0);
    for (std::size_t b = 0; b < size; ++b) {
        const double cost = costs[vertex.basic_columns[b]];
        const double* row = &vertex.inverse[b * size];
        for (std::size_t i = 0; i < size; ++i)
            duals_[i] += cost * row[i];
    }
    result.objective = 0;
    double cost_moved = 0;
    for (std::size_t c = 0; c < columns; ++c) {
        const double part = costs[c] * vertex.primal[c];
        result.objective += part;
        cost_moved += std::abs(part);
    }
    double dual_cost = 0;
    double residual = 0;
    const auto measure = [&](double multiplier, double relative, double value, double lower,
                             double upper, double limit_scale) {
        if (multiplier == 0) return;
        const double limit = multiplier > 0 ? lower : upper;
        double away = infinity;
        if (!std::isinf(limit)) {
            dual_cost += multiplier * limit;
            away = std::abs(value - limit) / (limit_scale + std::abs(limit));
        }
        residual = std::max(residual, std::min(relative, away));
    };
    // Edges that were followed because of a tie may have cost up to its tolerance.
    const double allowed = settled_ ? tie_tolerance : 10 * worth_a_step;
    clear = vertex.clear;
    result.unique = true;
    bool optimal = true;
    // How a multiplier, over the costs of what is used, bears on leaving the limit it belongs to.
    const auto judge = [&](std::size_t variable, double multiplier) {
        if (data_->lower[variable] == data_->upper[variable]) return;
        const bool at_upper = is(vertex.rests[variable], Rest::at_upper);
        const double rise = at_upper ? -multiplier : multiplier;
        if (rise < -allowed) optimal = false;
        if (std::abs(rise) <= tie_tolerance) result.unique = false;
        if (rise < clear_margin) clear = false;
    };
    for (std::size_t i = 0; i < size; ++i) {
        const std::size_t r = vertex.resting_rows[i];
        const double dual = duals_[i] * data_->row_scale[r];
        result.row_dual[r] = dual + 0.0;
        const double* row = &data_->coefficients[r * columns];
        for (std::size_t c = 0; c < columns; ++c)
            result.reduced_cost[c] -= dual * row[c];
        judge(columns + r, dual * data_->row_size[r] / scale);
        measure(dual, std::abs(dual) * data_->row_size[r] / scale, vertex.row_activity[r],
                data_->row_lower[r], data_->row_upper[r], data_->row_size[r]);
    }
    for (std::size_t c = 0; c < columns; ++c) {
        const double reduced = result.reduced_cost[c];
        if (!is(vertex.rests[c], Rest::basic)) judge(c, reduced / scale);
        measure(reduced, std::abs(reduced) / scale, vertex.primal[c], data_->lower[c],
                data_->upper[c], 1);
    }
    // What should be zero is rounding, not a price.
    for (const std::size_t c : vertex.basic_columns)
        result.reduced_cost[c] = 0;
    result.certificate.primal_residual = vertex.primal_residual;
    result.certificate.dual_residual = residual;
    result.certificate.duality_gap = std::abs(result.objective - dual_cost) / (scale + cost_moved);
    return optimal && result.certificate.holds(most_residual);
}

}  // namespace feedwright::lp
