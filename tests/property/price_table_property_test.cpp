// SPDX-License-Identifier: GPL-3.0-or-later
// Price lists as spreadsheets of all kinds export them, made at random: each reads to the prices it
// was made from, or is refused with a reason. None is read to other prices.
#include "base/number.hpp"
#include "base/units.hpp"
#include "job/price_list.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <map>
#include <random>
#include <string>
#include <vector>

using namespace feedwright;

namespace {

class Dice {
  public:
    explicit Dice(std::uint32_t seed) : engine_(seed) {}
    std::size_t below(std::size_t n) { return engine_() % n; }
    bool one_in(std::size_t n) { return below(n) == 0; }
    template <class List>
    auto of(const List& list) {
        return *(std::begin(list) + static_cast<std::ptrdiff_t>(below(std::size(list))));
    }

  private:
    std::mt19937 engine_;
};

struct Item {
    std::string name;
    std::string digits;  // "1234.50"
    std::string note;
};

// How one file is written.
struct Style {
    char separator = ',';
    char decimal = '.';
    std::string thousands;  // between thousands; "" for none
    std::string encoding;
    std::string line_end;
    bool quote_all = false;
    bool quote_needed = true;  // without it a decimal comma cuts its number in two
    std::string unit;          // "kg", "lb", "50 kg", ...
    enum class UnitIn {
        nowhere,
        head,
        head_per,
        cell,
        cell_slash,
        column,
        pack_column,
        note
    } unit_in;
    std::string currency;
    enum class CurrencyIn { head, before, behind } currency_in;
    bool mixed_marks = false;
    bool forgets_unit = false;  // in one row
    bool ragged = false;
};

const std::vector<std::string> names{
    "maize",     "wheat-bran", "soybean-meal-44", "Rice bran, full-fat", "fish \"meal\"",
    "limestone", "salt",       "Fischmehl",       "farine de maïs",      "café hulls",
    "Ölkuchen",  "sorghum",    "groundnut"};

std::string digits_of(Dice& dice) {
    const std::size_t whole =
        dice.of(std::vector<std::size_t>{1, 1, 10, 100, 1000, 10000, 2000000});
    std::string text = std::to_string(dice.below(whole));
    static const std::vector<std::size_t> decimals{0, 1, 2, 2, 2, 3, 4};
    const std::size_t count = dice.of(decimals);
    for (std::size_t i = 0; i < count; ++i) {
        if (i == 0) text += '.';
        text += static_cast<char>('0' + dice.below(10));
    }
    return text;
}

std::string written(const Style& style, const std::string& digits, char decimal) {
    const std::size_t point = std::min(digits.find('.'), digits.size());
    std::string whole = digits.substr(0, point);
    for (std::size_t i = whole.size(); !style.thousands.empty() && i > 3;) {
        i -= 3;
        whole.insert(i, style.thousands);
    }
    if (point == digits.size()) return whole;
    return whole + decimal + digits.substr(point + 1);
}

std::string encoded(const std::string& utf8, const std::string& encoding) {
    if (encoding == "utf8") return utf8;
    if (encoding == "utf8-mark") return "\xEF\xBB\xBF" + utf8;
    std::u32string codes;
    for (std::size_t i = 0; i < utf8.size();) {
        const auto c = static_cast<unsigned char>(utf8[i]);
        const std::size_t more = c < 0x80 ? 0 : c < 0xE0 ? 1 : c < 0xF0 ? 2 : 3;
        char32_t code = more == 0 ? c : more == 1 ? c & 0x1FU : more == 2 ? c & 0x0FU : c & 0x07U;
        for (std::size_t k = 1; k <= more; ++k)
            code = (code << 6U) | (static_cast<unsigned char>(utf8[i + k]) & 0x3FU);
        codes += code;
        i += more + 1;
    }
    std::string out;
    if (encoding == "western") {
        for (const char32_t code : codes)
            out += code == U'€' ? '\x80' : code == U'’' ? '\x92' : static_cast<char>(code);
        return out;
    }
    const bool little = encoding == "utf16-little";
    codes.insert(codes.begin(), U'\xFEFF');
    for (const char32_t code : codes) {
        const char low = static_cast<char>(code & 0xFFU);
        const char high = static_cast<char>((code >> 8U) & 0xFFU);
        out += little ? low : high;
        out += little ? high : low;
    }
    return out;
}

Style style_of(Dice& dice) {
    using UnitIn = Style::UnitIn;
    using CurrencyIn = Style::CurrencyIn;
    Style s;
    s.separator = dice.of(std::string(",;\t"));
    s.decimal = dice.of(std::string(".,"));
    const char other = s.decimal == '.' ? ',' : '.';
    s.thousands =
        dice.of(std::vector<std::string>{"", "", "", std::string(1, other), " ", "\u00A0", "'"});
    s.encoding = dice.of(std::vector<std::string>{"utf8", "utf8", "utf8-mark", "utf16-little",
                                                  "utf16-big", "western"});
    s.line_end = dice.of(std::vector<std::string>{"\n", "\r\n", "\r\n", "\r"});
    s.quote_all = dice.one_in(5);
    s.quote_needed = !dice.one_in(6);
    s.unit = dice.of(
        std::vector<std::string>{"kg", "kg", "kg", "lb", "t", "50 kg", "22.5 kg", "100 lb"});
    s.unit_in = dice.of(std::vector<UnitIn>{UnitIn::head, UnitIn::head_per, UnitIn::cell,
                                            UnitIn::cell_slash, UnitIn::column, UnitIn::pack_column,
                                            UnitIn::note});
    if (s.unit == "kg" && dice.one_in(2)) s.unit_in = UnitIn::nowhere;
    s.currency =
        dice.of(std::vector<std::string>{"", "", "$", "€", "£", "USD", "KES", "Rs.", "KSh"});
    s.currency_in =
        dice.of(std::vector<CurrencyIn>{CurrencyIn::head, CurrencyIn::before, CurrencyIn::behind});
    // Where a mark parts thousands, "1.234" is what it says, whatever its writer meant.
    s.mixed_marks = s.thousands != std::string(1, other) && dice.one_in(12);
    s.forgets_unit = dice.one_in(12);
    s.ragged = dice.one_in(3);
    return s;
}

struct Made {
    std::string bytes;
    std::string shown;                    // as UTF-8
    std::map<std::string, double> truth;  // per kg
};

class Writer {
  public:
    Writer(Dice& dice, const Style& style, const std::vector<Item>& items)
        : dice_(dice), style_(style), items_(items) {}

