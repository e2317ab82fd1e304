// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <cstring>

namespace feedwright::base {

std::string_view trim(std::string_view text) {
    constexpr std::string_view space = " \t\r\n";
    const std::size_t first = text.find_first_not_of(space);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(space) - first + 1);
}

std::string lower(std::string_view text) {
    std::string out(text);
    for (char& c : out) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return out;
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
    // Optimal string alignment: three rows are enough because a swap looks two rows back.
    std::vector<std::size_t> before(b.size() + 1), above(b.size() + 1), row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j)
        above[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t replace = above[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            row[j] = std::min({replace, above[j] + 1, row[j - 1] + 1});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                row[j] = std::min(row[j], before[j - 2] + 1);
            }
        }
        std::swap(before, above);
        std::swap(above, row);
    }
    return above[b.size()];
}

namespace {

// A word of `text` starts with `part`: "meal" of "fish-meal", but not "min" of "amino acids".
bool has_word(std::string_view text, std::string_view part) {
    constexpr std::size_t shortest = 3;
    if (part.size() < shortest) return false;
    for (auto at = text.find(part); at != std::string_view::npos; at = text.find(part, at + 1)) {
        if (at == 0 || std::string_view(" -_/.").find(text[at - 1]) != std::string_view::npos)
            return true;
    }
    return false;
}

}  // namespace

std::string nearest(std::string_view word, const std::vector<std::string>& words) {
    const std::string wanted = lower(word);
    std::string best;
    std::size_t best_distance = 1 + std::max<std::size_t>(2, wanted.size() / 3);
    for (const std::string& candidate : words) {
        std::size_t distance = edit_distance(wanted, candidate);
        const bool contains = has_word(candidate, wanted) || has_word(wanted, candidate);
        if (contains) {
            distance = std::min<std::size_t>(distance, 2);
        } else if (wanted.size() <= 3 && distance > 1) {
            continue;  // two of three letters wrong is another word
        }
        if (distance < best_distance) {
            best_distance = distance;
            best = candidate;
        }
    }
    return best;
}

std::string did_you_mean(std::string_view word, const std::vector<std::string>& words) {
    const std::string near = nearest(word, words);
    return near.empty() ? std::string{} : "Did you mean \"" + near + "\"?";
}

std::string join_words(const std::vector<std::string>& words, std::string_view last) {
    std::string out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) {
            out += i + 1 == words.size() ? last : std::string_view(", ");
        }
        out += words[i];
    }
    return out;
}

std::size_t display_width(std::string_view text) {
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
        return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    }));
}

std::string_view take_word(std::string_view& text) {
    text.remove_prefix(std::min(text.find_first_not_of(' '), text.size()));
    const std::string_view word = text.substr(0, text.find(' '));
    text.remove_prefix(word.size());
    return word;
}

std::vector<std::string> wrap(std::string_view text, std::size_t width) {
    std::vector<std::string> lines(1);
    std::size_t taken = 0;
    for (auto word = take_word(text); !word.empty(); word = take_word(text)) {
        const std::size_t wide = display_width(word);
        if (lines.back().empty()) {
            taken = wide;
        } else if (taken + 1 + wide <= width) {
            lines.back() += ' ';
            taken += 1 + wide;
        } else {
            lines.emplace_back();
            taken = wide;
        }
        lines.back() += word;
    }
    return lines;
}

std::size_t utf8_length(std::string_view text) {
    for (std::size_t i = 0; i < text.size();) {
        // Most text is ASCII: eight bytes at a time.
        constexpr std::uint64_t high_bits = 0x8080808080808080U;
        std::uint64_t eight = 0;
        while (i + sizeof eight <= text.size()) {
            std::memcpy(&eight, text.data() + i, sizeof eight);
            if ((eight & high_bits) != 0) break;
            i += sizeof eight;
        }
        if (i == text.size()) break;
        const auto c = static_cast<unsigned char>(text[i]);
        std::size_t more = 0;
        std::uint32_t code = c;
        if (c >= 0xF0 && c <= 0xF4) {
            more = 3;
            code = c & 0x07U;
        } else if (c >= 0xE0) {
            more = 2;
            code = c & 0x0FU;
        } else if (c >= 0xC2) {
            more = 1;
            code = c & 0x1FU;
        } else if (c >= 0x80) {
            return i;
        }
        if (c > 0xF4 || i + more >= text.size()) return i;
        for (std::size_t k = 1; k <= more; ++k) {
            const auto next = static_cast<unsigned char>(text[i + k]);
            if ((next & 0xC0U) != 0x80U) return i;
            code = (code << 6U) | (next & 0x3FU);
        }
        const bool overlong = (more == 2 && code < 0x800) || (more == 3 && code < 0x10000);
        const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
        if (overlong || surrogate || code > 0x10FFFF) return i;
        i += more + 1;
    }
    return text.size();
}

bool is_utf8(std::string_view text) {
    return utf8_length(text) == text.size();
}

std::string printable(std::string_view text, std::size_t most) {
    if (text.size() > most) {
        const auto inside_a_letter = [&](std::size_t i) {
            return (static_cast<unsigned char>(text[i]) & 0xC0U) == 0x80U;
        };
        std::size_t head = most / 2;
        while (head > 0 && inside_a_letter(head))
            --head;
        std::size_t tail = text.size() - most / 4;
        while (tail < text.size() && inside_a_letter(tail))
            ++tail;
        // Between words, where one ends near.
        const std::size_t end = text.rfind(' ', head);
        if (end != std::string_view::npos && end > head / 2) head = end;
        const std::size_t begin = text.find(' ', tail);
        if (begin != std::string_view::npos && begin < tail + (text.size() - tail) / 2)
            tail = begin + 1;
        else if (const std::size_t word = text.rfind(' ', tail);
                 word != std::string_view::npos && tail - word < most / 4)
            tail = word + 1;
        return printable(text.substr(0, head), most) + " … " + printable(text.substr(tail), most);
    }
    std::string out;
    for (const char c : text) {
        const auto code = static_cast<unsigned char>(c);
        if (c == '\n') {
            out += "\\n";
        } else if (c == '\t') {
            out += "\\t";
        } else if (c == '\r') {
            out += "\\r";
        } else if (code < 0x20 || code == 0x7F) {
            out += fmt::format("\\x{:02x}", code);
        } else {
            out += c;
        }
    }
    return out;
}

}  // namespace feedwright::base
