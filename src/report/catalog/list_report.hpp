// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/vocabulary.hpp"
#include "tasks/catalog.hpp"

#include <string>
#include <vector>

namespace feedwright::report {

/// Things of the library, one a row, by id.
/// `own_files`: the library files that are the user's own; a column tells what comes from them.
Table list_table(const std::vector<const catalog::Ingredient*>& ingredients,
                 const std::vector<std::string>& own_files);
Table list_table(const std::vector<tasks::StageOf>& stages);
Table list_table(const std::vector<const catalog::Nutrient*>& nutrients);
Table list_table(const std::vector<const catalog::Source*>& sources);
/// feedwright-list/1 of one source, with its address.
std::string source_json(const catalog::Source& source);

}  // namespace feedwright::report
