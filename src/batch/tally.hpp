// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "batch/layout.hpp"
#include "batch/summary.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace feedwright::batch {

/// Lists in a row that have the same mix, over several pieces: mixes are compared with their
/// neighbours only, so where a piece ends makes no difference.
class Stretches {
  public:
    /// The next list; empty `percent` for one without a mix, which is in no stretch.
    void add(std::string_view name, const std::vector<double>& percent);
    /// What came after, from the next piece.
    void append(const Stretches& next);
    Stretch longest() const;

  private:
    void begin(const Stretch& stretch, const std::vector<double>& percent);

    bool any_ = false;
    bool all_one_ = true;  // no stretch but the last
    std::vector<double> first_mix_;
    std::vector<double> last_mix_;
    Stretch head_;     // the first, once it is over
    Stretch tail_;     // the last
    Stretch longest_;  // of those that are over
};

/// Counts over one piece, for one job.
struct Tally {
    Tally(std::size_t ingredients, std::size_t limits);

    void add(const Answer& answer, bool recalled);

    std::size_t lists = 0;
    std::size_t unsolved = 0;
    std::size_t unusable = 0;
    std::size_t recalled = 0;
    std::vector<double> costs;
    Named dearest;  // where costs has any
    Named cheapest;
    std::vector<Use> uses;
    std::vector<std::size_t> held;
    Stretches stretches;
};

/// Counts over all pieces so far.
class TallySum {
  public:
    TallySum(std::size_t ingredients, std::size_t limits);
    void add(Tally&& tally);
    Summary take();

  private:
    Summary sum_;
    Stretches stretches_;
};

}  // namespace feedwright::batch
