// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::base {

/// Reads the whole of `text` as a finite decimal number ("12", "-0.5", "1e-3"). A sign "+", spaces
/// around, hexadecimal, "nan", "inf", overflow, a decimal comma or anything left over give nullopt.
/// Independent of the locale.
std::optional<double> parse_finite(std::string_view text);

/// No price, weight or amount in a file is larger: what is, is a slip, and would end in infinities.
inline constexpr double largest_number = 1e20;

/// The shortest decimal text that reads back to the same double; "0" for minus zero.
/// Throws Error when `value` is not finite.
std::string shortest(double value);

/// Fixed decimals, rounded half away as printf does; never "-0.00". For reports only.
std::string fixed(double value, int decimals);

/// About `digits` significant digits without exponent, for amounts of very different size
/// ("0.00120", "31.5", "1240"). For reports only.
std::string significant(double value, int digits);

/// As significant(), without zeros at the end of decimals ("20" and "31.5", not "20.00" and
/// "31.50"). For numbers that somebody chose, and for running text.
std::string compact(double value, int digits);

/// A price in `decimals` decimals, or in three significant digits where those would show fewer than
/// two of it: "0.2500", "0.000420", "4.20e-11". For reports only.
std::string price(double value, int decimals);

/// The middle one of values, or the mean of the middle two. `values` must not be empty.
double median(std::vector<double> values);

/// x if finite; otherwise throws Error that says `what` is not a finite number. Guards every
/// number that leaves the program.
double require_finite(double x, std::string_view what);

}  // namespace feedwright::base
