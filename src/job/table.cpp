// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/table.hpp"

#include "base/currency.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>
#include <utility>

namespace feedwright::job {

namespace {

// The text behind "/" or "per "; nullopt where it begins with neither.
std::optional<std::string_view> behind_per(std::string_view text) {
    if (text.starts_with('/')) return base::trim(text.substr(1));
    constexpr std::string_view per = "per ";
    if (base::lower(text.substr(0, per.size())) == per) return base::trim(text.substr(per.size()));
    return std::nullopt;
}

std::optional<double> kilograms_of(const std::string& pack) {
    const bool has_count = pack.find_first_of("0123456789") == 0;
    return has_count ? base::parse_mass_kg(pack) : base::kilograms_per(pack);
}

bool is_one_kg(const std::string& pack) {
    return kilograms_of(pack) == 1.0;
}

// Units of the pound: who uses one of them thinks in them.
bool is_imperial(const std::string& pack) {
    const std::string unit =
        pack.substr(std::min(pack.find_first_not_of("0123456789. "), pack.size()));
    constexpr std::array units{"lb",    "lbs",    "pound", "pounds",    "oz",
                               "ounce", "ounces", "cwt",   "short ton", "short tons"};
    return std::any_of(units.begin(), units.end(), [&](const char* u) { return unit == u; });
}

// What a text in words says that prices are per, where that is not one kg: "sold per 50 kg bag",
// "lb".
std::string pack_named_in(const std::string& text) {
    const base::Head head = base::take_apart(text);
    std::string pack = head.per;
    if (pack.empty() && head.words.empty()) pack = head.unit == "%" ? "" : head.unit;
    return pack.empty() || is_one_kg(pack) ? std::string{} : pack;
}

constexpr std::array stock_words{"stock", "in stock", "on hand", "available", "have", "supply"};

bool is_stock(const std::string& words) {
    return std::any_of(stock_words.begin(), stock_words.end(),
                       [&](const char* word) { return words == word; });
}

constexpr std::array weight_words{"weight", "quantity", "amount", "qty", "size"};

}  // namespace

std::string price_hint(std::string_view text) {
    if (text.find(',') != std::string_view::npos) return "Write a decimal point, not a comma";
    const auto quantity = base::parse_quantity(text);
    if (!quantity) {
        const bool digits = text.find_first_of("0123456789") != std::string_view::npos;
        if (text.empty()) return "Write 0 if it is free, or leave the line out";
        const std::size_t first = std::min(text.find_first_of("0123456789"), text.size());
        if (first > 0 && base::parse_price_per_kg(text.substr(first))) {
            return fmt::format("Write {}, without the currency", text.substr(first));
        }
        return digits ? "The number comes first, without a currency" : "";
    }
    if (quantity->value < 0 || quantity->unit.empty()) return "";
    return "Weights are in kg, g, mg, lb, oz, cwt, t or short ton";
}

base::WantedColumn ingredient_column() {
    return {"ingredient",
            {"id",         "ingredient id",   "feedwright id", "ingredient",    "ingredients",
             "name",       "ingredient name", "feed",          "feeds",         "feedstuff",
             "feedstuffs", "feed ingredient", "item",          "items",         "material",
             "materials",  "raw material",    "raw materials", "feed material", "product",
             "commodity"},
            true,
            false,
            base::Measure::none,
            true};
}

base::WantedColumn price_column(bool required) {
    return {"price",
            {"prices", "unit price", "market price", "cost", "unit cost", "rate"},
            required,
            true,
            base::Measure::price,
            false};
}

base::WantedColumn pack_column() {
    return {"pack",
            {"pack size", "pack weight", "bag", "bag size", "bag weight", "sack", "sack size",
             "weight of bag", "package", "package size"},
            false,
            true,
            base::Measure::weight,
            false};
}

base::WantedColumn note_column() {
    return {"note",
            {"notes", "remark", "remarks", "comment", "comments", "description"},
            false,
            false,
            base::Measure::none,
            false};
}

std::optional<double> parse_ingredient_price(std::string_view text) {
    text = base::trim(text);
    const bool paid = text.starts_with('-');
    const auto price = base::parse_price_per_kg(paid ? text.substr(1) : text);
    return price && paid ? std::optional(0 - *price) : price;
}

PriceReader::PriceReader(base::Table& table, base::Diagnostics& diagnostics)
    : table_(table), diagnostics_(diagnostics) {
    // Beside amounts, a unit is theirs.
    if (table_.head("amount") == nullptr) unit_column_ = "unit";
    if (table_.head("price") == nullptr) return;
    read_head();
    look_beside();
}

void PriceReader::read_head() {
    const base::Head& head = *table_.head("price");
    currency_ = head.currency;
    std::string pack = head.per.empty() ? head.unit : head.per;
    if (pack.empty()) return;
    head_pack_ = base::is_container(pack) ? Pack{"", pack} : Pack{pack, ""};
    const bool known = table_.head("pack") != nullptr || table_.head(unit_column_) != nullptr;
    if (!head_pack_->container.empty() && !known) {
        head_is_wrong_ = true;
        diagnostics_.add(
            {table_.file, fmt::format("line {}, column {}", table_.head_line, head.written),
             fmt::format("a price per {}, and nothing that says how heavy it is", pack),
             fmt::format("a weight: \"price per 50 kg\", or a column \"{} (kg)\"", pack), ""});
    }
}

// What stands beside the prices and may say what they are for.
void PriceReader::look_beside() {
    for (std::size_t i = 0; i < table_.heads.size(); ++i) {
        const bool understood =
            std::any_of(table_.columns.begin(), table_.columns.end(), [&](const auto& column) {
                return column.second == i && column.first != "note" &&
                       (column.first != "unit" || column.first == unit_column_);
            });
        if (understood) continue;
        const base::Head& head = table_.heads[i];
        const bool weighs = !head.unit.empty() && head.unit != "%" && !is_stock(head.words);
        const bool weight_word = std::any_of(weight_words.begin(), weight_words.end(),
                                             [&](const char* word) { return head.words == word; });
        const bool in_use = table_.columns.contains("amount");
        if ((weighs || weight_word) && beside_.empty() && !in_use) beside_ = head.written;
        in_words_.push_back(i);
    }
    // A price may be for the bag of that column or for one kg.
    if (const base::Head* pack = table_.head("pack"); pack != nullptr && !head_pack_)
        beside_ = pack->written;
    const base::Head* amount = table_.head("amount");
    if (amount != nullptr && is_imperial(amount->unit)) beside_ = amount->written;
    for (const base::TableRow& row : table_.above) {
        for (const std::string& cell : row.cells) {
            const std::string pack = base::take_apart(cell).per;
            if (pack.empty() || is_one_kg(pack) || !above_.empty()) continue;
            above_ = pack;
            above_line_ = row.line;
        }
    }
}

bool PriceReader::note_currency(const base::Cells& cells, const std::string& currency,
                                const std::string& other) {
    const bool one = other.empty() && base::same_currency(currency_, currency);
    if (one) {
        currency_ = base::clearer_currency(currency_, currency);
        return true;
    }
    cells.problem("price",
                  fmt::format("{} beside {}", other.empty() ? currency : other,
                              other.empty() ? currency_ : currency),
                  "one currency in the whole file", "Convert the prices to one currency");
    return false;
}

// The pack that a text names, such as "50 kg bag" or "bag".
std::optional<PriceReader::Pack> PriceReader::pack_in(const base::Cells& cells,
                                                      std::string_view column,
                                                      std::string_view text) const {
    if (base::is_container(text)) return Pack{"", std::string(text)};
    if (const auto pack = base::pack_of(text, table_.mark.value_or(base::DecimalMark::point))) {
        return Pack{*pack, ""};
    }
    if (const auto litres = base::litres_of(text, table_.mark.value_or(base::DecimalMark::point))) {
        return Pack{"", "", *litres};
    }
    if (base::is_vessel(text)) {
        cells.problem(column, fmt::format("a price per {} of unknown size", text),
                      "its size, such as \"per 10 l bucket\"");
        return std::nullopt;
    }
    cells.problem(column, '"' + cells.raw(column) + '"',
                  column == "unit" ? "what the price is for, such as \"kg\", \"lb\" or \"50 kg\""
                                   : price_form,
                  base::lower(text) == "ton" || base::lower(text) == "tons"
                      ? "A ton may be 1000 kg (write t) or 907 kg (write short ton)"
                      : "Weights are in kg, g, mg, lb, oz, cwt, t or short ton");
    return std::nullopt;
}

// The weight of a pack, which for a container stands in the column of packs.
std::optional<std::string> PriceReader::weight_of(const base::Cells& cells,
                                                  const Pack& pack) const {
    if (pack.container.empty()) return pack.text;
    std::string text = cells.raw("pack");
    const base::Head* head = table_.head("pack");
    const bool bare = text.find_first_not_of("0123456789.,' ") == std::string::npos;
    if (head != nullptr && bare && !text.empty()) text += ' ' + head->unit;
    const auto weight = base::pack_of(text, table_.mark.value_or(base::DecimalMark::point));
    if (weight) return weight;
    cells.problem(head == nullptr ? "price" : "pack",
                  text.empty() ? fmt::format("a price per {} of unknown weight", pack.container)
                               : '"' + text + '"',
                  "the weight of the " + pack.container, "For example \"50 kg\"");
    return std::nullopt;
}

// A price that says no unit, beside something that may be one.
void PriceReader::ask_about(const base::Cells& cells) {
    bare_lines_.push_back(cells.line());
    if (asked_) return;
    const auto ask = [&](std::string place, std::string found) {
        asked_ = true;
        diagnostics_.add({table_.file, std::move(place), std::move(found),
                          "prices whose unit is certain",
                          "Say it in the head: \"price per kg\", \"price per lb\" or \"price per "
                          "50 kg\""});
    };
    if (!above_.empty()) {
        ask(fmt::format("line {}", above_line_),
            fmt::format("\"per {}\" above a table whose prices name no unit: they may be per {} "
                        "or per kg",
                        above_, above_));
        return;
    }
    if (!beside_.empty()) {
        ask(fmt::format("line {}, column {}", table_.head_line, beside_),
            "weights beside prices that name no unit: each price may be for one kg or for that "
            "weight");
        return;
    }
    for (const std::size_t i : in_words_) {
        const std::string pack = pack_named_in(cells.cell(i));
        if (pack.empty()) continue;
        ask(fmt::format("line {}, column {}", cells.line(), table_.heads[i].written),
            fmt::format("\"{}\" beside a price that names no unit: it may be per {} or per kg",
                        base::printable(cells.cell(i), 40), pack));
        return;
    }
}

std::optional<double> PriceReader::read(const base::Cells& cells) {
    by_volume_ = false;
    const std::string& raw = cells.raw("price");
    if (raw.empty() || !table_.mark) return std::nullopt;
    const auto refuse = [&] {
        const std::string unit = cells.raw(unit_column_);
        const bool per = behind_per(unit).has_value();
        const std::string shown =
            unit.empty() ? raw : fmt::format("{} {}{}", raw, per ? "" : "per ", unit);
        const std::string hint = base::number_hint(raw);
        cells.problem("price", '"' + shown + '"', price_form,
                      hint.empty() ? price_hint(shown) : hint);
        return std::nullopt;
    };
    const base::WithoutCurrency money = base::without_currency(base::plain_cell(raw));
    auto number = base::leading_number(money.text, *table_.mark);
    if (number && number->fraction && !number->rest.empty() && !behind_per(number->rest)) {
        number = base::leading_number(money.text, *table_.mark, false);
    }
    if (!number) return refuse();
    if (!note_currency(cells, money.currency, money.other)) return std::nullopt;

    std::vector<Pack> packs;
    if (!number->rest.empty()) {
        const auto text = behind_per(number->rest);
        if (!text) return refuse();
        const auto pack = pack_in(cells, "price", *text);
        if (!pack) return std::nullopt;
        packs.push_back(*pack);
    }
    if (const std::string cell = base::plain_cell(cells.raw(unit_column_)); !cell.empty()) {
        const base::WithoutCurrency unit = base::without_currency(cell);
        if (!note_currency(cells, unit.currency, unit.other)) return std::nullopt;
        const std::string_view text = behind_per(unit.text).value_or(unit.text);
        // "$" alone in a column of units is the currency.
        if (!text.empty()) {
            const auto pack = pack_in(cells, "unit", text);
            if (!pack) return std::nullopt;
            packs.push_back(*pack);
        }
    }
    const bool cell_says = !packs.empty();
    if (head_pack_) {
        if (head_is_wrong_) return std::nullopt;
        packs.push_back(*head_pack_);
    }
    if (packs.empty()) ask_about(cells);
    // A weight says more than "bag".
    const auto weighs = [](const Pack& said) { return said.container.empty(); };
    if (std::any_of(packs.begin(), packs.end(), weighs)) std::erase_if(packs, std::not_fn(weighs));
    if (!packs.empty() && packs.front().litres > 0) {
        const double litres = packs.front().litres;
        if (std::any_of(packs.begin(), packs.end(),
                        [&](const Pack& said) { return said.litres != litres; })) {
            cells.problem("price", "a price per volume and per something else",
                          "one unit for the price");
            return std::nullopt;
        }
        by_volume_ = true;
        in_cells_ = "each its own";
        ++named_lines_;
        return number->value / litres;
    }
    std::string pack;
    for (const Pack& said : packs) {
        const auto weight = weight_of(cells, said);
        if (!weight) return std::nullopt;
        if (pack.empty()) pack = *weight;
        if (kilograms_of(pack) == kilograms_of(*weight)) continue;
        cells.problem("price", fmt::format("a price per {} and per {}", pack, *weight),
                      "one unit for the price");
        return std::nullopt;
    }
    if (cell_says && is_imperial(pack)) imperial_ = pack;
    if (cell_says) ++named_lines_;
    if (cell_says) in_cells_ = in_cells_.empty() || in_cells_ == pack ? pack : "each its own";
    const std::string text = base::shortest(number->value) + (pack.empty() ? "" : " per " + pack);
    const auto price = parse_ingredient_price(text);
    return price ? price : refuse();
}

void PriceReader::finish() {
    // Where most prices are per one pack, a bare one may be that too. One pack alone, or
    // packs of several weights, show that each price names its own, and a bare one is per kg.
    std::string usual = imperial_;
    const bool one_pack = kilograms_of(in_cells_).has_value() && !is_one_kg(in_cells_);
    const bool most = named_lines_ > 1 && named_lines_ >= bare_lines_.size();
    if (one_pack && most) usual = in_cells_;
    if (!usual.empty() && !bare_lines_.empty() && !asked_) {
        diagnostics_.add(
            {table_.file, fmt::format("line {}", bare_lines_.front()),
             fmt::format("a price without a unit, beside prices per {}: it may be per {} or per kg",
                         usual, usual),
             "prices whose unit is certain",
             fmt::format("Write \"per {}\" or \"per kg\" behind it", usual)});
    }
    table_.reading.currency = currency_;
    if (head_pack_) {
        table_.reading.per = head_pack_->text.empty() ? head_pack_->container : head_pack_->text;
    } else if (bare_lines_.empty() && in_cells_ != "each its own") {
        table_.reading.per = in_cells_;
    }
}

}  // namespace feedwright::job
