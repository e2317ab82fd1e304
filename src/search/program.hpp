// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "job/portion.hpp"
#include "limits/limit.hpp"
#include "limits/side.hpp"
#include "lp/cones.hpp"
#include "lp/linear_program.hpp"
#include "lp/solution.hpp"
#include "lp/solver.hpp"

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::search {

/// Where sides of a limit stand in a program.
struct Place {
    limits::Side side;      ///< of FeedProgram::limits
    bool is_fixed = false;  ///< one row holds both sides to one number; it is listed once, as a min
    std::optional<std::size_t> row;     ///< the row, or
    std::optional<std::size_t> column;  ///< the column whose bound it is
    double unit_size = 1;               ///< the bound is in units of the limit divided by this
};

/// A column by which a row may be missed: one unit of it makes up for `size` units of the row. With
/// a negative size it measures what the row leaves to spare.
struct Give {
    std::size_t column = 0;
    double size = 1;
};

/// A column of 0 or 1: whether an ingredient is in the mix at all.
struct Use {
    std::size_t ingredient = 0;
    std::size_t column = 0;
};

/// A job as a linear program. Nothing else makes the columns and rows of one.
///
/// How an amount stands in the program is a *frame*: amount[i] = base + sum(factor * column). So
/// the amounts are columns (add_amounts), changes of a recipe (add_changes), or whole steps of a
/// scale (add_steps), and every row is made by one function that puts the frame in the place of the
/// amounts. What a limit without a `per` is a share of is one kg of feed, another fixed weight, or
/// what the amounts make, where that varies.
///
/// What may come needs no other function: several feeds or periods are several frames whose columns
/// stand side by side in one program (a row is made from a frame, its base and its weight of feed);
/// a tangent plane of a limit that must hold surely is add_row() with its coefficients over the
/// ingredients; shared stocks and hours are rows over columns of several frames.
class FeedProgram {
  public:
    /// No columns yet. Keeps a reference to `job`.
    FeedProgram(const job::Job& job, std::vector<limits::Limit> limits);

    const std::vector<limits::Limit>& limits() const { return *limits_; }
    const limits::Limit& limit_of(const limits::Side& side) const { return limits()[side.limit]; }
    const std::vector<Place>& places() const { return places_; }
    const std::vector<Use>& uses() const { return uses_; }
    const lp::LinearProgram& program() const { return program_; }
    /// For other costs, numbers and bounds.
    lp::LinearProgram& program() { return program_; }

    // ---- columns

    /// Amount i is column i, at least 0, at the price of the ingredient or at no cost.
    void add_amounts(bool priced);
    /// Amount i is before[i] + column i - column n + i: what is put in and what is taken out, at no
    /// cost.
    void add_changes(const std::vector<double>& before);
    /// Amount i, the next, is `kg` * (base + column). Rows are then over their largest coefficient,
    /// and in places are not bounds.
    void add_steps(lp::Column column, double kg, double base);
    /// Sets the weight of feed that the amounts make; nullopt: it varies with them.
    void set_feed(std::optional<double> kg) { feed_kg_ = kg; }
    /// A miss or a surplus.
    std::size_t add_column(std::string id, double cost, std::optional<double> lower = 0.0,
                           std::optional<double> upper = {});

    // ---- rows

    /// A limit of limits(), both sides in as few rows as will do; where the amounts are columns,
    /// one on a single ingredient is a bound. Advisory ones are left out.
    void add_limit(std::size_t k);
    void add_limits();
    /// Rows of a limit that is not one of limits(); returns them, min before max.
    std::vector<std::size_t> add_other(const limits::Limit& limit);
    /// One side as a row of its own, asking for `number`; returns the row.
    std::size_t add_side(const limits::Side& side, double number, std::optional<Give> give = {});
    /// lower <= sum(coefficients[i] * amount[i]) <= upper.
    std::size_t add_row(std::string id, const std::vector<double>& coefficients,
                        std::optional<double> lower, std::optional<double> upper,
                        std::optional<Give> give = {});

    /// What the sides of limits that must hold in more than half of all lots ask (Limit::
    /// sure_percent), over the columns: the mean less so many standard deviations of what varies.
    /// One of each entry of sure_sides(), in its order. Their rows in the program ask for the mean
    /// alone.
    std::vector<lp::Cone> cones() const;
    /// Those sides.
    std::vector<limits::Side> sure_sides() const;

    /// Columns for how far amount i is above and under `kg`, each at `cost` a kg.
    void add_distance(std::size_t i, double kg, double cost);

    /// A least amount of an ingredient that is used, and the most there can be of it, in units of
    /// its first column.
    struct UseRule {
        std::size_t ingredient = 0;
        std::optional<double> least;
        double most = 0;
    };
    /// Adds the column that tells whether it is used. Returns that column.
    std::size_t add_use(const UseRule& rule);
    /// At most so many of the columns of `uses` are 1. Returns the row.
    std::size_t add_count(std::string id, const std::vector<std::size_t>& uses, int at_most);
    /// Whether it matters if ingredient i is used at all: it has a min_if_used, or is counted.
    bool is_use_asked(std::size_t i) const;
    std::optional<std::size_t> count_row() const { return count_row_; }
    /// Uses of all ingredients for which it matters, with the most that `most` tells, and how many
    /// the job allows.
    void add_uses(const std::function<double(std::size_t)>& most);

    // ---- what is made of it

    /// No costs, no whole numbers, and of rows of limits only those that `keep` names.
    lp::LinearProgram relaxed(const std::function<bool(const limits::Limit&)>& keep) const;
    lp::LinearProgram relaxed() const;
    /// Amounts at a point of the program, in the job's ingredient order.
    std::vector<double> amounts_at(const std::vector<double>& primal) const;

  private:
    struct Amount {
        double base = 0;
        std::vector<lp::Entry> parts;
    };

    bool is_share(const limits::Limit& limit) const { return !limit.per.empty() || !feed_kg_; }
    std::size_t add_limit_row(std::string id, const limits::Limit& limit, std::optional<double> min,
                              std::optional<double> max, std::optional<Give> give = {});
    std::vector<Place> add_rows_of(const limits::Limit& limit);
    bool add_bounds(std::size_t k);
    lp::Cone cone_of(const limits::Side& side) const;

    const job::Job* job_;
    job::Portion portion_;
    std::shared_ptr<const std::vector<limits::Limit>> limits_;
    lp::LinearProgram program_;
    std::vector<Amount> amounts_;
    std::optional<double> feed_kg_ = 1;
    bool are_columns_ = false;  // amounts, so that limits may be bounds
    bool rows_scaled_ = false;  // over their largest coefficient
    std::vector<Place> places_;
    std::vector<Use> uses_;
    std::optional<std::size_t> count_row_;
};

/// The cheapest mix of the job: amounts at their prices, every limit that is not advisory, and what
/// is asked of whole ingredients. Throws base::DataError when an ingredient has no price, a
/// finished moisture is asked and the dry matter of an ingredient is unknown, or the ingredients of
/// a ration are counted and one has no max.
FeedProgram cheapest_program(const job::Job& job);

/// The job with a price of nothing for what has none: for questions to which no price matters.
job::Job with_any_prices(job::Job job);

/// The continuous program that is left when every integer column is held at `values`, rounded.
lp::LinearProgram hold_integers(lp::LinearProgram program, const std::vector<double>& values);

/// The largest (or smallest) value a limit can take over the points of a program whose first
/// columns are the amounts; nullopt when it has none, when the limit is a share of something that
/// must be zero, or when nothing holds it back. A share is made linear by the substitution of
/// Charnes and Cooper (1962); with whole numbers it is found by the steps of Dinkelbach (1967).
std::optional<double> extreme(const lp::LinearProgram& program, const limits::Limit& limit,
                              bool largest, const lp::SolveOptions& options = {});

}  // namespace feedwright::search
