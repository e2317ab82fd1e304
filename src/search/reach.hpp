// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/linear_program.hpp"
#include "search/model.hpp"

#include <optional>

namespace feedwright::search {

/// The program without nutrient, ratio and replacement limits: balance, inclusion limits and
/// groups.
lp::LinearProgram frame_of(const Model& model);

/// The largest (or smallest) value a limit can take under `frame`; nullopt when the frame has no
/// solution, when the limit is a share of something that must be zero, or when nothing holds it
/// back. A share is made linear by the substitution of Charnes and Cooper (1962).
std::optional<double> extreme(const lp::LinearProgram& frame, const limits::Limit& limit,
                              bool largest);

}  // namespace feedwright::search
