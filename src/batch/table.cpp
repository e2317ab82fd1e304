// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/csv.hpp"
#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "base/stream_file.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "batch/lists.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstring>
#include <utility>

namespace feedwright::batch {

namespace {

constexpr std::size_t block = std::size_t{256} << 10U;
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

bool holds_nothing(std::string_view line) {
    const std::string_view content = trimmed(line);
    return content.empty() || content.front() == '#';
}

bool is_plain(std::string_view text) {
    return std::none_of(text.begin(), text.end(),
                        [](char c) { return static_cast<unsigned char>(c) >= 0x80; });
}

// The file line by line. What was given out stays in `buffer` until `forget`.
class Lines {
  public:
    explicit Lines(const std::string& file) : in_(file), file_(file) {}

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
        const std::uint64_t used = in_.bytes_read() - (buffer_.size() - at_);
        return std::min(1.0, static_cast<double>(used) / static_cast<double>(*size));
    }

  private:
    base::InputStream in_;
    std::string file_;
    std::string buffer_;
    std::size_t at_ = 0;
    std::size_t looked_ = 0;
    std::size_t length_ = 0;
    std::size_t step_ = 0;
    std::size_t number_ = 0;
};

// What both forms of a table have in common.
class Table : public Lists {
  public:
    Table(std::string file, std::unique_ptr<Lines> lines, std::vector<std::string> header,
          std::shared_ptr<const IngredientSet> ingredients, ListRange range)
        : file_(std::move(file)),
          header_(std::move(header)),
          ingredients_(std::move(ingredients)),
          lines_(std::move(lines)),
          range_(range) {}

