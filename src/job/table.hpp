// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "base/table.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::job {

/// What a price must look like, for the messages of every place that reads one.
inline constexpr const char* price_form =
    "a price per kg such as 0.52, or with a pack: \"18.50 per 40 kg\"";

/// The price of an ingredient per kg, as base::parse_price_per_kg reads one; below zero where one
/// is paid to take it.
std::optional<double> parse_ingredient_price(std::string_view text);

/// What may be wrong with a text that is no price; empty when nothing can be said.
std::string price_hint(std::string_view text);

/// The columns of a table of ingredients with prices: "ingredient", "price", "unit" (what a price
/// is for: "lb", "50 kg bag"), "pack" (the weight of a bag) and "note".
base::WantedColumn ingredient_column();
base::WantedColumn price_column(bool required);
base::WantedColumn pack_column();
base::WantedColumn note_column();

/// Reads the prices of one table. They are in one currency, and what each is for must be certain:
/// per kg where neither head, cell, column "unit" nor anything beside them says otherwise.
class PriceReader {
  public:
    PriceReader(base::Table& table, base::Diagnostics& diagnostics);
    /// Money per kg; nullopt for an empty cell, and with a problem recorded for what is no price.
    std::optional<double> read(const base::Cells& cells);
    /// Whether the last price is money per litre.
    bool by_volume() const { return by_volume_; }
    /// To be called after the last row: puts currency and unit into the table's reading.
    void finish();

  private:
    struct Pack {
        std::string text;  ///< as parse_price_per_kg takes it; empty for a bag of unknown weight
        std::string container;
        double litres = 0;  ///< of a measure of volume; zero for others
    };

    void read_head();
    void look_beside();
    std::optional<Pack> pack_in(const base::Cells& cells, std::string_view column,
                                std::string_view text) const;
    std::optional<std::string> weight_of(const base::Cells& cells, const Pack& pack) const;
    bool note_currency(const base::Cells& cells, const std::string& currency,
                       const std::string& other);
    void ask_about(const base::Cells& cells);

    base::Table& table_;
    base::Diagnostics& diagnostics_;
    std::string unit_column_;  ///< of what prices are for; empty where there is none
    std::string currency_;
    std::optional<Pack> head_pack_;
    bool head_is_wrong_ = false;
    std::string beside_;                 ///< a column of weights that may be those of the packs
    std::vector<std::size_t> in_words_;  ///< columns of words that may name a pack
    std::size_t above_line_ = 0;         ///< a line above the head that names a pack
    std::string above_;
    std::vector<std::size_t> bare_lines_;
    std::string imperial_;         ///< a unit of the pound in some cell
    std::string in_cells_;         ///< the one unit that all cells name, "" before the first
    std::size_t named_lines_ = 0;  ///< whose cells name one
    bool asked_ = false;
    bool by_volume_ = false;
};

}  // namespace feedwright::job
