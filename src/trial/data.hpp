// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/table.hpp"
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
    std::vector<Tank> tanks;       ///< in file order
    bool feed_in_grams = false;    ///< the column is feed_g
    base::TableReading reading{};  ///< what was understood of the file
};

/// Reads a table (base/table.hpp). Throws base::DataError with everything that cannot be: a missing
/// or unknown column, text where a number belongs, weights or days of 0 or less, more fish out than
/// in, percentages above 100, a tank named twice, a diet with two levels, a block for some tanks
/// only.
TrialData read_trial(std::string_view text, const std::string& file);

/// What an outlying number was compared with.
enum class Compared {
    diet,       ///< the other tanks of its diet
    all_tanks,  ///< all other tanks
    living,     ///< of the dead: a living fish of the tank
    group       ///< the other values of its group, in a table of another kind
};

/// A number that lies so far from those of the other tanks that it may be a typing error, or in a
/// unit of its own.
struct Outlying {
    std::size_t line = 0;
    std::string column;
    std::string group;
    std::string tank{};  ///< empty in a table of another kind
    double value = 0;    ///< as the column has it
    double times =
        0;  ///< value by the middle of those it is compared with; 0 where it has no sense
    Compared compared = Compared::diet;
    double middle = 0;           ///< of those, where `times` has no sense
    bool a_fish = false;         ///< compared per fish
    int dead = 0;                ///< fish that weighed `value` together
    std::string group_column{};  ///< of a table of another kind
    bool operator==(const Outlying&) const = default;
};

/// Rule and reasons: docs/method.md, "Numbers far from their neighbours". By line.
std::vector<Outlying> outlying(const TrialData& data);

/// What may well be wrong with the data, or should be known; the words are made in reports.
struct Note {
    enum class Kind {
        feed_unit,         ///< the middle feed conversion ratio is `value`
        lost,              ///< no final weight
        no_growth,         ///< from `number` to `value` g
        fast_growth,       ///< `value` % a day
        odd_conversion,    ///< a ratio of `value`
        odd_condition,     ///< a condition factor of `value`
        dead_not_weighed,  ///< `value` of `number` fish
        gaps,              ///< the tank numbers leave out `names`
        fewer_tanks,       ///< the diet has `value`, others have `number`
        days_differ,
        start_differs,  ///< starting weights differ between diets, p = `value`
        empty_rows      ///< `value` rows without a value of the response, `names`
    };
    Kind kind = Kind::lost;
    std::string tank{};
    std::string diet{};
    double value = 0;
    double number = 0;
    std::vector<std::string> names{};
};

/// The order of the rows makes no difference.
std::vector<Note> check(const TrialData& data);

/// Any table with one column of groups and one of numbers.
struct OneWayData {
    std::string file;
    std::string response;
    std::string group;  ///< the column of the groups
    std::vector<Observation> values;
    std::vector<std::size_t> lines;  ///< of the file, one a value
    std::vector<Note> notes;         ///< rows passed over because the response is empty
    base::TableReading reading{};    ///< what was understood of the file
};

/// Throws base::DataError for a column that is not there, an empty group, a cell that is not a
/// number, and rows of one tank, where another column names tanks (ponds, cages …): they are fish.
OneWayData read_one_way(std::string_view text, const std::string& file, const std::string& group,
                        const std::string& response);

std::vector<Outlying> outlying(const OneWayData& data);

/// "diet 9" before "diet 10": runs of digits compare as numbers.
bool natural_less(std::string_view a, std::string_view b);

}  // namespace feedwright::trial
