// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "report/fields.hpp"
#include "tasks/season.hpp"

#include <cstddef>
#include <string>
#include <vector>

// The result of a season as lists of fields, and what the words of its report share with them.
namespace feedwright::report {

/// The first day of a period (from 0): a date, or "day 31".
std::string from(const tasks::SeasonOf& r, std::size_t period);

/// The name that the file gives the animals.
const std::string& animals(const tasks::SeasonOf& r, const tasks::SeasonFed& fed);

/// An ingredient in a period in which anything is done with it.
struct StockLine {
    std::string id;
    std::string name;
    std::size_t period = 0;
    std::string from;
    search::StockRow row;
};

std::vector<StockLine> stock_lines(const tasks::SeasonOf& r);
const Fields<StockLine>& stock_fields();

/// A sentence for each plan whose growth does not follow the water.
std::vector<std::string> growth_sentences(const tasks::SeasonOf& r);

}  // namespace feedwright::report
