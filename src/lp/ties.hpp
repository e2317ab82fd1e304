// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/linear_program.hpp"
#include "lp/solution.hpp"
#include "lp/solver.hpp"

#include <cstddef>
#include <optional>

namespace feedwright::lp {

/// A multiplier counts as zero when it is below this: a reduced cost over C, the largest |cost| of
/// what the point makes use of (cost_size()); a row dual times the row's largest |coefficient|,
/// over C. Points whose costs differ by no more than this count as equally good.
inline constexpr double tie_tolerance = 1e-9;

/// `program` with every limit held that each of its optima holds, by the multipliers of `optimum`
/// (status optimal), and no costs: its points are the optima.
LinearProgram optimal_face(const LinearProgram& program, const Solution& optimum);

struct Settled {
    /// An optimum that depends on the program alone (up to rounding), not on the basis the solve
    /// started from.
    Solution solution;
    bool moved = false;  ///< `solution.primal` is another point than the one given
    std::optional<bool>
        unique;  ///< no other point is as good; empty when the solver could not tell
};

/// Of all optima of `program`, which has no integer columns, picks one by a stated rule: the least
/// value of the last of its first `count` columns; of those still equal the least of the column
/// before it, and so on; a column without a least value is passed over. `optimum` is any one of
/// them (status optimal, from solve() or a Session).
///
/// Every optimum meets the complementary slackness conditions with the duals of any one, so the
/// optima are the points of the program where each limit with a multiplier other than zero is held;
/// the rule is followed on those. The result keeps the duals, reduced costs and basis of `optimum`,
/// which prove it optimal as well: the basis need not be one of the new point. Costs next to
/// nothing when no multiplier of a resting limit is zero, which shows that the optimum is the only
/// one.
Settled settle_tie(const LinearProgram& program, const Solution& optimum, std::size_t count,
                   const SolveOptions& options = {});

}  // namespace feedwright::lp
