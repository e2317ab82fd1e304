// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/table_words.hpp"

#include "base/text.hpp"

#include <fmt/format.h>

#include <vector>

namespace feedwright::report {

namespace {

std::string left_out_text(const base::LeftOut& row) {
    const std::string text = '"' + base::printable(row.text, 50) + '"';
    switch (row.why) {
        case base::LeftOut::Why::title:
            return fmt::format("line {} ({}) taken for a title", row.line, text);
        case base::LeftOut::Why::total:
            return fmt::format("line {} ({}) taken for the sum of the others", row.line, text);
        case base::LeftOut::Why::head_again:
            break;
    }
    return fmt::format("line {} taken for the names of the columns again", row.line);
}

}  // namespace

std::string reading_text(const base::TableReading& table, const std::string& rows) {
    std::vector<std::string> parts;
    if (table.encoding == base::Encoding::utf16) parts.emplace_back("letters in UTF-16");
    if (table.encoding == base::Encoding::western) {
        parts.emplace_back(
            "letters taken for Western European (Windows-1252), as they are not "
            "UTF-8");
    }
    parts.emplace_back(table.separator == ','   ? "commas between columns"
                       : table.separator == ';' ? "semicolons between columns"
                                                : "tabs between columns");
    if (table.decimals) {
        parts.emplace_back(table.mark == base::DecimalMark::comma ? "decimal commas"
                                                                  : "decimal points");
    }
    if (table.grouped) {
        parts.emplace_back(table.mark == base::DecimalMark::comma ? "points after thousands"
                                                                  : "commas after thousands");
    }
    if (!table.currency.empty() || !table.per.empty()) {
        parts.push_back("prices" + (table.currency.empty() ? "" : " in " + table.currency) +
                        (table.per.empty() ? "" : " per " + table.per));
    }
    if (!table.aside.empty()) {
        std::vector<std::string> names;
        for (const std::string& name : table.aside)
            names.push_back(base::printable(name, 40));
        parts.push_back(fmt::format("not used: {} {}", names.size() == 1 ? "column" : "columns",
                                    base::join_words(names)));
    }
    for (const base::LeftOut& row : table.left_out)
        parts.push_back(left_out_text(row));
    std::string text = fmt::format("Read {} from {}: ", rows, table.file);
    for (std::size_t i = 0; i < parts.size(); ++i)
        text += (i == 0 ? "" : "; ") + parts[i];
    return text + '.';
}

}  // namespace feedwright::report
