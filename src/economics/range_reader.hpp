// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/json.hpp"
#include "economics/sampling.hpp"

#include <optional>
#include <string_view>

namespace feedwright::economics {

/// What a number of these files may be and how a text in its place is read.
struct NumberRule {
    enum class Kind { plain, mass_kg, price_per_kg, area_m2, temperature_c };
    Kind kind = Kind::plain;
    std::string_view what;  ///< "a loss from 0 to below 100 %"
    double low = 0;
    double high = 1e12;
    bool above_low = false;   ///< `low` itself is refused
    bool below_high = false;  ///< `high` itself is refused
    std::string_view hint = {};
};

/// A number, a text with a unit where the kind knows units, or [low, likely, high] of either, each
/// within the rule. Absent gives nullopt; a problem is recorded and gives nullopt too.
std::optional<Triangular> read_triangular(const base::JsonView& object, std::string_view key,
                                          const NumberRule& rule);

/// The same where only one number will do.
std::optional<double> read_number(const base::JsonView& object, std::string_view key,
                                  const NumberRule& rule);

/// The same of a value by itself.
std::optional<double> read_number(const base::JsonView& value, const NumberRule& rule);

namespace rules {
inline constexpr NumberRule money{.what = "an amount of money, 0 or more"};
inline constexpr NumberRule amount{.what = "a number, 0 or more"};
inline constexpr NumberRule mass{.kind = NumberRule::Kind::mass_kg,
                                 .what = "kilograms above 0, or a text such as \"50 lb\"",
                                 .above_low = true};
inline constexpr NumberRule price{.kind = NumberRule::Kind::price_per_kg,
                                  .what = "a price per kg, or a text such as \"0.31 per lb\""};
inline constexpr NumberRule area{.kind = NumberRule::Kind::area_m2,
                                 .what = "square metres above 0, or a text such as \"200 ft2\"",
                                 .above_low = true};
inline constexpr NumberRule percent{.what = "percent from 0 to 100", .high = 100};
inline constexpr NumberRule loss{.what = "a loss from 0 to below 100 %",
                                 .high = 100,
                                 .below_high = true,
                                 .hint = "With everything lost there is no feed to price"};
inline constexpr NumberRule dry_matter{
    .what = "percent of dry matter above 0, to 100", .high = 100, .above_low = true};
inline constexpr NumberRule moisture{
    .what = "percent of water from 0 to below 100", .high = 100, .below_high = true};
inline constexpr NumberRule fcr{.what = "a feed conversion ratio above 0, to 100",
                                .high = 100,
                                .above_low = true,
                                .hint = "FCR is kg of feed per kg of gain"};
inline constexpr NumberRule years{.what = "years above 0, to 100", .high = 100, .above_low = true};
inline constexpr NumberRule days{.what = "days above 0, to 366", .high = 366, .above_low = true};
inline constexpr NumberRule months{.what = "months from 0 to 120", .high = 120};
}  // namespace rules

}  // namespace feedwright::economics
