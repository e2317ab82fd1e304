// SPDX-License-Identifier: GPL-3.0-or-later
#include "limits/side.hpp"

namespace feedwright::limits {

AskedSide asked_side(const Limit& limit, bool is_min) {
    return {
        limit.id, limit.kind, limit.name, unit_in_words(limit), is_min, number_of(limit, is_min)};
}

std::string to_text(const AskedSide& side) {
    return side.limit + (side.is_min ? ":min" : ":max");
}

}  // namespace feedwright::limits
