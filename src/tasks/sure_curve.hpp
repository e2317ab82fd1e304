// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"
#include "job/job.hpp"
#include "lp/solution.hpp"
#include "tasks/formulate.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::tasks {

/// The cheapest mix of which each limit on contents holds in so many of 100 lots.
struct SurePoint {
    double sure_percent = 0;  ///< 50: on average
    lp::Status status = lp::Status::failed;
    std::optional<double> cost_per_kg;  ///< empty when there is no mix
    /// What each further percent costs up to the next point, per kg of feed.
    std::optional<double> further_percent_costs;
    std::optional<double> chance_all_percent;
    std::string fails_first;  ///< name of the limit that fails in most lots
    /// Limits that yield, and hold on average alone, because they cannot be so sure with the rest.
    std::size_t on_average = 0;
};

/// What it saves to know the lot of an ingredient: the cheapest mix with its spread and without.
struct AnalysisWorth {
    std::string id;
    std::string name;
    double percent = 0;  ///< of the mix, before it is known
    double cost_per_kg = 0;
    double saves_per_kg = 0;
};

struct SureCurve {
    job::Job job;  ///< as it was answered on average
    std::vector<SurePoint> points;
    std::optional<std::size_t> knee;  ///< of the points
    /// How sure limits are for `analyses`: what the job asks, or else the knee.
    std::optional<double> analysed_percent;
    std::optional<double> analysed_cost_per_kg;
    std::vector<AnalysisWorth> analyses;  ///< those that save something, the most first
};

/// The point farthest below the straight line from the first point to the last, where cost rises
/// ever faster, of those that hold as many limits surely as the first that does. Empty where fewer
/// than three do, or the cost does not rise.
std::optional<std::size_t> knee_of(const std::vector<SurePoint>& points);

/// The cost of the cheapest mix, and the chance that all limits hold, against how sure each limit
/// is asked to be, from 50 to 99.9; and what an analysis of one lot of each ingredient saves.
/// Limits with a sureness of their own keep it.
SureCurve sure_curve(const FormulateRequest& request, catalog::Library& library);

}  // namespace feedwright::tasks
