// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "tasks/formulate.hpp"

#include <optional>
#include <string>
#include <vector>

namespace feedwright::tasks {

/// Changes to try on a job, each as the user words it (job/edit.hpp).
struct Changes {
    std::vector<std::string> with;     ///< "duckweed-dried@0.20": a further ingredient
    std::vector<std::string> without;  ///< ids
    std::vector<std::string> weaken;   ///< "fish-meal-65.crude_protein=58": another content
    std::vector<std::string> set;      ///< "maize.price=0.30"
};

struct WhatIfRequest {
    FormulateRequest mix;
    Changes changes;
};

/// One job answered as it is and with some changes.
struct WhatIf {
    std::vector<std::string> changes;  ///< "set maize.price=0.30"
    job::Job job_before;
    search::Formulation before;
    job::Job job_after;
    search::Formulation after;
};

WhatIf what_if(const WhatIfRequest& request, catalog::Library& library);

/// What one ingredient saves.
struct Worth {
    std::string id;
    std::string name;
    double percent = 0;                  ///< of the mix with all
    std::optional<double> cost_without;  ///< per kg; empty: no mix without it
};

struct WorthOfEach {
    std::vector<std::string> changes;  ///< made beforehand, as in WhatIf
    job::Job job;
    search::Formulation with_all;  ///< without amounts there is nothing to compare with
    std::vector<Worth> worths;     ///< of every ingredient of the job
};

/// The cost of the cheapest mix without each ingredient in turn.
WorthOfEach worth_of_each(const WhatIfRequest& request, catalog::Library& library);

}  // namespace feedwright::tasks
