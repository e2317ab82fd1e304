// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"

#include <cstddef>
#include <string>
#include <string_view>

namespace feedwright::base {

/// "line 4" of the byte at `offset`.
std::string line_of(std::string_view text, std::size_t offset);

/// What is wrong with a text that is no JSON, in words for somebody who wrote it by hand. The
/// parser stopped after `reached` bytes for `reason`, in its own words.
Diagnostic explain_syntax(const std::string& file, std::string_view text, std::size_t reached,
                          std::string_view reason);

}  // namespace feedwright::base
