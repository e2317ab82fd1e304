// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "lp/solver.hpp"
#include "search/formulation.hpp"
#include "search/model.hpp"

namespace feedwright::search {

/// Adds to an optimal `result` of formulate(job) over what the answer holds; leaves others as they
/// are:
/// - price_low and price_high of what is in the mix: within them, all else as it is, the same
/// amounts stay cheapest
///   (a missing end: however low, down to nothing, or however high);
/// - enters_below of what is not in it, the price at which the mix stops being cheapest without it,
/// and enters_percent,
///   how much of it a price just under that brings in;
/// - rise and fall of every binding limit but the balance, and with them shadow_price:
/// rise.per_unit, or fall.per_unit
///   where no mix is left when the number rises.
///
/// All of it is worked out from the mix itself, by small linear programs over the directions in
/// which it can change, and not from the basis the solver happened to end at; so it also holds
/// where more limits meet in the mix than needed to fix it (docs/method.md, "What an answer holds
/// over"). Where whole numbers were decided on (min_if_used), it holds for the same choice of
/// ingredients in use, and enters_below of those left out by that choice is not given.
///
/// `model` is build_model(job).
void explain_optimum(const job::Job& job, const Model& model, Formulation& result,
                     const lp::SolveOptions& options = {});

}  // namespace feedwright::search
