// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/vocabulary.hpp"
#include "tasks/catalog.hpp"

#include <string>
#include <vector>

namespace feedwright::report {

using tasks::SpeciesCap;

/// An ingredient as a page to print, 80 columns wide: amounts as fed by group with SD, n, source
/// and what they were given as; what is missing; digestibility; caps by species; cautions; notes
/// and citations.
Document ingredient_page(const catalog::Ingredient& ingredient,
                         const catalog::NutrientDictionary& dictionary,
                         const catalog::Composition& composition,
                         const std::vector<SpeciesCap>& caps,
                         const std::vector<catalog::Caution>& cautions,
                         const std::vector<catalog::Source>& sources);
std::string ingredient_json(const catalog::Ingredient& ingredient,
                            const catalog::NutrientDictionary& dictionary,
                            const catalog::Composition& composition,
                            const std::vector<SpeciesCap>& caps,
                            const std::vector<catalog::Caution>& cautions);

/// A species with an outline of its stages: their weights, and what shapes a mix at each.
Document species_page(const catalog::Profile& profile,
                      const catalog::NutrientDictionary& dictionary);
std::string species_json(const catalog::Profile& profile);

/// One stage of a profile: limits with level, basis and source, feeding, caps, conflicts between
/// sources.
Document profile_page(const catalog::Profile& profile, const catalog::Stage& stage,
                      const catalog::NutrientDictionary& dictionary,
                      const std::vector<SpeciesCap>& caps);
std::string profile_json(const catalog::Profile& profile, const catalog::Stage& stage,
                         const catalog::NutrientDictionary& dictionary,
                         const std::vector<SpeciesCap>& caps);

Document nutrient_page(const catalog::Nutrient& nutrient);
Document source_page(const catalog::Source& source);

/// A plain table of things by id; `json` forms are lists of objects with the same keys.
Document list_page(const std::string& title, const Table& table);
std::string table_json(const std::string& name, const Table& table);

}  // namespace feedwright::report
