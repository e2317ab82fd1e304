// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/command.hpp"
#include "tasks/what_if.hpp"

#include <string>
#include <vector>

namespace feedwright::cli {

/// Changes to try on a job.
struct WhatIfOptions {
    std::vector<std::string> set;
    std::vector<std::string> without;
    std::vector<std::string> with;
    std::vector<std::string> weaken;

    /// Adds --set, --without, --with and --weaken, each of which may be repeated.
    void add_to(Command& command);
    bool asked() const;
    /// Whether it is asked what each ingredient is worth.
    bool each() const;
    /// "each" left out.
    tasks::Changes changes() const;
};

}  // namespace feedwright::cli
