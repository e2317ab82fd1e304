// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "search/weighing.hpp"

#include <optional>

namespace feedwright::search {

/// What can be weighed where the batch and the scale that were asked for leave no mix.
struct NearWeighing {
    double batch_kg = 0;  ///< of what is weighed, or of finished feed where the job has a moisture
    bool other_batch = false;  ///< another batch size on the same scale; else a finer scale
    Weighing weighing;         ///< has weights
};

/// The nearest to it: the batch of the closest size, from half to twice, that the same scale
/// can weigh; else the same batch with what is in the way weighed on a scale of tenths, fiftieths
/// or hundredths of the step. Nullopt when none of these is found within the time limit of
/// `options`, which counts for all of them together.
///
/// `failed` is what weigh() made of the job and `exact`, and has no weights. A job with a stock
/// keeps its batch: the exact mix holds for the stock of that batch alone.
std::optional<NearWeighing> weigh_near(const job::Job& job, const Formulation& exact,
                                       const Weighing& failed,
                                       const lp::SolveOptions& options = {});

}  // namespace feedwright::search
