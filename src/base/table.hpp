// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "base/encoding.hpp"
#include "base/head.hpp"
#include "base/written_number.hpp"

#include <cstddef>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

// Tables as spreadsheets and people write them: one reader for every table that the program reads.
namespace feedwright::base {

/// One row and the line it starts on, counted from 1.
struct TableRow {
    std::size_t line = 0;
    std::vector<std::string> cells;
};

/// The rows of a file, cut at the separator under which its head is seen best.
struct CutTable {
    std::vector<TableRow> rows;      ///< without rows of empty cells alone
    std::size_t head = 0;            ///< which of them looks like the head; 0 where none does
    int likeness = 0;                ///< how much, as the caller judges; 0: not at all
    std::vector<TableRow> comments;  ///< lines that begin with "#", one cell each
    char separator = ',';
    Encoding encoding = Encoding::utf8;
};

/// How much the cells of a row look like a head: 0 for not at all.
using HeadLikeness = std::function<int(const std::vector<std::string>&)>;

/// Reads text in any encoding of plain_text, with commas, semicolons or tabs between cells and LF,
/// CRLF or CR between rows. Cells are trimmed of spaces unless quoted (RFC 4180). A first line
/// "sep=;" names the separator. Throws DataError for what is no text, for JSON, for a quote that is
/// never closed and for a file without rows.
CutTable cut_table(std::string_view bytes, const std::string& file, const HeadLikeness& likeness);

/// What may stand in the head of a column besides its name.
enum class Measure {
    none,
    percent,  ///< "%"
    price,    ///< a currency and a pack; they may stand alone: "USD/kg"
    amount,   ///< "%" or a unit of weight, which may stand alone: "kg"
    weight    ///< a unit of weight
};

/// A column that a reader knows.
struct WantedColumn {
    std::string name;                ///< as the program names it
    std::vector<std::string> words;  ///< what else it may be called, as plain_words writes it
    bool required = false;
    bool number = false;  ///< its numbers tell the decimal mark of the file
    Measure measure = Measure::none;
    bool names_rows = false;  ///< its cell names the row: "total" makes it the sum of the others
};

/// A row that was read and left out.
struct LeftOut {
    std::size_t line = 0;
    std::string text;
    enum class Why { title, total, head_again } why = Why::title;
};

/// What was understood of a table, for the report to say.
struct TableReading {
    std::string file;
    std::size_t rows = 0;
    Encoding encoding = Encoding::utf8;
    char separator = ',';
    bool decimals = false;  ///< some number has a decimal mark
    DecimalMark mark = DecimalMark::point;
    bool grouped = false;            ///< some number has marks between thousands
    std::string currency;            ///< empty where the file names none
    std::string per;                 ///< what its prices are per where the head says so
    std::vector<std::string> aside;  ///< columns that are not known, as written
    std::vector<LeftOut> left_out;

    /// Nothing had to be understood: commas, points, UTF-8, known columns and nothing else.
    bool plain() const;
};

/// A table with its columns found.
struct Table {
    std::string file;
    std::vector<Head> heads;  ///< one a column
    std::size_t head_line = 1;
    std::vector<TableRow> rows;                               ///< as many cells as heads
    std::vector<TableRow> above;                              ///< titles and comments
    std::map<std::string, std::size_t, std::less<>> columns;  ///< by WantedColumn::name
    /// Of all numbers; nullopt where the file does not show it, which is then a problem already
    /// told.
    std::optional<DecimalMark> mark = DecimalMark::point;
    TableReading reading;

    const Head* head(std::string_view column) const;
};

/// Finds the head among the first lines, and the columns by their names. What is wrong goes to
/// `diagnostics`, all of it; what leaves nothing to read throws DataError with it.
///
/// Rows may end early, and may go on with empty cells. Columns that are not wanted are kept aside
/// (`reading.aside`), unless their name looks like a mistyped one. A row named "total" is left out
/// when its numbers are the sums of those above. Where a comma may as well be a decimal comma as
/// the end of a cell, the row is a problem.
Table read_table(std::string_view bytes, const std::string& file,
                 const std::vector<WantedColumn>& wanted, Diagnostics& diagnostics);

/// One row seen through its columns; a column the table lacks reads as an empty cell.
class Cells {
  public:
    Cells(const Table& table, const TableRow& row, Diagnostics& diagnostics)
        : table_(table), row_(row), diagnostics_(diagnostics) {}

    /// A cell of words: blanks of all kinds become single spaces.
    std::string text(std::string_view column) const;
    /// The cell as it stands.
    const std::string& raw(std::string_view column) const;
    /// A number alone, or nullopt for an empty cell; anything else is a problem.
    std::optional<double> number(std::string_view column) const;
    /// The same from 0 to 100, with or without "%".
    std::optional<double> percent(std::string_view column) const;
    /// The number that the cell begins with, with the text behind it in `rest`. An empty cell gives
    /// nullopt; one without a number is a problem, except where the table has no decimal mark.
    std::optional<double> leading(std::string_view column, std::string& rest,
                                  const std::string& expected) const;
    void problem(std::string_view column, std::string found, std::string expected,
                 std::string hint = {}) const;
    /// The cell of a column by its place.
    const std::string& cell(std::size_t index) const { return row_.cells[index]; }
    std::size_t line() const { return row_.line; }
    const Table& table() const { return table_; }

  private:
    const Table& table_;
    const TableRow& row_;
    Diagnostics& diagnostics_;
};

/// Settles the decimal mark of a file; nullopt, with the problem recorded, where its numbers can be
/// read in two ways.
std::optional<DecimalMark> settle_mark(const MarkVotes& votes, char separator,
                                       const std::string& file, Diagnostics& diagnostics);

/// Why a text that should be a number is none, where that can be said.
std::string number_hint(std::string_view cell);

}  // namespace feedwright::base
