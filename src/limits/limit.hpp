// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::limits {

enum class LimitKind { balance, inclusion, group, replacement, ratio, nutrient };

std::string_view to_string(LimitKind kind);

/// What sets a limit apart from others of its kind.
enum class LimitRole {
    usual,
    stock,           ///< what there is of an ingredient: a weight, whatever the batch weighs
    counted_protein  ///< crude protein without what free amino acids bring
};

/// One limit on a mix, as arithmetic. With amounts x of the job's ingredients (kg as fed per kg of
/// feed; kg when the total is free) its value is
///
///     sum(amount[i] x[i])                       when `per` is empty,
///     sum(amount[i] x[i]) / sum(per[i] x[i])    otherwise (shares, ratios, dry-matter basis),
///
/// and the limit asks min <= value <= max, in `unit`. Multiplied out, each side is one linear row.
/// An unknown amount counts as zero here, and its ingredient is listed in `unknown`.
struct Limit {
    /// "nutrient:lysine", "inclusion:maize", "group:animal meals", "ratio:calcium/phosphorus".
    /// Names the limit in results, where no other limit of the job has the same; what it means
    /// stands in the other members.
    std::string id;
    LimitKind kind = LimitKind::nutrient;
    LimitRole role = LimitRole::usual;
    std::string name;   ///< for people: "lysine", "calcium : phosphorus"
    std::string unit;   ///< of min, max and value; empty for a ratio
    std::string basis;  ///< as_fed, dry_matter or of_protein; empty where it has no meaning
    std::optional<double> min;
    std::optional<double> max;
    std::vector<double> amount;        ///< one an ingredient
    std::vector<double> per;           ///< one an ingredient, or empty
    std::vector<std::size_t> unknown;  ///< ingredients without a value for it, ascending
    /// Those of them without a value for what the limit is a share of: counted as none there, which
    /// makes a minimum easier.
    std::vector<std::size_t> unknown_whole;
    /// Ingredients without a value of their own whose kind's high value counts instead, ascending:
    /// under a maximum missing is not zero.
    std::vector<std::size_t> assumed;
    bool advisory = false;  ///< reported, not asked of the mix
    bool weak =
        false;  ///< rests on memory, a relative or a target: missing it is warned of, no failure
    std::string harms;  ///< of a safe maximum: animal, eater or law
    std::string
        nutrient;  ///< id of what it limits; of a ratio, of its first part; empty for other kinds
    std::string nutrient_below;  ///< of a ratio: id of its second part
    std::string level;
    std::string source;
    std::string note;
    std::optional<job::PondShare> from_pond;  ///< taken off the minimum
    /// Each side must hold in so many of 100 lots, above 50; empty: on average.
    std::optional<double> sure_percent{};
    std::optional<double> undiluted_min{};  ///< the minimum before it was lowered (job.hpp)
};

/// The unit with what it is a share of, for sentences: "% of dry matter", "% of protein", "%".
std::string unit_in_words(const Limit& limit);

/// Every limit of the job, by kind in the order of LimitKind, then by id. An ingredient has an
/// inclusion limit when it has a min, max or stock of its own, and another when a library cap
/// holds. Throws base::DataError when a finished moisture is asked and an ingredient's dry matter
/// is unknown.
std::vector<Limit> limits_of(const job::Job& job);

/// Those, and the least amounts that hold only of what is used: for each ingredient with a
/// min_if_used of which `x` has some, that as a minimum, "inclusion:maize@if_used", in percent of
/// the feed (kg when the total is free).
std::vector<Limit> limits_of(const job::Job& job, const std::vector<double>& x);

/// Value of a limit for amounts `x`; nullopt when what it is a share of is zero.
std::optional<double> value_of(const Limit& limit, const std::vector<double>& x);

/// sum(per x), or 1 when `per` is empty: by how much a row's number moves when the limit's moves
/// by 1.
double scale_of(const Limit& limit, const std::vector<double>& x);

/// That, when it is the same for every mix: 1 without `per`; otherwise when `per` is a multiple of
/// what the balance among `limits` fixes. Nullopt when it varies from mix to mix.
std::optional<double> fixed_whole(const Limit& limit, const std::vector<Limit>& limits);

/// A side of a limit is reached, and a limit just met, when the margin over size_of_side() is
/// within this. The one tolerance for what a mix reaches: of verdicts, of the word "tight", of
/// prices.
inline constexpr double binding_margin = 1e-7;

/// Below this share of what is weighed in, an ingredient is not in the mix unless a limit would
/// miss it: a basic variable may rest on zero but for rounding.
inline constexpr double least_share = 1e-9;

/// What a margin to a side of the limit is measured by: the side's number, so that it is the same
/// in every unit, but no less than the rounding of a sum over ingredients that hold far more than
/// that. For a side of zero: what least_share of the ingredient that has most of it would bring.
double size_of_side(const Limit& limit, double side);

/// How far a value is from a side of its limit.
struct Margin {
    double margin = 0;  ///< negative on the wrong side
    double side = 0;    ///< the min or max
    double size = 1;    ///< size_of_side()
    double scaled() const;
    bool binds() const;
    bool met() const;
};

/// The margin to the min or the max, which the limit has.
Margin margin_to(const Limit& limit, double value, bool is_min);

/// The margin to the nearer side; nullopt when the limit has none.
std::optional<Margin> margin_of(const Limit& limit, double value);

}  // namespace feedwright::limits
