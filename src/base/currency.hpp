// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

// Signs and codes of currencies in tables. Nothing is converted: a file has one currency.
namespace feedwright::base {

/// A text without the signs and codes of currencies in it, and what they were.
struct WithoutCurrency {
    std::string text;
    std::string
        currency;       ///< a code of ISO 4217 where the sign has one, else the sign; may be empty
    std::string other;  ///< a second one that cannot be the same; empty in most
};

/// Signs ("$", "€", "KSh", "Rs.") and codes of ISO 4217 ("USD", "usd"), which no letter may touch.
WithoutCurrency without_currency(std::string_view text);

/// Whether two may stand for one currency: "$" and "USD" may, "$" and "EUR" may not. An empty one
/// goes with any.
bool same_currency(std::string_view one, std::string_view other);

/// Of two that same_currency holds for, the one that says more.
std::string clearer_currency(std::string_view one, std::string_view other);

}  // namespace feedwright::base
