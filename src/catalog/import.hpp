// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/csv.hpp"
#include "catalog/ingredient.hpp"
#include "catalog/library.hpp"
#include "catalog/nutrient.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::catalog {

/// What a unit and basis written by hand say: "g/kg DM", "% of protein", "mg/100 g", "as fed".
struct Measure {
    std::string unit;            ///< one that base::convert knows; empty when none is named
    std::optional<Basis> basis;  ///< when one is named
};

/// nullopt when a part of `text` is neither a unit nor a basis.
std::optional<Measure> parse_measure(std::string_view text);

struct ImportOptions {
    std::string source;  ///< written as the source of every value; empty: "imported from FILE"
    std::optional<Basis>
        basis;             ///< of values whose column, row or unit names none; without it as fed
    std::string id;        ///< of a report's sample
    std::string name;      ///< likewise
    std::string category;  ///< where the table has no column for it
    std::string extend;    ///< likewise
    std::string scale;     ///< likewise
    Spread spread = Spread::unstated;  ///< what the standard deviations in the table are between
    bool skip_unknown = false;         ///< leave out columns and rows that name no nutrient
    bool one_ingredient = false;       ///< the samples are lots of one, see pool_samples()
};

/// How one column of a table, or one row of a report, was understood.
struct ReadAs {
    std::string heading;
    std::string nutrient;
    std::string unit;
    Basis basis = Basis::as_fed;
    std::size_t values = 0;
};

struct ImportedIngredient {
    std::string id;
    std::string name;
    std::string category;
    std::string source;
    std::string note;
    std::string extend;
    std::string scale;
    std::vector<StatedValue> values;  ///< in canonical units; `source` and `animals` are empty
};

/// A table as it leaves a laboratory or a spreadsheet, brought to what base::parse_csv gives.
struct LaboratoryTable {
    base::CsvTable table;
    std::vector<base::CsvRow>
        beside;  ///< lines above the headings, and notes of one cell below: no part of the table
};

struct Import {
    std::string file;
    std::vector<ImportedIngredient> ingredients;
    std::vector<ReadAs> read_as;
    std::vector<std::string> skipped;
    std::vector<std::string>
        unmeasured;  ///< "crude fibre: <0.1": present or not, too little to be measured
    std::vector<std::string> beside;  ///< the lines above and below the table, which were not read
    std::size_t pooled = 0;           ///< samples that became one ingredient; 0: each is its own
};

/// Reads CSV with commas, semicolons or tabs between columns, with decimal commas (in all numbers
/// of a file or in none), with lines above the headings and with empty columns at the right. Throws
/// base::DataError as base::parse_csv does.
LaboratoryTable read_laboratory_table(std::string_view text, const std::string& file);

/// Reads a table, one row an ingredient (columns id or name, then nutrients), or a report, one row
/// a nutrient, of one sample (columns nutrient, value, unit) or of several (a column for each).
/// docs/formats.md, "Import", says what headings are known. Throws base::DataError with every
/// problem found.
Import read_import(const LaboratoryTable& laboratory, const NutrientDictionary& dictionary,
                   const ImportOptions& options);

/// The library file (feedwright-library/1) of an import.
std::string library_json(const Import& import);

/// Throws base::DataError, as `Library` would, when the text of a library file cannot be laid over
/// `library`: an unknown category, or an "extend" that names nothing. `file` stands in the
/// messages.
void require_loadable(const std::string& text, const std::string& file, Library& library);

}  // namespace feedwright::catalog
