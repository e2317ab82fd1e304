// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/limit.hpp"
#include "lp/linear_program.hpp"
#include "support/random_program.hpp"

#include <vector>

namespace feedwright::test {

struct RandomJobOptions {
    /// How likely a limit asks for more than the mix that the limits are laid around has; above
    /// zero most jobs of any size have no mix.
    double out_of_reach = 0.02;
    bool shares =
        true;  ///< ratios, replacements, limits on dry matter and of protein, a finished moisture
    std::size_t most_ingredients = 25;
    std::size_t most_nutrients = 16;
};

/// A job as people write them: 4 ingredients or more with prices (one job in three: round ones, so
/// that mixes tie) and some limits and stocks; nutrients of very different units, some unknown in
/// some ingredients; limits as fed, on dry matter and of protein, minima, maxima, both and fixed;
/// groups, ratios, replacements, caps; now and then a finished moisture or a free total. Limits are
/// laid around a mix, often touching it, so many optima are degenerate.
job::Job random_job(Random& random, const RandomJobOptions& options = {});

/// The limit's value in the ingredient that has most of it (of what it is a share of, in the one
/// that has most of that).
double largest_value(const limits::Limit& limit);

/// The same job as a linear program, written down afresh: every side of every limit that is not
/// advisory is a row of its own, "ID:min" or "ID:max", scaled by its largest number; columns have
/// no limit but zero.
lp::LinearProgram plain_program(const job::Job& job, const std::vector<limits::Limit>& limits);

}  // namespace feedwright::test
