// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "catalog/ingredient.hpp"
#include "catalog/nutrient.hpp"

#include <optional>
#include <string>
#include <vector>

// What no feed can hold, whatever it is: mistakes of units, of bases and of the decimal point.
// Every place that takes values from a user asks here, so that a mistake is told in the same words
// wherever it was made.
namespace feedwright::catalog {

/// One thing that the values of an ingredient say and that cannot be.
struct ImpossibleValue {
    enum class Kind {
        negative,       ///< less than none
        above_all,      ///< more than all of the ingredient
        parts,          ///< parts that add to more than the dry matter
        amino_acids,    ///< more amino acids than the crude protein can be made of
        part_of_whole,  ///< more of a part than of its whole
        energy          ///< more energy than pure fat holds
    };
    Kind kind = Kind::above_all;
    std::string nutrient;      ///< the one that says too much; empty for a sum
    base::Diagnostic problem;  ///< `file` and `place` are the ingredient's file and id
};

/// Holds the values of an ingredient, as fed, against what is possible: for no animal in particular
/// and for every animal that a value is stated for. Values estimated from others are not judged.
/// Two determinations of one thing by different methods, and rounded figures, differ by a few
/// percent: that much is let pass (plausible.cpp says how much where, and why).
///
/// Amino acids: those bound in protein weigh up to 16 % more than their protein, for the water that
/// they take up when they are set free (mean residue 110 g/mol, water 18). Free amino acids and
/// urea may weigh more than their crude protein, or less: theirs is nitrogen x 6.25. In both the
/// nitrogen of the amino acids x 6.25 is at most the crude protein.
std::vector<ImpossibleValue> impossible_values(const Ingredient& ingredient,
                                               const NutrientDictionary& dictionary);

/// A limit that no feed can reach, or that no feed can break: more than 100 % of a nutrient, more
/// than 40 MJ/kg. `amount` is in the nutrient's unit, for a basis of_protein in percent. `file` and
/// `place` are left empty.
std::optional<base::Diagnostic> impossible_limit(const Nutrient& nutrient, double amount,
                                                 Basis basis);

/// A floor on an amino acid above the ceiling on crude protein, both on one basis and in percent;
/// likewise.
std::optional<base::Diagnostic> limits_at_odds(const Nutrient& amino_acid, double floor,
                                               double most_protein);

}  // namespace feedwright::catalog