    Made write() {
        using UnitIn = Style::UnitIn;
        const bool unit_column = style_.unit_in == UnitIn::column;
        const bool pack_column = style_.unit_in == UnitIn::pack_column && has_count();
        std::vector<std::string> order{"name", "price"};
        if (unit_column) order.emplace_back("unit");
        if (pack_column) order.emplace_back("pack");
        if (style_.unit_in == UnitIn::note || dice_.one_in(3)) order.emplace_back("note");
        if (dice_.one_in(4)) order.emplace_back("supplier");
        if (dice_.one_in(5)) order.emplace_back("stock");
        if (dice_.one_in(6)) order.emplace_back("number");
        for (std::size_t i = order.size(); i-- > 1;)
            std::swap(order[i], order[dice_.below(i + 1)]);

        if (dice_.one_in(4)) line({"Price list, May"});
        if (dice_.one_in(5)) text_ += "# from the market" + style_.line_end;
        if (dice_.one_in(4)) line(std::vector<std::string>(order.size()));
        std::vector<std::string> head;
        for (const std::string& column : order)
            head.push_back(cased(head_of(column, pack_column)));
        line(head);
        for (std::size_t i = 0; i < items_.size(); ++i) {
            if (dice_.one_in(8)) line(std::vector<std::string>(order.size()));
            if (dice_.one_in(12)) text_ += style_.line_end;
            std::vector<std::string> cells;
            for (const std::string& column : order)
                cells.push_back(cell_of(column, i, pack_column));
            if (style_.ragged) {
                while (cells.size() > 1 && cells.back().empty())
                    cells.pop_back();
            } else if (dice_.one_in(10)) {
                cells.emplace_back();
            }
            line(cells);
        }
        Made made;
        made.shown = text_;
        made.bytes = encoded(text_, style_.encoding);
        for (const Item& item : items_) {
            made.truth[item.name] = *base::parse_price_per_kg(item.digits + " per " + style_.unit);
        }
        return made;
    }

