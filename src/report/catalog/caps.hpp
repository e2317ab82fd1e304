// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/catalog/catalog_pages.hpp"

#include <vector>

namespace feedwright::base {
class JsonWriter;
}

// Caps as the pages of ingredients and of profiles show them.
namespace feedwright::report {

/// What the first column names: the other is what the page is of.
enum class CapsBy { species, ingredient };

/// A column for stages only where a cap holds for some of them.
Table caps_table(const std::vector<SpeciesCap>& caps, CapsBy by);
void write_caps(base::JsonWriter& json, const std::vector<SpeciesCap>& caps);

}  // namespace feedwright::report
