// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/limit.hpp"
#include "lp/linear_program.hpp"
#include "lp/solution.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace feedwright::search {

/// Where a side of a limit stands in the linear program.
struct Side {
    std::size_t limit = 0;  ///< index into Model::limits
    bool is_min = false;    ///< a fixed row serves as both; it is listed once, as a min
    bool is_fixed = false;
    std::optional<std::size_t> row;     ///< the row, or
    std::optional<std::size_t> column;  ///< the column whose bound it is
    /// The row or bound is in units of the limit divided by this.
    double unit_size = 1;
};

/// A job as a linear program, and what every part of it means. Column i is ingredient i of the job;
/// further columns (whether an ingredient with a least amount is used) follow. Advisory limits have
/// no side.
struct Model {
    lp::LinearProgram program;
    std::vector<limits::Limit> limits;
    std::vector<Side> sides;
};

/// Throws base::DataError when an ingredient has no price, or a finished moisture is asked and the
/// dry matter of an ingredient is unknown.
Model build_model(const job::Job& job);

/// The amounts of the job's ingredients in a solution of a program whose first columns they are.
std::vector<double> ingredients_of(const job::Job& job, const lp::Solution& solution);

}  // namespace feedwright::search
