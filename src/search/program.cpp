// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/program.hpp"

#include "base/diagnostics.hpp"
#include "base/normal.hpp"
#include "limits/chance.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::search {

namespace {

using Number = std::optional<double>;

bool is_fixed(const limits::Limit& limit) {
    return limit.min && limit.max && *limit.min == *limit.max;
}

// The only ingredient of a limit that can be a column's bound.
std::optional<std::size_t> single_ingredient(const limits::Limit& limit) {
    if (!limit.per.empty()) return std::nullopt;
    std::optional<std::size_t> only;
    for (std::size_t i = 0; i < limit.amount.size(); ++i) {
        if (limit.amount[i] == 0) continue;
        if (only || limit.amount[i] < 0) return std::nullopt;
        only = i;
    }
    return only;
}

// The id of the row of one side; no limit has such an id, whatever a user calls it.
std::string row_id(const limits::Limit& limit, bool is_min) {
    return (is_min ? "min " : "max ") + limit.id;
}

}  // namespace

FeedProgram::FeedProgram(const job::Job& job, std::vector<limits::Limit> limits)
    : job_(&job),
      portion_(job),
      limits_(std::make_shared<const std::vector<limits::Limit>>(std::move(limits))) {}

// ---- columns

void FeedProgram::add_amounts(bool priced) {
    for (const job::Choice& choice : job_->ingredients) {
        const std::size_t column =
            program_.add_column({choice.id, priced ? *choice.price : 0, 0.0, {}, false});
        amounts_.push_back({0, {{column, 1.0}}});
    }
    are_columns_ = true;
}

void FeedProgram::add_changes(const std::vector<double>& before) {
    for (std::size_t i = 0; i < before.size(); ++i) {
        const std::size_t in =
            program_.add_column({"in:" + job_->ingredients[i].id, 0.0, 0.0, {}, false});
        amounts_.push_back({before[i], {{in, 1.0}}});
    }
    for (std::size_t i = 0; i < before.size(); ++i) {
        const std::size_t out =
            program_.add_column({"out:" + job_->ingredients[i].id, 0.0, 0.0, before[i], false});
        amounts_[i].parts.push_back({out, -1.0});
    }
}

void FeedProgram::add_steps(lp::Column column, double kg, double base) {
    const std::size_t at = program_.add_column(std::move(column));
    amounts_.push_back({kg * base, {{at, kg}}});
    rows_scaled_ = true;
}

std::size_t FeedProgram::add_column(std::string id, double cost, Number lower, Number upper) {
    return program_.add_column({std::move(id), cost, lower, upper, false});
}

// ---- rows

std::size_t FeedProgram::add_row(std::string id, const std::vector<double>& coefficients,
                                 Number lower, Number upper, std::optional<Give> give) {
    lp::Row row{std::move(id), lower, upper, {}};
    long double at_base = 0;
    double largest = 0;
    for (std::size_t i = 0; i < coefficients.size(); ++i) {
        if (coefficients[i] == 0) continue;
        at_base += static_cast<long double>(coefficients[i]) * amounts_[i].base;
        for (const lp::Entry& part : amounts_[i].parts) {
            row.entries.push_back({part.column, coefficients[i] * part.value});
            largest = std::max(largest, std::abs(row.entries.back().value));
        }
    }
    const double scale = rows_scaled_ && largest > 0 ? 1 / largest : 1;
    for (lp::Entry& entry : row.entries)
        entry.value *= scale;
    for (Number* side : {&row.lower, &row.upper}) {
        if (*side) *side = static_cast<double>((**side - at_base) * scale);
    }
    if (give) {
        row.entries.push_back({give->column, (lower ? give->size : -give->size) * scale});
    }
    std::sort(row.entries.begin(), row.entries.end(),
              [](const lp::Entry& a, const lp::Entry& b) { return a.column < b.column; });
    return program_.add_row(std::move(row));
}