  private:
    bool has_count() const { return style_.unit.find(' ') != std::string::npos; }

    std::string unit_written() const {
        const std::size_t space = style_.unit.find(' ');
        if (space == std::string::npos) return style_.unit;
        return written(style_, style_.unit.substr(0, space), style_.decimal) +
               style_.unit.substr(space);
    }

    std::string cased(const std::string& text) {
        std::string out = text;
        const std::size_t how = dice_.below(3);
        for (char& c : out) {
            // Units and codes keep their case as people write them; a word may be in capitals.
            if (how == 0 && c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
        }
        return how == 1 ? ' ' + out + ' ' : out;
    }

    std::string head_of(const std::string& column, bool pack_column) {
        using UnitIn = Style::UnitIn;
        if (column == "name") {
            return dice_.of(std::vector<std::string>{"ingredient", "Ingredients", "feed", "item",
                                                     "raw material", "feed_ingredient", "name"});
        }
        if (column == "unit") return dice_.of(std::vector<std::string>{"unit", "units", "per"});
        if (column == "pack") return dice_.of(std::vector<std::string>{"bag", "bag size", "pack"});
        if (column == "note")
            return dice_.of(std::vector<std::string>{"note", "Remarks", "comment"});
        if (column == "supplier") return "supplier";
        if (column == "stock") return "stock (kg)";
        if (column == "number") return dice_.of(std::vector<std::string>{"#", "No."});
        std::string head = dice_.of(std::vector<std::string>{"price", "cost", "unit price"});
        const bool money =
            !style_.currency.empty() && style_.currency_in == Style::CurrencyIn::head;
        const bool unit = style_.unit_in == UnitIn::head || style_.unit_in == UnitIn::head_per;
        if (pack_column) head += " per bag";
        if (style_.unit_in == UnitIn::head_per) head += " per " + unit_written();
        if (money && style_.unit_in == UnitIn::head) {
            head += dice_.one_in(2) ? " (" + style_.currency + '/' + unit_written() + ')'
                                    : ", " + style_.currency + " per " + unit_written();
        } else if (money) {
            head += " [" + style_.currency + ']';
        } else if (unit && style_.unit_in == UnitIn::head) {
            head += " (/" + unit_written() + ')';
        }
        return head;
    }

    std::string cell_of(const std::string& column, std::size_t i, bool pack_column) {
        using UnitIn = Style::UnitIn;
        const Item& item = items_[i];
        // Where one price names a pack and one does not, the bare one is per kg, as documented.
        const bool forgets = style_.forgets_unit && items_.size() > 2 && i == items_.size() / 2;
        if (column == "name") return item.name;
        if (column == "unit") return forgets ? "" : unit_written();
        if (column == "pack") return unit_written();
        if (column == "supplier") return dice_.one_in(3) ? "" : "Müller & Co";
        if (column == "stock") return std::to_string(dice_.below(900));
        if (column == "number") return std::to_string(i + 1);
        if (column == "note") {
            if (style_.unit_in == UnitIn::note) {
                return dice_.one_in(2) ? "per " + unit_written() : unit_written();
            }
            return dice_.one_in(2) ? "" : item.note;
        }
        const char other = style_.decimal == '.' ? ',' : '.';
        const bool odd = style_.mixed_marks && i == items_.size() / 2;
        std::string cell = written(style_, item.digits, odd ? other : style_.decimal);
        if (!style_.currency.empty() && style_.currency_in == Style::CurrencyIn::before) {
            cell = style_.currency + (dice_.one_in(2) ? " " : "") + cell;
        } else if (!style_.currency.empty() && style_.currency_in == Style::CurrencyIn::behind) {
            cell += ' ' + style_.currency;
        }
        const bool in_cell = style_.unit_in == UnitIn::cell ||
                             style_.unit_in == UnitIn::cell_slash ||
                             (style_.unit_in == UnitIn::pack_column && !pack_column);
        if (in_cell && !forgets) {
            cell += (style_.unit_in == UnitIn::cell_slash ? "/" : " per ") + unit_written();
        }
        return cell;
    }

    void line(const std::vector<std::string>& cells) {
        for (std::size_t i = 0; i < cells.size(); ++i) {
            const std::string& cell = cells[i];
            const bool number = cell.find_first_not_of("0123456789.,") == std::string::npos;
            const bool needs = cell.find_first_of("\"\r\n") != std::string::npos ||
                               cell.find(style_.separator) != std::string::npos;
            const bool quoted = style_.quote_all || (needs && (style_.quote_needed || !number));
            if (i > 0) text_ += style_.separator;
            if (!quoted) {
                text_ += cell;
                continue;
            }
            text_ += '"';
            for (const char c : cell)
                text_ += c == '"' ? std::string("\"\"") : std::string(1, c);
            text_ += '"';
        }
        text_ += style_.line_end;
    }

    Dice& dice_;
    const Style& style_;
    const std::vector<Item>& items_;
    std::string text_;
};

std::vector<Item> items_of(Dice& dice) {
    std::vector<Item> items;
    for (const std::string& name : names) {
        if (dice.one_in(2)) continue;
        const std::string digits = digits_of(dice);
        if (digits.find_first_of("123456789") == std::string::npos) continue;
        items.push_back(
            {name, digits,
             dice.of(std::vector<std::string>{"fresh", "ask Ann, Tuesday", "good", "2nd choice"})});
    }
    if (items.empty()) items.push_back({"maize", "0.28", ""});
    return items;
}

enum class Outcome { read, refused, misread };

Outcome outcome_of(const Made& made, std::string& why) {
    const test::TempFolder folder;
    try {
        const auto list = job::read_price_list(folder.write("prices.csv", made.bytes));
        list.problems.throw_if_any();
        std::map<std::string, double> found;
        for (const job::PricedIngredient& row : list.rows)
            found[row.ingredient] = row.price;
        if (found == made.truth) return Outcome::read;
        for (const auto& [name, price] : made.truth) {
            const auto at = found.find(name);
            const double got = at == found.end() ? -1 : at->second;
            if (got != price)
                why += name + ": " + base::shortest(got) + " for " + base::shortest(price) + '\n';
        }
        return Outcome::misread;
    } catch (const base::DataError& error) {
        why = error.what();
        return Outcome::refused;
    }
}

}  // namespace

TEST_CASE("spreadsheet exports made at random are read rightly or refused") {
    constexpr std::uint32_t files = 3000;
    std::map<Outcome, std::uint32_t> count;
    for (std::uint32_t seed = 1; seed <= files; ++seed) {
        Dice dice(seed);
        const Style style = style_of(dice);
        const Made made = Writer(dice, style, items_of(dice)).write();
        std::string why;
        const Outcome outcome = outcome_of(made, why);
        ++count[outcome];
        INFO("seed " << seed << ", " << style.encoding << '\n' << made.shown << why);
        CHECK(outcome != Outcome::misread);
        if (outcome == Outcome::refused) CHECK(why.find("; expected ") != std::string::npos);
    }
    INFO("read " << count[Outcome::read] << ", refused " << count[Outcome::refused]);
    // So many are written without any trap; to refuse them all would be no reading.
    CHECK(count[Outcome::read] > files / 2);
}
