// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/table.hpp"

#include "base/csv.hpp"
#include "base/currency.hpp"
#include "base/diagnostics.hpp"
#include "base/encoding.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "batch/lines.hpp"
#include "batch/lists.hpp"
#include "batch/table_head.hpp"
#include "job/table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstring>
#include <utility>

namespace feedwright::batch {

namespace {

constexpr std::size_t piece_size = std::size_t{128} << 10U;
constexpr std::size_t longest_list = std::size_t{16} << 20U;

// What both forms of a table have in common.
class Table : public Lists {
  public:
    Table(std::string file, std::unique_ptr<Lines> lines, TableHead head,
          std::shared_ptr<const IngredientSet> ingredients, ListRange range)
        : file_(std::move(file)),
          header_(std::move(head.header)),
          reading_(std::move(head.reading)),
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
                if (start > Lines::block) {
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

class WideTable final : public Table {
  public:
    WideTable(std::string file, std::unique_ptr<Lines> lines, TableHead head,
              std::shared_ptr<const IngredientSet> ingredients, ListRange range)
        : Table(std::move(file), std::move(lines), std::move(head), std::move(ingredients), range) {
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
    LongTable(std::string file, std::unique_ptr<Lines> lines, TableHead head,
              std::shared_ptr<const IngredientSet> ingredients, ListRange range)
        : Table(std::move(file), std::move(lines), std::move(head), std::move(ingredients), range) {
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

}  // namespace

std::unique_ptr<Lists> open_table(const std::string& file,
                                  std::shared_ptr<const IngredientSet> ingredients,
                                  ListRange range) {
    auto lines = std::make_unique<Lines>(file);
    TableHead head = read_table_head(file, *lines, *ingredients);
    const std::vector<std::string>& header = head.header;
    const bool priced = find_column(header, job::price_column(true)).has_value();
    const bool named = find_column(header, job::ingredient_column()).has_value();
    if (!named && priced && is_named(header[0], job::ingredient_column())) {
        throw base::DataError(base::Diagnostic{
            file, "the header", "a single price list",
            "many: a column of names before the others, or a row a list",
            "\"feedwright formulate JOB --prices\" takes one; batch takes a folder of them"});
    }
    if (named && priced) {
        return std::make_unique<LongTable>(file, std::move(lines), std::move(head),
                                           std::move(ingredients), range);
    }
    return std::make_unique<WideTable>(file, std::move(lines), std::move(head),
                                       std::move(ingredients), range);
}

}  // namespace feedwright::batch
