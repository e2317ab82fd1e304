// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/import.hpp"
#include "report/vocabulary.hpp"
#include "tasks/catalog.hpp"

#include <string>

namespace feedwright::report {

/// What an import read and how it understood it, so that a wrong unit or basis is seen at once.
/// `library` is the file written; `always_used` where every command finds it by itself.
Document import_document(const tasks::Imported& imported, const std::string& library,
                         bool always_used, const catalog::NutrientDictionary& dictionary);
std::string import_json(const tasks::Imported& imported, const std::string& library);

}  // namespace feedwright::report
