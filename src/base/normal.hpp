// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace feedwright::base {

/// The chance that a standard normal number is at most z.
double normal_chance(double z);

/// The z that a standard normal number stays below with chance p, 0 < p < 1.
double normal_quantile(double p);

}  // namespace feedwright::base
