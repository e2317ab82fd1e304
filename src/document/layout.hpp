// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/safe_text.hpp"
#include "document/document.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::document {

using base::without_controls;

/// without_controls, with runs of spaces made one and none at the ends.
std::string one_line(std::string_view text);

/// Lines of at most `width` columns, those after the first indented by `hang`; a longer word keeps
/// its own line. `text` is as `one_line` leaves it.
std::vector<std::string> wrap_hanging(const std::string& text, std::size_t width, std::size_t hang);

/// Columns that the widest word needs when every word but the first stands `hang` columns in.
std::size_t width_of_widest_word(std::string_view text, std::size_t hang);

/// `text` with spaces behind it, or before it, up to `width` columns.
std::string pad_right(std::string_view text, std::size_t width);
std::string pad_left(std::string_view text, std::size_t width);

void drop_trailing_spaces(std::string& line);

/// Throws Error unless every row has one cell a column.
void require_shape(const Table& table);

}  // namespace feedwright::document