// The row of a limit, whatever the program: sum((amount[i] - number * per[i]) x[i]) against zero
// for a share, which therefore asks for one number; sum(amount[i] x[i]) against one or two
// otherwise.
std::size_t FeedProgram::add_limit_row(std::string id, const limits::Limit& limit, Number min,
                                       Number max, std::optional<Give> give) {
    std::vector<double> coefficients = limit.amount;
    if (!is_share(limit)) {
        const auto of_feed = [&](const Number& number) {
            return number ? Number(*number * *feed_kg_) : Number();
        };
        return add_row(std::move(id), coefficients, of_feed(min), of_feed(max), give);
    }
    const double number = min ? *min : *max;
    for (std::size_t i = 0; i < coefficients.size(); ++i) {
        const double part = number * (limit.per.empty() ? portion_.makes(i) : limit.per[i]);
        coefficients[i] -= part;
        // A difference that is all rounding is none, and would upset the solver's scaling.
        constexpr double rounding = 1e-14;
        if (std::abs(coefficients[i]) <= rounding * std::abs(part)) coefficients[i] = 0;
    }
    const auto zero = [](const Number& side) { return side ? Number(0.0) : Number(); };
    return add_row(std::move(id), coefficients, zero(min), zero(max), give);
}

std::vector<Place> FeedProgram::add_rows_of(const limits::Limit& limit) {
    std::vector<Place> places;
    const auto place = [&](std::size_t row, bool is_min) {
        places.push_back({{0, is_min}, is_fixed(limit), row, {}, 1});
    };
    if (!is_share(limit) || is_fixed(limit)) {
        const std::size_t row = add_limit_row(limit.id, limit, limit.min, limit.max);
        if (limit.min) place(row, true);
        if (limit.max && !is_fixed(limit)) place(row, false);
        return places;
    }
    if (limit.min) place(add_limit_row(row_id(limit, true), limit, limit.min, {}), true);
    if (limit.max) place(add_limit_row(row_id(limit, false), limit, {}, limit.max), false);
    return places;
}

std::vector<std::size_t> FeedProgram::add_other(const limits::Limit& limit) {
    std::vector<std::size_t> rows;
    for (const Place& place : add_rows_of(limit))
        rows.push_back(*place.row);
    return rows;
}

void FeedProgram::add_limit(std::size_t k) {
    const limits::Limit& limit = limits()[k];
    if (limit.advisory) return;
    // What is a share of a feed whose weight varies is no bound.
    const bool may_bound = are_columns_ && !is_share(limit);
    if (may_bound && limit.kind == limits::LimitKind::inclusion && add_bounds(k)) return;
    for (Place place : add_rows_of(limit)) {
        place.side.limit = k;
        places_.push_back(place);
    }
}

void FeedProgram::add_limits() {
    for (std::size_t k = 0; k < limits().size(); ++k)
        add_limit(k);
}

// Makes the limit a bound of its column; false when it is a row after all.
bool FeedProgram::add_bounds(std::size_t k) {
    const limits::Limit& limit = limits()[k];
    const auto column = single_ingredient(limit);
    if (!column || is_fixed(limit)) return false;
    const double size = limit.amount[*column];
    const lp::Column& now = program_.columns()[*column];
    const bool raises = limit.min && *limit.min / size > *now.lower;
    const bool lowers = limit.max && (!now.upper || *limit.max / size < *now.upper);
    const double lower = raises ? *limit.min / size : *now.lower;
    const Number upper = lowers ? Number(*limit.max / size) : now.upper;
    // Two limits that exclude each other stay apart as rows, so that the answer can name both.
    if (upper && lower > *upper) return false;
    program_.set_column_limits(*column, lower, upper);
    // A side that another one outdoes has no place of its own in the program.
    const auto take = [&](bool is_min) {
        const Place place{{k, is_min}, false, {}, column, size};
        const auto taken = std::find_if(places_.begin(), places_.end(), [&](const Place& other) {
            return other.column == column && other.side.is_min == is_min;
        });
        if (taken != places_.end()) {
            *taken = place;
        } else {
            places_.push_back(place);
        }
    };
    if (raises) take(true);
    if (lowers) take(false);
    return true;
}

