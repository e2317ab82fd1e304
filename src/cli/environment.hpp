// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

namespace feedwright::cli {

/// A variable of the environment; nullopt where it is not set.
std::optional<std::string> environment(const char* name);

}  // namespace feedwright::cli
