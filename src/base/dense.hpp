// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace feedwright::base {

/// The inverse of an n x n matrix, both row by row (Gauss-Jordan elimination with row exchanges).
/// nullopt when a pivot is smaller than `least_pivot`: the matrix is as good as singular. Scale it
/// so that a pivot's size means something.
template <class Real>
std::optional<std::vector<Real>> inverse(std::vector<Real> matrix, std::size_t n, Real least_pivot);

}  // namespace feedwright::base