std::size_t FeedProgram::add_side(const limits::Side& side, double number,
                                  std::optional<Give> give) {
    const limits::Limit& limit = limit_of(side);
    const auto before = std::count_if(places_.begin(), places_.end(),
                                      [&](const Place& other) { return other.side == side; });
    std::string id = row_id(limit, side.is_min);
    if (before > 0) id += ' ' + std::to_string(before + 1);
    const Number asked = number;
    const std::size_t row = add_limit_row(std::move(id), limit, side.is_min ? asked : Number(),
                                          side.is_min ? Number() : asked, give);
    places_.push_back({side, false, row, {}, 1});
    return row;
}

std::vector<limits::Side> FeedProgram::sure_sides() const {
    std::vector<limits::Side> sides;
    for (std::size_t k = 0; k < limits().size(); ++k) {
        const limits::Limit& limit = limits()[k];
        if (limit.advisory || limit.sure_percent.value_or(50) <= 50) continue;
        if (limit.min) sides.push_back({k, true});
        if (limit.max) sides.push_back({k, false});
    }
    return sides;
}

std::vector<lp::Cone> FeedProgram::cones() const {
    std::vector<lp::Cone> list;
    for (const limits::Side& side : sure_sides())
        list.push_back(cone_of(side));
    return list;
}

lp::Cone FeedProgram::cone_of(const limits::Side& side) const {
    const limits::Limit& limit = limit_of(side);
    const double number = limits::number_of(limit, side.is_min);
    const double sign = side.is_min ? 1 : -1;
    lp::Cone cone;
    cone.id = "sure " + row_id(limit, side.is_min);
    cone.weight = base::normal_quantile(*limit.sure_percent / 100);
    cone.lower = is_share(limit) ? 0 : sign * number * *feed_kg_;
    const std::vector<double> spreads = limits::spreads_of(*job_, limit, number);
    for (std::size_t i = 0; i < amounts_.size(); ++i) {
        double per = 0;
        if (is_share(limit)) per = limit.per.empty() ? portion_.makes(i) : limit.per[i];
        const double coefficient = sign * (limit.amount[i] - number * per);
        const Amount& amount = amounts_[i];
        cone.lower -= coefficient * amount.base;
        lp::Cone::Form form{{}, spreads[i] * amount.base};
        for (const lp::Entry& part : amount.parts) {
            cone.entries.push_back({part.column, coefficient * part.value});
            form.entries.push_back({part.column, spreads[i] * part.value});
        }
        if (spreads[i] > 0) cone.forms.push_back(std::move(form));
    }
    return cone;
}

void FeedProgram::add_distance(std::size_t i, double kg, double cost) {
    const std::string& id = job_->ingredients[i].id;
    const std::size_t above = add_column("above:" + id, cost);
    const std::size_t under = add_column("under:" + id, cost);
    program_.add_row({"near:" + id, kg, kg, {{i, 1.0}, {above, -1.0}, {under, 1.0}}});
}

std::size_t FeedProgram::add_use(const UseRule& rule) {
    const std::string& id = job_->ingredients[rule.ingredient].id;
    const Amount& amount = amounts_[rule.ingredient];
    const double unit = amount.parts.front().value;
    const std::size_t used = program_.add_column({"use:" + id, 0.0, 0.0, 1.0, true});
    std::vector<lp::Entry> entries;
    for (const lp::Entry& part : amount.parts)
        entries.push_back({part.column, part.value / unit});
    entries.push_back({used, 0.0});
    const double base = amount.base / unit;
    if (rule.least) {
        entries.back().value = -*rule.least;
        program_.add_row({"least:" + id, 0.0 - base, {}, entries});
    }
    entries.back().value = -rule.most;
    program_.add_row({"most:" + id, {}, 0.0 - base, std::move(entries)});
    uses_.push_back({rule.ingredient, used});
    return used;
}

