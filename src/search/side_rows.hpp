// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "lp/linear_program.hpp"
#include "search/conflict.hpp"
#include "search/model.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace feedwright::search {

/// A job with every side of every limit as a row of its own, so that each can be left out or missed
/// by itself. The balance and what belongs to whole numbers are rows that always hold.
class SideRows {
  public:
    struct Row {
        std::size_t limit = 0;  ///< index into Model::limits
        bool is_min = false;
        double wanted = 0;
        bool frames = false;  ///< a limit on ingredients or groups
        double size =
            1;  ///< what the row is short by when the limit is missed by all of its number
    };

    /// `whole_numbers`: keep the rows and integer columns of whole-number demands.
    SideRows(const job::Job& job, const Model& model, bool whole_numbers);

    const std::vector<Row>& rows() const { return rows_; }
    limits::AskedSide side(std::size_t s) const;
    const limits::Limit& limit(std::size_t s) const;

    /// The rows that always hold and those of `rows()` that are marked; no costs. The rows of
    /// `rows()` come last, in order.
    lp::LinearProgram holding(const std::vector<bool>& kept) const;
    /// The same with other numbers: row `s` asks for `number`.
    lp::LinearProgram holding(const std::vector<bool>& kept, std::size_t s, double number) const;

    /// All rows, each of rows() with a miss of its own as a further column at cost 1, in units of
    /// Row::size.
    lp::LinearProgram elastic() const;
    std::size_t first_row() const { return fixed_.size(); }     ///< of rows() in elastic()
    std::size_t first_miss() const { return columns_.size(); }  ///< its miss columns

  private:
    void add_row(lp::LinearProgram& program, std::size_t s, double number,
                 std::optional<std::size_t> miss) const;

    const Model& model_;
    std::vector<lp::Column> columns_;
    std::vector<lp::Row> fixed_;
    std::vector<Row> rows_;
};

}  // namespace feedwright::search
