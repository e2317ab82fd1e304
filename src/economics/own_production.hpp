// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library_files.hpp"
#include "economics/sampling.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::economics {

/// What a yield counts.
enum class YieldKind {
    area,                  ///< g of dry matter per m2 and day
    substrate_dry_matter,  ///< kg of dry product per 100 kg of dry substrate
    substrate_weight,      ///< kg of fresh product per 100 kg of substrate as given
};

/// The word of the files for a yield kind, and back ("g_dry_matter_per_m2_day", …).
std::string_view yield_kind_word(YieldKind kind);
std::optional<YieldKind> yield_kind_from(std::string_view word);
/// The unit as a report shows it: "g dry matter per m2 a day".
std::string_view yield_unit(YieldKind kind);

/// Something that keepers grow themselves, with the yield that was read for it, if any was.
struct Organism {
    std::string id;
    std::string name;
    YieldKind kind = YieldKind::area;
    std::optional<Triangular> yield;
    std::optional<double> fresh_dry_matter;  ///< percent, of the product as harvested
    std::vector<std::string> sources;        ///< ids in sources.json, the yield's first
    std::string note;
};

/// A limit of storing or drying that a report quotes.
struct KeepingFact {
    std::string id;
    double value = 0;
    std::string unit;
    std::string text;
    std::string source;
};

/// data/own-production.json.
struct OwnProduction {
    std::vector<Organism> organisms;
    std::vector<KeepingFact> keeping;

    const Organism* organism(std::string_view id) const;
    const KeepingFact* fact(std::string_view id) const;
};

/// Reads own-production.json. Throws base::DataError or IoError.
OwnProduction load_own_production(const catalog::LibraryFiles& files);

}  // namespace feedwright::economics