std::size_t FeedProgram::add_count(std::string id, const std::vector<std::size_t>& uses,
                                   int at_most) {
    lp::Row row{std::move(id), {}, at_most, {}};
    for (const std::size_t used : uses)
        row.entries.push_back({used, 1.0});
    return program_.add_row(std::move(row));
}

bool FeedProgram::is_use_asked(std::size_t i) const {
    return job_->at_most || job_->ingredients[i].min_if_used;
}

void FeedProgram::add_uses(const std::function<double(std::size_t)>& most) {
    std::vector<std::size_t> counted;
    for (std::size_t i = 0; i < job_->ingredients.size(); ++i) {
        if (!is_use_asked(i)) continue;
        UseRule rule{i, {}, most(i)};
        if (const auto& least = job_->ingredients[i].min_if_used) {
            rule.least = *least / portion_.weight_per_kg();
        }
        counted.push_back(add_use(rule));
    }
    if (job_->at_most) count_row_ = add_count("at most", counted, *job_->at_most);
}

// ---- what is made of it

lp::LinearProgram FeedProgram::relaxed(
    const std::function<bool(const limits::Limit&)>& keep) const {
    std::vector<bool> kept(program_.rows().size(), true);
    for (const Place& place : places_) {
        if (place.row && !keep(limit_of(place.side))) kept[*place.row] = false;
    }
    lp::LinearProgram program;
    for (lp::Column column : program_.columns()) {
        column.cost = 0;
        column.integer = false;
        program.add_column(std::move(column));
    }
    for (std::size_t r = 0; r < kept.size(); ++r) {
        if (kept[r]) program.add_row(program_.rows()[r]);
    }
    return program;
}

lp::LinearProgram FeedProgram::relaxed() const {
    return relaxed([](const limits::Limit&) { return true; });
}

std::vector<double> FeedProgram::amounts_at(const std::vector<double>& primal) const {
    std::vector<double> x;
    for (const Amount& amount : amounts_) {
        x.push_back(amount.base);
        for (const lp::Entry& part : amount.parts)
            x.back() += part.value * primal[part.column];
    }
    return x;
}

