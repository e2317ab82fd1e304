// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/overwrite.hpp"

#include "cli/context.hpp"

#include <algorithm>
#include <filesystem>
#include <optional>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace feedwright::cli {

namespace {

namespace fs = std::filesystem;

std::optional<struct stat> regular(int result, const struct stat& status) {
    if (result != 0 || !S_ISREG(status.st_mode)) return std::nullopt;
    return status;
}

std::optional<struct stat> regular_file(const std::string& name) {
    struct stat status {};
    const int result = name == "-" ? ::fstat(STDIN_FILENO, &status) : ::stat(name.c_str(), &status);
    return regular(result, status);
}

bool is_read(const struct stat& output, const std::vector<std::string>& inputs) {
    return std::any_of(inputs.begin(), inputs.end(), [&](const std::string& input) {
        const auto read = regular_file(input);
        return read && read->st_dev == output.st_dev && read->st_ino == output.st_ino;
    });
}

[[noreturn]] void refuse(const std::string& place, const std::string& found) {
    throw UsageError(place, found, "another one", "Name a new file");
}

}  // namespace

void refuse_to_write_over(const std::string& option, const std::string& output,
                          const std::vector<std::string>& inputs) {
    struct stat status {};
    const auto written = regular(::stat(output.c_str(), &status), status);
    if (written && is_read(*written, inputs)) refuse(option + ' ' + output, "a file that is read");
}

void refuse_to_write_into(const std::string& option, const std::string& output,
                          const std::string& folder, const std::vector<std::string_view>& endings) {
    const bool read = std::any_of(endings.begin(), endings.end(), [&](std::string_view ending) {
        return output.ends_with(ending);
    });
    fs::path holder = fs::path(output).parent_path();
    if (holder.empty()) holder = ".";
    std::error_code error;
    if (read && fs::equivalent(holder, folder, error)) {
        refuse(option + ' ' + output, "a file that is read with all those of the folder " + folder);
    }
}

void refuse_standard_output(const std::vector<std::string>& inputs) {
    struct stat status {};
    const auto written = regular(::fstat(STDOUT_FILENO, &status), status);
    if (written && is_read(*written, inputs)) refuse("standard output", "a file that is read");
}

bool same_file(const std::string& one, const std::string& other) {
    std::error_code error;
    if (fs::exists(one, error) && fs::exists(other, error)) {
        return fs::is_regular_file(one, error) && fs::equivalent(one, other, error);
    }
    return fs::weakly_canonical(fs::absolute(one), error) ==
           fs::weakly_canonical(fs::absolute(other), error);
}

}  // namespace feedwright::cli
