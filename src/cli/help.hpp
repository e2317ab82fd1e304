// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/command.hpp"

#include <string>
#include <vector>

namespace feedwright::cli {

/// What `--help` prints of the command that `path` names below `program` ("trial", "design"; empty:
/// the program): what it does, how it is called, its options in groups, examples and exit codes.
/// No line is wider than 80 columns unless a single word is.
std::string help_text(const Command& program, const std::vector<std::string>& path);

/// The command that `words` name below `program`. Throws UsageError for a word that names none.
const Command& command_named(const Command& program, const std::vector<std::string>& words);

}  // namespace feedwright::cli
