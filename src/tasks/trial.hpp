// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "limits/findings.hpp"
#include "search/series.hpp"
#include "search/weighing.hpp"
#include "sheet/mixing_plan.hpp"
#include "tasks/formulate.hpp"
#include "trial/analysis.hpp"
#include "trial/design.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::tasks {

struct TrialDesignRequest {
    FormulateRequest job;
    std::string test;
    std::string reference;
    std::vector<double> levels;      ///< percent, above 0, rising; as in search::SeriesQuestion
    std::vector<std::string> equal;  ///< nutrients, besides crude protein
    int tanks = 3;                   ///< of each diet
    int blocks = 0;
    std::uint64_t seed = 1;
    /// How much tanks on one diet vary, percent: given, or taken from the growth in the data of a
    /// trial. Without either two examples stand in.
    std::optional<double> cv_percent;
    std::string pilot;
    search::WeighingScale scale;
    bool sheets = false;
};

/// A diet of the trial as it is mixed.
struct DietSheet {
    job::Job job;  ///< titled as the diet
    search::Weighing weighing;
    sheet::MixingPlan plan;
};

struct TrialDesign {
    job::Job job;
    trial::DesignSeries series;
    std::vector<limits::Judgement> judgements;  ///< one a diet, empty for one that cannot be made
    std::vector<std::optional<search::NoDiet>> missing;  ///< one a diet: why it cannot be made
    std::vector<DietSheet> sheets;                       ///< where they are asked for
    bool whole = true;  ///< every diet can be made and weighed, all equal in protein
};

/// Formulates a control and a series of diets, weighs them, and draws a tank plan.
TrialDesign design_trial(const TrialDesignRequest& request, catalog::Library& library);

struct TrialAnalysisRequest {
    std::string file;  ///< one row a tank
    /// Of a table of another kind the columns with the groups and the numbers; both or none.
    std::string group;
    std::string response;
    trial::Options options;
};

trial::AnalysisResult analyse_trial(const TrialAnalysisRequest& request);

}  // namespace feedwright::tasks
