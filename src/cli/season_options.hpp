// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/command.hpp"
#include "cli/context.hpp"

#include <string>
#include <vector>

namespace feedwright::cli {

/// A season of one kind of animals in a line: the options that stand in place of a season file.
/// Kept as text; numbers are read when all are there.
struct SeasonOptions {
    std::string profile;
    std::string periods;
    std::string period_days;
    std::string date;
    std::string feed;
    std::string gain;
    std::string home_fcr;
    std::string bought_fcr;
    std::string prices;
    std::vector<std::string> harvest;
    std::string bag;
    std::string making;
    std::string loss;
    std::string hours;
    std::string hours_per_kg;
    std::string hour_value;
    std::string equipment;
    std::string currency;

    void add_to(Command& command);
    /// Whether any of them is there.
    bool given() const;
    /// What a season file would hold (feedwright-season/1). Throws UsageError, or what a price list
    /// that cannot be read throws.
    std::string season() const;
    /// Those given, for the result's settings.
    Settings settings() const;
};

}  // namespace feedwright::cli
