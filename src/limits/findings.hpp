// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::limits {

/// Whether a mix may be fed. `complete`: everything that is known to be needed is there and nothing
/// is past a safe or a tried level; `incomplete`: something the animal needs is short, unknown or
/// untested; `unsafe`: something is past a level known to harm.
enum class Verdict { complete, incomplete, unsafe };

enum class FindingKind {
    toxic,
    premix,
    energy,
    amino_acids,
    fatty_acids,
    phosphorus,
    minerals,
    vitamins,
    untested,
    moisture,
    unknown,
    input
};

/// `stop` makes a mix unsafe, `warn` incomplete; a `note` changes nothing.
enum class Severity { stop, warn, note };

/// What was found; the words are made in reports.
enum class Found {
    above_safe,         ///< more of a substance than is safe
    may_be_above_safe,  ///< so where an ingredient without a value holds as much as its kind may
    premix_over_rate,   ///< more than one and a half times the label rate
    premix_under_rate,
    premix_for_others,  ///< made for other animals
    no_premix,
    short_of,          ///< below a minimum
    unknown_supply,    ///< below a minimum, and what some ingredients hold is not known
    nothing_known,     ///< a minimum of what no ingredient has a value for
    within_tolerance,  ///< short by less than an analysis could tell
    too_much,          ///< above a maximum
    no_need_known,     ///< the profile has no figure for something every animal needs
    few_amino_acids,   ///< it has figures for few amino acids
    borrowed_needs,    ///< figures of a relative or a pattern
    past_cap,          ///< more of an ingredient than was tried, or is held to be tolerated
    no_cap,            ///< nothing is known of how much is tolerated
    too_wet,
    thinned,          ///< below a minimum that the bought feed alone is taken to meet
    rests_on_label,   ///< a bought feed is taken to hold what its label does not say
    feed_for_others,  ///< a bought feed that is for other animals
    feed_off_share,   ///< a concentrate at another share than its label asks for
    odd_price,        ///< 20 times its neighbours'; it leaves the verdict
    free_protein  ///< enough nitrogen, but more of it from free amino acids than counts as protein
};

struct Finding {
    FindingKind kind = FindingKind::unknown;
    Severity severity = Severity::note;
    Found found = Found::short_of;
    std::string name;        ///< of the substance, nutrient or ingredient, for people
    std::string limit;       ///< id of the limit, where there is one
    std::string ingredient;  ///< id of the ingredient it is about, or that brings the most of it
    std::string ingredient_name;
    std::optional<double> value;   ///< what the mix has
    std::optional<double> number;  ///< what it should have at least, or at most
    std::string unit;              ///< of both
    std::string detail;            ///< a harm, a kind of cap, or names; see the words of `found`
    std::string source;            ///< id
};

struct Judgement {
    std::optional<Verdict> verdict;  ///< empty without an animal's profile: nothing is claimed then
    std::vector<Finding> findings;   ///< worst first
};

/// Judges a mix of amounts `x` (kg per kg of feed) that `assessment` describes.
Judgement judge(const job::Job& job, const std::vector<double>& x, const Assessment& assessment);

/// Whether a content of `value` is short of `asked` (or above it) by less than the law tolerates
/// between what a label declares and what an analysis finds.
bool is_tolerated(const std::vector<catalog::Tolerance>& tolerances, const std::string& nutrient,
                  double asked, double value);

std::string_view to_string(Verdict verdict);
std::string_view to_string(FindingKind kind);
std::string_view to_string(Severity severity);

}  // namespace feedwright::limits
