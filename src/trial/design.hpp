// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "trial/power.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

// What a trial needs besides formulated diets: which tank gets which diet, whether the weights keep
// the diets equal in protein, and the struct that holds a designed trial. The diets themselves are
// formulated and weighed elsewhere.
namespace feedwright::trial {

/// A tank and its diet. Tanks are numbered from 1; blocks too, and are 0 without blocks.
struct PlacedTank {
    int tank = 0;
    int block = 0;
    std::string diet;
};

struct TankPlan {
    std::uint64_t seed = 0;
    int blocks = 0;
    std::vector<PlacedTank> tanks;
};

/// Draws lots. Without blocks (0) every arrangement of the diets over all tanks is equally likely;
/// with blocks each holds tanks_per_diet / blocks tanks of every diet, next to each other in
/// number, and the arrangements within each are. The same seed gives the same plan on every machine
/// (mt19937_64, numbers below n by rejection, Fisher-Yates). Throws Error when there are fewer than
/// two diets or one tank, or when the blocks do not divide the tanks of a diet.
TankPlan draw_plan(const std::vector<std::string>& diets, int tanks_per_diet, int blocks,
                   std::uint64_t seed);

/// Largest minus smallest crude protein of diets, in percentage points; iso-nitrogenous means at
/// most this much.
double spread(const std::vector<double>& protein_percents);
inline constexpr double equal_protein_points = 0.01;

/// One ingredient of a designed diet.
struct DesignPart {
    std::string id;
    std::string name;
    double percent = 0;  ///< of all that is weighed in, as fed
    double grams = 0;    ///< in the batch, in steps of the scale
};

/// One calculated amount of a designed diet, per unit of finished feed.
struct DesignValue {
    std::string nutrient;
    std::string name;
    std::string unit;
    double value = 0;
    double known_percent = 100;
};

struct DesignDiet {
    std::string name;
    double level =
        0;  ///< percent of the reference ingredient's protein that the tested one supplies
    bool possible = true;
    std::vector<DesignPart>
        parts;  ///< in the order of the series' ingredients; none where not possible
    std::vector<DesignValue> values;
    double cost_per_kg = 0;
    /// Sum over all ingredients but the two concerned of |percent - percent in the control|.
    double distance = 0;
    std::optional<double> protein_weighed;  ///< crude protein of the weights, percent
    std::string weighing_reason;            ///< why the scale's steps give no such diet
};

/// A designed trial: the control first.
struct DesignSeries {
    std::string title;
    std::string test;
    std::string test_name;
    std::string reference;
    std::string reference_name;
    std::vector<std::string>
        equal;  ///< nutrients held at the control's amount, crude protein first
    std::vector<std::string> notes;  ///< choices the reader should know of
    std::string currency;
    double batch_kg = 0;  ///< finished feed of each diet
    std::vector<DesignDiet> diets;
    std::optional<double> protein_spread;  ///< of the weights; empty with fewer than two diets
    /// What diets that are equal by their tables differ by because lots of ingredients do.
    struct Variation {
        std::string nutrient;
        std::string name;
        std::string unit;
        /// The two diets farthest apart differ by no more in 95 of 100 sets of lots, when all
        /// diets are mixed from the same lots. In `unit`.
        double difference = 0;
    };
    std::vector<Variation> variation;  ///< one for each of `equal` that varies
    TankPlan plan;
    /// Coefficients of variation among tanks, percent, and where they come from; one power table
    /// each.
    struct Sensitivity {
        double cv_percent = 0;
        std::string source;
        std::vector<PowerRow> rows;  ///< difference in percent of the control
    };
    std::vector<Sensitivity> sensitivities;
};

}  // namespace feedwright::trial
