// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/range_reader.hpp"

#include "base/number.hpp"
#include "base/units.hpp"

#include <fmt/format.h>

#include <string>

namespace feedwright::economics {

namespace {

std::optional<double> from_text(std::string_view text, NumberRule::Kind kind) {
    switch (kind) {
        case NumberRule::Kind::mass_kg:
            return base::parse_mass_kg(text);
        case NumberRule::Kind::price_per_kg:
            return base::parse_price_per_kg(text);
        case NumberRule::Kind::area_m2:
            return base::parse_area_m2(text);
        case NumberRule::Kind::temperature_c:
            return base::parse_temperature_c(text);
        case NumberRule::Kind::plain:
            break;
    }
    return std::nullopt;
}

}  // namespace

std::optional<double> read_number(const base::JsonView& view, const NumberRule& rule) {
    std::optional<double> value;
    if (view.is_number()) {
        value = view.value().number;
    } else if (view.is_string() && rule.kind != NumberRule::Kind::plain) {
        value = from_text(view.value().string, rule.kind);
    }
    const bool fits = value && *value >= rule.low && *value <= rule.high &&
                      !(rule.above_low && *value == rule.low) &&
                      !(rule.below_high && *value == rule.high);
    if (fits) return value;
    view.problem(std::string(rule.what), std::string(rule.hint));
    return std::nullopt;
}

std::optional<Triangular> read_triangular(const base::JsonView& object, std::string_view key,
                                          const NumberRule& rule) {
    const auto view = object.member(key);
    if (!view) return std::nullopt;
    if (!view->is_array()) {
        const auto value = read_number(*view, rule);
        return value ? std::optional<Triangular>({*value, *value, *value}) : std::nullopt;
    }
    const auto list = view->elements();
    if (list.size() != 3) {
        view->problem("one number, or three as [low, likely, high]");
        return std::nullopt;
    }
    const auto low = read_number(list[0], rule);
    const auto likely = read_number(list[1], rule);
    const auto high = read_number(list[2], rule);
    if (!low || !likely || !high) return std::nullopt;
    if (*low > *likely || *likely > *high) {
        view->problem_found(fmt::format("[{}, {}, {}]", base::shortest(*low),
                                        base::shortest(*likely), base::shortest(*high)),
                            "[low, likely, high] in rising order");
        return std::nullopt;
    }
    return Triangular{*low, *likely, *high};
}

std::optional<double> read_number(const base::JsonView& object, std::string_view key,
                                  const NumberRule& rule) {
    const auto view = object.member(key);
    return view ? read_number(*view, rule) : std::nullopt;
}

}  // namespace feedwright::economics
