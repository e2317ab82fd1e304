// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

// Numbers as people and spreadsheets write them: "0,28", "1 234.50", "1.234,5", "1/2", "1 ½". What
// can be read in two ways is not read.
namespace feedwright::base {

enum class DecimalMark : char { point = '.', comma = ',' };

/// A number at the beginning of a text.
struct WrittenNumber {
    double value = 0;
    std::string_view rest;  ///< what follows it, without blanks in front
    bool grouped = false;   ///< with marks between thousands
    bool fraction = false;  ///< "1/2"
};

/// Reads the number that `text` begins with; nullopt when none does, when its marks make no number,
/// or above `largest_number`. Thousands are parted by the other mark, by an apostrophe or by a
/// space, in threes ("12,34,567", as in India, too). A fraction is of whole numbers. "-5" and
/// "1e-3" are numbers. `text` is as plain_cell makes it. Without `fractions` a "/" ends the number:
/// "18/40 kg" is a price.
std::optional<WrittenNumber> leading_number(std::string_view text, DecimalMark mark,
                                            bool fractions = true);

/// `cell` with the blanks of all kinds that Unicode has as spaces, with an apostrophe for those
/// that part thousands surely (no-break and thin spaces, typographic apostrophes between digits),
/// and with fractions such as "½" written out.
std::string plain_cell(std::string_view cell);

/// What one number with marks says of the marks of its file.
enum class MarkShape {
    none,              ///< no mark, or no number
    point,             ///< "0.28", "12.5", "1,234.5": the point can only be the decimal mark
    comma,             ///< "0,28", "12,5", "1.234,5"
    maybe_point,       ///< "1.234": a decimal point, or a point after the thousands
    maybe_comma,       ///< "1,234"
    grouped_by_comma,  ///< "1,234.5", "1,234,567": the comma parts thousands
    grouped_by_point   ///< "1.234,5", "1.234.567"
};

MarkShape mark_shape(std::string_view text);

/// Where a number of a shape was first seen.
struct MarkPlace {
    std::size_t line = 0;
    std::string cell;
};

/// Gathers what the numbers of a file say of its decimal mark.
class MarkVotes {
  public:
    /// Looks at every number in a cell.
    void note(std::size_t line, std::string_view cell);

    enum class Verdict {
        point,
        comma,
        both,                    ///< "0.28" on one line and "0,28" on another
        comma_either_way,        ///< nothing but "1,234": 1.234 or 1234
        point_either_way,        ///< nothing but "1.234", and `point_is_usual` is false
        comma_thousands_unsure,  ///< decimal points, and "1,234", which nothing shows to be 1234
        point_thousands_unsure   ///< decimal commas, and "1.234"
    };
    /// `point_is_usual`: the file is of the plain kind, with commas between its columns, in which
    /// "1.234" is a decimal point.
    Verdict verdict(bool point_is_usual) const;

    const MarkPlace& first(MarkShape shape) const {
        return first_[static_cast<std::size_t>(shape)];
    }
    /// Some number of the file has a decimal mark or parts its thousands.
    bool any() const;
    bool seen(MarkShape shape) const { return first(shape).line > 0; }

  private:
    MarkPlace first_[7];
};

}  // namespace feedwright::base