    bool next(Piece& piece) final {
        lines_->forget();
        std::size_t start = lines_->position();
        piece.count = 0;
        std::string_view line;
        while (lines_->peek(line)) {
            const bool empty = holds_nothing(line);
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

  protected:
    // Whether a line with something in it belongs to another list than the line before.
    virtual bool starts_list(std::string_view line) const = 0;
    virtual void note_list(std::string_view line) = 0;

    // Calls f(line, number) for every line of the piece that holds something.
    template <class F>
    static void each_line(const Piece& piece, const F& f) {
        std::string_view rest = piece.text;
        for (std::size_t number = piece.first_line; !rest.empty(); ++number) {
            const std::size_t end = std::min(rest.find('\n'), rest.size());
            const std::string_view line = rest.substr(0, end);
            rest.remove_prefix(std::min(end + 1, rest.size()));
            if (!holds_nothing(line)) f(line, number);
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

    // A price cell that is not empty; what is wrong with it goes to `problem`.
    double price(std::string_view cell, std::size_t line, std::string_view column,
                 std::string& problem) const {
        double value = 0;
        const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
        const bool number = error == std::errc{} && end == cell.data() + cell.size();
        if (number && value >= 0 && std::isfinite(value)) return value + 0.0;
        if (const auto per_kg = base::parse_price_per_kg(cell)) return *per_kg + 0.0;
        if (problem.empty()) {
            problem =
                say(line, column, fmt::format("\"{}\"", cell),
                    "a price per kg such as 0.52, or nothing",
                    cell.find(',') != std::string_view::npos ? "Write a decimal point, not a comma"
                                                             : "");
        }
        return no_price;
    }

    std::string wrong_count(std::size_t line, std::size_t count) const {
        return say(line, "", fmt::format("{} cells", count),
                   fmt::format("{}, as in the header", header_.size()),
                   "A decimal comma also makes extra cells");
    }

    std::string file_;
    std::vector<std::string> header_;
    std::shared_ptr<const IngredientSet> ingredients_;
    std::size_t seen_ = 0;

  private:
    std::unique_ptr<Lines> lines_;
    ListRange range_;
};

// The cells of one line, without copying them where there are no quotes. False for an open quote.
class Splitter {
  public:
    bool split(std::string_view line, std::vector<std::string_view>& cells) {
        cells.clear();
        if (line.find('"') == std::string_view::npos) {
            std::size_t at = 0;
            while (true) {
                const std::size_t comma = std::min(line.find(',', at), line.size());
                cells.push_back(trimmed(line.substr(at, comma - at)));
                if (comma == line.size()) return true;
                at = comma + 1;
            }
        }
        if (!base::split_csv(base::trim(line), owned_)) return false;
        cells.assign(owned_.begin(), owned_.end());
        return true;
    }

  private:
    std::vector<std::string> owned_;
};

class WideTable final : public Table {
  public:
    WideTable(std::string file, std::unique_ptr<Lines> lines, std::vector<std::string> header,
              std::shared_ptr<const IngredientSet> ingredients, ListRange range)
        : Table(std::move(file), std::move(lines), std::move(header), std::move(ingredients),
                range) {
        base::Diagnostics diagnostics;
        if (ingredients_->find(header_[0])) {
            diagnostics.add({file_, "the header",
                             fmt::format("the ingredient \"{}\" over the first column", header_[0]),
                             "a column of names of the lists before the prices",
                             "Put one first: a header such as list, and a name in each row"});
        }
        bool any = false;
        for (std::size_t c = 1; c < header_.size(); ++c) {
            const auto number = ingredients_->find(header_[c]);
            if (!number) {
                job::NotMeant why = ingredients_->why_not(header_[c]);
                diagnostics.add({file_, "the header", std::move(why.found), std::move(why.expected),
                                 std::move(why.hint)});
            }
            const bool used = number && *number != IngredientSet::ignored;
            const auto first = std::find(numbers_.begin(), numbers_.end(),
                                         number.value_or(IngredientSet::ignored));
            if (used && first != numbers_.end()) {
                const auto at = static_cast<std::size_t>(first - numbers_.begin());
                diagnostics.add(
                    {file_, "the header",
                     fmt::format("the columns \"{}\" and \"{}\", which are both {}",
                                 header_[at + 1], header_[c], ingredients_->used()[*number]),
                     "each ingredient once", ""});
            }
            numbers_.push_back(number.value_or(IngredientSet::ignored));
            any = any || numbers_.back() != IngredientSet::ignored;
        }
        diagnostics.throw_if_any();
        if (!any) {
            throw base::DataError(base::Diagnostic{
                file_, "the header", "no ingredient of the job",
                "a column a price, named by the ingredient's id, after the column of names", ""});
        }
    }

    void read(const Piece& piece, const std::function<void(Quotes&)>& each) const override {
        Splitter splitter;
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
        for (std::size_t c = 1; c < cells.size(); ++c) {
            const std::size_t ingredient = numbers_[c - 1];
            if (ingredient == IngredientSet::ignored || cells[c].empty()) continue;
            quotes.prices[ingredient] = price(cells[c], number, header_[c], quotes.problem);
        }
    }

    std::vector<std::size_t> numbers_;
};

class LongTable final : public Table {
  public:
    LongTable(std::string file, std::unique_ptr<Lines> lines, std::vector<std::string> header,
              std::shared_ptr<const IngredientSet> ingredients, ListRange range)
        : Table(std::move(file), std::move(lines), std::move(header), std::move(ingredients),
                range) {
        const auto column = [&](std::string_view name) {
            return static_cast<std::size_t>(std::find(header_.begin(), header_.end(), name) -
                                            header_.begin());
        };
        ingredient_ = column("ingredient");
        price_ = column("price");
        unit_ = column("unit");
        base::Diagnostics diagnostics;
        const std::vector<std::string> known{"ingredient", "price", "unit"};
        for (std::size_t c = 1; c < header_.size(); ++c) {
            if (std::find(known.begin(), known.end(), header_[c]) != known.end()) continue;
            diagnostics.add({file_, "the header",
                             fmt::format("the unknown column \"{}\"", header_[c]),
                             "the list's name, then ingredient, price and unit",
                             base::did_you_mean(header_[c], known)});
        }
        diagnostics.throw_if_any();
    }

    void read(const Piece& piece, const std::function<void(Quotes&)>& each) const override {
        Splitter splitter;
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
    static std::string name_of(std::string_view line) {
        const std::string_view content = trimmed(line);
        if (content.starts_with('"')) {
            std::vector<std::string> cells;
            if (base::split_csv(content, cells)) return cells[0];
        }
        return std::string(trimmed(content.substr(0, content.find(','))));
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
        place = price(cell, number, "price", quotes.problem);
    }

    std::size_t ingredient_ = 0;
    std::size_t price_ = 0;
    std::size_t unit_ = 0;
    std::string current_;
    std::string first_;
};

std::vector<std::string> read_header(const std::string& file, Lines& lines) {
    std::string_view line;
    const auto refuse = [&](std::string found, std::string expected, std::string hint = {}) {
        throw base::DataError(base::Diagnostic{file, fmt::format("line {}", lines.taken() + 1),
                                               std::move(found), std::move(expected),
                                               std::move(hint)});
    };
    while (true) {
        if (!lines.peek(line)) refuse("no rows", "a header row and at least one more");
        if (lines.taken() == 0 && line.starts_with("\xEF\xBB\xBF")) line.remove_prefix(3);
        if (!holds_nothing(line)) break;
        lines.take();
    }
    if (!base::is_utf8(line)) {
        refuse("bytes that are not UTF-8", "UTF-8 text", "Save the table as UTF-8");
    }
    std::vector<std::string> header;
    if (!base::split_csv(base::trim(line), header)) {
        refuse("a quote that is never closed", "\" at the end of the cell");
    }
    if (header.size() == 1 && header[0].find(';') != std::string::npos) {
        refuse("semicolons between columns", "commas",
               "Save the table with commas between columns and points in numbers");
    }
    for (auto name = header.begin(); name != header.end(); ++name) {
        if (name->empty() && name != header.begin()) {
            refuse(fmt::format("an empty name for column {}", name - header.begin() + 1),
                   "a name for every column");
        }
        if (std::find(header.begin(), name, *name) != name) {
            refuse(fmt::format("column \"{}\" twice", *name), "each column name once");
        }
    }
    lines.take();
    return header;
}

}  // namespace

std::unique_ptr<Lists> open_table(const std::string& file,
                                  std::shared_ptr<const IngredientSet> ingredients,
                                  ListRange range) {
    auto lines = std::make_unique<Lines>(file);
    std::vector<std::string> header = read_header(file, *lines);
    const auto has = [&](std::string_view name) {
        return std::find(header.begin() + 1, header.end(), name) != header.end();
    };
    if (header[0] == "ingredient" && has("price")) {
        throw base::DataError(base::Diagnostic{
            file, "the header", "a single price list",
            "many: a column of names before the others, or a row a list",
            "\"feedwright formulate JOB --prices\" takes one; batch takes a folder of them"});
    }
    if (has("ingredient") && has("price")) {
        return std::make_unique<LongTable>(file, std::move(lines), std::move(header),
                                           std::move(ingredients), range);
    }
    return std::make_unique<WideTable>(file, std::move(lines), std::move(header),
                                       std::move(ingredients), range);
}

}  // namespace feedwright::batch
