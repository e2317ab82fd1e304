// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/model.hpp"

#include "base/diagnostics.hpp"
#include "job/portion.hpp"
#include "limits/limit_rows.hpp"

#include <fmt/format.h>

#include <utility>

namespace feedwright::search {

namespace {

// Tightest limits of one column so far, and the sides they come from.
struct Bounds {
    std::optional<double> lower;
    std::optional<double> upper;
    std::optional<std::size_t> lower_side;
    std::optional<std::size_t> upper_side;
};

class ModelBuilder {
  public:
    explicit ModelBuilder(const job::Job& job)
        : job_(job), portion_(job), bounds_(job.ingredients.size()) {}

    Model build() {
        require_prices();
        model_.limits = limits::limits_of(job_);
        add_columns();
        for (std::size_t k = 0; k < model_.limits.size(); ++k)
            add_limit(k);
        for (std::size_t i = 0; i < bounds_.size(); ++i) {
            const double lower = bounds_[i].lower.value_or(0);
            model_.program.set_column_limits(i, lower, bounds_[i].upper);
        }
        add_uses();
        return std::move(model_);
    }

  private:
    void require_prices() const {
        base::Diagnostics diagnostics;
        for (const job::Choice& choice : job_.ingredients) {
            if (choice.price) continue;
            diagnostics.add({job_.file, "ingredient " + choice.id, "no price",
                             "a price per kg, in the job or in a price list",
                             "Add \"price\", or a line to the file given with --prices"});
        }
        diagnostics.throw_if_any();
    }

    void add_columns() {
        for (const job::Choice& choice : job_.ingredients) {
            lp::Column column;
            column.id = choice.id;
            column.cost = *choice.price;
            model_.program.add_column(std::move(column));
        }
    }

    // The only ingredient of a limit that can be a column's bound.
    static std::optional<std::size_t> single_column(const limits::Limit& limit) {
        if (!limit.per.empty()) return std::nullopt;
        std::optional<std::size_t> only;
        for (std::size_t i = 0; i < limit.amount.size(); ++i) {
            if (limit.amount[i] == 0) continue;
            if (only || limit.amount[i] < 0) return std::nullopt;
            only = i;
        }
        return only;
    }

    void add_row(std::size_t k, std::string id, std::optional<double> lower,
                 std::optional<double> upper, std::vector<lp::Entry> list) {
        const std::size_t row =
            model_.program.add_row({std::move(id), lower, upper, std::move(list)});
        const bool fixed = lower && upper && *lower == *upper;
        if (lower) model_.sides.push_back({k, true, fixed, row, {}, 1});
        if (upper && !fixed) model_.sides.push_back({k, false, false, row, {}, 1});
    }

    void add_limit(std::size_t k) {
        const limits::Limit& limit = model_.limits[k];
        if (limit.advisory) return;
        const bool fixed = limit.min && limit.max && *limit.min == *limit.max;
        if (limit.kind == limits::LimitKind::inclusion && !fixed && add_bounds(k)) return;
        if (limit.per.empty()) {
            add_row(k, limit.id, limit.min, limit.max, limits::row_entries(limit, 0));
        } else if (fixed) {
            add_row(k, limit.id, 0.0, 0.0, limits::row_entries(limit, *limit.min));
        } else {
            if (limit.min)
                add_row(k, limits::row_id(limit, true), 0.0, {},
                        limits::row_entries(limit, *limit.min));
            if (limit.max)
                add_row(k, limits::row_id(limit, false), {}, 0.0,
                        limits::row_entries(limit, *limit.max));
        }
    }

    // Makes the limit a bound of its column; false when it is a row after all.
    bool add_bounds(std::size_t k) {
        const limits::Limit& limit = model_.limits[k];
        const auto column = single_column(limit);
        if (!column) return false;
        const double size = limit.amount[*column];
        Bounds next = bounds_[*column];
        const bool raises = limit.min && *limit.min / size > next.lower.value_or(0);
        const bool lowers = limit.max && (!next.upper || *limit.max / size < *next.upper);
        if (raises) next.lower = *limit.min / size;
        if (lowers) next.upper = *limit.max / size;
        // Two limits that exclude each other stay apart as rows, so that the answer can name both.
        if (next.upper && next.lower.value_or(0) > *next.upper) return false;
        // A side that another one outdoes has no place of its own in the program.
        const auto take = [&](std::optional<std::size_t>& place, bool is_min) {
            if (place) {
                model_.sides[*place] = {k, is_min, false, {}, column, size};
            } else {
                place = model_.sides.size();
                model_.sides.push_back({k, is_min, false, {}, column, size});
            }
        };
        if (raises) take(next.lower_side, true);
        if (lowers) take(next.upper_side, false);
        bounds_[*column] = next;
        return true;
    }

    // The most of an ingredient that one kg of feed (or the ration) could hold.
    double most_of(std::size_t i) const {
        const job::Choice& choice = job_.ingredients[i];
        if (bounds_[i].upper) return *bounds_[i].upper;
        if (const auto most = portion_.most_of(i)) return *most;
        throw base::DataError(base::Diagnostic{
            job_.file, "ingredient " + choice.id,
            choice.min_if_used ? "a min_if_used and no max" : "no max",
            choice.min_if_used
                ? "a max in kg, because the total is free"
                : "a max in kg, because the total is free and the ingredients are counted",
            "Add the most that could be used"});
    }

    // A column of 0 or 1 for each ingredient of which it matters whether it is used at all.
    void add_uses() {
        lp::Row count{"at most", {}, {}, {}};
        for (std::size_t i = 0; i < job_.ingredients.size(); ++i) {
            const job::Choice& choice = job_.ingredients[i];
            if (!choice.min_if_used && !job_.at_most) continue;
            lp::Column column;
            column.id = "use:" + choice.id;
            column.upper = 1;
            column.integer = true;
            const double most = most_of(i);
            const std::size_t used = model_.program.add_column(std::move(column));
            if (choice.min_if_used) {
                const double least = *choice.min_if_used / portion_.weight_per_kg();
                model_.program.add_row({"least:" + choice.id, 0.0, {}, {{i, 1.0}, {used, -least}}});
            }
            model_.program.add_row({"most:" + choice.id, {}, 0.0, {{i, 1.0}, {used, -most}}});
            count.entries.push_back({used, 1.0});
        }
        if (!job_.at_most) return;
        count.upper = *job_.at_most;
        model_.program.add_row(std::move(count));
    }

    const job::Job& job_;
    job::Portion portion_;
    std::vector<Bounds> bounds_;
    Model model_;
};

}  // namespace

Model build_model(const job::Job& job) {
    return ModelBuilder(job).build();
}

std::vector<double> ingredients_of(const job::Job& job, const lp::Solution& solution) {
    return {solution.primal.begin(),
            solution.primal.begin() + static_cast<std::ptrdiff_t>(job.ingredients.size())};
}

}  // namespace feedwright::search
