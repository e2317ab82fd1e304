// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/command.hpp"
#include "cli/context.hpp"

#include <string>
#include <vector>

namespace feedwright::cli {

/// A venture in a line: the options that stand in place of a venture file. Kept as text; numbers
/// are read when all are there.
struct VentureOptions {
    std::string profile;
    std::string materials;
    std::string job;
    std::string recipe;
    std::string batch;
    std::string hours;
    std::string hour_value;
    std::string kwh;
    std::string kwh_price;
    std::string other;
    std::string loss;
    std::vector<std::string> equipment;
    std::string home_fcr;
    std::string bag;
    std::string delivery;
    std::string bought_fcr;
    std::string gain;
    std::string feed;
    std::string currency;

    void add_to(Command& command);
    /// Whether any of them is there.
    bool given() const;
    /// What a venture file would hold (feedwright-venture/1). Throws UsageError.
    std::string venture() const;
    /// Those given, for the result's settings.
    Settings settings() const;
};

}  // namespace feedwright::cli
