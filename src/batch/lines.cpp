// SPDX-License-Identifier: GPL-3.0-or-later
#include "batch/lines.hpp"

#include "base/csv.hpp"
#include "base/diagnostics.hpp"
#include "base/table.hpp"
#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstring>
#include <utility>

namespace feedwright::batch {

namespace {

constexpr std::size_t stream_beginning = std::size_t{4} << 10U;
constexpr std::size_t longest_line = std::size_t{1} << 20U;

}  // namespace

bool is_plain(std::string_view text) {
    return std::none_of(text.begin(), text.end(),
                        [](char c) { return static_cast<unsigned char>(c) >= 0x80; });
}

std::string_view trimmed(std::string_view text) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
    while (!text.empty() && blank(text.front()))
        text.remove_prefix(1);
    while (!text.empty() && blank(text.back()))
        text.remove_suffix(1);
    return text;
}

bool holds_nothing(std::string_view line, char separator) {
    const std::string_view content = trimmed(line);
    if (content.empty() || content.front() == '#') return true;
    return content.front() == separator && std::all_of(content.begin(), content.end(), [&](char c) {
               return c == separator || c == ' ' || c == '\t';
           });
}

std::string_view whole(std::string_view line, char separator) {
    if (separator != '\t') return base::trim(line);
    while (line.ends_with('\r'))
        line.remove_suffix(1);
    return line;
}

Lines::Lines(const std::string& file) : in_(file), file_(file) {
    // How a table is understood is taken from a set length of it, to the end of a line, so that
    // it does not depend on how a stream arrives. A stream may pause, so its length is short.
    const std::size_t enough = in_.size() ? block : stream_beginning;
    std::size_t end = std::string::npos;
    do {
        end = buffer_.find('\n', enough - 1);
    } while (end == std::string::npos && buffer_.size() < enough + longest_line &&
             in_.read(buffer_, block));
    beginning_ = end == std::string::npos ? buffer_.size() : end + 1;
    base::refuse_what_is_no_table(buffer_, file_);
    const std::string_view begin = beginning();
    const bool utf16 = begin.starts_with("\xFF\xFE") || begin.starts_with("\xFE\xFF");
    const std::size_t good = base::utf8_length(begin);
    const bool other = !utf16 && good < begin.size() && is_plain(begin.substr(0, good));
    if (!utf16 && !other) return;
    while (in_.read(buffer_, block)) {
    }
    base::PlainText plain = base::plain_text(buffer_, file_);
    buffer_ = std::move(plain.text);
    beginning_ = buffer_.size();
    encoding_ = plain.encoding;
}

bool Lines::peek(std::string_view& line) {
    while (true) {
        const char* start = buffer_.data() + at_;
        const std::size_t left = buffer_.size() - at_;
        const void* end =
            left > looked_ ? std::memchr(start + looked_, '\n', left - looked_) : nullptr;
        if (end != nullptr) {
            length_ = static_cast<std::size_t>(static_cast<const char*>(end) - start);
            step_ = length_ + 1;
            break;
        }
        looked_ = left;
        if (left > longest_line) {
            throw base::DataError(base::Diagnostic{file_, fmt::format("line {}", number_ + 1),
                                                   "a line longer than a megabyte",
                                                   "a table with one list a line", ""});
        }
        if (!in_.read(buffer_, block)) {
            if (left == 0) return false;
            length_ = step_ = left;
            break;
        }
    }
    line = std::string_view(buffer_).substr(at_, length_);
    return true;
}

std::optional<double> Lines::fetched() const {
    const auto size = in_.size();
    if (!size || *size == 0) return std::nullopt;
    const std::uint64_t left = buffer_.size() - at_;
    const std::uint64_t used = in_.bytes_read() - std::min(in_.bytes_read(), left);
    return std::min(1.0, static_cast<double>(used) / static_cast<double>(*size));
}

bool Splitter::split(std::string_view line, std::vector<std::string_view>& cells) {
    cells.clear();
    if (line.find('"') == std::string_view::npos) {
        std::size_t at = 0;
        while (true) {
            const std::size_t comma = std::min(line.find(separator_, at), line.size());
            cells.push_back(trimmed(line.substr(at, comma - at)));
            if (comma == line.size()) return true;
            at = comma + 1;
        }
    }
    if (!base::split_csv(whole(line, separator_), owned_, separator_)) return false;
    cells.assign(owned_.begin(), owned_.end());
    return true;
}

}  // namespace feedwright::batch
