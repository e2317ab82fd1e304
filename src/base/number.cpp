// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"

#include "base/diagnostics.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace feedwright::base {

std::optional<double> parse_finite(std::string_view text) {
    double value = 0;
    const char* end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, value);
    if (error != std::errc{} || stop != end || !std::isfinite(value)) return std::nullopt;
    return value;
}

std::string shortest(double value) {
    require_finite(value, "a number to be written");
    if (value == 0) return "0";
    std::array<char, 32> buffer{};
    const auto result = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
    return {buffer.data(), result.ptr};
}

std::string fixed(double value, int decimals) {
    require_finite(value, "a number to be printed");
    std::string text = fmt::format("{:.{}f}", value, decimals);
    if (text.front() == '-' && text.find_first_of("123456789") == std::string::npos) {
        text.erase(0, 1);
    }
    return text;
}

std::string significant(double value, int digits) {
    require_finite(value, "a number to be printed");
    if (value == 0) return "0";
    // The exponent is taken after rounding, so that 9.999 has the decimals of 10.0.
    const std::string rounded = fmt::format("{:.{}e}", value, digits - 1);
    const int magnitude = std::stoi(rounded.substr(rounded.find('e') + 1));
    const int decimals = std::clamp(digits - 1 - magnitude, 0, 9);
    return fixed(value, decimals);
}

std::string compact(double value, int digits) {
    std::string text = significant(value, digits);
    if (text.find('.') == std::string::npos) return text;
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
}

std::string price(double value, int decimals) {
    const double size = std::abs(value);
    if (value == 0 || size >= std::pow(10.0, 1 - decimals)) return fixed(value, decimals);
    // Nine decimals are the most that significant() writes.
    return size < 1e-8 ? fmt::format("{:.2e}", require_finite(value, "a price to be printed"))
                       : significant(value, 3);
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    const std::size_t half = values.size() / 2;
    return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

double require_finite(double x, std::string_view what) {
    if (!std::isfinite(x)) throw Error(fmt::format("{} is not a finite number", what));
    return x;
}

}  // namespace feedwright::base
