// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/library_files.hpp"

#include <algorithm>
#include <charconv>
#include <cstddef>
#include <cstdint>
#include <map>
#include <string_view>

// The assembler copies in the file that carried_files.cmake wrote; C++20 has no #embed.
asm(".section .rodata\n"
    ".globl feedwright_carried, feedwright_carried_size\n"
    ".balign 8\n"
    "feedwright_carried_size: .quad 2f - 1f\n"
    "feedwright_carried:\n"
    "1: .incbin \"" FEEDWRIGHT_CARRIED_FILES
    "\"\n"
    "2:\n"
    ".previous\n");

extern "C" {
extern const char feedwright_carried[];  // NOLINT(modernize-avoid-c-arrays)
extern const std::uint64_t feedwright_carried_size;
}

namespace feedwright::catalog {

namespace {

class CarriedFiles final : public LibraryFiles {
  public:
    CarriedFiles() {
        std::string_view index(feedwright_carried, feedwright_carried_size);
        std::string_view texts = index.substr(index.find("\n\n") + 2);
        while (index.front() != '\n') {
            const std::string_view line = index.substr(0, index.find('\n'));
            index.remove_prefix(line.size() + 1);
            std::size_t size = 0;
            const char* space = std::from_chars(line.data(), line.data() + line.size(), size).ptr;
            texts_.emplace(line.substr(static_cast<std::size_t>(space - line.data()) + 1),
                           texts.substr(0, size));
            texts.remove_prefix(size);
        }
    }

    bool has(const std::string& name) const override { return texts_.contains(name); }
    std::string read(const std::string& name) const override {
        const auto at = texts_.find(name);
        if (at == texts_.end()) throw IoError(shown(name) + ": no such file");
        return std::string(at->second);
    }
    std::string shown(const std::string& name) const override {
        return "the carried library: " + name;
    }
    std::vector<std::string> names_in(const std::string& folder) const override {
        constexpr std::string_view ending = ".json";
        const std::string start = folder + '/';
        std::vector<std::string> names;
        for (auto at = texts_.lower_bound(start);
             at != texts_.end() && at->first.starts_with(start); ++at) {
            const std::string_view name = at->first.substr(start.size());
            names.emplace_back(name.substr(0, name.size() - ending.size()));
        }
        // With their ending, "a-b.json" stands before "a.json".
        std::sort(names.begin(), names.end());
        return names;
    }

  private:
    std::map<std::string_view, std::string_view> texts_;
};

}  // namespace

LibraryFilesPtr carried_files() {
    static const auto files = std::make_shared<CarriedFiles>();
    return files;
}

}  // namespace feedwright::catalog
