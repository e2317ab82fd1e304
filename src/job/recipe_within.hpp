// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/json.hpp"
#include "job/reading.hpp"

namespace feedwright::job {

/// The ingredient that a recipe of a file of its own is (a premix or a concentrate that one mixes):
/// what its parts hold, and cost where each has a price. `file` names it, beside the file that it
/// stands in. What only some of the parts have a value for counts with these, and is listed in
/// `partly`. Throws base::DataError for a recipe that cannot be read, and records one that is an
/// ingredient of itself.
Choice recipe_within(Reading& reading, const base::JsonView& file);

}  // namespace feedwright::job
