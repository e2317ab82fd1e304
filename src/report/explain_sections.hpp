// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "formulate/mix.hpp"
#include "job/job.hpp"
#include "report/document.hpp"

// What an answer holds over (formulate::explain_optimum), for people.
namespace feedwright::report {

/// Between which prices of each ingredient the mix stays the cheapest.
void add_price_ranges(Document& document, const formulate::Formulation& result);
/// What a step of each binding limit costs or saves, and over which numbers.
void add_tight_limits(Document& document, const job::Job& job,
                      const formulate::Formulation& result);
/// What stayed out, the price that would bring it in, and how much of it.
void add_unused(Document& document, const formulate::Formulation& result);

}  // namespace feedwright::report
