// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/profile.hpp"
#include "cli/command.hpp"
#include "economics/plan.hpp"

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
    /// The plan they describe. What they leave open is filled in and said in the plan's notes: no
    /// growth is growth at the published rations and the middle of the published FCR, no survival
    /// is no losses. `profile` is that of `species`, if one is named. Throws UsageError.
    economics::Plan plan(const catalog::Profile* profile) const;
    /// Those given, for the result's settings.
    std::vector<std::pair<std::string, std::string>> settings() const;

  private:
    bool describes_growth() const;
    void read_growth(const catalog::Profile* profile, economics::Plan& plan) const;
};

}  // namespace feedwright::cli
