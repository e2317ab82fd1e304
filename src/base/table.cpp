// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/table.hpp"

#include "base/currency.hpp"
#include "base/number.hpp"
#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <utility>

namespace feedwright::base {

namespace {

constexpr std::array separators{',', ';', '\t'};
constexpr std::size_t most_above = 60;  // a head further down is no head

[[noreturn]] void refuse(const std::string& file, std::size_t line, std::string found,
                         std::string expected, std::string hint = {}) {
    throw DataError(Diagnostic{file, fmt::format("line {}", line), std::move(found),
                               std::move(expected), std::move(hint)});
}

// Takes one row after the other off a text.
class RowReader {
  public:
    RowReader(std::string_view text, char separator, std::size_t first_line)
        : text_(text), separator_(separator), line_(first_line) {}

    enum class Found { row, comment, open_quote, end };

    Found next(TableRow& row) {
        row.cells.clear();
        row.line = line_;
        if (at_ >= text_.size()) return Found::end;
        if (is_comment()) {
            const std::size_t end = std::min(text_.find_first_of("\r\n", at_), text_.size());
            row.cells.emplace_back(trim(text_.substr(at_, end - at_)));
            at_ = end;
            pass_line_end();
            return Found::comment;
        }
        while (true) {
            std::string cell;
            if (!take_cell(cell)) return Found::open_quote;
            row.cells.push_back(std::move(cell));
            if (at_ < text_.size() && text_[at_] == separator_) {
                ++at_;
                continue;
            }
            pass_line_end();
            return Found::row;
        }
    }

  private:
    bool blank(char c) const { return c == ' ' || (c == '\t' && separator_ != '\t'); }

    // "#" and words; but a column of numbers may be headed "#".
    bool is_comment() const {
        std::size_t i = at_;
        while (i < text_.size() && blank(text_[i]))
            ++i;
        if (i >= text_.size() || text_[i] != '#') return false;
        ++i;
        while (i < text_.size() && blank(text_[i]))
            ++i;
        return i >= text_.size() || text_[i] != separator_;
    }

    void pass_line_end() {
        if (at_ >= text_.size()) return;
        if (text_[at_] == '\r' && at_ + 1 < text_.size() && text_[at_ + 1] == '\n') ++at_;
        ++at_;
        ++line_;
    }

    bool take_cell(std::string& cell) {
        while (at_ < text_.size() && blank(text_[at_]))
            ++at_;
        if (at_ < text_.size() && text_[at_] == '"') {
            ++at_;
            if (!take_quoted(cell)) return false;
        }
        const std::array ends{separator_, '\r', '\n', '\0'};
        const std::size_t end =
            std::min(text_.find_first_of(std::string_view(ends.data(), 3), at_), text_.size());
        cell += trim(text_.substr(at_, end - at_));
        at_ = end;
        return true;
    }

    bool take_quoted(std::string& cell) {
        for (; at_ < text_.size(); ++at_) {
            const char c = text_[at_];
            if (c == '"') {
                if (at_ + 1 >= text_.size() || text_[at_ + 1] != '"') {
                    ++at_;
                    return true;
                }
                ++at_;
            }
            const bool carriage = c == '\r' && (at_ + 1 >= text_.size() || text_[at_ + 1] != '\n');
            if (c == '\n' || carriage) ++line_;
            cell += c;
        }
        return false;
    }

    std::string_view text_;
    char separator_;
    std::size_t at_ = 0;
    std::size_t line_;
};

std::size_t filled(const TableRow& row) {
    return static_cast<std::size_t>(std::count_if(
        row.cells.begin(), row.cells.end(), [](const std::string& cell) { return !cell.empty(); }));
}

// The text cut at one separator; the line of a quote that is never closed where that cannot be.
struct Cut {
    CutTable table;
    std::size_t open_quote = 0;

