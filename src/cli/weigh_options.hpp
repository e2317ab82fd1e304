// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/command.hpp"
#include "cli/context.hpp"
#include "cli/exit_status.hpp"
#include "search/weighing.hpp"

#include <string>
#include <utility>
#include <vector>

namespace feedwright::cli {

/// What the mix is weighed on. Without any of it the mix is exact.
struct WeighOptions {
    std::string scale;
    std::string fine_scale;
    std::string fine_below;
    bool sheet = false;

    /// Adds --scale, --fine-scale, --fine-below and --sheet.
    void add_to(Command& command);
    bool asked() const { return sheet || !scale.empty() || !fine_scale.empty(); }
    /// Throws UsageError.
    search::WeighingScale read() const;
    std::vector<std::pair<std::string, std::string>> settings() const;
};

/// Weighs `exact`, which has amounts, and shows the weights or the mixing sheet.
ExitStatus show_weighing(const job::Job& job, const search::Formulation& exact,
                         const WeighOptions& weigh, const lp::SolveOptions& solve,
                         const report::Run& about, Context& context);

}  // namespace feedwright::cli
