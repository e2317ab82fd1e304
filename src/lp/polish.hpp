// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/cones.hpp"
#include "lp/linear_program.hpp"

#include <cstddef>
#include <span>
#include <vector>

namespace feedwright::lp {

/// What is met exactly at a point, and what its limit is worth.
struct Tight {
    std::size_t at = 0;  ///< a row of the program, or a cone
    double side = 0;     ///< the limit that it rests on
    double dual = 0;     ///< change of the least cost when that limit rises by 1
};

/// A point near an optimum and what rests on a limit there.
struct Guess {
    std::vector<double> primal;
    std::vector<std::size_t> free;  ///< columns on no limit of their own
    std::vector<Tight> rows;
    std::vector<Tight> cones;
};

/// Moves a guess to the point where the costs are balanced by the multipliers of what is tight and
/// what is tight is met exactly (the conditions of Karush, Kuhn and Tucker), by Newton's method.
/// Columns that are not free stay. Whether the point is an optimum, and so meets everything else
/// with multipliers of the right signs, is left to the caller. False when there is no such point
/// near; the guess is then worth nothing.
bool polish(const LinearProgram& program, const std::vector<Cone>& cones,
            std::span<const double> costs, Guess& guess);

}  // namespace feedwright::lp
