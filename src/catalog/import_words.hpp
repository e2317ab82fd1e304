// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <string>
#include <string_view>

// The headings that make a table one of ingredients or a report, shared by what finds the headings
// among the lines of a file and what reads the columns below them.

namespace feedwright::catalog {

inline constexpr std::array id_words{"id", "ingredient", "ingredients"};
inline constexpr std::array name_words{"name", "sample",    "sample name", "feed",
                                       "food", "food name", "feedstuff",   "description"};
inline constexpr std::array nutrient_words{
    "nutrient",       "nutrients",   "parameter", "parameters", "analyte",
    "component",      "components",  "analysis",  "test",       "determination",
    "determinations", "constituent", "item",      "composition"};
inline constexpr std::array value_words{"value",   "values", "result",  "results", "amount",
                                        "content", "mean",   "average", "found"};
inline constexpr std::array unit_words{"unit", "units"};

/// Names compare without case, and with spaces for the joints of ids and compounds: "Met+Cys" is
/// "met + cys", and "Protein, Crude" is "protein crude".
std::string plain(std::string_view text);

template <std::size_t N>
bool is_plain(std::string_view text, const std::array<const char*, N>& words) {
    const std::string wanted = plain(text);
    for (const char* word : words) {
        if (wanted == word) return true;
    }
    return false;
}

}  // namespace feedwright::catalog
