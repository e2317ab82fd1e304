// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "report/vocabulary.hpp"
#include "search/formulation.hpp"

// What an answer holds over (search::explain_optimum), for people.
namespace feedwright::report {

/// Between which prices of each ingredient the mix stays the cheapest.
void add_price_ranges(Document& document, const job::Job& job, const search::Formulation& result);
/// What a step of each binding limit costs or saves, and over which numbers.
void add_tight_limits(Document& document, const job::Job& job, const search::Formulation& result);
/// What stayed out, the price that would bring it in, and how much of it.
void add_unused(Document& document, const job::Job& job, const search::Formulation& result);

}  // namespace feedwright::report
