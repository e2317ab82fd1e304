// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "job/reading.hpp"
#include "job/table.hpp"
#include "job/volume.hpp"

#include <fmt/format.h>

#include <cmath>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::job {

namespace {

const std::vector<base::WantedColumn>& columns() {
    using base::Measure;
    static const std::vector<base::WantedColumn> list = [] {
        base::WantedColumn price = price_column(false);
        // In a recipe a cost may be that of the whole amount.
        std::erase(price.words, "cost");
        return std::vector<base::WantedColumn>{
            ingredient_column(),
            {"amount",
             {"amounts", "quantity", "qty", "parts", "part", "weight", "mass", "share", "inclusion",
              "inclusion rate", "level", "proportion"},
             true,
             true,
             Measure::amount,
             false},
            {"unit", {"unit", "units", "uom"}, false, false, Measure::none, false},
            price,
            note_column()};
    }();
    return list;
}

// The amounts of a recipe's table, all of one kind.
class AmountReader {
  public:
    AmountReader(Reading& reading, const base::Table& table) : reading_(reading) {
        const base::Head* head = table.head("amount");
        if (head == nullptr) return;
        const bool percent = head->unit == "%";
        unit_ = head->unit;
        if (percent && table.head("unit") == nullptr) bare_ = AmountsIn::percent;
    }

    // "50", "50 %", "0.5 kg" or "1/2 lb".
    // A volume is of the ingredient `choice`, nullptr where that was not understood.
    std::optional<double> read(const base::Cells& cells, const Choice* choice) {
        std::string rest;
        const auto value = cells.leading("amount", rest, "a number");
        if (!value) return value;
        const std::string beside = cells.text("unit");
        if (rest.empty()) rest = beside.empty() ? unit_ : beside;
        if (rest.empty()) return of_kind(cells, bare_, *value);
        if (rest == "%" || base::lower(rest) == "percent") {
            return of_kind(cells, AmountsIn::percent, *value);
        }
        auto kilograms = base::kilograms_per(rest);
        const auto mark = cells.table().mark.value_or(base::DecimalMark::point);
        if (const auto litres = base::litres_of(rest, mark); litres && !kilograms) {
            if (choice == nullptr) return std::nullopt;  // told already
            const std::string place = fmt::format("line {}, column amount", cells.line());
            kilograms = kilograms_a_litre(reading_, *choice, reading_.job.file, place);
            if (!kilograms) return std::nullopt;
            *kilograms *= *litres;
        } else if (!kilograms && base::is_vessel(rest)) {
            cells.problem(
                "amount", fmt::format("\"{} {}\" of unknown size", base::shortest(*value), rest),
                fmt::format("its size, such as \"{} {} of 10 l\"", base::shortest(*value), rest));
            return std::nullopt;
        }
        if (!kilograms) {
            cells.problem("amount",
                          '"' + cells.raw("amount") + (beside.empty() ? "" : ' ' + beside) + '"',
                          "a number, \"50 %\", \"500 g\" or \"0.5 kg\"",
                          base::number_hint(cells.raw("amount")));
            return std::nullopt;
        }
        return of_kind(cells, AmountsIn::weight, *value * *kilograms);
    }

  private:
    std::optional<double> of_kind(const base::Cells& cells, AmountsIn kind, double amount) {
        if (reading_.amounts_in && *reading_.amounts_in != kind) {
            cells.problem("amount", '"' + cells.raw("amount") + '"',
                          "the same kind of amount as in the lines before: all parts, all percent "
                          "or all weights");
            return std::nullopt;
        }
        reading_.amounts_in = kind;
        return amount;
    }

    Reading& reading_;
    AmountsIn bare_ = AmountsIn::parts;  ///< what a number alone is
    std::string unit_;                   ///< of the head
};

}  // namespace

void read_recipe_table(Reading& reading, std::string_view bytes) {
    const std::string& file = reading.job.file;
    base::Table table = base::read_table(bytes, file, columns(), reading.diagnostics);
    AmountReader amounts(reading, table);
    PriceReader prices(table, reading.diagnostics);
    for (const base::TableRow& row : table.rows) {
        const base::Cells cells(table, row, reading.diagnostics);
        const std::string id = cells.text("ingredient");
        Choice* choice = add_library_choice(reading, id, file,
                                            fmt::format("line {}, column ingredient", row.line));
        const auto amount = amounts.read(cells, choice);
        if (cells.raw("amount").empty())
            cells.problem("amount", "an empty cell", "parts, zero or more");
        if (amount && *amount < 0) {
            cells.problem("amount", base::shortest(*amount), "parts, zero or more");
        }
        auto price = prices.read(cells);
        if (choice != nullptr && price && prices.by_volume()) {
            const auto kilograms = kilograms_a_litre(
                reading, *choice, file, fmt::format("line {}, column price", row.line));
            price = kilograms ? std::optional(*price / *kilograms) : std::nullopt;
        }
        if (choice != nullptr) {
            choice->amount = amount;
            choice->price = price;
        }
    }
    prices.finish();
    if (table.rows.empty()) {
        reading.diagnostics.add({file, fmt::format("line {}", table.head_line), "no ingredients",
                                 "at least one line below the header", ""});
    }
    take_reading(reading, table.reading);
}

void check_amounts(Reading& reading) {
    if (reading.job.free_total || reading.amounts_in == AmountsIn::weight) return;
    double sum = 0;
    for (const Choice& choice : reading.job.ingredients)
        sum += choice.amount.value_or(0);
    constexpr double rounding = 0.005;
    if (std::abs(sum - 100) <= rounding || !(sum > 0)) return;
    if (reading.amounts_in != AmountsIn::percent && reading.job.batch_kg &&
        std::abs(sum - *reading.job.batch_kg) <= rounding) {
        return;
    }
    reading.job.notes.push_back({.kind = Note::Kind::odd_total, .value = sum});
}

}  // namespace feedwright::job