    std::size_t width() const {
        return table.rows.empty() ? 0 : table.rows[table.head].cells.size();
    }
};

Cut cut_at(char separator, std::string_view text, std::size_t first_line,
           const HeadLikeness& likeness) {
    Cut cut;
    cut.table.separator = separator;
    RowReader reader(text, separator, first_line);
    TableRow row;
    while (true) {
        const auto found = reader.next(row);
        if (found == RowReader::Found::end) return cut;
        if (found == RowReader::Found::open_quote) {
            cut.open_quote = row.line;
            return cut;
        }
        if (found == RowReader::Found::comment) {
            cut.table.comments.push_back(row);
            continue;
        }
        if (filled(row) == 0) continue;
        if (cut.table.rows.size() < most_above) {
            const int like = likeness(row.cells);
            if (like > cut.table.likeness) {
                cut.table.likeness = like;
                cut.table.head = cut.table.rows.size();
            }
        }
        cut.table.rows.push_back(row);
    }
}

// Takes a first line "sep=;", which Excel writes and understands, off the text.
std::optional<char> take_separator_line(std::string_view& text, std::size_t& line) {
    std::string_view first = trim(text.substr(0, text.find_first_of("\r\n")));
    const std::size_t end = first.size();
    if (first.starts_with('"') && first.ends_with('"') && first.size() > 1)
        first = first.substr(1, first.size() - 2);
    constexpr std::string_view key = "sep=";
    if (lower(first.substr(0, key.size())) != key || first.size() != key.size() + 1)
        return std::nullopt;
    const char separator = first.back();
    text.remove_prefix(end);
    if (text.starts_with("\r\n")) text.remove_prefix(1);
    if (!text.empty()) text.remove_prefix(1);
    ++line;
    return separator;
}

bool is_number_cell(const std::string& cell) {
    return !cell.empty() && cell.find_first_not_of("0123456789") == std::string::npos;
}

constexpr std::array total_words{"total",     "totals", "sum",         "sub total", "subtotal",
                                 "subtotals", "sums",   "grand total", "total sum"};

bool is_total(const std::string& cell) {
    const std::string words = plain_words(cell);
    return std::any_of(total_words.begin(), total_words.end(),
                       [&](const char* word) { return words == word; });
}

class Reader {
  public:
    Reader(std::string file, const std::vector<WantedColumn>& wanted, Diagnostics& diagnostics)
        : wanted_(wanted), diagnostics_(diagnostics) {
        table_.file = std::move(file);
    }

    Table read(std::string_view bytes) {
        CutTable cut = cut_table(bytes, table_.file, [&](const std::vector<std::string>& cells) {
            return likeness(cells);
        });
        table_.reading.file = table_.file;
        table_.reading.encoding = cut.encoding;
        table_.reading.separator = cut.separator;
        set_head(cut);
        find_columns();
        heads_are_right_ = diagnostics_.empty();
        table_.rows.assign(
            std::make_move_iterator(cut.rows.begin() + static_cast<long>(cut.head) + 1),
            std::make_move_iterator(cut.rows.end()));
        leave_out_heads(cut.rows[cut.head]);
        fit_rows();
        drop_empty_columns();
        set_mark();
        if (heads_are_right_) find_split_numbers();
        leave_out_totals();
        table_.reading.rows = table_.rows.size();
        return std::move(table_);
    }

  private:
    enum class Match { none, measured, word, exact };

    // How a head names a wanted column.
    static Match match(const WantedColumn& column, const Head& head, const std::string& plain) {
        const auto named = [&](const std::string& words) {
            return words == plain_words(column.name) ||
                   std::find(column.words.begin(), column.words.end(), words) != column.words.end();
        };
        if (plain == plain_words(column.name)) return Match::exact;
        if (named(plain)) return Match::word;
        const bool bare = head.currency.empty() && head.per.empty() && head.unit.empty();
        if (bare) return Match::none;
        switch (column.measure) {
            case Measure::none:
                return Match::none;
            case Measure::percent:
                return named(head.words) && head.unit == "%" && head.per.empty() ? Match::measured
                                                                                 : Match::none;
            case Measure::price: {
                // "price (kg)" is per kg; "USD" and "per lb" alone are prices, "kg per bag" is
                // none.
                const bool alone = head.words.empty() && head.unit.empty();
                const bool said = named(head.words) && head.unit != "%";
                return said || alone ? Match::measured : Match::none;
            }
            case Measure::weight:
                return named(head.words) && !head.unit.empty() && head.unit != "%" ? Match::measured
                                                                                   : Match::none;
            case Measure::amount:
                return (named(head.words) || head.words.empty()) && !head.unit.empty() &&
                               head.per.empty() && head.currency.empty()
                           ? Match::measured
                           : Match::none;
        }
        return Match::none;
    }

