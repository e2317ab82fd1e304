// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

// The user's own library files (feedwright-library/1), which lie over the library without being
// named in a command: those that FEEDWRIGHT_LIBRARY names (files, or folders of .json files, with
// colons between them; empty: none), or else those in the folder feedwright/library of the user's
// data (XDG Base Directory Specification 0.8: XDG_DATA_HOME, or ~/.local/share).
namespace feedwright::cli {

/// In the order in which they are laid over the library; of a folder sorted by name. Throws IoError
/// for a file or folder of FEEDWRIGHT_LIBRARY that is not there.
std::vector<std::string> own_library_files();

/// Where `import --save-as NAME` writes: in the first folder of FEEDWRIGHT_LIBRARY, or else in the
/// user's data. Throws UsageError for a name that is not a plain one, or where there is no folder.
std::string own_library_file(const std::string& name);

}  // namespace feedwright::cli
