// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library_files.hpp"

#include <string>
#include <vector>

namespace feedwright::sheet {

/// A figure of the workshop and where it comes from; low equals high where there is one number.
struct PracticeFigure {
    double low = 0;
    double high = 0;
    std::string unit;
    std::string source;
    std::string text;
};

/// What a mixing sheet goes by: data/practice.json, where `text` says what each one is.
struct Practice {
    PracticeFigure micro_percent;
    PracticeFigure carrier_ratio;
    PracticeFigure mash_moisture;
    PracticeFigure mixing_minutes;
    PracticeFigure dry_pellet_moisture;
    PracticeFigure drying_hours;
    PracticeFigure drying_temperature;
    PracticeFigure storage_moisture;
};

/// Reads practice.json; every figure must be there. Throws base::DataError or IoError.
Practice load_practice(const catalog::LibraryFiles& files);

/// Ids of the sources of all figures, sorted.
std::vector<std::string> sources_of(const Practice& practice);

}  // namespace feedwright::sheet