    int likeness(const std::vector<std::string>& cells) const {
        std::set<std::string> seen;
        int like = 0;
        for (const std::string& cell : cells) {
            if (cell.empty() || cell.size() > 200) continue;
            const Head head = take_apart(cell);
            const std::string plain = plain_words(cell);
            for (const WantedColumn& column : wanted_) {
                if (match(column, head, plain) == Match::none || !seen.insert(column.name).second)
                    continue;
                // Required columns outweigh all others.
                like += column.required ? 100 : 1;
                break;
            }
        }
        return like;
    }

    void set_head(const CutTable& cut) {
        for (std::size_t i = 0; i < cut.head; ++i) {
            const TableRow& row = cut.rows[i];
            table_.above.push_back(row);
            std::vector<std::string> words;
            std::copy_if(row.cells.begin(), row.cells.end(), std::back_inserter(words),
                         [](const std::string& cell) { return !cell.empty(); });
            table_.reading.left_out.push_back(
                {row.line, join_words(words, ", "), LeftOut::Why::title});
        }
        table_.above.insert(table_.above.end(), cut.comments.begin(), cut.comments.end());
        const TableRow& row = cut.rows[cut.head];
        table_.head_line = row.line;
        std::vector<std::string> cells = row.cells;
        while (!cells.empty() && cells.back().empty())
            cells.pop_back();
        for (const std::string& cell : cells)
            table_.heads.push_back(take_apart(cell));
    }

    std::string head_place(const std::string& column = {}) const {
        const std::string line = fmt::format("line {}", table_.head_line);
        return column.empty() ? line : fmt::format("{}, column {}", line, column);
    }

    void find_columns() {
        std::vector<bool> taken(table_.heads.size(), false);
        for (const WantedColumn& column : wanted_) {
            std::vector<std::size_t> best;
            Match how = Match::none;
            std::size_t rank = 0;
            for (std::size_t i = 0; i < table_.heads.size(); ++i) {
                const std::string plain = plain_words(table_.heads[i].written);
                const Match found = match(column, table_.heads[i], plain);
                if (found == Match::none) continue;
                const std::size_t at = rank_of(column, plain);
                // Names are many; the first word of the list is the best. Of numbers there is one.
                const bool same = column.number || at == rank;
                if (!best.empty() && same) {
                    best.push_back(i);
                } else if (best.empty() || at < rank) {
                    best = {i};
                    rank = at;
                }
                how = std::max(how, found);
            }
            if (best.empty()) continue;
            for (const std::size_t i : best)
                taken[i] = true;
            table_.columns[column.name] = best.front();
            if (best.size() > 1) tell_of_two(column, best);
        }
        tell_of_unknown(taken);
    }

    static std::size_t rank_of(const WantedColumn& column, const std::string& plain) {
        const auto at = std::find(column.words.begin(), column.words.end(), plain);
        if (at != column.words.end()) return static_cast<std::size_t>(at - column.words.begin());
        return column.words.size();
    }

    void tell_of_two(const WantedColumn& column, const std::vector<std::size_t>& columns) {
        const Head& one = table_.heads[columns[0]];
        const Head& other = table_.heads[columns[1]];
        if (one.written == other.written) {
            diagnostics_.add({table_.file, head_place(),
                              fmt::format("column \"{}\" twice", one.written),
                              "each column name once", ""});
            return;
        }
        diagnostics_.add({table_.file, head_place(),
                          fmt::format("the columns \"{}\" and \"{}\", which may both be the {}",
                                      one.written, other.written, column.name),
                          "one of them", "Take the other out, or give it another name"});
    }

    std::vector<std::string> names(bool required_only) const {
        std::vector<std::string> list;
        for (const WantedColumn& column : wanted_) {
            if (column.required || !required_only) list.push_back(column.name);
        }
        return list;
    }

