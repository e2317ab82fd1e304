// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/written_number.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace feedwright::base {

/// The head of a column taken apart: "Price (USD/lb)" is price, USD and lb.
struct Head {
    std::string written;   ///< as it stands
    std::string words;     ///< what is left without the rest, in small letters: "price"
    std::string currency;  ///< as without_currency names it
    std::string per;       ///< of "/lb", "per 50 kg bag": "lb", "50 kg"; a container without a
                           ///< weight stays a word: "bag"
    std::string unit;      ///< "%" or a unit of weight: "amount (kg)"
};

Head take_apart(std::string_view head);

/// Case, and what joins words, make no difference: "Feed_Price " is "feed price".
std::string plain_words(std::string_view text);

/// A pack as parse_price_per_kg reads one: "50 kg bag", "bag of 50 kg", "50-KG" are "50 kg", and
/// "Lb." is "lb". nullopt for anything else, such as a bag of unknown weight.
std::optional<std::string> pack_of(std::string_view text, DecimalMark mark);

/// Litres of one measure of volume: "l", "ml", "gal", "5 l bucket", "bucket of 10 l", "scoop (250
/// ml)". nullopt for anything else, such as a bucket of unknown size.
std::optional<double> litres_of(std::string_view text, DecimalMark mark);

/// Whether `text` is a bucket, scoop, cup or other vessel, whose size it does not say.
bool is_vessel(std::string_view text);

/// Whether `word` is a bag, sack or other container.
bool is_container(std::string_view word);

}  // namespace feedwright::base
