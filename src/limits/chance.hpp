// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "limits/limit.hpp"

#include <cstddef>
#include <vector>

// How sure a mix is, although its ingredients vary from lot to lot (docs/method.md, "Lots vary").
namespace feedwright::limits {

/// Whether contents that vary decide if the limit holds: one on a nutrient, or a ratio, that does
/// not ask for one number exactly.
bool is_on_contents(const Limit& limit);

/// What each ingredient adds to the standard deviation of a side, one an ingredient: that of
/// amount[i] - number * per[i] between lots, to first order.
std::vector<double> spreads_of(const job::Job& job, const Limit& limit, double number);

/// Lots that are drawn for Chance::all_percent.
inline constexpr std::size_t chance_draws = 10'000;

/// Adds LimitResult::holds_percent to each limit on contents, and Assessment::chance, of the mix
/// `x` that `assessment` is of. The same bytes in every run.
void add_chance(const job::Job& job, const std::vector<double>& x, Assessment& assessment);

}  // namespace feedwright::limits
