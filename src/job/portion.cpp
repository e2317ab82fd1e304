// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/portion.hpp"

namespace feedwright::job {

double Portion::dry_matter(std::size_t i) const {
    const catalog::Amount* amount = job_->ingredients[i].composition.find("dry_matter");
    return amount == nullptr ? 0 : amount->value;
}

double Portion::makes(std::size_t i) const {
    return is_finished() ? dry_matter(i) / finished_dry_matter() : 1;
}

std::optional<double> Portion::most_of(std::size_t i) const {
    if (is_ration()) return std::nullopt;
    // What makes no feed is water or little more: one kg of it is more than enough.
    if (!is_finished() || !(dry_matter(i) > 0)) return 1;
    return finished_dry_matter() / dry_matter(i);
}

std::optional<Portion::Balance> Portion::balance() const {
    if (is_ration()) return std::nullopt;
    Balance balance;
    balance.percent.assign(job_->ingredients.size(), 100.0);
    if (!is_finished()) return balance;
    for (std::size_t i = 0; i < balance.percent.size(); ++i)
        balance.percent[i] = dry_matter(i);
    balance.total = finished_dry_matter();
    return balance;
}

std::optional<double> Portion::weighed_per_kg() const {
    return is_ration() ? std::optional(1.0) : job_->batch_kg;
}

std::optional<double> Portion::batch_kg() const {
    return is_ration() ? std::nullopt : job_->batch_kg;
}

double Portion::cap_percent(std::size_t i) const {
    return is_finished() ? dry_matter(i) : 100;
}

double Portion::share_for_cap(std::size_t i, double x, double weighed_in) const {
    if (!is_finished()) return 100 * x / weighed_in;
    return x * dry_matter(i) / (finished_dry_matter() / 100);
}

std::optional<double> Portion::dry_matter_percent(std::size_t i, double x) const {
    if (!is_finished()) return std::nullopt;
    return dry_matter(i) * x / (finished_dry_matter() / 100);
}

}  // namespace feedwright::job
