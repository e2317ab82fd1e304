// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace feedwright::report {

/// What a piece of text means; the renderer chooses how to show it. Meaning never rests on colour: the
/// words say it too.
enum class Tone { plain, good, bad, warn, quiet };

enum class Align { left, right };

/// A cell of a table: the text people see and, where the cell is a number, the exact value that goes to
/// CSV.
struct Cell {
    std::string text;
    std::optional<double> number;
    Tone tone = Tone::plain;
};

struct TableColumn {
    std::string header;
    Align align = Align::left;
    std::string key;  ///< column name in CSV: snake_case with the unit where it has one
};

/// Every row has as many cells as there are columns. `key` names the table in CSV.
struct Table {
    std::string key;
    std::vector<TableColumn> columns;
    std::vector<std::vector<Cell>> rows;
};

struct Heading {
    std::string text;
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

/// Text kept as it stands: plots. Left out of CSV.
struct Preformatted {
    std::string text;
};

using Block = std::variant<Heading, Paragraph, Bullets, Facts, Table, Preformatted>;

/// A report, independent of how it is shown.
struct Document {
    std::string title;
    std::vector<Block> blocks;
};

struct TextStyle {
    std::size_t width = 80;
    bool colour = false;  ///< ANSI colours; only for a terminal
};

/// Aligned text; no line is wider than `style.width` unless a single word is. A table that is too wide has its
/// widest left-aligned column wrapped.
std::string render_text(const Document& document, const TextStyle& style = {});
/// CommonMark with pipe tables.
std::string render_markdown(const Document& document);
/// One CSV block a table or fact list, each preceded by "# key" and separated by an empty line; numbers in full.
std::string render_csv(const Document& document);

}  // namespace feedwright::report
