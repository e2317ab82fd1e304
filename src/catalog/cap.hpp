// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/ingredient.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::catalog {

/// The most of an ingredient, or of several together, that an animal has been shown, or is held, to
/// tolerate.
struct Cap {
    enum class Basis { diet, fish_meal, fish_meal_protein, dietary_protein };
    /// From the best known to the least: `tried` is the highest level that a trial fed without
    /// loss, `first_loss` the lowest that cost something.
    enum class Kind { tried, first_loss, handbook, rule_of_thumb, by_default };
    /// An id; "each:CATEGORY" for each ingredient of a category; "category:NAME" or "group:ID" for
    /// a sum.
    std::string subject;
    std::vector<std::string> animals;  ///< words as closeness() reads them
    std::vector<std::string> stages;   ///< empty: all
    double max = 0;                    ///< percent of what `basis` says
    Basis basis = Basis::diet;
    Kind kind = Kind::rule_of_thumb;
    std::string source;
    std::string note;

    bool is_sum() const;
};

/// Ingredients that are capped together.
struct CapGroup {
    std::string id;
    std::string name;
    std::vector<std::string> members;     ///< ids; what extends one is a member too
    std::vector<std::string> categories;  ///< all of these categories
    std::vector<std::string> except;      ///< but for these

    bool holds(const std::string& id, const std::string& category,
               const std::vector<std::string>& kin) const;
};

/// Every cap of the library.
struct CapTable {
    std::vector<CapGroup> groups;
    std::vector<Cap> caps;

    const CapGroup* group(std::string_view id) const;
    /// Whether a cap counts an ingredient of this id, category and kin.
    bool covers(const Cap& cap, const std::string& id, const std::string& category,
                const std::vector<std::string>& kin) const;
};

/// What holds one ingredient back, or a sum: the best known cap and, where a trial saw a loss at or
/// below it, the level of that loss in its place.
struct CapInForce {
    Cap cap;                  ///< `max` is the number that holds
    std::optional<Cap> loss;  ///< the first level with loss that lowered it
};

/// Of caps with one subject and basis for one animal, the one that holds: the highest level tried
/// in the species, then in its class or group; else a handbook's maximum; else a rule of thumb;
/// else the default. A first level with loss of the same or a closer animal is a ceiling whatever
/// else is known: the cap then stays a tenth below it. Of several of one kind a row for the
/// ingredient itself counts before one for its category, then the closest animal, then the lowest
/// number. nullopt when none is meant for the animal.
std::optional<CapInForce> cap_in_force(const std::vector<const Cap*>& caps, const Animal& animal);

std::string_view to_string(Cap::Basis basis);
std::string_view to_string(Cap::Kind kind);

}  // namespace feedwright::catalog