    // The name that an unknown one was meant to be: a column that must be there and is not, or one
    // a letter away.
    std::string meant(const std::string& plain, const std::vector<std::string>& missing) const {
        if (std::string near = nearest(plain, missing); !near.empty()) return near;
        for (const WantedColumn& column : wanted_) {
            if (table_.columns.contains(column.name)) continue;
            std::vector<std::string> words = column.words;
            words.push_back(plain_words(column.name));
            for (const std::string& word : words) {
                // Another letter in a word of three makes another word.
                const bool longer = word.size() == 3 && plain.size() == 4;
                const std::size_t most = word.size() >= 7 ? 2 : word.size() >= 4 || longer ? 1 : 0;
                if (plain.size() > 2 && edit_distance(plain, word) <= most) return column.name;
            }
        }
        return {};
    }

    void tell_of_unknown(const std::vector<bool>& taken) {
        std::vector<std::string> missing;
        for (const WantedColumn& column : wanted_) {
            if (column.required && !table_.columns.contains(column.name))
                missing.push_back(column.name);
        }
        const bool none = table_.columns.empty() && missing.size() > 1;
        if (none) {
            const bool near =
                std::any_of(table_.heads.begin(), table_.heads.end(), [&](const Head& head) {
                    return !nearest(plain_words(head.written), missing).empty();
                });
            if (!near) tell_of_no_head();
        }
        std::vector<std::string> found;
        for (std::size_t i = 0; i < table_.heads.size(); ++i) {
            if (taken[i] || table_.heads[i].written.empty()) continue;
            const std::string& written = table_.heads[i].written;
            const std::string near = meant(plain_words(written), missing);
            if (near.empty()) {
                table_.reading.aside.push_back(written);
                continue;
            }
            diagnostics_.add({table_.file, head_place(written), "an unknown column",
                              "one of " + join_words(names(false), " or "),
                              "Did you mean \"" + near + "\"?"});
            found.push_back(near);
        }
        for (const std::string& name : missing) {
            if (std::find(found.begin(), found.end(), name) != found.end()) continue;
            diagnostics_.add({table_.file, head_place(), fmt::format("no column \"{}\"", name),
                              "the columns " + join_words(names(false)), heads_seen()});
        }
        if (!missing.empty()) diagnostics_.throw_if_any();
    }

    std::string heads_seen() const {
        std::vector<std::string> seen;
        for (const Head& head : table_.heads) {
            if (!head.written.empty()) seen.push_back('"' + printable(head.written, 40) + '"');
        }
        constexpr std::size_t most = 12;
        if (seen.size() > most) seen.resize(most);
        return "The columns here are " + join_words(seen);
    }

    [[noreturn]] void tell_of_no_head() {
        std::vector<std::string> cells;
        for (const Head& head : table_.heads)
            cells.push_back(head.written);
        diagnostics_.add({table_.file, head_place(),
                          '"' + printable(join_words(cells, ","), 120) + '"',
                          "the names of the columns: " + join_words(names(false)), ""});
        diagnostics_.throw_if_any();
        throw Error("a table without a head was not told of");  // throw_if_any has thrown
    }

    void leave_out_heads(const TableRow& head) {
        std::erase_if(table_.rows, [&](const TableRow& row) {
            if (row.cells != head.cells) return false;
            table_.reading.left_out.push_back(
                {row.line, join_words(row.cells, ", "), LeftOut::Why::head_again});
            return true;
        });
    }

    // Every row gets a cell for each head.
    void fit_rows() {
        const std::size_t width = table_.heads.size();
        std::erase_if(table_.rows, [&](TableRow& row) {
            while (row.cells.size() > width && row.cells.back().empty())
                row.cells.pop_back();
            const std::size_t count = row.cells.size();
            if (count > width) {
                diagnostics_.add(
                    {table_.file, fmt::format("line {}", row.line), fmt::format("{} cells", count),
                     fmt::format("{}, as in the header", width),
                     table_.reading.separator == ','
                         ? "A decimal comma, or a comma in a text without quotes, also makes cells"
                         : ""});
                return true;
            }
            if (count < width) short_rows_.insert(row.line);
            row.cells.resize(width);
            return false;
        });
    }

    void drop_empty_columns() {
        for (std::size_t i = table_.heads.size(); i-- > 0;) {
            if (!table_.heads[i].written.empty()) continue;
            const bool used =
                std::any_of(table_.rows.begin(), table_.rows.end(),
                            [&](const TableRow& row) { return !row.cells[i].empty(); });
            if (used) {
                table_.reading.aside.push_back(fmt::format("number {}, without a name", i + 1));
                continue;
            }
            table_.heads.erase(table_.heads.begin() + static_cast<long>(i));
            for (TableRow& row : table_.rows)
                row.cells.erase(row.cells.begin() + static_cast<long>(i));
            for (auto& [name, index] : table_.columns)
                index -= index > i ? 1 : 0;
        }
    }

