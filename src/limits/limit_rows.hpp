// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "limits/limit.hpp"
#include "lp/linear_program.hpp"

#include <optional>
#include <string>
#include <vector>

namespace feedwright::limits {

/// What the limit's value is a share of, sum(per x), when it is the same for every mix: 1 without
/// `per`; otherwise when `per` is a multiple of what the balance among `limits` fixes. Nullopt when
/// it varies from mix to mix.
std::optional<double> fixed_whole(const Limit& limit, const std::vector<Limit>& limits);

/// The id of the row of one side; no limit has such an id, whatever it is called.
std::string row_id(const Limit& limit, bool is_min);

/// The coefficients of the row that holds the limit to `number`: amount[i], or amount[i] - number *
/// per[i], which is at least (at most) 0 where the limit is kept. What is only rounding is left
/// out.
std::vector<lp::Entry> row_entries(const Limit& limit, double number);

}  // namespace feedwright::limits
