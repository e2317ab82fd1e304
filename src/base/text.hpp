// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::base {

std::string_view trim(std::string_view text);
std::string lower(std::string_view text);

/// Number of single-character edits (insert, delete, replace, swap of neighbours) from a to b.
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The nearest of `words` to a mistyped `word`, or "" when none is near enough to be meant. One
/// with a word that starts with `word`, or the other way round, counts as near.
std::string nearest(std::string_view word, const std::vector<std::string>& words);

/// "Did you mean X?", or "" when nothing is near.
std::string did_you_mean(std::string_view word, const std::vector<std::string>& words);

/// "a, b and c"
std::string join_words(const std::vector<std::string>& words, std::string_view last = " and ");

/// Columns a terminal uses for UTF-8 `text` (code points; no East Asian width).
std::size_t display_width(std::string_view text);

/// Takes the first word, as spaces part them, off `text`; "" when there is none left.
std::string_view take_word(std::string_view& text);

/// Breaks at spaces into lines of at most `width` columns; a longer word keeps its own line.
std::vector<std::string> wrap(std::string_view text, std::size_t width);

/// Number of bytes at the start of `text` that are valid UTF-8: all of them, or the place of the
/// first bad one.
std::size_t utf8_length(std::string_view text);

/// True for valid UTF-8.
bool is_utf8(std::string_view text);

/// `text` with control characters written out ("\n", "\x1b"), so that what a file holds cannot play
/// with the terminal, and anything above `most` bytes shortened in the middle.
std::string printable(std::string_view text, std::size_t most);

}  // namespace feedwright::base