    const WantedColumn* wanted_at(std::size_t index) const {
        for (const WantedColumn& column : wanted_) {
            const auto at = table_.columns.find(column.name);
            if (at != table_.columns.end() && at->second == index) return &column;
        }
        return nullptr;
    }

    bool is_number_column(std::size_t index) const {
        const WantedColumn* column = wanted_at(index);
        return column != nullptr && column->number;
    }

    void set_mark() {
        MarkVotes votes;
        for (std::size_t i = 0; i < table_.heads.size(); ++i) {
            if (!is_number_column(i)) continue;
            for (const TableRow& row : table_.rows)
                votes.note(row.line, without_currency(plain_cell(row.cells[i])).text);
        }
        table_.mark = settle_mark(votes, table_.reading.separator, table_.file, diagnostics_);
        table_.reading.mark = table_.mark.value_or(DecimalMark::point);
        table_.reading.grouped =
            votes.seen(MarkShape::grouped_by_comma) || votes.seen(MarkShape::grouped_by_point);
        table_.reading.decimals = votes.any();
        point_seen_ = votes.seen(MarkShape::point);
    }

    // "maize,0,32" may be 0 and 32, or 0,32 whose comma cut it in two.
    void find_split_numbers() {
        if (table_.reading.separator != ',' || point_seen_) return;
        for (std::size_t i = 0; i + 1 < table_.heads.size(); ++i) {
            const WantedColumn* column = wanted_at(i);
            const bool money = column != nullptr && (column->measure == Measure::price ||
                                                     column->measure == Measure::amount);
            if (!money) continue;
            const WantedColumn* next = wanted_at(i + 1);
            const bool in_words = next != nullptr && !next->number;
            const bool every_row = all_rows_join(i, next == nullptr);
            for (const TableRow& row : table_.rows) {
                if (!joins(row, i)) continue;
                const bool cut_short = short_rows_.contains(row.line);
                if (!cut_short && !in_words && !every_row) continue;
                const std::string& one = row.cells[i];
                const std::string& two = row.cells[i + 1];
                diagnostics_.add(
                    {table_.file,
                     fmt::format("line {}, column {}", row.line, table_.heads[i].written),
                     fmt::format("\"{},{}\", which may be the number {}.{} or two cells", one, two,
                                 one, two),
                     "numbers that can be read in one way",
                     fmt::format("Write {}.{} for the number; for two cells write {}.0,{} and a "
                                 "comma for every empty cell behind them",
                                 one, two, one, two)});
            }
        }
    }

    static bool joins(const TableRow& row, std::size_t i) {
        return is_number_cell(row.cells[i]) && is_number_cell(row.cells[i + 1]);
    }

    // The whole column can be the front of numbers whose decimals stand in the next: then the last
    // cell is empty in every row, or the next column is none that is known and holds few digits.
    bool all_rows_join(std::size_t i, bool next_unknown) const {
        bool any = false;
        for (const TableRow& row : table_.rows) {
            if (row.cells[i].empty()) continue;
            if (!joins(row, i)) return false;
            any = true;
            const bool few = row.cells[i + 1].size() <= 3;
            const bool open_end = i + 2 < row.cells.size() && row.cells.back().empty();
            if (!open_end && !(next_unknown && few)) return false;
        }
        return any;
    }

    void leave_out_totals() {
        const auto named = std::find_if(wanted_.begin(), wanted_.end(),
                                        [](const WantedColumn& c) { return c.names_rows; });
        if (named == wanted_.end() || !table_.columns.contains(named->name)) return;
        const std::size_t name = table_.columns.at(named->name);
        std::vector<TableRow> kept;
        std::size_t since = 0;  // where the rows of a further total begin
        for (TableRow& row : table_.rows) {
            if (!is_total(row.cells[name])) {
                kept.push_back(std::move(row));
                continue;
            }
            if (!is_sum(row, kept, 0) && !is_sum(row, kept, since)) {
                diagnostics_.add({table_.file, fmt::format("line {}", row.line),
                                  fmt::format("a row \"{}\" whose numbers are not the sums of the "
                                              "rows above",
                                              row.cells[name]),
                                  "an ingredient, or the sum of the rows above",
                                  "Take the row out, or correct it"});
            }
            since = kept.size();
            table_.reading.left_out.push_back({row.line, row.cells[name], LeftOut::Why::total});
        }
        table_.rows = std::move(kept);
    }

