// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <initializer_list>
#include <vector>

namespace feedwright::base {

/// A sum of products of decimals, without rounding at any step. Every double stands for the
/// shortest decimal that reads back to it, which is the number as it was typed: 0.3 is three
/// tenths, not the binary fraction nearest to it. So "75 g of 25 kg is at most 0.3 %" is true here.
class ExactSum {
  public:
    /// Adds the product of `factors`. Throws Error for a factor that is not finite.
    void add(std::initializer_list<double> factors);

    /// -1, 0 or 1: the sign of the sum.
    int sign() const;

  private:
    std::vector<std::vector<double>> products_;
};

}  // namespace feedwright::base
