// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/context.hpp"

#include "base/file.hpp"
#include "base/text.hpp"
#include "cli/carried_library.hpp"
#include "cli/overwrite.hpp"

#include <fmt/format.h>

#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <string_view>
#include <system_error>
#include <unistd.h>
#include <utility>

namespace feedwright::cli {

namespace {

namespace fs = std::filesystem;

std::string environment(const char* name) {
    const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): before any thread
    return value == nullptr ? std::string{} : std::string(value);
}

bool is_data(const fs::path& folder) {
    std::error_code error;
    return fs::exists(folder / "nutrients.json", error);
}

// Colour is for a terminal whose user has not said no: NO_COLOR, TERM=dumb, --no-colour.
bool use_colour(bool refused) {
    return !refused && ::isatty(STDOUT_FILENO) == 1 && environment("NO_COLOR").empty() &&
           environment("TERM") != "dumb";
}

}  // namespace

void flush_output() {
    std::cout << std::flush;
    if (!std::cout) throw IoError("standard output: cannot write all of the result");
}

std::string find_data(const std::string& asked) {
    if (!asked.empty() && is_data(asked)) return asked;
    if (!asked.empty())
        throw IoError(asked + ": no nutrients.json here; --data names the library's folder");
    if (const std::string named = environment("FEEDWRIGHT_DATA"); !named.empty()) {
        if (is_data(named)) return named;
        throw IoError(named +
                      ": no nutrients.json here; FEEDWRIGHT_DATA names the library's folder");
    }
    std::vector<std::string> tried;
    std::error_code error;
    const fs::path program = fs::read_symlink("/proc/self/exe", error);
    if (!error) {
        const fs::path installed =
            (program.parent_path().parent_path() / FEEDWRIGHT_DATA_DIR / "feedwright")
                .lexically_normal();
        if (is_data(installed)) return installed.string();
        tried.push_back(installed.string());
    }
    // The program still lies in its build tree.
    if (is_data(FEEDWRIGHT_SOURCE_DATA)) return FEEDWRIGHT_SOURCE_DATA;
    tried.emplace_back(FEEDWRIGHT_SOURCE_DATA);
    throw IoError("the library of ingredients was not found in " + base::join_words(tried, " or ") +
                  "; name its folder with --data or FEEDWRIGHT_DATA");
}

catalog::Library& Context::library() {
    if (!library_) {
        library_ =
            std::make_unique<catalog::Library>(find_data(data), libraries, carried_library());
    }
    return *library_;
}

void Context::show(const document::Document& document,
                   const std::function<std::string()>& json) const {
    std::string text;
    if (as == "json") {
        text = json();
    } else if (as == "csv") {
        text = document::render_csv(document);
    } else if (as == "markdown") {
        text = document::render_markdown(document);
    } else {
        document::TextStyle style;
        style.colour = output.empty() && use_colour(no_colour);
        text = document::render_text(document, style);
    }
    if (!output.empty()) {
        base::write_file(output, text);
        return;
    }
    std::cout << text;
    flush_output();
}

report::Run Context::run(const std::vector<std::string>& inputs,
                         std::vector<std::pair<std::string, std::string>> settings) const {
    if (!output.empty()) refuse_to_write_over("-o", output, inputs);
    report::Run run;
    run.program = "feedwright " FEEDWRIGHT_VERSION;
    run.inputs = inputs;
    run.settings = std::move(settings);
    run.detail = detail;
    return run;
}

}  // namespace feedwright::cli
