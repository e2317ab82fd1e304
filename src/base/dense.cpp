// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/dense.hpp"

#include <algorithm>
#include <cmath>

namespace feedwright::base {

template <class Real>
std::optional<std::vector<Real>> inverse(std::vector<Real> matrix, std::size_t n,
                                         Real least_pivot) {
    std::vector<Real> result(n * n, 0);
    for (std::size_t i = 0; i < n; ++i)
        result[i * n + i] = 1;
    for (std::size_t c = 0; c < n; ++c) {
        std::size_t best = c;
        for (std::size_t r = c + 1; r < n; ++r) {
            if (std::abs(matrix[r * n + c]) > std::abs(matrix[best * n + c])) best = r;
        }
        const Real pivot = matrix[best * n + c];
        if (std::abs(pivot) < least_pivot) return std::nullopt;
        Real* const row_c = &matrix[c * n];
        Real* const result_c = &result[c * n];
        if (best != c) {
            std::swap_ranges(row_c, row_c + n, &matrix[best * n]);
            std::swap_ranges(result_c, result_c + n, &result[best * n]);
        }
        // What stands left of column c is 0 in row c.
        for (std::size_t k = c; k < n; ++k)
            row_c[k] /= pivot;
        for (std::size_t k = 0; k < n; ++k)
            result_c[k] /= pivot;
        for (std::size_t r = 0; r < n; ++r) {
            const Real factor = matrix[r * n + c];
            if (r == c || factor == 0) continue;
            for (std::size_t k = c; k < n; ++k)
                matrix[r * n + k] -= factor * row_c[k];
            for (std::size_t k = 0; k < n; ++k)
                result[r * n + k] -= factor * result_c[k];
        }
    }
    return result;
}

template std::optional<std::vector<double>> inverse(std::vector<double>, std::size_t, double);
template std::optional<std::vector<long double>> inverse(std::vector<long double>, std::size_t,
                                                         long double);

}  // namespace feedwright::base
