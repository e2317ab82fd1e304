// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "lp/solver.hpp"
#include "search/formulation.hpp"
#include "search/program.hpp"

namespace feedwright::search {

/// Adds to an optimal `result` of formulate(job) over what the answer holds; leaves others as they
/// are:
/// - price_low and price_high of what is in the mix: within them, all else as it is, the same
/// amounts stay cheapest
///   (a missing end: however low, down to nothing, or however high);
/// - enters_below of what is not in it, the price at which the mix stops being cheapest without it,
/// and enters_percent,
///   how much of it a price just under that brings in;
/// - rise and fall of every binding limit but the balance, and shadow_price of every one: the
/// change
///   of cost when its number rises by one, or, where no mix is left then, minus the change when it
///   falls by one. Empty where equally cheap mixes would change at different rates.
///
/// All of it is worked out from the mix itself, by small linear programs over the directions in
/// which it can change, and not from the basis the solver happened to end at; so it also holds
/// where more limits meet in the mix than needed to fix it (docs/method.md, "What an answer holds
/// over"). Where whole numbers were decided on (min_if_used), it holds for the same choice of
/// ingredients in use, and enters_below of those left out by that choice is not given.
///
/// `program` is cheapest_program(job).
void explain_optimum(const job::Job& job, const FeedProgram& program, Formulation& result,
                     const lp::SolveOptions& options = {});

/// The shadow prices of that and nothing else.
void price_limits(const job::Job& job, const FeedProgram& program, Formulation& result,
                  const lp::SolveOptions& options = {});

/// Whether the multipliers of the program at its optimum, the mix of `result`, are those shadow
/// prices, whatever the prices of ingredients for which it is optimal: as many limits meet there as
/// there are columns.
bool has_one_price_each(const job::Job& job, const FeedProgram& program, Formulation& result);

}  // namespace feedwright::search
