// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "feedwright/lp/linear_program.hpp"
#include "feedwright/lp/solution.hpp"

#include <atomic>
#include <cstddef>
#include <memory>
#include <span>
#include <vector>

namespace feedwright::lp {

/// A vertex of the feasible region as one basis describes it: what does not depend on costs.
/// Immutable once made, so any thread may read it.
class Vertex {
  public:
    /// Something a caller works out from a vertex and wants to find again with it.
    struct Note {
        virtual ~Note() = default;
    };

    Vertex() = default;
    Vertex(const Vertex&) = delete;
    Vertex& operator=(const Vertex&) = delete;
    ~Vertex() { delete note_.load(std::memory_order_relaxed); }

    const std::vector<double>& primal() const { return primal_; }
    const std::vector<double>& row_activity() const { return row_activity_; }

    /// The note of this vertex; `make()` is called for it (it returns a std::unique_ptr to what
    /// derives from Note) when there is none yet. All callers must make the same thing.
    template <class Make>
    const Note& note(const Make& make) const {
        const Note* found = note_.load(std::memory_order_acquire);
        if (found != nullptr) return *found;
        std::unique_ptr<const Note> made = make();
        if (note_.compare_exchange_strong(found, made.get(), std::memory_order_acq_rel)) {
            return *made.release();
        }
        return *found;
    }

  private:
    friend class VertexGraph;
    friend class Repricer;

    // Variables are counted columns first, then rows; a row's variable is its activity, times the
    // row's scale. `away` has one entry a non-basic variable: where leaving its limit leads.
    struct Away {
        double direction = 0;  ///< +1 up from a lower limit, -1 down from an upper, 0 never
        double reach = 0;      ///< how far it can go
        std::size_t leaving = 0;
        bool to_upper = false;  ///< whether the leaving variable ends on its upper limit
    };

    std::vector<unsigned char> rests_;   ///< Rest of every variable
    std::vector<std::size_t> basic_;     ///< basic columns
    std::vector<std::size_t> nonbasic_;  ///< non-basic variables
    std::vector<double> response_;       ///< change of basic_[i] per unit of nonbasic_[j]
    std::vector<Away> away_;
    std::unique_ptr<std::atomic<const Vertex*>[]> next_;
    std::vector<double> primal_;
    std::vector<double> row_activity_;
    double primal_residual_ = 0;
    std::size_t bytes_ = 0;
    mutable std::atomic<const Note*> note_ = nullptr;
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
    int steps = 0;      ///< vertices walked over
    bool known = true;  ///< all of them were known before
};

/// The vertices of one continuous program that were visited so far and how they hang together.
///
/// Costs decide only whether to leave a vertex and through which edge; where an edge leads does
/// not depend on them. So what one list of costs found out serves all others: it is kept, up to
/// `most_bytes`, after which a new store takes the place of the old one.
///
/// What is kept never changes an answer: a vertex is worked out from its basis alone, and the walk
/// over vertices starts at the same one for every list of costs. Thread-safe.
class VertexGraph {
  public:
    /// Solves `program`, whose costs should be typical ones: every walk starts at its optimum.
    /// Throws Error if it has integer columns.
    explicit VertexGraph(const LinearProgram& program, std::size_t most_bytes = 32U << 20U);
    ~VertexGraph();
    VertexGraph(const VertexGraph&) = delete;
    VertexGraph& operator=(const VertexGraph&) = delete;

    /// Of the program at its own costs. Where it is not `optimal` no Repricer will find anything.
    Status status() const;
    /// Vertices made so far, over all stores.
    std::size_t made() const;

  private:
    friend class Repricer;
    struct Store;
    struct Data;

    std::shared_ptr<const Store> store() const;
    const Vertex* follow(const Store& store, const Vertex& from, std::size_t edge) const;

    std::unique_ptr<Data> data_;
};

/// Finds optima of a VertexGraph's program for other costs. One a thread.
class Repricer {
  public:
    /// `graph` must outlive this.
    explicit Repricer(const VertexGraph& graph);

    /// Walks from the graph's first vertex to the optimum for `costs` (one a column, finite) and
    /// certifies it from the program's own data. Where several points are optimal it goes on to the
    /// one with the least of the last column; of those, with the least of the column before, and so
    /// on. False when that did not succeed, for reasons that
    /// depend on the program and `costs` alone: the caller then solves it another way.
    bool solve(std::span<const double> costs, Repriced& result);

  private:
    std::size_t best_edge(const Vertex& vertex, double worth_it, bool in_order) const;
    std::size_t tied_edge(const Vertex& vertex, double tie, bool& unique) const;
    bool certify(std::span<const double> costs, Repriced& result);

    const VertexGraph& graph_;
    std::shared_ptr<const VertexGraph::Store> store_;
    std::vector<double> reduced_;
};

}  // namespace feedwright::lp
