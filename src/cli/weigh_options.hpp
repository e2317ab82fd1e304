// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/command.hpp"
#include "cli/context.hpp"
#include "tasks/formulate.hpp"

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
    Settings settings() const;
};

}  // namespace feedwright::cli