namespace {

void require_prices(const job::Job& job) {
    base::Diagnostics diagnostics;
    for (const job::Choice& choice : job.ingredients) {
        if (choice.price) continue;
        diagnostics.add({job.file, "ingredient " + choice.id, "no price",
                         "a price per kg, in the job or in a price list",
                         "Add \"price\", or a line to the file given with --prices"});
    }
    diagnostics.throw_if_any();
}

[[noreturn]] void refuse_without_max(const job::Job& job, const job::Choice& choice) {
    throw base::DataError(base::Diagnostic{
        job.file, "ingredient " + choice.id,
        choice.min_if_used ? "a min_if_used and no max" : "no max",
        choice.min_if_used
            ? "a max in kg, because the total is free"
            : "a max in kg, because the total is free and the ingredients are counted",
        "Add the most that could be used"});
}

// Every row and bound of `program` as a row over y = t x and the new last column t.
lp::LinearProgram homogeneous(const lp::LinearProgram& from) {
    lp::LinearProgram program;
    for (const lp::Column& column : from.columns())
        program.add_column({column.id, 0.0, 0.0, {}, false});
    const std::size_t t = program.add_column({"scale", 0.0, 0.0, {}, false});
    const auto add = [&](const std::string& id, const std::vector<lp::Entry>& entries,
                         const Number& lower, const Number& upper) {
        const auto side = [&](const std::string& name, double number, bool is_lower) {
            lp::Row row{name, is_lower ? Number(0.0) : Number(), is_lower ? Number() : Number(0.0),
                        entries};
            if (number != 0) row.entries.push_back({t, -number});
            program.add_row(std::move(row));
        };
        if (lower) side("low " + id, *lower, true);
        if (upper) side("high " + id, *upper, false);
    };
    for (const lp::Row& row : from.rows())
        add(row.id, row.entries, row.lower, row.upper);
    for (std::size_t c = 0; c < from.columns().size(); ++c) {
        const lp::Column& column = from.columns()[c];
        const bool positive = column.lower && *column.lower > 0;
        add("column " + column.id, {{c, 1.0}}, positive ? column.lower : std::nullopt,
            column.upper);
    }
    return program;
}

// The value at the best point of a program with whole numbers, when `share` of the whole is taken
// off the amounts.
Number value_at_best(lp::LinearProgram& program, const limits::Limit& limit,
                     const std::vector<double>& amounts, double share, bool largest,
                     const lp::SolveOptions& options) {
    for (std::size_t i = 0; i < amounts.size(); ++i) {
        const double gain = amounts[i] - (limit.per.empty() ? 0 : share * limit.per[i]);
        program.set_cost(i, largest ? -gain : gain);
    }
    const lp::Solution solution = lp::solve(program, options);
    if (solution.status != lp::Status::optimal) return std::nullopt;
    return limits::value_of(
        limit, {solution.primal.begin(),
                solution.primal.begin() + static_cast<std::ptrdiff_t>(amounts.size())});
}

// Each step of Dinkelbach's is nearer to the best share, and the last is it.
Number extreme_of_whole(lp::LinearProgram program, const limits::Limit& limit, bool largest,
                        const lp::SolveOptions& options) {
    if (limit.per.empty()) return value_at_best(program, limit, limit.amount, 0, largest, options);
    Number best = value_at_best(program, limit, limit.per, 0, largest, options);
    constexpr int most_steps = 50;
    for (int step = 0; best && step < most_steps; ++step) {
        const Number next = value_at_best(program, limit, limit.amount, *best, largest, options);
        const double gain = next ? (largest ? *next - *best : *best - *next) : 0;
        if (gain <= 1e-10 * std::abs(*best)) break;
        best = next;
    }
    return best;
}

}  // namespace

FeedProgram cheapest_program(const job::Job& job) {
    require_prices(job);
    FeedProgram program(job, limits::limits_of(job));
    program.add_amounts(true);
    program.add_limits();
    program.add_uses([&](std::size_t i) {
        const auto& upper = program.program().columns()[i].upper;
        const auto most = upper ? upper : job::Portion(job).most_of(i);
        if (!most) refuse_without_max(job, job.ingredients[i]);
        return *most;
    });
    return program;
}

job::Job with_any_prices(job::Job job) {
    for (job::Choice& choice : job.ingredients)
        choice.price = choice.price.value_or(0);
    return job;
}

lp::LinearProgram hold_integers(lp::LinearProgram program, const std::vector<double>& values) {
    for (std::size_t c = 0; c < program.columns().size(); ++c) {
        if (!program.columns()[c].integer) continue;
        program.set_integer(c, false);
        program.set_column_limits(c, std::round(values[c]), std::round(values[c]));
    }
    return program;
}

std::optional<double> extreme(const lp::LinearProgram& program, const limits::Limit& limit,
                              bool largest, const lp::SolveOptions& options) {
    if (program.has_integers()) return extreme_of_whole(program, limit, largest, options);
    lp::LinearProgram priced = limit.per.empty() ? program : homogeneous(program);
    if (!limit.per.empty()) {
        lp::Row whole{"share of", 1.0, 1.0, {}};
        for (std::size_t i = 0; i < limit.per.size(); ++i) {
            if (limit.per[i] != 0) whole.entries.push_back({i, limit.per[i]});
        }
        priced.add_row(std::move(whole));
    }
    for (std::size_t i = 0; i < limit.amount.size(); ++i)
        priced.set_cost(i, largest ? -limit.amount[i] : limit.amount[i]);
    const lp::Solution solution = lp::solve(priced);
    if (solution.status != lp::Status::optimal) return std::nullopt;
    return largest ? -solution.objective : solution.objective;
}

}  // namespace feedwright::search
