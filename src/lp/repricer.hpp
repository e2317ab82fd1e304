// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "lp/linear_program.hpp"
#include "lp/solution.hpp"

#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <unordered_map>
#include <vector>

namespace feedwright::lp {

/// A vertex of the feasible region as one basis describes it: what does not depend on costs.
/// It belongs to one Repricer, and so to one thread.
class Vertex {
  public:
    /// Something a caller works out from a vertex and wants to find again with it.
    struct Note {
        virtual ~Note() = default;
    };

    const std::vector<double>& primal() const { return primal_; }
    const std::vector<double>& row_activity() const { return row_activity_; }

    /// The note of this vertex; `make()` is called for it (it returns a std::unique_ptr to what
    /// derives from Note) when there is none yet.
    template <class Make>
    const Note& note(const Make& make) const {
        if (!note_) note_ = make();
        return *note_;
    }

  private:
    friend class CostFreeProgram;
    friend class Repricer;

    std::vector<unsigned char> rests_;        ///< Rest of every column, then of every row
    std::vector<std::size_t> basic_columns_;  ///< as many as there are
    std::vector<std::size_t> resting_rows_;   ///< of these
    std::vector<double> inverse_;  ///< of the basic columns within the (scaled) resting rows
    std::vector<double> primal_;
    std::vector<double> row_activity_;
    double primal_residual_ = 0;
    bool clear_ = false;  ///< no basic variable is near a limit of its own: one basis describes it
    mutable std::unique_ptr<const Note> note_;
};

/// What one vector of costs gives. As in lp::Solution, which see for signs.
struct Repriced {
    const Vertex* vertex = nullptr;  ///< valid until the next solve of the same Repricer
    double objective = 0;
    std::vector<double> row_dual;
    std::vector<double> reduced_cost;
    Certificate certificate;
    /// Every other point costs more: no resting limit has a multiplier within lp::tie_tolerance
    /// of zero.
    bool unique = false;
    int pivots = 0;
    bool known = true;  ///< this Repricer has met the vertex before
};

/// A continuous program without its costs, as Repricers work on it, and the vertex they start from.
/// Immutable, so any number of threads may share it.
class CostFreeProgram {
  public:
    /// Solves `program`, whose costs should be typical ones: walks start at its optimum. Throws
    /// Error if it has integer columns.
    explicit CostFreeProgram(const LinearProgram& program);
    ~CostFreeProgram();
    CostFreeProgram(const CostFreeProgram&) = delete;
    CostFreeProgram& operator=(const CostFreeProgram&) = delete;

    /// Of the program at its own costs. Where it is not `optimal` no Repricer will find anything.
    Status status() const;

  private:
    friend class Repricer;
    struct Data;
    struct Tableau;
    struct Edge;

    std::unique_ptr<const Data> data_;
};

/// Finds optima of a program for other costs. One a thread.
///
/// Costs are in no limit, so all of a vertex but its price is the same for any costs. It is worked
/// out once, from its basis alone, and kept, up to `most_bytes`, after which all are forgotten.
class Repricer {
  public:
    /// `program` must outlive this.
    explicit Repricer(const CostFreeProgram& program, std::size_t most_bytes = 8U << 20U);
    ~Repricer();
    Repricer(Repricer&&) noexcept;

    /// Walks along edges to the optimum for `costs` (one a column, finite) and certifies it from
    /// the program's own data. Where several points are optimal it goes on to the one with the
    /// least of the last column; of those, with the least of the column before, and so on.
    ///
    /// The answer depends on the program and `costs` alone. The walk begins where the last one
    /// ended, or at the first vertex if that costs less. Its end counts at once when it is clear:
    /// the only optimal vertex, described by only one basis, both by a margin far above rounding,
    /// so that any walk ends there. Otherwise the walk is made again from the first vertex, and
    /// then depends on nothing but `costs`.
    ///
    /// False when that did not succeed, again for reasons that lie in the program and `costs`
    /// alone: the caller then solves it another way.
    bool solve(std::span<const double> costs, Repriced& result);

  private:
    enum class End { clear, unclear, none };

    const Vertex* find(bool& known);
    End walk(std::span<const double> costs, bool settle, Repriced& result);
    bool reach_optimum(std::span<const double> costs, bool settle, int& pivots);
    bool price(std::span<const double> costs, Repriced& result, bool& clear);

    const CostFreeProgram::Data& data_;
    std::size_t most_bytes_;
    std::size_t bytes_ = 0;  ///< of the vertices, about
    std::unordered_map<std::string, std::unique_ptr<const Vertex>> vertices_;  ///< by their rests
    std::unique_ptr<CostFreeProgram::Tableau> now_;  ///< where the last walk ended
    const Vertex* last_ = nullptr;                   ///< the vertex there, if it is clear
    bool settled_ = false;                           ///< the walk followed edges without a cost
    std::vector<double> duals_;
};

}  // namespace feedwright::lp
