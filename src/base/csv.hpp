// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <functional>
#include <istream>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::base {

/// One record of a CSV file (RFC 4180) and the line it starts on, counted from 1.
struct CsvRow {
    std::size_t line = 0;
    std::vector<std::string> cells;
};

/// A CSV table with a header row. Empty lines and lines that begin with '#' are passed over; a byte
/// order mark is dropped; CRLF and LF both end a row; cells are trimmed of spaces unless quoted.
struct CsvTable {
    std::string file;
    std::vector<std::string> header;
    std::size_t header_line = 1;
    std::vector<CsvRow> rows;
};

/// Reads a whole table. Throws DataError for an unclosed quote, a row with more or fewer cells than
/// the header, a repeated or empty column name, semicolons or tabs used as separator, or no header
/// at all.
CsvTable parse_csv(std::string_view text, const std::string& file);

/// Reads a stream record by record, so that memory does not grow with the file.
class CsvReader {
  public:
    CsvReader(std::istream& in, std::string file, char separator = ',');
    /// The next record with anything in it; false at the end. Throws DataError for an unclosed
    /// quote.
    bool next(CsvRow& row);
    const std::string& file() const { return file_; }

  private:
    std::istream& in_;
    std::string file_;
    char separator_;
    std::size_t line_ = 0;
};

/// The cells of one line, as above; false when a quote is still open at its end.
bool split_csv(std::string_view line, std::vector<std::string>& cells, char separator = ',');

/// A cell, quoted only when it must be.
std::string csv_cell(std::string_view text);

/// A cell for a text that came from a file or a command line: without control characters, and with
/// an apostrophe before what a spreadsheet takes for a formula, since a formula can send data away.
std::string csv_text(std::string_view text);

}  // namespace feedwright::base
