// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace feedwright::catalog {

/// For how many ingredients of a library a limit can be worked out.
struct CoveredLimit {
    std::string profile;  ///< "nile-tilapia/grow-out"
    std::string nutrient;
    bool advisory = false;
    std::size_t ingredients =
        0;  ///< with a value for this animal, true zeros and estimates included
};

struct Coverage {
    std::size_t ingredients = 0;       ///< of the library
    std::vector<CoveredLimit> limits;  ///< by species, stage and the dictionary's order
};

/// Reads the whole library.
Coverage coverage_of(Library& library);

}  // namespace feedwright::catalog
