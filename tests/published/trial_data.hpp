// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/csv.hpp"
#include "base/file.hpp"
#include "support/paths.hpp"
#include "trial/statistics.hpp"

#include <sstream>
#include <string>
#include <vector>

// Reading the tables under tests/published/data for the trial tests.
namespace feedwright::test {

inline base::CsvTable published_table(const std::string& name) {
    const std::string path = (source_folder() / "tests/published/data" / name).string();
    return base::parse_csv(base::read_file(path), name);
}

/// "1 2.5 3" as numbers.
inline std::vector<double> numbers(const std::string& text) {
    std::istringstream in(text);
    std::vector<double> out;
    double x = 0;
    while (in >> x)
        out.push_back(x);
    return out;
}

/// The groups of one set of trial_samples.csv, in file order.
inline std::vector<trial::Sample> published_samples(const std::string& set) {
    std::vector<trial::Sample> samples;
    for (const base::CsvRow& row : published_table("trial_samples.csv").rows) {
        if (row.cells[0] == set) samples.push_back({row.cells[1], numbers(row.cells[2])});
    }
    return samples;
}

}  // namespace feedwright::test
