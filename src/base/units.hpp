// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace feedwright::base {

/// A number and the unit text behind it, as typed: {32, "%"}, {18.5, "per 40 kg"}, {5, ""}.
struct Quantity {
    double value = 0;
    std::string unit;
};

/// Splits "320 g/kg" or "32%" into number and unit; nullopt when no number leads, or one above
/// `largest_number`.
std::optional<Quantity> parse_quantity(std::string_view text);

/// `value` given in unit `from`, expressed in unit `to`; nullopt when the units are unknown or of
/// different kinds. Concentrations: %, g/kg, g/100g, mg/kg, mg/100g, ug/kg, ug/g, ug/100g, ppm,
/// ppb, g/t, mg/g; IU/kg, IU/g, kIU/kg; MJ/kg, kJ/g, kJ/kg, kcal/kg, kcal/g, Mcal/kg, kcal/lb;
/// mEq/kg, mEq/100g.
/// 1 kcal = 4.184 kJ (thermochemical calorie, exact); 1 lb = 0.45359237 kg (exact).
std::optional<double> convert(double value, std::string_view from, std::string_view to);

/// True when `unit` is one that `convert` knows.
bool is_known_unit(std::string_view unit);

/// Kilograms in one of `unit` (kg, g, mg, lb, oz, t, tonne, short ton, cwt, and their other names),
/// in small letters or capitals; nullopt otherwise. A "ton" alone is of several weights and none.
std::optional<double> kilograms_per(std::string_view unit);

/// The least weight that makes sense: a microgram.
inline constexpr double least_mass_kg = 1e-9;

/// A mass such as "25 kg", "5g" or "40 lb" in kilograms; a bare number is kilograms. nullopt when
/// it does not parse, or is below `least_mass_kg` or above `largest_number`.
std::optional<double> parse_mass_kg(std::string_view text);

/// A volume such as "500 gal" (US gallon, 3.785411784 l exactly), "2 m3" or "800 l" in litres; a
/// bare number is litres. Also UK gal (4.54609 l exactly). nullopt when it does not parse or is not
/// above zero.
std::optional<double> parse_volume_l(std::string_view text);

/// An area such as "20 m2", "200 ft2" (0.09290304 m2 exactly), "0.5 ha" or "1 acre" in square
/// metres; a bare number is square metres. nullopt when it does not parse or is not above zero.
std::optional<double> parse_area_m2(std::string_view text);

/// A temperature such as "82 F" or "27.5 C" in degrees Celsius; a bare number is Celsius.
std::optional<double> parse_temperature_c(std::string_view text);

/// A price in money per kilogram. "0.52" and "0.52 per kg" are per kg; "18.50 per 40 kg",
/// "0.31 per lb", "0.31/lb". nullopt when it does not parse, is negative, or above
/// `largest_number`.
std::optional<double> parse_price_per_kg(std::string_view text);

}  // namespace feedwright::base
