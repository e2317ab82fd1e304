// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace feedwright::base {

/// `text` with every control character (C0, DEL and C1) turned into a space. Names come from users'
/// files; an escape sequence among them must not reach a terminal.
std::string without_controls(std::string_view text);

}  // namespace feedwright::base
