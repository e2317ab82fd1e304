// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "economics/make_or_buy.hpp"
#include "economics/plan.hpp"
#include "limits/findings.hpp"
#include "tasks/formulate.hpp"

#include <optional>
#include <string>
#include <vector>

namespace feedwright::tasks {

/// Whether animals can live on a home feed.
struct HomeFeed {
    job::Job job;  ///< or recipe
    /// Without what a premix mends that the venture counts beside the job.
    limits::Judgement judgement;
};

/// Whether a home feed is worth making.
struct MakeOrBuy {
    economics::VentureResult result;
    std::optional<HomeFeed> home;     ///< empty for a bare cost of materials
    std::vector<std::string> inputs;  ///< files read
    std::optional<Answer>
        unsolved;  ///< the venture's job has no mix: this is why; the rest is empty
};

/// A venture: a file, or else the text that such a file would hold, whose paths are found from the
/// current folder.
struct VentureSource {
    std::string file;
    std::string text;
};

MakeOrBuy make_or_buy(const VentureSource& venture, catalog::Library& library);

/// A plan to work out: a file, or else a plan. Of the latter growth at the rations (Growth::fed)
/// with a rate of 0 is at the middle of the FCRs published for the species.
struct PlanRequest {
    std::string file;
    economics::Plan plan;
};

struct Planned {
    economics::PlanResult result;
    std::optional<HomeFeed> home;  ///< of the venture, where the plan has one
    std::vector<std::string> inputs;
    std::optional<Answer> unsolved;  ///< as in MakeOrBuy
};

/// The species of a plan, which may name a stage too: every stage is in the species' file. nullptr
/// for an empty name. Throws base::DataError, about `place` of `file`, for one that is unknown.
const catalog::Profile* species_of_plan(const std::string& name, const std::string& file,
                                        const std::string& place, catalog::Library& library);

Planned plan(const PlanRequest& request, catalog::Library& library);

}  // namespace feedwright::tasks
