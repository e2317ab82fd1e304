// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "limits/limit.hpp"

#include <compare>
#include <cstddef>
#include <string>

namespace feedwright::limits {

/// One side of a limit: the limit's place among those of its job, and which side of it.
struct Side {
    std::size_t limit = 0;
    bool is_min = false;
    auto operator<=>(const Side&) const = default;
};

/// The number that a side of the limit asks for; the limit has that side.
inline double number_of(const Limit& limit, bool is_min) {
    return is_min ? *limit.min : *limit.max;
}

/// A side of a limit in a result, with what a reader wants to know of it.
struct AskedSide {
    std::string limit;  ///< id of the limit: "nutrient:lysine"
    LimitKind kind = LimitKind::nutrient;
    std::string name;
    std::string unit;  ///< unit_in_words()
    bool is_min = false;
    double wanted = 0;
};

AskedSide asked_side(const Limit& limit, bool is_min);

/// How JSON names a side, "nutrient:lysine:min". The text is for output alone; nothing is to be
/// read out of it.
std::string to_text(const AskedSide& side);

}  // namespace feedwright::limits
