// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/context.hpp"

#include "base/file.hpp"
#include "base/text.hpp"
#include "cli/overwrite.hpp"

#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <map>
#include <unistd.h>
#include <utility>

namespace feedwright::cli {

namespace {

std::string environment(const char* name) {
    const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): before any thread
    return value == nullptr ? std::string{} : std::string(value);
}

catalog::LibraryFilesPtr folder_named(const std::string& folder, const std::string& by) {
    auto files = catalog::files_in(folder);
    if (files->has("nutrients.json")) return files;
    throw IoError(folder + ": no nutrients.json here; " + by + " names the library's folder");
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

catalog::LibraryFilesPtr library_files(const std::string& asked) {
    if (!asked.empty()) return folder_named(asked, "--data");
    const std::string named = environment("FEEDWRIGHT_DATA");
    return named.empty() ? catalog::carried_files() : folder_named(named, "FEEDWRIGHT_DATA");
}

catalog::Library& Context::library() {
    if (!library_) library_ = std::make_unique<catalog::Library>(library_files(data), libraries);
    return *library_;
}

std::string Context::form() const {
    const std::string ending = base::lower(std::filesystem::path(output).extension().string());
    static const std::map<std::string, std::string> forms{
        {".json", "json"},         {".csv", "csv"},   {".md", "markdown"},
        {".markdown", "markdown"}, {".html", "html"}, {".htm", "html"}};
    const auto named = forms.find(ending);
    if (named == forms.end()) {
        // What other programs read by its ending would be a text that they cannot open.
        for (const char* other : {".pdf", ".svg", ".xlsx", ".xls", ".ods", ".odt", ".doc", ".docx",
                                  ".tsv", ".xml", ".zip", ".gz", ".png"}) {
            if (ending != other) continue;
            throw UsageError("-o " + output, "the ending " + ending,
                             "a name that ends in .txt, .md, .csv, .json or .html",
                             "These are the forms a result can have");
        }
        return as.empty() ? "text" : as;
    }
    if (!as.empty() && as != named->second) {
        throw UsageError("-o " + output, "--as " + as + " and the ending " + ending, "one form",
                         "Leave out --as, or give the file another ending");
    }
    return named->second;
}

void Context::settle_output() {
    if (output == "-") output.clear();
    if (output.empty()) return;
    form();
    if (!force) refuse_to_replace("-o", output);
}

void Context::show(const std::function<document::Document()>& document,
                   const std::function<std::string()>& json) const {
    std::string text;
    const std::string asked = form();
    if (asked == "json") {
        text = json();
    } else if (asked == "csv") {
        text = document::render_csv(document());
    } else if (asked == "markdown") {
        text = document::render_markdown(document());
    } else if (asked == "html") {
        text = document::render_html(document());
    } else {
        document::TextStyle style;
        style.colour = output.empty() && use_colour(no_colour);
        text = document::render_text(document(), style);
    }
    if (!output.empty()) {
        base::write_file(output, text);
        return;
    }
    std::cout << text;
    flush_output();
}

report::Run Context::run(const std::vector<std::string>& inputs, Settings settings) const {
    if (!output.empty()) refuse_to_write_over("-o", output, inputs);
    report::Run run;
    run.program = "feedwright " FEEDWRIGHT_VERSION;
    run.inputs = inputs;
    run.settings = std::move(settings);
    run.detail = detail;
    return run;
}

}  // namespace feedwright::cli
