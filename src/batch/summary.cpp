// SPDX-License-Identifier: GPL-3.0-or-later
#include "batch/summary.hpp"

#include <algorithm>
#include <bit>

namespace feedwright::batch {

namespace {

// A step is the upper 20 bits of a double: sign, exponent and the first ten digits behind the
// point. They run from 2^-30 to 2^30; what is larger counts as the largest.
constexpr int dropped_bits = 42;
constexpr double smallest = 1.0 / (1 << 30);
constexpr double largest = 1 << 30;

std::size_t step_of(double cost) {
    return static_cast<std::size_t>(std::bit_cast<std::uint64_t>(cost) >> dropped_bits);
}

double middle_of(std::size_t step) {
    const auto low = std::bit_cast<double>(std::uint64_t{step} << dropped_bits);
    const auto high = std::bit_cast<double>(std::uint64_t{step + 1} << dropped_bits);
    return (low + high) / 2;
}

}  // namespace

void Costs::add(double cost) {
    least_ = count_ == 0 ? cost : std::min(least_, cost);
    most_ = count_ == 0 ? cost : std::max(most_, cost);
    ++count_;
    sum_ += cost;
    if (cost < smallest) {
        ++below_;
        return;
    }
    if (counts_.empty()) counts_.resize(step_of(largest) - step_of(smallest) + 1);
    ++counts_[step_of(std::min(cost, largest)) - step_of(smallest)];
}

double Costs::quantile(double p) const {
    const double wanted = p * static_cast<double>(count_);
    auto seen = static_cast<double>(below_);
    if (seen >= wanted && below_ > 0) return least_;
    for (std::size_t i = 0; i + 1 < counts_.size(); ++i) {
        seen += counts_[i];
        if (counts_[i] > 0 && seen >= wanted) {
            return std::clamp(middle_of(i + step_of(smallest)), least_, most_);
        }
    }
    return most_;
}

}  // namespace feedwright::batch
