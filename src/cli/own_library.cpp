// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/own_library.hpp"

#include "cli/context.hpp"
#include "cli/environment.hpp"

#include <algorithm>
#include <filesystem>
#include <optional>
#include <system_error>

namespace feedwright::cli {

namespace {

namespace fs = std::filesystem;

constexpr const char* variable = "FEEDWRIGHT_LIBRARY";

std::vector<fs::path> paths_of(const std::string& text) {
    std::vector<fs::path> paths;
    std::size_t from = 0;
    while (from <= text.size()) {
        const std::size_t to = std::min(text.find(':', from), text.size());
        if (to > from) paths.emplace_back(text.substr(from, to - from));
        from = to + 1;
    }
    return paths;
}

// Empty where the user has no home.
fs::path data_folder() {
    const std::string named = environment("XDG_DATA_HOME").value_or("");
    // The specification passes over a path that is not absolute.
    fs::path base = named;
    if (!base.is_absolute()) {
        const std::string home = environment("HOME").value_or("");
        if (home.empty()) return {};
        base = fs::path(home) / ".local" / "share";
    }
    return base / "feedwright" / "library";
}

void add_files_of(const fs::path& folder, std::vector<std::string>& files) {
    std::vector<std::string> found;
    std::error_code error;
    for (const auto& entry : fs::directory_iterator(folder, error)) {
        if (entry.path().extension() == ".json") found.push_back(entry.path().string());
    }
    if (error) throw IoError(folder.string() + ": cannot list: " + error.message());
    std::sort(found.begin(), found.end());
    files.insert(files.end(), found.begin(), found.end());
}

bool is_plain(const std::string& name) {
    return !name.empty() && std::all_of(name.begin(), name.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
    });
}

}  // namespace

std::vector<std::string> own_library_files() {
    std::vector<std::string> files;
    std::error_code error;
    if (const auto named = environment(variable)) {
        for (const fs::path& path : paths_of(*named)) {
            if (fs::is_directory(path, error)) {
                add_files_of(path, files);
            } else if (fs::exists(path, error)) {
                files.push_back(path.string());
            } else {
                throw IoError(path.string() + ": not there; " + variable +
                              " names library files of your own, or folders of them");
            }
        }
        return files;
    }
    const fs::path folder = data_folder();
    if (!folder.empty() && fs::is_directory(folder, error)) add_files_of(folder, files);
    return files;
}

std::string own_library_file(const std::string& name) {
    if (!is_plain(name)) {
        throw UsageError("--save-as", '"' + name + '"',
                         "a name of small letters, digits and hyphens, such as my-feeds");
    }
    fs::path folder = data_folder();
    std::error_code error;
    if (const auto named = environment(variable); named && !named->empty()) {
        const std::vector<fs::path> paths = paths_of(*named);
        const auto at = std::find_if(paths.begin(), paths.end(), [&](const fs::path& path) {
            return fs::is_directory(path, error);
        });
        folder = at == paths.end() ? fs::path() : *at;
    }
    if (folder.empty()) {
        throw UsageError("--save-as", "no folder for a library of your own",
                         std::string("a folder that ") + variable + " names, or HOME");
    }
    return (folder / (name + ".json")).string();
}

}  // namespace feedwright::cli
