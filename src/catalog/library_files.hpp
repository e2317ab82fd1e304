// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "base/json.hpp"

#include <memory>
#include <string>
#include <vector>

namespace feedwright::catalog {

/// The files of a library, by their names in it ("ingredients/maize.json"), wherever they are kept.
class LibraryFiles {
  public:
    LibraryFiles() = default;
    LibraryFiles(const LibraryFiles&) = delete;
    LibraryFiles& operator=(const LibraryFiles&) = delete;
    virtual ~LibraryFiles() = default;

    virtual bool has(const std::string& name) const = 0;
    /// The text of a file. Throws IoError when it cannot be read.
    virtual std::string read(const std::string& name) const = 0;
    /// What messages call a file, so that a user can find it.
    virtual std::string shown(const std::string& name) const = 0;
    /// The names of the .json files in a folder of the library, without that ending, sorted. Throws
    /// IoError when there is no such folder.
    virtual std::vector<std::string> names_in(const std::string& folder) const = 0;
    /// The folder on disk; empty when there is none.
    virtual std::string folder() const { return {}; }
};

using LibraryFilesPtr = std::shared_ptr<const LibraryFiles>;

/// A folder on disk, each file read when it is asked for.
LibraryFilesPtr files_in(std::string folder);

/// The library that the program carries in itself: the files of data/ as they were when it was
/// built.
LibraryFilesPtr carried_files();

/// What `load` makes of the JSON in file `name`. Throws DataError for what is wrong in it, and
/// IoError.
template <class Load>
auto load_file(const LibraryFiles& files, const std::string& name, const Load& load) {
    base::Diagnostics diagnostics;
    auto made =
        load(base::JsonView(base::parse_json(files.read(name), files.shown(name)), diagnostics));
    diagnostics.throw_if_any();
    return made;
}

}  // namespace feedwright::catalog
