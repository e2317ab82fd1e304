// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/encoding.hpp"
#include "base/stream_file.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

// The lines of a table of prices and their cells, quick for tables of millions of lists.
namespace feedwright::batch {

/// base::trim, quick for the cell that needs none.
std::string_view trimmed(std::string_view text);
/// A line of separators alone is an empty line of a spreadsheet, and one that begins with # a
/// comment.
bool holds_nothing(std::string_view line, char separator);
/// Whether it holds ASCII alone.
bool is_plain(std::string_view text);
/// A line without what surrounds it. An empty cell at either end of a line is a tab where tabs
/// separate.
std::string_view whole(std::string_view line, char separator);

/// The file line by line. What was given out stays in `buffer` until `forget`.
class Lines {
  public:
    static constexpr std::size_t block = std::size_t{256} << 10U;  ///< bytes of one read

    /// Reads the beginning. A file whose letters are not UTF-8 is read whole and rewritten.
    explicit Lines(const std::string& file);

    base::Encoding encoding() const { return encoding_; }
    void drop_mark() {
        if (beginning().starts_with("\xEF\xBB\xBF")) at_ += 3;
    }
    /// Of what was read and not taken yet, what decides how the table is understood.
    std::string_view beginning() const {
        return std::string_view(buffer_).substr(at_, beginning_ > at_ ? beginning_ - at_ : 0);
    }

    /// The next line without its end; false when there is none.
    bool peek(std::string_view& line);
    /// Goes past the line that peek gave.
    void take() {
        at_ += step_;
        looked_ = 0;
        ++number_;
    }
    std::size_t taken() const { return number_; }
    std::size_t position() const { return at_; }
    std::string text(std::size_t from) const { return buffer_.substr(from, at_ - from); }
    void forget() {
        buffer_.erase(0, at_);
        at_ = 0;
    }
    /// The share of the file that was taken; nullopt where its size is not known.
    std::optional<double> fetched() const;

  private:
    base::InputStream in_;
    std::string file_;
    std::string buffer_;
    std::size_t beginning_ = block;
    std::size_t at_ = 0;
    std::size_t looked_ = 0;
    std::size_t length_ = 0;
    std::size_t step_ = 0;
    std::size_t number_ = 0;
    base::Encoding encoding_ = base::Encoding::utf8;
};

/// The cells of one line, without copying them where there are no quotes. False for an open quote.
class Splitter {
  public:
    explicit Splitter(char separator) : separator_(separator) {}

    bool split(std::string_view line, std::vector<std::string_view>& cells);

  private:
    char separator_;
    std::vector<std::string> owned_;
};

}  // namespace feedwright::batch
