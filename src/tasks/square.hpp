// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"
#include "job/job.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::tasks {

/// Two ingredients for one content of crude protein.
struct SquareRequest {
    std::vector<std::string> ingredients;  ///< by id or name, each with "@PRICE" behind it or not
    double protein = 0;                    ///< percent as fed
    job::ReadOptions options;              ///< of these the batch counts
};

/// One of the two.
struct SquareSide {
    std::string id;
    std::string name;
    double protein = 0;  ///< percent as fed
    double parts = 0;    ///< how far the protein of the other one is from what is wanted
    double percent = 0;  ///< of the mix
    std::optional<double> price;
    std::optional<double> batch_kg;
};

/// The way of the square: each ingredient gets the difference of the other one as its parts.
struct Square {
    job::Job job;  ///< the two, with what was understood
    double protein = 0;
    std::array<SquareSide, 2> sides{};  ///< in the order that they were named in
    std::optional<double> cost_per_kg;  ///< where both have a price
};

/// Throws base::DataError for other than two ingredients, for one that is none or of which the
/// protein is not known or is that of free nitrogen, and for a content that no mix of them has.
Square square(const SquareRequest& request, catalog::Library& library);

}  // namespace feedwright::tasks
