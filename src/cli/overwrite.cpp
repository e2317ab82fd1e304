// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/overwrite.hpp"

#include "base/file.hpp"
#include "cli/context.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <optional>
#include <string>
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

// By its beginning: a page of ours, a JSON result with the program's name, lines of JSON with a
// status, or a CSV file of batch with such a column.
bool is_result(const std::string& path) {
    constexpr std::string_view in_first_line[] = {",status,",    ",optimal,", ",infeasible,",
                                                  ",unbounded,", ",stopped,", ",failed,",
                                                  ",passes,",    ",short,"};
    std::ifstream file(path, std::ios::binary);
    std::string start(4096, '\0');
    file.read(start.data(), static_cast<std::streamsize>(start.size()));
    start.resize(static_cast<std::size_t>(file.gcount()));
    const auto has = [&](std::string_view text) { return start.find(text) != std::string::npos; };
    if (start.empty()) return true;
    if (has("<meta name=\"generator\" content=\"feedwright\">")) return true;
    if (start.front() != '{') {
        // A part of a batch that is not its first has no head, and begins with a list's status.
        const std::string line = ',' + start.substr(0, start.find_first_of("\r\n")) + ',';
        return std::any_of(
            std::begin(in_first_line), std::end(in_first_line),
            [&](std::string_view word) { return line.find(word) != std::string::npos; });
    }
    return has("\"format\": \"feedwright-") ? has("\"program\": \"feedwright ")
                                            : has("\"status\":");
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

void refuse_to_replace(const std::string& option, const std::string& output) {
    struct stat status {};
    if (!regular(::stat(output.c_str(), &status), status) || is_result(output)) return;
    throw UsageError(option + ' ' + output,
                     "a file that is there already and is no result that the program knows again",
                     "a new file", "Name another file, or add --force to write over this one");
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

void save_question(const std::string& file, const std::string& text,
                   const std::vector<std::string>& inputs, bool force, const std::string& next) {
    if (!file.ends_with(".json")) {
        throw UsageError("--save", '"' + file + '"', "a name that ends in .json");
    }
    if (!force) refuse_to_replace("--save", file);
    refuse_to_write_over("--save", file, inputs);
    base::write_file(file, text);
    std::cerr << file << " is written. To use it again: " << next << '\n';
}

}  // namespace feedwright::cli
