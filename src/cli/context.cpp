// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/context.hpp"

#include "base/file.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "cli/environment.hpp"
#include "cli/overwrite.hpp"
#include "cli/own_library.hpp"
#include "document/csv_table.hpp"
#include "document/view.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <map>
#include <sys/ioctl.h>
#include <unistd.h>
#include <utility>

namespace feedwright::cli {

namespace {

std::string set_to(const char* name) {
    return environment(name).value_or("");
}

catalog::LibraryFilesPtr folder_named(const std::string& folder, const std::string& by) {
    auto files = catalog::files_in(folder);
    if (files->has("nutrients.json")) return files;
    throw IoError(folder + ": no nutrients.json here; " + by + " names the library's folder");
}

// Colour is for a terminal whose user has not said no: NO_COLOR, TERM=dumb, --no-colour.
bool use_colour(bool refused) {
    return !refused && ::isatty(STDOUT_FILENO) == 1 && set_to("NO_COLOR").empty() &&
           set_to("TERM") != "dumb";
}

// Columns for text: those of the terminal within what a report can be laid out for.
std::size_t text_width() {
    constexpr std::size_t usual = 80;
    constexpr std::size_t least = 60;
    constexpr std::size_t most = 120;
    if (::isatty(STDOUT_FILENO) != 1) return usual;
    winsize size{};
    // NOLINTNEXTLINE(cppcoreguidelines-pro-type-vararg): the system's way to ask
    if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
        return std::clamp<std::size_t>(size.ws_col, least, most);
    const auto columns = base::parse_finite(set_to("COLUMNS"));
    return columns && *columns >= 1
               ? static_cast<std::size_t>(std::clamp(*columns, double{least}, double{most}))
               : usual;
}

// What a report leaves out, and how to ask for it.
void add_how_to_see_more(document::Document& shown, const std::vector<std::string>& left_out) {
    if (left_out.empty()) return;
    shown.blocks.emplace_back(document::Heading{""});
    shown.blocks.emplace_back(document::Paragraph{
        fmt::format("More of this report: --show {}, or --detail for all of it.",
                    fmt::join(left_out, ",")),
        document::Tone::quiet});
}

// The whole result as CSV, or the one table that is asked for.
std::string csv_of(const document::Document& whole, const std::string& table) {
    if (table.empty()) return document::render_csv(whole);
    const auto text = document::render_csv_table(whole, table);
    if (text) return *text;
    const std::vector<std::string> names = document::csv_tables(whole);
    throw UsageError("--table", '"' + table + '"',
                     "a table of this result: " + base::join_words(names, " or "),
                     base::did_you_mean(table, names));
}

}  // namespace

std::optional<std::string> environment(const char* name) {
    const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): before any thread
    if (value == nullptr) return std::nullopt;
    return std::string(value);
}

void flush_output() {
    std::cout << std::flush;
    if (!std::cout) throw IoError("standard output: cannot write all of the result");
}

catalog::LibraryFilesPtr library_files(const std::string& asked) {
    if (!asked.empty()) return folder_named(asked, "--data");
    const std::string named = set_to("FEEDWRIGHT_DATA");
    return named.empty() ? catalog::carried_files() : folder_named(named, "FEEDWRIGHT_DATA");
}

catalog::Library& Context::library() {
    if (library_) return *library_;
    std::vector<std::string> own = own_library_files();
    own.insert(own.end(), libraries.begin(), libraries.end());
    library_ = std::make_unique<catalog::Library>(library_files(data), own);
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
        if (!as.empty()) return as;
        return table.empty() ? "text" : "csv";
    }
    if (!as.empty() && as != named->second) {
        throw UsageError("-o " + output, "--as " + as + " and the ending " + ending, "one form",
                         "Leave out --as, or give the file another ending");
    }
    return named->second;
}

void Context::settle_output() {
    if (output == "-") output.clear();
    if (!table.empty() && form() != "csv") {
        throw UsageError("--table", "it with the form " + form(), "--as csv, or no --as",
                         "A table alone is written as CSV");
    }
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
        text = csv_of(document::view_of(document(), {true, {}}), table);
    } else if (asked == "html") {
        text = document::render_html(document::view_of(document(), {true, {}}));
    } else {
        const document::View view{detail, parts};
        const document::Document whole = document();
        document::Document shown = document::view_of(whole, view);
        add_how_to_see_more(shown, document::parts_left_out(whole, view));
        document::TextStyle style;
        if (output.empty()) style.width = text_width();
        style.colour = output.empty() && use_colour(no_colour);
        text = asked == "markdown" ? document::render_markdown(shown)
                                   : document::render_text(shown, style);
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
