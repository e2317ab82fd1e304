// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/paths.hpp"

#include <cerrno>
#include <cstdlib>
#include <fstream>
#include <system_error>

namespace feedwright::test {

std::filesystem::path source_folder() {
    return FEEDWRIGHT_SOURCE_DIR;
}

TempFolder::TempFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "feedwright-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) {
        throw std::system_error(errno, std::generic_category(), name);
    }
    path_ = name;
}

TempFolder::~TempFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
}

std::string TempFolder::file(std::string_view name) const {
    return (path_ / name).string();
}

std::string TempFolder::write(std::string_view name, std::string_view content) const {
    const std::filesystem::path target = path_ / name;
    std::filesystem::create_directories(target.parent_path());
    std::ofstream out(target, std::ios::binary);
    out << content;
    out.close();
    if (!out) throw std::runtime_error("cannot write " + target.string());
    return target.string();
}

}  // namespace feedwright::test
