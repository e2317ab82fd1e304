// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/ingredient.hpp"
#include "job/job.hpp"
#include "limits/limit.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::limits {

/// How the least cost answers when a limit's number moves one way.
struct Response {
    /// Change of cost when the number rises by one unit, also for a falling number. Empty: any move
    /// that way leaves no mix.
    std::optional<double> per_unit;
    /// The number up to which that holds. Empty: without end; or, for a share of a varying whole,
    /// the rate drifts from the start.
    std::optional<double> until;
};

/// How a mix stands to one limit.
struct LimitResult {
    Limit limit;
    std::optional<double> value;           ///< empty when it is a share of nothing
    std::optional<double> margin;          ///< to the nearer side; negative when missed
    std::optional<double> margin_percent;  ///< relative to that side, where it is not zero
    bool binding = false;
    bool met = true;     ///< within binding_margin
    bool proven = true;  ///< false when what is unknown could make it miss the limit after all
    bool nothing_known = false;  ///< a minimum of what no ingredient of the mix has a value above 0
                                 ///< for, and some have none: whether it is met is not known
    std::optional<double>
        shadow_price;  ///< change of cost per kg when the limit's number rises by one
    std::optional<Response>
        rise;  ///< when explained: of a binding limit's number; empty: not known
    std::optional<Response> fall;  ///< differs from `rise` in price where the optimum is degenerate
    bool drifts = false;  ///< a share of a varying whole: the rates change as the number moves
    double known_percent = 100;           ///< share of the mix, by weight, with a value for it
    std::vector<std::string> unknown_in;  ///< ingredients of the mix without one
    std::vector<std::string>
        assumed_in;  ///< those whose kind's high value counts under the maximum
    /// Of a recipe: missed by less than the tolerance that feed law allows between a label and an
    /// analysis.
    bool within_tolerance = false;
    /// In how many of 100 lots it holds, by the mean and the spread of its value, to first order;
    /// of a limit on contents. Filled by add_chance().
    std::optional<double> holds_percent;
    /// Of a limit that must hold surely: it leaves nothing to spare in that, whatever the margin of
    /// its mean.
    bool sure_binding = false;
    double sure_price = 0;  ///< as shadow_price, of what it must hold surely
};

/// The amount of one nutrient in the mix.
struct AnalysisItem {
    std::string nutrient;
    std::string name;
    std::string unit;
    std::string group;
    double value = 0;
    double known_percent = 100;
    /// The weakest origin among the ingredients: estimated before derived before stated.
    catalog::Origin origin = catalog::Origin::stated;
};

/// A warning to show with a mix.
struct CautionResult {
    std::string text;
    std::string source;
    std::string jurisdiction;
    std::optional<int> year;
    bool general = false;  ///< belongs to every mix, not to something in this one
    int danger = 3;        ///< 1 can kill or is against the law, 2 can harm, 3 good practice
};

/// How sure a mix is of its limits on contents, but those that are advisory.
struct Chance {
    double all_percent = 100;            ///< in so many of 100 lots all of them hold
    std::optional<std::size_t> weakest;  ///< of Assessment::limits, the one that fails in most lots
    double weakest_percent = 100;        ///< in how many of 100 lots that one holds
    std::size_t values = 0;   ///< of ingredients in the mix, that vary and matter to a limit
    std::size_t assumed = 0;  ///< those of them whose spread is not measured
    /// Names of ingredients of more than 1 % of the mix of which nothing is known of how they vary:
    /// a bought feed, a recipe as an ingredient, contents of the user's own. They are taken not to.
    std::vector<std::string> without_spread;
};

/// Everything that follows from amounts alone.
struct Assessment {
    std::vector<LimitResult> limits;
    std::vector<AnalysisItem> analysis;
    std::optional<double>
        dry_matter;  ///< percent as mixed; empty when unknown for an ingredient in use
    /// Filled by add_chance(); empty too where no limit is on contents.
    std::optional<Chance> chance;
};

/// Compares amounts `x` (in the job's ingredient order; kg per kg of feed, or kg) with `limits`,
/// and analyses them.
Assessment assess(const job::Job& job, const std::vector<Limit>& limits,
                  const std::vector<double>& x);

/// The library's cautions that touch the mix, the most dangerous first, then those that belong to
/// every mix.
std::vector<CautionResult> cautions_for(const job::Job& job, const std::vector<double>& x,
                                        const std::vector<catalog::Caution>& cautions);

}  // namespace feedwright::limits
