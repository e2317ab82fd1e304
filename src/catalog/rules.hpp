// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/ingredient.hpp"

#include <optional>
#include <string>
#include <utility>
#include <vector>

// What holds for kinds of ingredients and kinds of animals, beside the files of single ones. Lists
// of animals are words as closeness() reads them.
namespace feedwright::catalog {

/// How a nutrient of a kind of ingredient is worked out for a kind of animal where no value was
/// measured: an equation over other nutrients as fed, in canonical units.
struct Estimate {
    std::string nutrient;
    std::vector<std::string> animals;
    std::vector<std::string> categories;   ///< with `ingredients` empty too: any ingredient
    std::vector<std::string> ingredients;  ///< ids; what extends one of them counts
    double constant = 0;
    std::vector<std::pair<std::string, double>> terms;  ///< nutrient id and factor
    std::optional<double>
        error_percent;  ///< spread of measured values about the equation, percent of the value
    std::string source;
    std::string note;
};

/// What an ingredient or a category holds of an undesirable substance, in the nutrient's canonical
/// unit. The ingredients named count `typical`; an ingredient of the categories without a value of
/// its own counts `high`.
struct Content {
    std::string substance;
    std::vector<std::string> ingredients;
    std::vector<std::string> categories;
    double typical = 0;
    double high = 0;
    Basis basis = Basis::as_fed;
    std::string source;
    std::string note;
};

struct CompositionRules {
    std::vector<Estimate> estimates;
    std::vector<Content> contents;
};

/// The most of a substance that a whole feed may hold.
struct SafeMaximum {
    std::string substance;  ///< nutrient id
    std::vector<std::string> animals;
    std::vector<std::string> stages;  ///< empty: all
    double max = 0;
    Basis basis = Basis::as_fed;
    std::string harms;  ///< animal, eater or law
    std::string source;
    std::string note;
};

struct Undesirables {
    std::vector<Content> contents;
    std::vector<SafeMaximum> maxima;
};

/// What may be off between the content that a label declares and an analysis, by EU Regulation
/// 767/2009.
struct Tolerance {
    struct Band {
        std::optional<double> under;  ///< holds for declared contents below this; empty: all others
        std::optional<double> points;   ///< in the nutrient's unit
        std::optional<double> percent;  ///< of the declared content
    };
    std::string nutrient;
    std::vector<Band> below;  ///< for contents found below the declared one
    std::vector<Band> above;
    std::string source;
};

/// What the natural food of a fertilised pond gives at no more than so many fish per m2.
struct Pond {
    struct Supply {
        std::string kind;      ///< vitamins, minerals, amino_acids, ...; or empty
        std::string nutrient;  ///< a nutrient id; or empty
        double percent_of_need = 100;
    };
    std::vector<std::string> animals;
    double fish_per_m2_up_to = 0;
    std::vector<Supply> supplies;
    std::string source;
    std::string note;
};

/// How heavy a litre of an ingredient is.
struct BulkDensity {
    std::string ingredient;  ///< id
    std::string material;    ///< as the source names it
    double low = 0;          ///< kg per litre
    double high = 0;
    std::string source;

    double middle() const { return (low + high) / 2; }
};

/// How far lots of an ingredient, or of a kind of ingredients, differ in a nutrient.
struct Variation {
    std::string ingredient;  ///< id; empty: a default
    std::string category;    ///< of a default; empty: any
    std::string nutrient;    ///< id, or group:NAME for every nutrient of a group
    double cv_percent = 0;   ///< coefficient of variation: standard deviation, percent of the mean
    Spread spread = Spread::assumed;
    std::optional<double> n;  ///< lots; of a default: materials behind the median
    std::string source;
    std::string note;
};

/// The entry that says most of the ingredient's nutrient: for itself or what it extends, then the
/// default of its category for the nutrient, of its category for the nutrient's group, of any
/// category for the nutrient, and of any for the group. nullptr where none fits.
const Variation* variation_of(const std::vector<Variation>& entries, const Ingredient& ingredient,
                              const Nutrient& nutrient);

/// Those entries that say something of the ingredient or its kind.
std::vector<Variation> variations_near(const std::vector<Variation>& entries,
                                       const Ingredient& ingredient);

/// Entries of a list whose ingredient or category fits, those for the ingredient itself (2) before
/// those for its category (1); 0: no fit. An entry that names neither fits every ingredient (1).
int fit(const std::vector<std::string>& ingredients, const std::vector<std::string>& categories,
        const Ingredient& ingredient);

}  // namespace feedwright::catalog
