// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"
#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "lp/solver.hpp"
#include "search/curve.hpp"
#include "search/formulation.hpp"
#include "search/weighing_near.hpp"
#include "sheet/mixing_plan.hpp"
#include "tasks/reading.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

// Every task: a plain request and the library in, a plain result out. All throw base::DataError for
// what is wrong with the user's data, and IoError. That no mix exists is a result.
namespace feedwright::tasks {

struct FormulateRequest {
    JobSource job;
    lp::SolveOptions solve;
};

/// The answer to a job.
struct Answer {
    /// As it was answered: what could not be held with the rest is advisory, and a mix too wet to
    /// compare as it is has a finished moisture.
    job::Job job;
    search::Formulation mix;  ///< explained; without amounts it says why there is no mix
    std::vector<limits::CautionResult> cautions;

    bool has_mix() const { return !mix.amounts.empty(); }
};

/// The cheapest mix that meets every limit.
Answer formulate(const FormulateRequest& request, catalog::Library& library);

struct WeighRequest {
    FormulateRequest mix;
    search::WeighingScale scale;
    bool sheet = false;
};

struct Weighed {
    Answer exact;
    std::optional<search::Weighing> weighing;  ///< empty: there is no exact mix to weigh
    std::optional<search::NearWeighing> near;  ///< what can be weighed where `weighing` has none
    std::optional<sheet::MixingPlan> plan;     ///< where a sheet is asked for and there are weights
    std::vector<limits::CautionResult> cautions;  ///< of the mix as weighed
};

/// The cheapest mix in whole steps of a scale, and how to mix it.
Weighed weigh(const WeighRequest& request, catalog::Library& library);

struct CurveRequest {
    FormulateRequest mix;
    std::string ingredient;
    std::size_t steps = 20;
};

struct CurveOf {
    job::Job job;
    search::Curve curve;
};

/// Cost against the share of one ingredient of the job.
CurveOf curve(const CurveRequest& request, catalog::Library& library);

}  // namespace feedwright::tasks
