// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace feedwright::base {

/// The whole of a file; "-" reads standard input. Throws IoError that names the file and the
/// reason.
std::string read_file(const std::string& path);

/// Writes the whole of a file or leaves it as it was: a neighbour is written, flushed and renamed
/// over it. Throws IoError (full disk, no permission, no such folder). Devices and pipes are
/// written straight.
void write_file(const std::string& path, std::string_view content);

}  // namespace feedwright::base
