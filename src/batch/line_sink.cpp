// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "batch/batch.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

namespace feedwright::batch {

namespace {

// The whole lines of a file: how many, where they end, the first and the last of them.
struct WholeLines {
    std::size_t count = 0;
    std::uint64_t end = 0;
    std::string first;
    std::string last;
};

WholeLines read_whole_lines(const std::string& file) {
    WholeLines lines;
    base::InputStream in(file);
    std::string rest;
    constexpr std::size_t block = std::size_t{1} << 20U;
    while (in.read(rest, block)) {
        const std::size_t end = rest.rfind('\n');
        if (end == std::string::npos) continue;
        if (lines.count == 0) lines.first = rest.substr(0, rest.find('\n') + 1);
        lines.count += static_cast<std::size_t>(
            std::count(rest.begin(), rest.begin() + static_cast<std::ptrdiff_t>(end) + 1, '\n'));
        const std::size_t before = end == 0 ? std::string::npos : rest.rfind('\n', end - 1);
        const std::size_t start = before == std::string::npos ? 0 : before + 1;
        lines.last = rest.substr(start, end + 1 - start);
        lines.end += end + 1;
        rest.erase(0, end + 1);
    }
    return lines;
}

}  // namespace

LineSink::LineSink(const std::string& header)
    : file_("standard output"), out_(std::make_unique<base::OutputStream>()) {
    out_->append(header);
}

LineSink::LineSink(const std::string& file, const std::string& header, bool resume)
    : file_(file), unfinished_(base::unfinished_name(file)) {
    using From = base::OutputStream::From;
    const std::size_t head = header.empty() ? 0 : 1;
    WholeLines old;
    if (resume && !unfinished_.empty()) {
        std::error_code none;
        for (const auto& [from, name] :
             {std::pair(From::unfinished, unfinished_), {From::file, file}}) {
            if (!std::filesystem::is_regular_file(name, none)) continue;
            old = read_whole_lines(name);
            if (old.count > 0 && head > 0 && old.first != header) {
                throw base::DataError(base::Diagnostic{
                    name, "line 1", "another header than this run would write",
                    "\"" + header.substr(0, header.size() - 1) + "\"",
                    "Resume with the options it was begun with, or without --resume to begin "
                    "anew"});
            }
            from_ = from;
            if (old.count > head) break;
        }
    }
    if (old.count > head) {
        kept_ = old.count - head;
        last_ = std::move(old.last);
        end_ = old.end;
    } else {
        from_ = From::nothing;
        head_ = header.size();
        out().append(header);
    }
}

// A file that is resumed stays untouched until its last line has proven right.
base::OutputStream& LineSink::out() {
    if (!out_) out_ = std::make_unique<base::OutputStream>(file_, from_, end_);
    return *out_;
}

void LineSink::write(std::string_view lines) {
    while (again_ > 0 && !lines.empty()) {
        const std::size_t length = lines.find('\n') + 1;
        if (again_ == 1 && lines.substr(0, length) != last_) {
            throw base::DataError(base::Diagnostic{
                file_, "its last whole line", "another result than this run has for the same list",
                "the beginning of this run's results",
                "Resume with the files and options it was begun with, or without --resume to "
                "begin anew"});
        }
        lines.remove_prefix(length);
        --again_;
    }
    if (again_ > 0) return;
    try {
        out().append(lines);
    } catch (const IoError& error) {
        const bool results = out_ && (out_->appended() > head_ || kept_ > 0);
        if (unfinished_.empty() || !results) throw;
        out_->keep_unfinished();
        throw IoError(std::string(error.what()) + ". The lines written so far are in " +
                      unfinished_ + ": the same command with --resume goes on after them");
    }
}

void LineSink::close() {
    if (again_ > 0) {
        throw base::DataError(base::Diagnostic{file_, "", "more lines than there are lists",
                                               "the beginning of this run's results", ""});
    }
    out().close();
}

}  // namespace feedwright::batch
