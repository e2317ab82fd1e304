// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/polish.hpp"

#include "base/dense.hpp"
#include "lp/solver.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace feedwright::lp {

namespace {

// Systems larger than this take longer than the rounds of planes that they save.
constexpr std::size_t most_unknowns = 400;

class Polish {
  public:
    Polish(const LinearProgram& program, const std::vector<Cone>& cones,
           std::span<const double> costs, Guess& guess)
        : program_(program),
          cones_(cones),
          costs_(costs),
          guess_(guess),
          n_(guess.free.size()),
          size_(n_ + guess.rows.size() + guess.cones.size()) {
        place_.assign(guess.primal.size(), n_);
        for (std::size_t j = 0; j < n_; ++j)
            place_[guess.free[j]] = j;
    }

    bool run() {
        if (n_ == 0 || size_ > 2 * n_ || size_ > most_unknowns) return false;
        constexpr int most_steps = 12;
        constexpr double rounding = 1e-15;
        double last = 0;
        for (int step = 0; step < most_steps; ++step) {
            const auto moved = newton_step();
            if (!moved) return false;
            // Twice, so that the last digits settle too.
            if (step > 0 && *moved <= 100 * rounding) return true;
            if (step > 3 && *moved > last) return *moved < 1e-12;
            last = *moved;
        }
        return false;
    }

  private:
    // One step; how far it moved the point, as a share of its largest amount. The unknowns are the
    // change of each free column and the multiplier of each limit, whose rows are scaled.
    std::optional<double> newton_step() {
        matrix_.assign(size_ * size_, 0.0);
        right_.assign(size_, 0.0);
        scales_.clear();
        size_of_costs_ = cost_size(costs_, guess_.primal);
        for (std::size_t j = 0; j < n_; ++j)
            right_[j] = -costs_[guess_.free[j]] / size_of_costs_;
        for (const Tight& tight : guess_.rows)
            add_row(tight);
        for (const Tight& tight : guess_.cones) {
            if (!add_cone(tight)) return std::nullopt;
        }
        const auto inverse = base::inverse(std::move(matrix_), size_, 1e-13);
        if (!inverse) return std::nullopt;
        std::vector<double> change(size_, 0.0);
        for (std::size_t i = 0; i < size_; ++i) {
            for (std::size_t j = 0; j < size_; ++j)
                change[i] += (*inverse)[i * size_ + j] * right_[j];
        }
        return move(change);
    }

    std::optional<double> move(const std::vector<double>& change) {
        double moved = 0;
        double largest = 1e-300;
        for (std::size_t j = 0; j < n_; ++j) {
            double& amount = guess_.primal[guess_.free[j]];
            amount += change[j];
            moved = std::max(moved, std::abs(change[j]));
            largest = std::max(largest, std::abs(amount));
        }
        std::size_t next = 0;
        for (std::vector<Tight>* list : {&guess_.rows, &guess_.cones}) {
            for (Tight& tight : *list) {
                tight.dual = change[n_ + next] / scales_[next];
                ++next;
            }
        }
        if (!std::isfinite(moved) || moved > 100 * largest) return std::nullopt;
        return moved / largest;
    }

    void add_row(const Tight& tight) {
        std::vector<double> gradient(n_, 0.0);
        const std::vector<Entry>& entries = program_.rows()[tight.at].entries;
        for (const Entry& entry : entries) {
            if (place_[entry.column] < n_) gradient[place_[entry.column]] = entry.value;
        }
        add_limit(gradient, tight.side - value_at(entries, guess_.primal));
    }

    bool add_cone(const Tight& tight) {
        const Cone& cone = cones_[tight.at];
        std::vector<double> gradient(n_, 0.0);
        for (const Entry& entry : cone.entries) {
            if (place_[entry.column] < n_) gradient[place_[entry.column]] += entry.value;
        }
        double length = 0;
        const std::vector<double> forms = forms_at(cone, guess_.primal, length);
        if (!(length > 0)) return false;
        std::vector<double> along(n_, 0.0);  // the forms' sum by their values, over the length
        const double factor = tight.dual * cone.weight / length / size_of_costs_;
        for (std::size_t f = 0; f < forms.size(); ++f) {
            const auto& entries = cone.forms[f].entries;
            for (const Entry& one : entries) {
                const std::size_t a = place_[one.column];
                if (a >= n_) continue;
                along[a] += forms[f] / length * one.value;
                for (const Entry& other : entries) {
                    const std::size_t b = place_[other.column];
                    if (b < n_) matrix_[a * size_ + b] += factor * one.value * other.value;
                }
            }
        }
        for (std::size_t a = 0; a < n_; ++a) {
            gradient[a] -= cone.weight * along[a];
            for (std::size_t b = 0; b < n_; ++b)
                matrix_[a * size_ + b] -= factor * along[a] * along[b];
        }
        const double value = value_at(cone.entries, guess_.primal) - cone.weight * length;
        add_limit(gradient, tight.side - value);
        return true;
    }

    void add_limit(const std::vector<double>& gradient, double missing) {
        double scale = 0;
        for (const double g : gradient)
            scale = std::max(scale, std::abs(g));
        if (scale == 0) scale = 1;
        const std::size_t row = n_ + scales_.size();
        for (std::size_t j = 0; j < n_; ++j) {
            matrix_[row * size_ + j] = gradient[j] / scale;
            // The multiplier, times scale over the costs' size, is the unknown.
            matrix_[j * size_ + row] = -gradient[j] / scale;
        }
        right_[row] = missing / scale;
        scales_.push_back(scale / size_of_costs_);
    }

    const LinearProgram& program_;
    const std::vector<Cone>& cones_;
    std::span<const double> costs_;
    Guess& guess_;
    std::size_t n_;
    std::size_t size_;
    std::vector<std::size_t> place_;  // of a column among the free ones; n_: it is not free
    double size_of_costs_ = 1;
    std::vector<double> matrix_;
    std::vector<double> right_;
    std::vector<double> scales_;  // of the limits' rows, over the costs' size
};

}  // namespace

bool polish(const LinearProgram& program, const std::vector<Cone>& cones,
            std::span<const double> costs, Guess& guess) {
    return Polish(program, cones, costs, guess).run();
}

}  // namespace feedwright::lp
