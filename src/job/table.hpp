// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/csv.hpp"
#include "base/diagnostics.hpp"

#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::job {

/// What a price must look like, for the messages of every place that reads one.
inline constexpr const char* price_form =
    "a price per kg, zero or more, such as 0.52, or with a pack: \"18.50 per 40 kg\"";

/// What may be wrong with a text that is no price; empty when nothing can be said.
std::string price_hint(std::string_view text);

/// The columns of a CSV table by name. Records columns that are missing or unknown.
class Columns {
  public:
    Columns(const base::CsvTable& table, std::initializer_list<std::string_view> required,
            std::initializer_list<std::string_view> optional, base::Diagnostics& diagnostics);
    /// Index of the column, or nullopt when the table has none of that name.
    std::optional<std::size_t> find(std::string_view name) const;
    const std::string& file() const { return file_; }

  private:
    std::string file_;
    std::vector<std::string> names_;
};

/// One row seen through its columns; a column the table lacks reads as an empty cell.
class Cells {
  public:
    Cells(const Columns& columns, const base::CsvRow& row, base::Diagnostics& diagnostics)
        : columns_(columns), row_(row), diagnostics_(diagnostics) {}

    std::string text(std::string_view column) const;
    /// A finite number, or nullopt for an empty cell; anything else is a problem.
    std::optional<double> number(std::string_view column) const;
    /// The same, from 0 to 100.
    std::optional<double> percent(std::string_view column) const;
    void problem(std::string_view column, std::string found, std::string expected,
                 std::string hint = {}) const;

  private:
    const Columns& columns_;
    const base::CsvRow& row_;
    base::Diagnostics& diagnostics_;
};

}  // namespace feedwright::job
