// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/ingredient.hpp"
#include "catalog/nutrient.hpp"
#include "catalog/rules.hpp"

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::catalog {

/// A value of an ingredient, as it is stated, that differs from lot to lot. Each varies
/// independently of the others.
struct Factor {
    std::string nutrient;
    double mean = 0;  ///< as stated, on `basis`
    Basis basis = Basis::as_fed;
    double sd = 0;  ///< between lots, in the same unit and on the same basis
    /// lots or regions: measured on this ingredient; assumed: of its kind.
    Spread spread = Spread::assumed;
    std::optional<double> n;
    std::string source;
};

/// How the contents of an ingredient differ from lot to lot.
struct Variability {
    std::vector<Factor>
        factors;  ///< one for each value that counts for the animal, some with no sd
    const Factor* find(std::string_view nutrient) const;
};

/// A content as fed as what its ingredient's factors make of it: constant + sum over terms of
/// coefficient * the product of their factors' values.
struct FactorSum {
    struct Term {
        double coefficient = 0;
        std::vector<std::size_t> factors;  ///< places in Variability::factors
    };
    double constant = 0;
    std::vector<Term> terms;
};

/// The spreads of the values that compose() takes for the animal. A value whose spread is one of
/// lots or regions (or stated as assumed) has it; any other has the coefficient of variation that
/// `table` gives for it or its kind, and is `assumed`. Of an amino acid stated as a share of the
/// protein what the protein's own spread explains is taken off such a coefficient, because that is
/// of contents.
Variability variability_of(const Ingredient& ingredient, const NutrientDictionary& dictionary,
                           const Animal& animal, const std::vector<Variation>& table);

/// A value on dry matter is multiplied by the dry matter, one of protein by the protein; what is
/// worked out from others varies with them. True zeros, contents that were taken from the
/// ingredient's kind, and sums that were cut off at zero do not vary.
FactorSum content_of(const Composition& composition, const Variability& variability,
                     std::string_view nutrient);

}  // namespace feedwright::catalog
