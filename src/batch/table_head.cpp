// SPDX-License-Identifier: GPL-3.0-or-later
#include "batch/table_head.hpp"

#include "base/csv.hpp"
#include "base/currency.hpp"
#include "base/head.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "job/table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <utility>

namespace feedwright::batch {

double kilograms_in(const base::Head& head, const std::string& written, const std::string& file,
                    base::Diagnostics& diagnostics) {
    const std::string& pack = head.per.empty() ? head.unit : head.per;
    if (pack.empty()) return 0;
    const bool count = pack.find_first_of("0123456789") == 0;
    const auto kilograms = count ? base::parse_mass_kg(pack) : base::kilograms_per(pack);
    if (kilograms) return *kilograms;
    diagnostics.add({file, "the header", fmt::format("prices per {} over \"{}\"", pack, written),
                     "a weight, such as \"per 50 kg\"", ""});
    return 0;
}

std::optional<Column> column_of(const std::string& written, const IngredientSet& ingredients,
                                const std::string& file, base::Diagnostics& diagnostics) {
    if (const auto number = ingredients.find(written)) return Column{*number, 0};
    const base::Head head = base::take_apart(written);
    const bool measured = !head.per.empty() || !head.unit.empty() || !head.currency.empty();
    if (!measured || head.words.empty()) return std::nullopt;
    const auto number = ingredients.find(head.words);
    if (!number) return std::nullopt;
    return Column{*number, kilograms_in(head, written, file, diagnostics)};
}

bool is_named(const std::string& head, const base::WantedColumn& column) {
    const auto named = [&](const std::string& words) {
        return words == base::plain_words(column.name) ||
               std::find(column.words.begin(), column.words.end(), words) != column.words.end();
    };
    if (named(base::plain_words(head))) return true;
    return column.measure == base::Measure::price && named(base::take_apart(head).words);
}

std::optional<std::size_t> find_column(const std::vector<std::string>& header,
                                       const base::WantedColumn& column, std::size_t from) {
    for (std::size_t c = from; c < header.size(); ++c) {
        if (is_named(header[c], column)) return c;
    }
    return std::nullopt;
}

namespace {

bool is_price(const std::string& cell) {
    return cell.find_first_of("0123456789") == 0;
}

// How much the cells of a line look like the head of a table of prices.
std::size_t likeness(const std::vector<std::string>& cells, const IngredientSet& ingredients) {
    if (find_column(cells, job::ingredient_column(), 0) &&
        find_column(cells, job::price_column(true)))
        return cells.size() + 1;
    std::size_t known = 0;
    base::Diagnostics ignored;
    for (std::size_t c = 1; c < cells.size(); ++c) {
        if (!cells[c].empty() && !is_price(cells[c]) &&
            column_of(cells[c], ingredients, "", ignored))
            ++known;
    }
    return known;
}

// Finds the head among the first lines, and the separator it is cut at.
struct HeadLine {
    std::vector<std::string> cells;
    char separator = ',';
    std::size_t above = 0;  ///< lines with something in them
};

HeadLine find_head(std::string_view ahead, const IngredientSet& ingredients,
                   std::optional<char> named) {
    constexpr std::size_t most_above = 60;
    HeadLine widest;
    std::vector<std::string> cells;
    std::size_t lines = 0;
    while (!ahead.empty() && lines < most_above) {
        const std::string_view line = ahead.substr(0, ahead.find('\n'));
        ahead.remove_prefix(std::min(line.size() + 1, ahead.size()));
        HeadLine best;
        std::size_t most = 0;
        for (const char separator : {',', ';', '\t'}) {
            if (named && *named != separator) continue;
            if (holds_nothing(line, separator)) continue;
            if (!base::split_csv(whole(line, separator), cells, separator)) continue;
            while (cells.size() > 1 && cells.back().empty())
                cells.pop_back();
            if (lines == 0 && cells.size() > widest.cells.size()) widest = {cells, separator, 0};
            if (const std::size_t like = likeness(cells, ingredients); like > most) {
                best = {cells, separator, lines};
                most = like;
            }
        }
        if (most > 0) return best;
        if (!holds_nothing(line, ',')) ++lines;
    }
    return widest;
}

std::optional<char> take_separator_line(Lines& lines) {
    std::string_view line;
    if (!lines.peek(line)) return std::nullopt;
    const std::string first = base::lower(trimmed(line));
    if (!first.starts_with("sep=") || first.size() != 5) return std::nullopt;
    const char separator = first.back();
    lines.take();
    return separator;
}

// The decimal mark and the currency, by the first lines.
void look_at_prices(std::string_view ahead, const std::string& file, base::TableReading& reading) {
    constexpr std::size_t enough = 200;  // lines
    base::MarkVotes votes;
    std::vector<std::string> cells;
    for (std::size_t number = 1; !ahead.empty() && number <= enough; ++number) {
        const std::string_view line = ahead.substr(0, ahead.find('\n'));
        ahead.remove_prefix(std::min(line.size() + 1, ahead.size()));
        if (holds_nothing(line, reading.separator)) continue;
        if (!base::split_csv(whole(line, reading.separator), cells, reading.separator)) continue;
        for (std::size_t c = 1; c < cells.size(); ++c) {
            const auto money = base::without_currency(base::plain_cell(cells[c]));
            if (!is_price(money.text)) continue;
            votes.note(number, money.text);
            if (base::same_currency(reading.currency, money.currency)) {
                reading.currency = base::clearer_currency(reading.currency, money.currency);
            }
        }
    }
    reading.decimals = votes.any();
    using Verdict = base::MarkVotes::Verdict;
    const Verdict verdict = votes.verdict(reading.separator == ',');
    // Of two marks a table with commas between columns means the point; the others are errors of
    // their lists.
    if (verdict == Verdict::both && reading.separator == ',') return;
    base::Diagnostics problems;
    const auto mark = base::settle_mark(votes, reading.separator, file, problems);
    problems.throw_if_any();
    reading.mark = *mark;
}

}  // namespace

TableHead read_table_head(const std::string& file, Lines& lines, const IngredientSet& ingredients) {
    const auto refuse = [&](std::string found, std::string expected, std::string hint = {}) {
        throw base::DataError(base::Diagnostic{file, fmt::format("line {}", lines.taken() + 1),
                                               std::move(found), std::move(expected),
                                               std::move(hint)});
    };
    TableHead result;
    base::TableReading& reading = result.reading;
    reading.file = file;
    reading.encoding = lines.encoding();
    lines.drop_mark();
    const auto named = take_separator_line(lines);
    HeadLine head = find_head(lines.beginning(), ingredients, named);
    reading.separator = head.separator;
    std::string_view line;
    std::size_t above = 0;
    while (true) {
        if (!lines.peek(line)) refuse("no rows", "a header row and at least one more");
        if (!holds_nothing(line, ',')) {
            if (above == head.above) break;
            ++above;
            reading.left_out.push_back(
                {lines.taken() + 1, std::string(trimmed(line)), base::LeftOut::Why::title});
            const std::string pack = base::take_apart(line).per;
            if (!pack.empty() && base::lower(pack) != "kg") {
                refuse(fmt::format("\"per {}\" above the table", pack),
                       "prices whose unit is certain",
                       "Say it in the heads of the columns: \"maize (per lb)\"");
            }
        }
        lines.take();
    }
    if (!base::is_utf8(line)) {
        refuse("bytes that are not UTF-8", "UTF-8 text", "Save the table as UTF-8");
    }
    const bool open_quote = std::count(line.begin(), line.end(), '"') % 2 == 1;
    if (head.cells.empty() || (head.cells.size() == 1 && open_quote))
        refuse("a quote that is never closed", "\" at the end of the cell");
    result.header = std::move(head.cells);
    const auto& header = result.header;
    for (auto name = header.begin(); name != header.end(); ++name) {
        if (name->empty() && name != header.begin()) {
            refuse(fmt::format("an empty name for column {}", name - header.begin() + 1),
                   "a name for every column");
        }
        if (std::find(header.begin(), name, *name) != name) {
            refuse(fmt::format("column \"{}\" twice", *name), "each column name once");
        }
        const std::string currency = base::take_apart(*name).currency;
        if (!base::same_currency(reading.currency, currency)) {
            refuse(fmt::format("{} beside {}", currency, reading.currency),
                   "one currency in the whole file", "Convert the prices to one currency");
        }
        reading.currency = base::clearer_currency(reading.currency, currency);
    }
    lines.take();
    look_at_prices(lines.beginning(), file, reading);
    return result;
}

}  // namespace feedwright::batch
