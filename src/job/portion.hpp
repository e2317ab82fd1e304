// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"

#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

namespace feedwright::job {

/// What the amounts of a mix count per: one kg of feed as mixed; one kg of feed finished at a
/// stated moisture, which keeps all dry matter, the rest of it being water; or nothing: the amounts
/// of a ration are kg, and add up to what they do. All that differs between the three is decided
/// here.
///
/// Refers to the job, which must outlive it. `i` is an ingredient's place in the job.
class Portion {
  public:
    explicit Portion(const Job& job) : job_(&job) {}

    bool is_ration() const { return job_->free_total; }
    bool is_finished() const { return job_->finished_moisture.has_value(); }
    /// Percent; empty where the feed is as mixed.
    std::optional<double> finished_moisture() const { return job_->finished_moisture; }

    /// kg of feed that one kg of ingredient i makes: 1, or its dry matter over that of the finished
    /// feed. A dry matter that is not known counts as none; limits::limits_of refuses such a job.
    double makes(std::size_t i) const;
    /// kg of feed that amounts which weigh `weighed_in` make: 1, or all that a ration weighs.
    double feed_kg(double weighed_in) const { return is_ration() ? weighed_in : 1; }
    /// The most of ingredient i that a mix can hold by its total alone; empty for a ration, which
    /// has no total.
    std::optional<double> most_of(std::size_t i) const;

    /// What makes amounts add up to one kg of feed: sum(percent[i] x[i]) = total. Nullopt for a
    /// ration.
    struct Balance {
        std::vector<double> percent;  ///< one an ingredient: 100, or its dry matter
        double total = 100;
    };
    std::optional<Balance> balance() const;

    /// Limits on weights are in percent, those of a ration in kg.
    std::string_view weight_unit() const { return is_ration() ? "kg" : "%"; }
    /// One kg of an amount in that unit.
    double weight_per_kg() const { return is_ration() ? 1 : 100; }

    /// kg to be weighed out for one kg of an amount: the batch, 1 for a ration. Empty: nobody said
    /// how much is made.
    std::optional<double> weighed_per_kg() const;
    /// The weight of the batch; empty for a ration, which is one as it is.
    std::optional<double> batch_kg() const;

    /// What one kg of ingredient i counts for, in percent, where a cap is a share of the mix: 100,
    /// or its dry matter where caps are shares of dry matter.
    double cap_percent(std::size_t i) const;
    /// `x` kg of ingredient i as a cap counts it, in percent, of amounts that weigh `weighed_in`.
    double share_for_cap(std::size_t i, double x, double weighed_in) const;
    /// Share of the dry matter that `x` kg of ingredient i bring, percent; with a finished moisture
    /// only.
    std::optional<double> dry_matter_percent(std::size_t i, double x) const;

  private:
    double dry_matter(std::size_t i) const;
    double finished_dry_matter() const { return 100 - *job_->finished_moisture; }

    const Job* job_;
};

}  // namespace feedwright::job
