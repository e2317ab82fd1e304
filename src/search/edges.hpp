// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/linear_program.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace feedwright::search {

/// The edges that leave a vertex on which as many limits hold with equality as there are columns:
/// along each one of them is left and all others are kept. What a simple vertex is cheapest for,
/// and how far, follows from its edges without solving anything.
class Edges {
  public:
    /// A limit that holds with equality at the vertex.
    struct Active {
        bool is_row = false;
        std::size_t index = 0;  ///< row or column
        bool may_rise = false;  ///< its value may grow from here (it is a lower limit)
        bool may_fall = false;  ///< neither: a fixed one
    };

    /// `x`: the vertex; `active`: as many as columns. Nullopt when they do not fix a point.
    static std::optional<Edges> from(const lp::LinearProgram& program, const std::vector<double>& x,
                                     std::vector<Active> active);

    const std::vector<Active>& active() const { return active_; }
    /// Place of a row or column in `active`, or nullopt.
    std::optional<std::size_t> find(bool is_row, std::size_t index) const;
    /// Change of column c when the value of active limit k rises by one and the others stay.
    double change(std::size_t k, std::size_t c) const { return inverse_[c * active_.size() + k]; }
    /// Change of cost for that.
    double cost(std::size_t k) const { return cost_[k]; }

    /// How far the value of active limit k can move, in units of it, `sign` up (1) or down (-1),
    /// before a limit that is not active stops it. `own_lower` and `own_upper`: the limits that
    /// then hold for k itself. Nullopt: without end.
    std::optional<double> reach(std::size_t k, double sign, std::optional<double> own_lower,
                                std::optional<double> own_upper) const;

  private:
    const lp::LinearProgram* program_ = nullptr;
    std::vector<double> x_;
    std::vector<Active> active_;
    std::vector<double> inverse_;  // columns of the program by active limits
    std::vector<double> cost_;
};

}  // namespace feedwright::search
