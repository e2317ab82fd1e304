// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "catalog/import.hpp"

namespace feedwright::catalog {

/// Makes one ingredient of all samples of `import`: of each nutrient the mean, the standard
/// deviation between the samples (with n - 1) and how many samples have a value. A nutrient that
/// one sample alone has keeps that value, without a spread. Standard deviations that stand in the
/// table itself are within one sample and are left out. Id and name are those of `options`, or else
/// what all samples share.
///
/// Records samples that differ in name where `options` names none, and a nutrient that is on one
/// basis in one sample and on another in the next.
void pool_samples(Import& import, const ImportOptions& options, base::Diagnostics& diagnostics);

}  // namespace feedwright::catalog
