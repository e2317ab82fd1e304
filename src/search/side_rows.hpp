// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "search/program.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace feedwright::search {

/// The programs of a job in which every side of every limit is a row of its own, so that each can
/// be left out or missed by itself. The balance and what belongs to whole numbers always hold. No
/// program has costs but of misses.
class SideRows {
  public:
    struct Row {
        limits::Side side;
        double wanted = 0;
        bool frames = false;  ///< a limit on ingredients or groups
        double size =
            1;  ///< what the row is short by when the limit is missed by all of its number
    };

    /// `whole_numbers`: keep what is asked of whole ingredients. `program` is
    /// cheapest_program(job).
    SideRows(const job::Job& job, const FeedProgram& program, bool whole_numbers);

    const std::vector<Row>& rows() const { return rows_; }
    const limits::Limit& limit(std::size_t s) const { return always_.limit_of(rows_[s].side); }
    limits::AskedSide side(std::size_t s) const {
        return limits::asked_side(limit(s), rows_[s].side.is_min);
    }
    /// What the row of side s is held to.
    double row_number(std::size_t s) const { return limit(s).per.empty() ? rows_[s].wanted : 0; }
    /// The row that counts ingredients, if whole numbers are kept and it is asked.
    std::optional<std::size_t> count_row() const { return always_.count_row(); }

    /// With the rows of `rows()` that are marked, last and in order.
    lp::LinearProgram holding(const std::vector<bool>& kept) const;
    lp::LinearProgram holding_all() const;
    /// The same with another number: row `s` asks for `number`, and comes last.
    lp::LinearProgram holding(const std::vector<bool>& kept, std::size_t s, double number) const;

    /// With all rows, each of rows() with a miss of its own as a further column at cost 1, in units
    /// of Row::size.
    lp::LinearProgram elastic() const;
    /// Of rows(), in elastic().
    std::size_t first_row() const { return always_.program().rows().size(); }
    /// The miss columns in elastic().
    std::size_t first_miss() const { return always_.program().columns().size(); }

  private:
    FeedProgram always_;  // what always holds
    std::vector<Row> rows_;
};

}  // namespace feedwright::search
