// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace feedwright::job {

// Changes to a job that was read, as a user words them. Each throws base::DataError (file "command
// line", with the nearest known word) when it cannot be followed, and then leaves the job as it
// was.

/// "TARGET.KEY=VALUE". An ingredient of the job has price ("0.52", "18.50 per 40 kg"), min, max,
/// min_if_used (percent of the mix, or kg when the total is free) and stock_kg; a nutrient, a group
/// or a ratio ("calcium/phosphorus") has min and max. "none" takes a limit away. A nutrient without
/// a limit gets one as fed. A max of its own takes the place of an ingredient's library cap. A
/// nutrient limited on several bases is written with one: "lysine@of_protein".
void set(Job& job, const std::string& text);

/// Takes an ingredient out, and out of every limit that names it.
void remove(Job& job, const std::string& ingredient);

/// "TARGET.KEY=VALUE" with the id of an ingredient of the job in place of its name (job/meant.hpp);
/// any other text as it is.
std::string with_id(Job& job, catalog::Library& library, const std::string& text);

/// "INGREDIENT@PRICE", as for ReadOptions::with.
Extra parse_extra(const std::string& text);

/// "INGREDIENT.NUTRIENT=AMOUNT", as for ReadOptions::restated. The amount may carry a unit: "500
/// g/kg".
Restated parse_restated(const std::string& text, const catalog::NutrientDictionary& dictionary);

}  // namespace feedwright::job
