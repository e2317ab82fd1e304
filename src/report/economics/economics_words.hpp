// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "economics/plan.hpp"

#include <string>
#include <vector>

namespace feedwright::report {

std::string sentence(const economics::PlanNote& note, const economics::PlanResult& result);
std::string sentence(const economics::MaterialsCost& materials);
/// Without the point at its end.
std::string sentence(const economics::GrowthCaution& caution);
std::string in_words(const economics::KeepingCaution& caution);
/// "lysine 1.21 %, at least 1.43"
std::vector<std::string> in_words(const std::vector<economics::Shortfall>& short_of);
/// An ingredient's name, or "feed, 2 to 3 mm".
std::string name_of(const economics::ShoppingLine& line);

}  // namespace feedwright::report
