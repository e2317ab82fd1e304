// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/ingredient.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

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
    /// "requirement" (found with well-digested diets, no safety margin), "practical", "target" (the
    /// low end of what practice holds) or "borrowed" (from a relative, named in `note`).
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

struct SourceConflict {
    std::string nutrient;
    std::string text;
    std::vector<std::string> sources;
    bool operator==(const SourceConflict&) const = default;
};

/// "species/stage" taken apart; no stage where there is no "/".
struct ProfileId {
    std::string species;
    std::string stage;
};
ProfileId parse_profile_id(std::string_view id);

/// What a species needs, stage by stage.
struct Profile {
    std::string species;
    std::string name;
    std::string scientific_name;
    std::string group;
    std::string feeds_as;  ///< the class within the group that tolerates the same feeds:
                           ///< fish-omnivore, layer, ...
    std::string note;
    std::vector<std::string> lacks;  ///< what the profile has no figures for
    std::optional<TemperatureRange> temperature;
    std::vector<Stage> stages;
    std::vector<SourceConflict> conflicts;
    std::string file;

    const Stage* stage(std::string_view id) const;
    bool operator==(const Profile&) const = default;
};

}  // namespace feedwright::catalog
