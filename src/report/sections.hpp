// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "report/results.hpp"
#include "report/vocabulary.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

// Parts that several reports share.
namespace feedwright::report {

Cell text_cell(std::string text, Tone tone = Tone::plain);
Cell number_cell(double value, int decimals);
/// base::price.
Cell price_cell(double value, int decimals = 4);
/// The column of prices, with the currency.
TableColumn price_column(const job::Job& job);
/// Enough digits for a limit of any size.
Cell amount_cell(std::optional<double> value);
/// "0.4567 USD", or without a currency "0.4567"; from three decimals on as base::price.
std::string money(double value, const std::string& currency, int decimals = 4);
/// "8.234 kg", or grams below one kilogram: "312 g".
std::string weight(double kg);
/// With a capital letter first.
std::string capitalised(std::string text);
std::string count_of(std::size_t n, std::string_view singular, std::string_view plural);
/// `value` with three significant digits, or as many more as tell it from `number`.
std::string digits_apart(double value, std::optional<double> number);
/// The name of an ingredient of the job without what stands behind a comma, where it is long and no
/// other ingredient of the job is called the same then. Other names as they are.
std::string short_name(const job::Job& job, const std::string& name);

/// `table` for people, and for CSV the same with the ids of its rows in front.
void add_with_ids(Document& document, Table table, const std::vector<std::string>& ids);

/// What the file says about itself, right under the title.
void add_note(Document& document, const std::string& note);
/// That, what was understood of tables that are not of the plain kind, then "For Nile tilapia,
/// grow-out (nile-tilapia/grow-out)."
void add_profile(Document& document, const job::Job& job, Depth shown = Depth::always);
/// What no table of the library knows about this mix.
void add_unknown(Document& document, const job::Job& job, const limits::Assessment& assessment);
/// Amounts of all nutrients.
void add_analysis(Document& document, const limits::Assessment& assessment);
/// In short the most dangerous few, a line each.
void add_cautions(Document& document, const std::vector<limits::CautionResult>& cautions);
/// Where to read the sources of the numbers; in full with the source ids of the limits.
void add_sources(Document& document, const job::Job& job,
                 const std::vector<limits::LimitResult>& limits);

}  // namespace feedwright::report
