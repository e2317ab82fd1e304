// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/table.hpp"

#include "base/csv.hpp"
#include "base/currency.hpp"
#include "base/diagnostics.hpp"
#include "base/encoding.hpp"
#include "base/number.hpp"
#include "base/stream_file.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "batch/lists.hpp"
#include "job/table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstring>
#include <utility>

namespace feedwright::batch {

namespace {

constexpr std::size_t block = std::size_t{256} << 10U;
constexpr std::size_t stream_beginning = std::size_t{4} << 10U;
constexpr std::size_t piece_size = std::size_t{128} << 10U;
constexpr std::size_t longest_line = std::size_t{1} << 20U;
constexpr std::size_t longest_list = std::size_t{16} << 20U;

// base::trim, quick for the cell that needs none.
std::string_view trimmed(std::string_view text) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
    while (!text.empty() && blank(text.front()))
        text.remove_prefix(1);
    while (!text.empty() && blank(text.back()))
        text.remove_suffix(1);
    return text;
}

// A line of separators alone is an empty line of a spreadsheet.
bool holds_nothing(std::string_view line, char separator) {
    const std::string_view content = trimmed(line);
    if (content.empty() || content.front() == '#') return true;
    return content.front() == separator && std::all_of(content.begin(), content.end(), [&](char c) {
               return c == separator || c == ' ' || c == '\t';
           });
}

bool is_plain(std::string_view text) {
    return std::none_of(text.begin(), text.end(),
                        [](char c) { return static_cast<unsigned char>(c) >= 0x80; });
}

// The file line by line. What was given out stays in `buffer` until `forget`.
class Lines {
  public:
    /// Reads the beginning. A file whose letters are not UTF-8 is read whole and rewritten.
    explicit Lines(const std::string& file) : in_(file), file_(file) {
        // How a table is understood is taken from a set length of it, to the end of a line, so that
        // it does not hang on how a stream arrives. A stream may pause, so its length is short.
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

    base::Encoding encoding() const { return encoding_; }
    void drop_mark() {
        if (beginning().starts_with("\xEF\xBB\xBF")) at_ += 3;
    }
    /// Of what was read and not taken yet, what decides how the table is understood.
    std::string_view beginning() const {
        return std::string_view(buffer_).substr(at_, beginning_ > at_ ? beginning_ - at_ : 0);
    }

    /// The next line without its end; false when there is none.
    bool peek(std::string_view& line) {
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
    std::optional<double> fetched() const {
        const auto size = in_.size();
        if (!size || *size == 0) return std::nullopt;
        const std::uint64_t left = buffer_.size() - at_;
        const std::uint64_t used = in_.bytes_read() - std::min(in_.bytes_read(), left);
        return std::min(1.0, static_cast<double>(used) / static_cast<double>(*size));
    }

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

// What the head of a column says its prices are for.
struct Column {
    std::size_t number = IngredientSet::ignored;
    double kilograms = 0;  ///< zero: nothing
};

// How the cells of a table are written.
struct Layout {
    std::vector<std::string> header;
    base::TableReading reading;
};

// What both forms of a table have in common.
class Table : public Lists {
  public:
    Table(std::string file, std::unique_ptr<Lines> lines, Layout layout,
          std::shared_ptr<const IngredientSet> ingredients, ListRange range)
        : file_(std::move(file)),
          header_(std::move(layout.header)),
          reading_(std::move(layout.reading)),
          ingredients_(std::move(ingredients)),
          lines_(std::move(lines)),
          range_(range) {}

    bool next(Piece& piece) final {
        lines_->forget();
        std::size_t start = lines_->position();
        piece.count = 0;
        std::string_view line;
        while (lines_->peek(line)) {
            const bool empty = holds_nothing(line, reading_.separator);
            if (!empty && starts_list(line)) {
                const bool enough = lines_->position() - start >= piece_size;
                if (seen_ >= range_.end || (piece.count > 0 && enough)) break;
                note_list(line);
                if (seen_ >= range_.begin && piece.count++ == 0) piece.first = seen_;
                ++seen_;
            }
            if (piece.count == 0) {
                // Not wanted, or before the first that is.
                lines_->take();
                start = lines_->position();
                if (start > block) {
                    lines_->forget();
                    start = 0;
                }
                continue;
            }
            if (piece.count == 1 && lines_->position() == start) {
                piece.first_line = lines_->taken() + 1;
            }
            if (lines_->position() - start > longest_list) {
                throw base::DataError(
                    base::Diagnostic{file_, fmt::format("line {}", lines_->taken() + 1),
                                     "a list of more than 16 megabytes", "a few lines a list", ""});
            }
            lines_->take();
        }
        if (piece.count == 0) return false;
        piece.text = lines_->text(start);
        return true;
    }

    std::optional<double> fetched() const final { return lines_->fetched(); }
    base::TableReading reading() const final { return reading_; }

  protected:
    // Whether a line with something in it belongs to another list than the line before.
    virtual bool starts_list(std::string_view line) const = 0;
    virtual void note_list(std::string_view line) = 0;

    // Calls f(line, number) for every line of the piece that holds something.
    template <class F>
    void each_line(const Piece& piece, const F& f) const {
        std::string_view rest = piece.text;
        for (std::size_t number = piece.first_line; !rest.empty(); ++number) {
            const std::size_t end = std::min(rest.find('\n'), rest.size());
            const std::string_view line = rest.substr(0, end);
            rest.remove_prefix(std::min(end + 1, rest.size()));
            if (!holds_nothing(line, reading_.separator)) f(line, number);
        }
    }

    std::string say(std::size_t line, std::string_view column, std::string found,
                    std::string expected, std::string hint = {}) const {
        std::string place = fmt::format("line {}", line);
        if (!column.empty()) place += fmt::format(", column {}", column);
        return base::Diagnostic{file_, std::move(place), std::move(found), std::move(expected),
                                std::move(hint)}
            .text();
    }

    // A price cell that is not empty, of a column whose head says that prices are for `kilograms`;
    // what is wrong with it goes to `problem`.
    double price(std::string_view cell, double kilograms, std::size_t line, std::string_view column,
                 std::string& problem) const {
        if (reading_.mark == base::DecimalMark::point) {
            double value = 0;
            const auto [end, error] =
                std::from_chars(cell.data(), cell.data() + cell.size(), value);
            const bool number = error == std::errc{} && end == cell.data() + cell.size();
            if (number && std::isfinite(value))
                return (kilograms > 0 ? value / kilograms : value) + 0.0;
        }
        const auto per_kg = written_price(cell, kilograms);
        if (per_kg) return *per_kg + 0.0;
        if (problem.empty()) {
            const bool comma = reading_.mark == base::DecimalMark::comma;
            const bool other = cell.find(comma ? '.' : ',') != std::string_view::npos;
            problem = say(line, column, fmt::format("\"{}\"", cell),
                          comma ? "a price per kg such as 0,52, or nothing"
                                : "a price per kg such as 0.52, or nothing",
                          !other  ? ""
                          : comma ? "Write a decimal comma, as elsewhere in the table"
                                  : "Write a decimal point, not a comma");
        }
        return no_price;
    }

    // With the currency of the table and a pack of its own, where it has them.
    std::optional<double> written_price(std::string_view cell, double kilograms) const {
        using base::MarkShape;
        const auto money = base::without_currency(base::plain_cell(cell));
        const bool other_money =
            !money.other.empty() ||
            (!money.currency.empty() && (reading_.currency.empty() ||
                                         !base::same_currency(reading_.currency, money.currency)));
        const MarkShape shape = base::mark_shape(money.text);
        const bool unsure =
            shape == (reading_.mark == base::DecimalMark::point ? MarkShape::maybe_comma
                                                                : MarkShape::maybe_point);
        if (other_money || unsure) return std::nullopt;
        auto number = base::leading_number(money.text, reading_.mark);
        if (number && number->fraction && !number->rest.empty())
            number = base::leading_number(money.text, reading_.mark, false);
        if (!number) return std::nullopt;
        if (number->rest.empty()) {
            return kilograms > 0 ? number->value / kilograms : number->value;
        }
        if (kilograms > 0) return std::nullopt;  // two units
        return job::parse_ingredient_price(base::shortest(number->value) + ' ' +
                                           std::string(number->rest));
    }

    std::string wrong_count(std::size_t line, std::size_t count) const {
        return say(line, "", fmt::format("{} cells", count),
                   fmt::format("{}, as in the header", header_.size()),
                   reading_.separator == ',' ? "A decimal comma also makes extra cells" : "");
    }

    std::string file_;
    std::vector<std::string> header_;
    base::TableReading reading_;
    std::shared_ptr<const IngredientSet> ingredients_;
    std::size_t seen_ = 0;

  private:
    std::unique_ptr<Lines> lines_;
    ListRange range_;
};

// An empty cell at either end of a line is a tab where tabs separate.
std::string_view whole(std::string_view line, char separator) {
    if (separator != '\t') return base::trim(line);
    while (line.ends_with('\r'))
        line.remove_suffix(1);
    return line;
}

// The cells of one line, without copying them where there are no quotes. False for an open quote.
class Splitter {
  public:
    explicit Splitter(char separator) : separator_(separator) {}

    bool split(std::string_view line, std::vector<std::string_view>& cells) {
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

  private:
    char separator_;
    std::vector<std::string> owned_;
};

// What prices are for by the head of their column, in kg; zero where it says nothing.
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

// The ingredient that a column is headed with: "maize", "Corn (USD/lb)".
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

// Its place, from the second column on.
std::optional<std::size_t> find_column(const std::vector<std::string>& header,
                                       const base::WantedColumn& column, std::size_t from = 1) {
    for (std::size_t c = from; c < header.size(); ++c) {
        if (is_named(header[c], column)) return c;
    }
    return std::nullopt;
}

class WideTable final : public Table {
  public:
    WideTable(std::string file, std::unique_ptr<Lines> lines, Layout layout,
              std::shared_ptr<const IngredientSet> ingredients, ListRange range)
        : Table(std::move(file), std::move(lines), std::move(layout), std::move(ingredients),
                range) {
        base::Diagnostics diagnostics;
        if (ingredients_->is_id(header_[0])) {
            diagnostics.add({file_, "the header",
                             fmt::format("the ingredient \"{}\" over the first column", header_[0]),
                             "a column of names of the lists before the prices",
                             "Put one first: a header such as list, and a name in each row"});
        }
        bool any = false;
        for (std::size_t c = 1; c < header_.size(); ++c) {
            const auto column = column_of(header_[c], *ingredients_, file_, diagnostics);
            if (!column) {
                job::NotMeant why = ingredients_->why_not(header_[c]);
                // Columns before the prices name the list too, such as region and week.
                if (!any && !why.is_near && keys_ == c) {
                    ++keys_;
                    columns_.emplace_back();
                    continue;
                }
                diagnostics.add({file_, "the header", std::move(why.found), std::move(why.expected),
                                 std::move(why.hint)});
            }
            columns_.push_back(column.value_or(Column{}));
            if (columns_.back().number == IngredientSet::ignored) continue;
            any = true;
            refuse_second(c, diagnostics);
        }
        if (!any && keys_ > 1 && diagnostics.empty()) {
            for (std::size_t c = 1; c < keys_; ++c) {
                job::NotMeant why = ingredients_->why_not(header_[c]);
                diagnostics.add({file_, "the header", std::move(why.found), std::move(why.expected),
                                 std::move(why.hint)});
            }
        }
        diagnostics.throw_if_any();
        if (!any) {
            throw base::DataError(base::Diagnostic{
                file_, "the header", "no ingredient of the job",
                "a column a price, named by the ingredient's id, after the column of names", ""});
        }
    }

    void read(const Piece& piece, const std::function<void(Quotes&)>& each) const override {
        Splitter splitter(reading_.separator);
        std::vector<std::string_view> cells;
        Quotes quotes;
        each_line(piece, [&](std::string_view line, std::size_t number) {
            read_line(line, number, splitter, cells, quotes);
            each(quotes);
        });
    }

  private:
    bool starts_list(std::string_view) const override { return true; }
    void note_list(std::string_view) override {}

    void read_line(std::string_view line, std::size_t number, Splitter& splitter,
                   std::vector<std::string_view>& cells, Quotes& quotes) const {
        quotes.problem.clear();
        quotes.prices.assign(ingredients_->used().size(), no_price);
        if (!is_plain(line) && !base::is_utf8(line)) {
            quotes.name = fmt::format("line {}", number);
            quotes.problem = say(number, "", "bytes that are not UTF-8", "UTF-8 text");
            return;
        }
        if (!splitter.split(line, cells)) {
            quotes.name = fmt::format("line {}", number);
            quotes.problem = say(number, "", "a quote that is not closed on its line",
                                 "\" at the end of the cell");
            return;
        }
        quotes.name = cells[0];
        if (quotes.name.empty()) {
            quotes.name = fmt::format("line {}", number);
            quotes.problem = say(number, header_[0], "an empty cell", "the name of the list");
        } else if (cells.size() != header_.size()) {
            quotes.problem = wrong_count(number, cells.size());
        }
        if (!quotes.problem.empty()) return;
        for (std::size_t c = 1; c < keys_; ++c) {
            quotes.name += ' ';
            quotes.name += cells[c];
        }
        for (std::size_t c = keys_; c < cells.size(); ++c) {
            const auto& [ingredient, kilograms] = columns_[c - 1];
            if (ingredient == IngredientSet::ignored || cells[c].empty()) continue;
            quotes.prices[ingredient] =
                price(cells[c], kilograms, number, header_[c], quotes.problem);
        }
    }

    // The last column is one of an ingredient that has another already.
    void refuse_second(std::size_t c, base::Diagnostics& diagnostics) const {
        for (std::size_t other = 0; other + 1 < columns_.size(); ++other) {
            if (columns_[other].number != columns_.back().number) continue;
            diagnostics.add(
                {file_, "the header",
                 fmt::format("the columns \"{}\" and \"{}\", which are both {}", header_[other + 1],
                             header_[c], ingredients_->used()[columns_.back().number]),
                 "each ingredient once", ""});
            return;
        }
    }

    std::vector<Column> columns_;  ///< from the second on
    std::size_t keys_ = 1;         ///< columns that name the list
};

class LongTable final : public Table {
  public:
    LongTable(std::string file, std::unique_ptr<Lines> lines, Layout layout,
              std::shared_ptr<const IngredientSet> ingredients, ListRange range)
        : Table(std::move(file), std::move(lines), std::move(layout), std::move(ingredients),
                range) {
        base::Diagnostics diagnostics;
        ingredient_ = *find_column(header_, job::ingredient_column());
        price_ = *find_column(header_, job::price_column(true));
        kilograms_ =
            kilograms_in(base::take_apart(header_[price_]), header_[price_], file_, diagnostics);
        const std::vector<std::string> known{"ingredient", "price", "unit"};
        for (std::size_t c = 1; c < header_.size(); ++c) {
            if (c == ingredient_ || c == price_) continue;
            if (base::plain_words(header_[c]) == "unit") {
                unit_ = c;
                continue;
            }
            if (is_named(header_[c], job::note_column())) continue;
            diagnostics.add({file_, "the header",
                             fmt::format("the unknown column \"{}\"", header_[c]),
                             "the list's name, then ingredient, price and unit",
                             base::did_you_mean(header_[c], known)});
        }
        diagnostics.throw_if_any();
    }

    void read(const Piece& piece, const std::function<void(Quotes&)>& each) const override {
        Splitter splitter(reading_.separator);
        std::vector<std::string_view> cells;
        Quotes quotes;
        bool any = false;
        std::string name;
        each_line(piece, [&](std::string_view line, std::size_t number) {
            std::string next = name_of(line);
            if (!any || next != name) {
                if (any) each(quotes);
                any = true;
                name = std::move(next);
                quotes.name = base::is_utf8(name) ? name : fmt::format("line {}", number);
                quotes.problem.clear();
                quotes.prices.assign(ingredients_->used().size(), no_price);
            }
            if (quotes.problem.empty()) read_line(line, number, splitter, cells, quotes);
        });
        if (any) each(quotes);
    }

  private:
    std::string name_of(std::string_view line) const {
        const std::string_view content = whole(line, reading_.separator);
        if (content.starts_with('"')) {
            std::vector<std::string> cells;
            if (base::split_csv(content, cells, reading_.separator)) return cells[0];
        }
        return std::string(trimmed(content.substr(0, content.find(reading_.separator))));
    }

    bool starts_list(std::string_view line) const override {
        return seen_ == 0 || name_of(line) != current_;
    }

    void note_list(std::string_view line) override {
        current_ = name_of(line);
        if (seen_ == 0) {
            first_ = current_;
        } else if (current_ == first_) {
            // A table sorted by ingredient would make a list of every line.
            throw base::DataError(base::Diagnostic{
                file_, "", fmt::format("rows of the list \"{}\" apart from each other", current_),
                "the rows of a list together", "Sort the table by its first column"});
        }
    }

    void read_line(std::string_view line, std::size_t number, Splitter& splitter,
                   std::vector<std::string_view>& cells, Quotes& quotes) const {
        if (!is_plain(line) && !base::is_utf8(line)) {
            quotes.problem = say(number, "", "bytes that are not UTF-8", "UTF-8 text");
            return;
        }
        if (!splitter.split(line, cells)) {
            quotes.problem = say(number, "", "a quote that is not closed on its line",
                                 "\" at the end of the cell");
            return;
        }
        if (cells.size() != header_.size()) {
            quotes.problem = wrong_count(number, cells.size());
            return;
        }
        if (cells[0].empty()) {
            quotes.name = fmt::format("line {}", number);
            quotes.problem = say(number, header_[0], "an empty cell", "the name of the list");
            return;
        }
        const auto ingredient = ingredients_->find(cells[ingredient_]);
        if (!ingredient) {
            job::NotMeant why = ingredients_->why_not(cells[ingredient_]);
            quotes.problem = say(number, "ingredient", std::move(why.found),
                                 std::move(why.expected), std::move(why.hint));
            return;
        }
        if (*ingredient == IngredientSet::ignored) return;
        double& place = quotes.prices[*ingredient];
        if (place != no_price) {
            quotes.problem =
                say(number, "ingredient", fmt::format("\"{}\" again", cells[ingredient_]),
                    "each ingredient once a list");
            return;
        }
        std::string cell(cells[price_]);
        if (cell.empty()) {
            quotes.problem = say(number, "price", "an empty cell", "a price per kg");
            return;
        }
        if (unit_ < cells.size() && !cells[unit_].empty()) {
            const std::string_view unit = cells[unit_];
            cell += unit.starts_with("per ") || unit.starts_with('/') ? " " : " per ";
            cell += unit;
        }
        place = price(cell, kilograms_, number, "price", quotes.problem);
    }

    std::size_t ingredient_ = 0;
    std::size_t price_ = 0;
    std::size_t unit_ = std::string::npos;
    double kilograms_ = 0;
    std::string current_;
    std::string first_;
};

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

Layout read_layout(const std::string& file, Lines& lines, const IngredientSet& ingredients) {
    const auto refuse = [&](std::string found, std::string expected, std::string hint = {}) {
        throw base::DataError(base::Diagnostic{file, fmt::format("line {}", lines.taken() + 1),
                                               std::move(found), std::move(expected),
                                               std::move(hint)});
    };
    Layout layout;
    base::TableReading& reading = layout.reading;
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
    layout.header = std::move(head.cells);
    const auto& header = layout.header;
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
    return layout;
}

}  // namespace

std::unique_ptr<Lists> open_table(const std::string& file,
                                  std::shared_ptr<const IngredientSet> ingredients,
                                  ListRange range) {
    auto lines = std::make_unique<Lines>(file);
    Layout layout = read_layout(file, *lines, *ingredients);
    const std::vector<std::string>& header = layout.header;
    const bool priced = find_column(header, job::price_column(true)).has_value();
    const bool named = find_column(header, job::ingredient_column()).has_value();
    if (!named && priced && is_named(header[0], job::ingredient_column())) {
        throw base::DataError(base::Diagnostic{
            file, "the header", "a single price list",
            "many: a column of names before the others, or a row a list",
            "\"feedwright formulate JOB --prices\" takes one; batch takes a folder of them"});
    }
    if (named && priced) {
        return std::make_unique<LongTable>(file, std::move(lines), std::move(layout),
                                           std::move(ingredients), range);
    }
    return std::make_unique<WideTable>(file, std::move(lines), std::move(layout),
                                       std::move(ingredients), range);
}

}  // namespace feedwright::batch
