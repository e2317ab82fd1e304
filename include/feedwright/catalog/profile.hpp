// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "feedwright/catalog/ingredient.hpp"

namespace feedwright::catalog {

/// A closed interval of a published figure; both ends equal for a single number.
struct Range {
    double low = 0;
    double high = 0;
    bool operator==(const Range&) const = default;
};

/// What an animal needs or tolerates of a nutrient, in the nutrient's canonical unit and `basis`.
struct RequirementLimit {
    std::string nutrient;
    std::optional<double> min;
    std::optional<double> max;
    Basis basis = Basis::as_fed;
    /// "requirement" (found with well-digested diets, no safety margin) or "practical".
    std::string level;
    /// Shown and compared, but not a condition of the mix: most ingredients have no value for it.
    bool advisory = false;
    std::string source;
    std::string note;
    bool operator==(const RequirementLimit&) const = default;
};

/// A ratio of two nutrients, by amounts in canonical units.
struct RequirementRatio {
    std::string of;
    std::string to;
    std::optional<double> min;
    std::optional<double> max;
    std::string level;
    bool advisory = false;
    std::string source;
    std::string note;
    bool operator==(const RequirementRatio&) const = default;
};

/// How much to feed at a body weight.
struct FeedingRate {
    Range weight_g;
    std::optional<Range> temperature_c;
    std::optional<Range> ration_percent;  ///< of body weight a day, as fed
    std::optional<Range> meals_per_day;
    std::optional<Range> pellet_mm;
    std::optional<Range> expected_fcr;
    std::string source;
    std::string note;
    bool operator==(const FeedingRate&) const = default;
};

struct Stage {
    std::string id;
    std::string name;
    std::optional<Range> weight_g;
    std::string note;
    std::vector<RequirementLimit> limits;
    std::vector<RequirementRatio> ratios;
    std::vector<FeedingRate> feeding;
    bool operator==(const Stage&) const = default;
};

/// The most of an ingredient (or of several together) that a species has been shown, or is held, to tolerate.
struct Cap {
    enum class Basis { diet, fish_meal, fish_meal_protein, dietary_protein };
    enum class Kind { authors_limit, highest_tested, rule_of_thumb };
    /// An id; "category:NAME" for the sum of a category; "group:NAME" for the sum of `members`.
    std::string ingredient;
    std::vector<std::string> members;
    double max = 0;          ///< percent of what `basis` says
    Basis basis = Basis::diet;
    Kind kind = Kind::rule_of_thumb;
    std::vector<std::string> stages;  ///< empty: all
    std::string source;
    std::string note;
    bool operator==(const Cap&) const = default;

    /// Whether it counts an ingredient of this id, category and kin (what it extends).
    bool covers(const std::string& id, const std::string& of_category, const std::vector<std::string>& kin) const;
};

std::string_view to_string(Cap::Basis basis);
std::string_view to_string(Cap::Kind kind);

/// Temperatures of a species, degrees Celsius.
struct TemperatureRange {
    std::optional<double> low;
    std::optional<double> best_low;
    std::optional<double> best_high;
    std::optional<double> high;
    std::string source;
    std::vector<std::string> limits_sources;  ///< of low and high, where not `source`
    bool operator==(const TemperatureRange&) const = default;
};

struct Conflict {
    std::string nutrient;
    std::string text;
    std::vector<std::string> sources;
    bool operator==(const Conflict&) const = default;
};

/// What a species needs, stage by stage.
struct Profile {
    std::string species;
    std::string name;
    std::string scientific_name;
    std::string group;
    std::string note;
    std::vector<std::string> lacks;  ///< what the profile has no figures for
    std::optional<TemperatureRange> temperature;
    std::vector<Stage> stages;
    std::vector<Cap> caps;
    std::vector<Conflict> conflicts;
    std::string file;

    const Stage* stage(std::string_view id) const;
    bool operator==(const Profile&) const = default;
};

}  // namespace feedwright::catalog
