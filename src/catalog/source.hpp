// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace feedwright::catalog {

/// Where a number comes from.
struct Source {
    std::string id;
    std::string citation;
    std::string url;
    std::string how_known;  ///< read, copy, abstract, unverified, computed
};

/// A warning that belongs to ingredients, categories, species or stages, or (all empty) to every
/// mix.
struct Caution {
    std::string id;
    std::string text;
    std::vector<std::string> ingredients;
    std::vector<std::string> categories;
    std::vector<std::string> species;
    std::vector<std::string> stages;
    double above_percent = 0;
    bool forbids = false;  ///< what it names is never proposed for buying to the animals it names
    int danger = 3;        ///< 1 can kill or is against the law, 2 can harm, 3 good practice
    std::string jurisdiction;
    std::optional<int> year;
    std::string source;
    bool operator==(const Caution&) const = default;
};

}  // namespace feedwright::catalog
