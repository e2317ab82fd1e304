// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace feedwright::test {

/// The top folder of the source tree, for tests that read data/, examples/ or tests/.
std::filesystem::path source_folder();

/// A new empty folder that is removed, with all that is in it, at the end of the scope.
class TempFolder {
  public:
    TempFolder();
    ~TempFolder();
    TempFolder(const TempFolder&) = delete;
    TempFolder& operator=(const TempFolder&) = delete;

    const std::filesystem::path& path() const { return path_; }
    /// The path of `name` inside the folder, as text.
    std::string file(std::string_view name) const;
    /// Writes `content` to `name` inside the folder and returns its path.
    std::string write(std::string_view name, std::string_view content) const;

  private:
    std::filesystem::path path_;
};

}  // namespace feedwright::test
