// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/safe_text.hpp"

#include <algorithm>
#include <cstddef>

namespace feedwright::base {

std::string without_controls(std::string_view text) {
    const auto is_plain = [](char c) { return c >= 0x20 && c < 0x7F; };
    if (std::all_of(text.begin(), text.end(), is_plain)) return std::string(text);
    std::string out;
    out.reserve(text.size());
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto c = static_cast<unsigned char>(text[i]);
        const auto next = static_cast<unsigned char>(i + 1 < text.size() ? text[i + 1] : '\0');
        if (c < 0x20 || c == 0x7F) {
            out += ' ';
        } else if (c == 0xC2 && next >= 0x80 && next <= 0x9F) {
            out += ' ';
            ++i;
        } else {
            out += text[i];
        }
    }
    return out;
}

}  // namespace feedwright::base
