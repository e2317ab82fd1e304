// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/sureness.hpp"

#include "base/normal.hpp"
#include "lp/cones.hpp"
#include "search/program.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::search {

namespace {

bool meets(const lp::LinearProgram& program, const std::vector<lp::Cone>& cones) {
    return lp::solve(program, cones).solution.status == lp::Status::optimal;
}

}  // namespace

bool asks_sureness(const job::Job& job) {
    const auto asks = [](const auto& limit) { return limit.sure_percent.value_or(0) > 50; };
    return job.sure_percent || std::any_of(job.limits.begin(), job.limits.end(), asks) ||
           std::any_of(job.ratios.begin(), job.ratios.end(), asks);
}

job::Job on_average(job::Job job) {
    job.sure_percent.reset();
    for (job::NutrientLimit& limit : job.limits)
        limit.sure_percent.reset();
    for (job::RatioLimit& ratio : job.ratios)
        ratio.sure_percent.reset();
    return job;
}

std::optional<SureConflict> explain_sure_conflict(const job::Job& job) {
    if (!asks_sureness(job)) return std::nullopt;
    const job::Job priced = with_any_prices(job);
    const FeedProgram feed = cheapest_program(priced);
    const lp::LinearProgram program = feed.relaxed();
    const std::vector<lp::Cone> cones = feed.cones();
    const std::vector<limits::Side> sides = feed.sure_sides();
    if (cones.empty() || lp::solve(program).status != lp::Status::optimal || meets(program, cones))
        return std::nullopt;
    SureConflict conflict;
    for (const limits::Side& side : sides) {
        conflict.asked_percent =
            std::max(conflict.asked_percent, *feed.limit_of(side).sure_percent);
    }
    // Halves the range until it is a hundredth of a percent.
    const auto at = [&](double percent) {
        std::vector<lp::Cone> less = cones;
        for (lp::Cone& cone : less)
            cone.weight = std::min(cone.weight, base::normal_quantile(percent / 100));
        return less;
    };
    double low = 50;
    double high = conflict.asked_percent;
    constexpr double fine = 0.01;
    while (high - low > fine) {
        const double middle = (low + high) / 2;
        (meets(program, at(middle)) ? low : high) = middle;
    }
    conflict.possible_percent = low;
    const auto without = [&](std::vector<lp::Cone> list, std::size_t limit) {
        for (std::size_t k = 0; k < sides.size(); ++k) {
            if (sides[k].limit == limit) list[k].weight = 0;
        }
        return meets(program, list);
    };
    // A little beyond what is possible, so that it takes the limits that stand in the way.
    const std::vector<lp::Cone> beyond = at(std::min(high + 0.5, conflict.asked_percent));
    for (std::size_t k = 0; k < sides.size(); ++k) {
        if (k > 0 && sides[k].limit == sides[k - 1].limit) continue;
        const std::string& name = feed.limit_of(sides[k]).name;
        if (without(beyond, sides[k].limit)) conflict.tight.push_back(name);
        if (without(cones, sides[k].limit)) conflict.relax.push_back(name);
    }
    return conflict;
}

}  // namespace feedwright::search
