// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "catalog/ingredient.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"

#include <string>

// A bought feed is known by its label alone. It is taken to hold what the label says and, where the
// label is silent, what the animal needs that it is for.
namespace feedwright::job {

/// Takes the label of `ingredient` into `choice`, whose composition is that of what the label
/// states: every need of the animal's stage that is silent there is taken to be met, times
/// (1 + reserve); of a concentrate at the share of the feed that its label asks for. These amounts
/// are of origin `assumed`. A maximum that only the animal's needs state counts under maxima alone
/// (Choice::assumed). Records an animal that is unknown.
void take_label(catalog::Library& library, const catalog::Ingredient& ingredient,
                const std::string& file, const std::string& place, Choice& choice,
                base::Diagnostics& diagnostics);

/// What bought feeds change in a job whose limits are known: a concentrate goes in at the share of
/// its label, where the job says nothing else; needs that a label gives no answer to warn and do
/// not fail; and minima of the profile are lowered to `dilute_percent` below the bought feed that
/// has most, where that is lower.
void settle_labels(Job& job, base::Diagnostics& diagnostics);

}  // namespace feedwright::job
