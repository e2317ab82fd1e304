// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/plot.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace feedwright::document {

/// What a piece of text means; the renderer chooses how to show it. Meaning never rests on colour:
/// the words say it too.
enum class Tone { plain, good, bad, warn, quiet };

enum class Align { left, right };

/// A cell of a table: the text people see and, where the cell is a number, the exact value that
/// goes to CSV.
struct Cell {
    std::string text;
    std::optional<double> number = std::nullopt;
    Tone tone = Tone::plain;
};

struct TableColumn {
    std::string header;
    Align align = Align::left;
    std::string key = {};  ///< column name in CSV: snake_case with the unit where it has one
};

/// Every row has as many cells as there are columns. `key` names the table in CSV.
struct Table {
    std::string key;
    std::vector<TableColumn> columns;
    std::vector<std::vector<Cell>> rows = {};
    bool data_only = false;  ///< only in CSV: what the text says in sentences
    bool text_only = false;  ///< not in CSV: what another table there has in numbers
};

/// In which form of a report a section stands: the short one that is shown unless more is asked
/// for, the full one, or both. Tables of the short form repeat what the full form has.
enum class Depth { always, brief, full };

/// Begins a section, which goes on to the next heading. Without a text what follows stands under no
/// heading.
struct Heading {
    std::string text;
    Depth shown = Depth::always;
    std::string part = {};  ///< the word that asks for the full form of this section
};

struct Paragraph {
    std::string text;
    Tone tone = Tone::plain;
};

struct Bullets {
    std::vector<Paragraph> items;
};

/// Label and value pairs, aligned.
struct Facts {
    std::string key;
    std::vector<std::pair<std::string, Cell>> items;
};

/// Plots are left out of CSV, which has their numbers in tables.
using Block = std::variant<Heading, Paragraph, Bullets, Facts, Table, BarPlot, LinePlot>;

/// A report, independent of how it is shown.
struct Document {
    std::string title;
    std::vector<Block> blocks;
};

struct TextStyle {
    std::size_t width = 80;  ///< columns of the terminal; less than 20 counts as 20
    bool colour = false;     ///< ANSI colours; only for a terminal
};

// Every renderer puts a space for each control character in a text, leaves
// out blocks that hold nothing, sets one empty line between blocks, ends with one newline, and
// throws Error for a table with a row of the wrong length.

/// Aligned text. What follows a heading stands right under it, indented by two columns (plots are
/// not indented). A table whose columns have no header has no rule either. No line is wider than
/// `style.width` unless a single word is. In a table that is too wide the headers are wrapped, then
/// the widest left-aligned columns; when that is not enough, each row is shown as a list of header
/// and value. Taking the ANSI codes out of coloured text gives the uncoloured one.
std::string render_text(const Document& document, const TextStyle& style = {});

/// CommonMark with pipe tables; facts become a list.
std::string render_markdown(const Document& document);

/// A page that stands alone: HTML with its style inside, no script and nothing from elsewhere.
/// Plots are drawn as SVG with a title and a description. It reads on a screen 360 points wide, in
/// light and dark, and prints.
std::string render_html(const Document& document);

/// One CSV block a table or fact list, each preceded by "# key" and separated by an empty line. The
/// columns of a fact list are item, number and text. A report with neither gives its prose as a
/// table "status", a row a paragraph. A cell that has a number is written in full
/// (shortest form that reads back to the same double). A text cell that begins with = + - or @ and
/// is not itself a number gets an apostrophe in front, so that no spreadsheet takes it for a
/// formula. Throws Error for a table, a column or a fact list without a key and for a number that
/// is not finite.
std::string render_csv(const Document& document);

}  // namespace feedwright::document
