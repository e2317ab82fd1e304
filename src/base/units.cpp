// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/units.hpp"

#include "base/number.hpp"
#include "base/text.hpp"

#include <array>
#include <cmath>

namespace feedwright::base {

namespace {

enum class Kind { concentration, activity, energy, charge };

struct Unit {
    std::string_view name;
    Kind kind;
    // Amount in the kind's reference unit (mg/kg, IU/kg, kJ/kg, mEq/kg) of one unit; kept as a
    // ratio of two whole numbers where it is one, so that "320 g/kg" becomes 32 % exactly.
    double times;
    double over;
};

constexpr double pound = 0.45359237;

constexpr std::array units{
    Unit{"%", Kind::concentration, 10000, 1},
    Unit{"g/100g", Kind::concentration, 10000, 1},
    Unit{"g/100 g", Kind::concentration, 10000, 1},
    Unit{"percent", Kind::concentration, 10000, 1},
    Unit{"g/kg", Kind::concentration, 1000, 1},
    Unit{"mg/g", Kind::concentration, 1000, 1},
    Unit{"mg/kg", Kind::concentration, 1, 1},
    Unit{"ppm", Kind::concentration, 1, 1},
    Unit{"g/t", Kind::concentration, 1, 1},
    Unit{"ug/g", Kind::concentration, 1, 1},
    Unit{"mg/100g", Kind::concentration, 10, 1},
    Unit{"mg/100 g", Kind::concentration, 10, 1},
    Unit{"ug/kg", Kind::concentration, 1, 1000},
    Unit{"ppb", Kind::concentration, 1, 1000},
    Unit{"µg/kg", Kind::concentration, 1, 1000},
    Unit{"ug/100g", Kind::concentration, 1, 100},
    Unit{"µg/100g", Kind::concentration, 1, 100},
    Unit{"g/g", Kind::concentration, 1000000, 1},
    Unit{"kg/kg", Kind::concentration, 1000000, 1},
    Unit{"IU/kg", Kind::activity, 1, 1},
    Unit{"IU/g", Kind::activity, 1000, 1},
    Unit{"kIU/kg", Kind::activity, 1000, 1},
    Unit{"MJ/kg", Kind::energy, 1000, 1},
    Unit{"kJ/g", Kind::energy, 1000, 1},
    Unit{"kJ/kg", Kind::energy, 1, 1},
    Unit{"kcal/kg", Kind::energy, 4184, 1000},
    Unit{"kcal/g", Kind::energy, 4184, 1},
    Unit{"Mcal/kg", Kind::energy, 4184, 1},
    Unit{"kcal/lb", Kind::energy, 4.184, pound},
    Unit{"mEq/kg", Kind::charge, 1, 1},
    Unit{"mEq/100g", Kind::charge, 10, 1},
};

const Unit* find(std::string_view name) {
    for (const Unit& unit : units) {
        if (unit.name == name) return &unit;
    }
    return nullptr;
}

// A unit of weight, in any case: "KG", "Lbs".
struct Mass {
    std::string_view name;
    double kilograms;
};

constexpr double gram = 0.001;

constexpr std::array masses{
    Mass{"kg", 1},
    Mass{"kgs", 1},
    Mass{"kilo", 1},
    Mass{"kilos", 1},
    Mass{"kilogram", 1},
    Mass{"kilograms", 1},
    Mass{"kilogramme", 1},
    Mass{"kilogrammes", 1},
    Mass{"g", gram},
    Mass{"gm", gram},
    Mass{"gms", gram},
    Mass{"gram", gram},
    Mass{"grams", gram},
    Mass{"gramme", gram},
    Mass{"grammes", gram},
    Mass{"mg", 0.000001},
    Mass{"lb", pound},
    Mass{"lbs", pound},
    Mass{"pound", pound},
    Mass{"pounds", pound},
    Mass{"oz", pound / 16},
    Mass{"ounce", pound / 16},
    Mass{"ounces", pound / 16},
    Mass{"t", 1000},
    Mass{"mt", 1000},
    Mass{"tonne", 1000},
    Mass{"tonnes", 1000},
    Mass{"metric ton", 1000},
    Mass{"metric tons", 1000},
    Mass{"cwt", 100 * pound},
    Mass{"short ton", 2000 * pound},
    Mass{"short tons", 2000 * pound},
};

// A unit and how many of the canonical one it holds.
struct Scale {
    std::string_view name;
    double amount;
};

constexpr std::array volumes{
    Scale{"l", 1},
    Scale{"L", 1},
    Scale{"litre", 1},
    Scale{"litres", 1},
    Scale{"liter", 1},
    Scale{"liters", 1},
    Scale{"m3", 1000},
    Scale{"ml", 0.001},
    Scale{"gal", 3.785411784},
    Scale{"US gal", 3.785411784},
    Scale{"UK gal", 4.54609},
};

constexpr std::array areas{
    Scale{"m2", 1},     Scale{"ft2", 0.09290304},    Scale{"sq ft", 0.09290304},
    Scale{"ha", 10000}, Scale{"acre", 4046.8564224},
};

template <class Table>
std::optional<double> scaled(std::string_view text, const Table& table) {
    const auto quantity = parse_quantity(text);
    if (!quantity) return std::nullopt;
    double amount = quantity->unit.empty() ? 1 : 0;
    for (const Scale& scale : table) {
        if (scale.name == quantity->unit) amount = scale.amount;
    }
    const double result = quantity->value * amount;
    if (!(result > 0) || !std::isfinite(result)) return std::nullopt;
    return result;
}

// Length of the number that leads `text`, 0 when none does.
std::size_t leading_number(std::string_view text) {
    std::size_t i = text.find_first_not_of("0123456789.-");
    if (i == std::string_view::npos) i = text.size();
    if (i > 0 && i < text.size() && (text[i] == 'e' || text[i] == 'E')) {
        std::size_t j = i + 1;
        if (j < text.size() && (text[j] == '-' || text[j] == '+')) ++j;
        std::size_t digits = j;
        while (digits < text.size() && text[digits] >= '0' && text[digits] <= '9')
            ++digits;
        if (digits > j) i = digits;
    }
    return i;
}

}  // namespace

std::optional<Quantity> parse_quantity(std::string_view text) {
    text = trim(text);
    const std::size_t length = leading_number(text);
    const auto value = parse_finite(text.substr(0, length));
    if (!value || std::abs(*value) > largest_number) return std::nullopt;
    return Quantity{*value, std::string(trim(text.substr(length)))};
}

std::optional<double> convert(double value, std::string_view from, std::string_view to) {
    if (from == to) return value;
    const Unit* a = find(from);
    const Unit* b = find(to);
    if (a == nullptr || b == nullptr || a->kind != b->kind) return std::nullopt;
    return value * (a->times * b->over) / (a->over * b->times);
}

bool is_known_unit(std::string_view unit) {
    return find(unit) != nullptr;
}

std::optional<double> kilograms_per(std::string_view unit) {
    std::string name = lower(unit);
    if (name.ends_with('.')) name.pop_back();
    for (const Mass& mass : masses) {
        if (mass.name == name) return mass.kilograms;
    }
    return std::nullopt;
}

std::optional<double> parse_mass_kg(std::string_view text) {
    const auto quantity = parse_quantity(text);
    if (!quantity) return std::nullopt;
    const auto per =
        quantity->unit.empty() ? std::optional<double>(1.0) : kilograms_per(quantity->unit);
    if (!per) return std::nullopt;
    // Grams are divided, so that "5 g" is the same double as 0.005.
    const double mass = *per == gram ? quantity->value / 1000 : quantity->value * *per;
    if (!(mass >= least_mass_kg) || mass > largest_number) return std::nullopt;
    return mass;
}

std::optional<double> parse_volume_l(std::string_view text) {
    return scaled(text, volumes);
}

std::optional<double> parse_area_m2(std::string_view text) {
    return scaled(text, areas);
}

std::optional<double> parse_temperature_c(std::string_view text) {
    const auto quantity = parse_quantity(text);
    if (!quantity) return std::nullopt;
    const std::string& unit = quantity->unit;
    if (unit.empty() || unit == "C" || unit == "°C") return quantity->value;
    if (unit == "F" || unit == "°F") return (quantity->value - 32) * 5 / 9;
    return std::nullopt;
}

std::optional<double> parse_price_per_kg(std::string_view text) {
    const auto quantity = parse_quantity(text);
    if (!quantity || quantity->value < 0) return std::nullopt;
    std::string_view rest = quantity->unit;
    if (rest.empty()) return quantity->value;
    if (rest.starts_with('/')) {
        rest = trim(rest.substr(1));
    } else if (rest.starts_with("per ")) {
        rest = trim(rest.substr(4));
    } else {
        return std::nullopt;
    }
    // "40 kg", "lb" and "50lb" are all packs; a bare unit is a pack of one.
    const bool has_count = !rest.empty() && rest.find_first_of("0123456789") == 0;
    const auto pack = has_count ? parse_mass_kg(rest) : kilograms_per(rest);
    if (!pack || (has_count && parse_quantity(rest)->unit.empty())) return std::nullopt;
    const double price = quantity->value / *pack;
    if (price > largest_number) return std::nullopt;
    return price;
}

}  // namespace feedwright::base