    // Whether every number of a row is the sum of those from `since` on, as far as its decimals go.
    bool is_sum(const TableRow& total, const std::vector<TableRow>& rows, std::size_t since) const {
        if (!table_.mark) return true;  // told already
        for (std::size_t i = 0; i < table_.heads.size(); ++i) {
            if (!is_number_column(i) || total.cells[i].empty()) continue;
            const auto said = number_in(total.cells[i]);
            if (!said) return false;
            double sum = 0;
            for (std::size_t r = since; r < rows.size(); ++r) {
                if (rows[r].cells[i].empty()) continue;
                const auto number = number_in(rows[r].cells[i]);
                if (!number || (!said->rest.empty() && number->rest != said->rest)) return false;
                sum += number->value;
            }
            constexpr double rounding = 0.005;  // of each number that is shown with two decimals
            if (std::abs(sum - said->value) > rounding * static_cast<double>(rows.size() + 1))
                return false;
        }
        return true;
    }

    struct NumberAndUnit {
        double value = 0;
        std::string rest;
    };
    std::optional<NumberAndUnit> number_in(const std::string& cell) const {
        const std::string text = without_currency(plain_cell(cell)).text;
        const auto number = leading_number(text, *table_.mark);
        if (!number) return std::nullopt;
        return NumberAndUnit{number->value, std::string(number->rest)};
    }

    const std::vector<WantedColumn>& wanted_;
    Diagnostics& diagnostics_;
    Table table_;
    std::set<std::size_t> short_rows_;
    bool point_seen_ = false;
    bool heads_are_right_ = true;
};

}  // namespace

bool TableReading::plain() const {
    return encoding == Encoding::utf8 && separator == ',' && mark == DecimalMark::point &&
           !grouped && currency.empty() && (per.empty() || per == "kg") && aside.empty() &&
           left_out.empty();
}

const Head* Table::head(std::string_view column) const {
    const auto at = columns.find(column);
    return at == columns.end() ? nullptr : &heads[at->second];
}

CutTable cut_table(std::string_view bytes, const std::string& file, const HeadLikeness& likeness) {
    PlainText plain = plain_text(bytes, file);
    std::string_view text = plain.text;
    const std::string_view content = trim(text);
    if (content.starts_with('{') || content.starts_with('[')) {
        refuse(file, 1, "JSON", "a table with a header row and commas (CSV)");
    }
    std::size_t first_line = 1;
    const auto named = take_separator_line(text, first_line);
    std::optional<Cut> best;
    std::size_t open_quote = 0;
    for (const char separator : separators) {
        if (named && *named != separator) continue;
        if (separator != ',' && !named && text.find(separator) == std::string_view::npos) continue;
        Cut cut = cut_at(separator, text, first_line, likeness);
        if (cut.open_quote > 0) {
            if (open_quote == 0) open_quote = cut.open_quote;
            continue;
        }
        const auto better = [](const Cut& one, const Cut& other) {
            return std::pair(one.table.likeness, one.width()) >
                   std::pair(other.table.likeness, other.width());
        };
        if (!best || better(cut, *best)) best = std::move(cut);
    }
    if (!best) {
        if (named && open_quote == 0) {
            refuse(file, 1, fmt::format("\"sep={}\"", *named),
                   "a comma, a semicolon or a tab between columns");
        }
        refuse(file, open_quote, "a quote that is never closed", "\" at the end of the cell");
    }
    if (best->table.rows.empty()) {
        refuse(file, 1, "no rows", "a header row and at least one more");
    }
    best->table.encoding = plain.encoding;
    return std::move(best->table);
}

Table read_table(std::string_view bytes, const std::string& file,
                 const std::vector<WantedColumn>& wanted, Diagnostics& diagnostics) {
    return Reader(file, wanted, diagnostics).read(bytes);
}

}  // namespace feedwright::base
