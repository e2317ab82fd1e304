// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/profile.hpp"
#include "cli/command.hpp"
#include "cli/context.hpp"
#include "tasks/economics.hpp"

#include <string>
#include <utility>
#include <vector>

namespace feedwright::cli {

/// A plan in a line: the options that stand in place of a plan file. Kept as text; numbers are read
/// when all are there.
struct PlanOptions {
    std::string species;
    std::string count;
    std::string start;
    std::string target;
    std::string days;
    std::string temperature;
    std::string survival;
    std::string fcr;
    std::string sgr;
    std::string tgc;
    std::string intake;
    std::string pack;
    std::string date;
    std::string venture;

    void add_to(Command& command);
    /// Whether any of them is there.
    bool given() const;
    /// The plan they describe, as tasks::PlanRequest takes it. No survival is no losses, and the
    /// plan's notes say so. `profile` is that of `species`, if one is named. Throws UsageError.
    economics::Plan plan(const catalog::Profile* profile) const;
    /// What plan() gave, as a plan file (feedwright-plan/1). Throws UsageError where growth is left
    /// to the published FCR, which a file has to name.
    std::string file(const economics::Plan& plan) const;
    /// Those given, for the result's settings.
    Settings settings() const;

  private:
    bool describes_growth() const;
    void read_growth(economics::Plan& plan) const;
};

}  // namespace feedwright::cli
