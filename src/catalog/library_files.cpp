// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/library_files.hpp"

#include "base/file.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

namespace feedwright::catalog {

namespace {

namespace fs = std::filesystem;

class FolderFiles final : public LibraryFiles {
  public:
    explicit FolderFiles(std::string folder) : folder_(std::move(folder)) {}

    bool has(const std::string& name) const override {
        std::error_code error;
        return fs::exists(shown(name), error);
    }
    std::string read(const std::string& name) const override {
        return base::read_file(shown(name));
    }
    std::string shown(const std::string& name) const override { return folder_ + '/' + name; }
    std::vector<std::string> names_in(const std::string& folder) const override {
        std::vector<std::string> names;
        std::error_code error;
        for (const auto& entry : fs::directory_iterator(shown(folder), error)) {
            if (entry.path().extension() == ".json") names.push_back(entry.path().stem().string());
        }
        if (error) throw IoError(shown(folder) + ": cannot list: " + error.message());
        std::sort(names.begin(), names.end());
        return names;
    }
    std::string folder() const override { return folder_; }

  private:
    std::string folder_;
};

}  // namespace

LibraryFilesPtr files_in(std::string folder) {
    return std::make_shared<FolderFiles>(std::move(folder));
}

}  // namespace feedwright::catalog
