// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "trial/statistics.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

// A feeding trial's data: one row a tank. The columns are described in docs/formats.md, "Trial
// data".
namespace feedwright::trial {

/// One tank. What the file leaves empty, or has no column for, is empty here: missing is never
/// zero.
struct Tank {
    std::size_t line = 0;  ///< of the file
    std::string name;
    std::string diet;
    std::string block;            ///< "" when the trial has no blocks
    std::optional<double> level;  ///< of the ingredient on trial; the same for all tanks of a diet
    std::optional<int> count_in;
    std::optional<int> count_out;
    double weight_in_g = 0;              ///< mean of a fish
    std::optional<double> weight_out_g;  ///< mean of a fish; empty for a tank that was lost
    double days = 0;
    std::optional<double> feed_kg;  ///< fed to the tank, as fed
    std::optional<double> temperature_c;
    std::optional<double> length_out_cm;  ///< mean of a fish
    std::optional<double> protein_percent;
    std::optional<double> carcass_protein_in_percent;  ///< of the wet weight
    std::optional<double> carcass_protein_out_percent;
    std::optional<double> dead_weight_g;  ///< all fish that died, weighed when found
    std::optional<double> feed_price;     ///< money per kg
};

struct TrialData {
    std::string file;
    std::vector<Tank> tanks;     ///< in file order
    bool feed_in_grams = false;  ///< the column is feed_g
};

/// Reads CSV text. Throws base::DataError with everything that cannot be: a missing or unknown
/// column, text where a number belongs, weights or days of 0 or less, more fish out than in,
/// percentages above 100, a tank named twice, a diet with two levels, a block for some tanks only.
TrialData read_trial(std::string_view text, const std::string& file);

/// A number that lies so far from those of the other tanks that it may be a typing error, or in a
/// unit of its own.
struct Outlying {
    std::size_t line = 0;
    std::string column;
    std::string group;
    std::string tank;  ///< empty in a table of another kind
    double value = 0;  ///< as the column has it
    double times =
        0;  ///< value by the middle of those it is compared with; 0 where it has no sense
    std::string compared;  ///< what these are
    /// "line 7, column weight_out_g: found 2510 (tank 6, diet a), 10 times the middle of the other
    /// tanks of diet a."
    std::string text;
};

/// Rule and reasons: docs/method.md, "Numbers far from their neighbours". By line.
std::vector<Outlying> outlying(const TrialData& data);

/// What may well be wrong or should be known, a sentence each: lost tanks, gaps in the tank
/// numbers, diets with fewer tanks, fish that shrank, uneven starting weights. The order of the
/// rows makes no difference.
std::vector<std::string> check(const TrialData& data);

/// Any table with one column of groups and one of numbers.
struct OneWayData {
    std::string file;
    std::string response;
    std::string group;  ///< the column of the groups
    std::vector<Observation> values;
    std::vector<std::size_t> lines;  ///< of the file, one a value
    std::vector<std::string> notes;  ///< rows passed over because the response is empty
};

/// Throws base::DataError for a column that is not there, an empty group, a cell that is not a
/// number, and rows of one tank, where another column names tanks (ponds, cages …): they are fish.
OneWayData read_one_way(std::string_view text, const std::string& file, const std::string& group,
                        const std::string& response);

std::vector<Outlying> outlying(const OneWayData& data);

/// "diet 9" before "diet 10": runs of digits compare as numbers.
bool natural_less(std::string_view a, std::string_view b);

}  // namespace feedwright::trial
