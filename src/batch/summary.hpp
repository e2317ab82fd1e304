// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/table.hpp"

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::batch {

/// How an ingredient fared over the lists that were solved.
struct Use {
    std::string id;
    std::size_t lists = 0;  ///< in how many of the mixes it is
    double least = 0;       ///< percent of the mix, over those
    double most = 0;
};

struct Held {
    std::string id;
    std::size_t lists = 0;  ///< how many mixes have nothing to spare on this limit
};

/// A list and its cost.
struct Named {
    std::string name;
    double cost = 0;
};

/// Lists in a row that have the same mix.
struct Stretch {
    std::size_t lists = 0;
    std::string first;
    std::string last;
};

/// Costs counted in steps of a thousandth, so that memory does not grow with their number: a
/// quantile is within 0.05 % of the exact one, the ends and the mean are exact (the mean but for
/// rounding).
class Costs {
  public:
    void add(double cost);
    std::size_t count() const { return count_; }
    double least() const { return least_; }
    double most() const { return most_; }
    double mean() const { return sum_ / static_cast<double>(count_); }
    /// The value that the share `p` of the costs do not exceed; there must be one cost at least.
    double quantile(double p) const;

  private:
    std::vector<std::uint32_t> counts_;
    std::size_t count_ = 0;
    std::size_t below_ = 0;  ///< too small for a step of their own, zero among them
    double sum_ = 0;
    double least_ = 0;
    double most_ = 0;
};

/// What came out of a batch, for one of its jobs, or for recipes.
struct Summary {
    std::string subject;  ///< the job's title or file
    std::string currency;
    bool checked =
        false;  ///< recipes: `solved` are those that pass, `unsolved` those that fall short
    std::size_t lists = 0;
    std::size_t solved = 0;
    std::size_t unsolved = 0;  ///< no mix exists, or none was found
    std::size_t unusable = 0;  ///< the list itself is at fault
    Costs costs;               ///< per kg
    /// The moisture, percent, that feed is dried to, where nobody asked for it (job::Job).
    std::optional<double> dried_to_percent;
    std::optional<Named> dearest;
    std::optional<Named> cheapest;
    base::TableReading reading;                  ///< what was understood of a table of prices
    std::map<std::string, std::string> read_as;  ///< words of the lists, and the ids they stand for
    std::vector<Use> uses;                       ///< in the order of the job
    std::vector<Held> held;                      ///< in the order of the limits
    Stretch longest;                             ///< with the same mix
    /// Lists answered without working out a vertex anew; depends on how threads shared the work.
    std::size_t recalled = 0;
};

}  // namespace feedwright::batch
