// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>
#include <vector>

// What a command reads it does not write over. All throw UsageError; only regular files count, by
// whatever name: links, hard links, or "-" for a file that is standard input.
namespace feedwright::cli {

/// `option` and `output` are as they stand on the command line.
void refuse_to_write_over(const std::string& option, const std::string& output,
                          const std::vector<std::string>& inputs);

/// An existing file that is no result of this program: somebody else's work, which only --force
/// writes over. A text report cannot be told from another text, so it counts as somebody's too.
void refuse_to_replace(const std::string& option, const std::string& output);

/// Writes what a command was asked as a file (JSON) to change and use again, and says so on
/// standard error with `next`, the command that uses it. Refuses as the two above do, an existing
/// file but with `force`. Throws IoError.
void save_question(const std::string& file, const std::string& text,
                   const std::vector<std::string>& inputs, bool force, const std::string& next);

/// A folder whose files with one of these endings are read: a new one would be read by the next
/// run.
void refuse_to_write_into(const std::string& option, const std::string& output,
                          const std::string& folder, const std::vector<std::string_view>& endings);

/// Standard output, where a shell appends to a file that is read: it would never end.
void refuse_standard_output(const std::vector<std::string>& inputs);

/// True when both names are of one file, be it there yet or not.
bool same_file(const std::string& one, const std::string& other);

}  // namespace feedwright::cli
