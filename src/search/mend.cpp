// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/mend.hpp"

#include "job/portion.hpp"
#include "limits/limit.hpp"
#include "lp/linear_program.hpp"
#include "search/cheapest.hpp"
#include "search/program.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::search {

namespace {

// Changes below this share of what is weighed in are rounding.
constexpr double least_change = 1e-9;

using limits::LimitResult;

const limits::LimitResult* find(const limits::Assessment& assessment, const std::string& id) {
    const auto at =
        std::find_if(assessment.limits.begin(), assessment.limits.end(),
                     [&](const limits::LimitResult& result) { return result.limit.id == id; });
    return at == assessment.limits.end() ? nullptr : &*at;
}

// How salt is dealt with: left as it is where that can be, else given room up to its cap.
enum class Salt { as_it_is, up_to_cap };

bool is_salt(const job::Choice& choice) {
    return choice.id == "salt" ||
           std::find(choice.kin.begin(), choice.kin.end(), "salt") != choice.kin.end();
}

// The most that is known to be tolerated of one ingredient, percent of the feed.
std::optional<double> cap_of(const job::Job& recipe, const std::string& id) {
    for (const job::CapLimit& cap : recipe.tolerated) {
        if (cap.subject == id) return cap.max;
    }
    return std::nullopt;
}

// The recipe with what is dosed held at a rate, percent of the feed: premixes made for the animal
// add up to one label rate; other things with a rate, vitamins and salt stay as they are, or go
// back to their rate or cap where they are past it. What has a min or a max of the recipe's own
// follows that.
job::Job with_doses(job::Job recipe, const std::vector<double>& before, Salt salt) {
    const job::Portion portion(recipe);
    if (portion.is_ration()) return recipe;
    const auto is_own_premix = [](const job::Choice& choice) {
        return choice.role == "premix" && choice.made_for_animal && choice.rate_percent &&
               !choice.min && !choice.max;
    };
    double rates = 0;  // of the premixes for the animal, in label rates
    for (std::size_t i = 0; i < before.size(); ++i) {
        const job::Choice& choice = recipe.ingredients[i];
        if (is_own_premix(choice)) rates += 100 * before[i] / *choice.rate_percent;
    }
    // A premix for the animal that comes in takes the place of one for others: two would be an
    // overdose.
    const bool comes_in = !(rates > 0) && std::any_of(recipe.ingredients.begin(),
                                                      recipe.ingredients.end(), is_own_premix);
    for (std::size_t i = 0; i < before.size(); ++i) {
        job::Choice& choice = recipe.ingredients[i];
        if (choice.min || choice.max) continue;
        double held = 100 * before[i];
        if (is_own_premix(choice)) {
            held = rates > 0 ? held / rates : *choice.rate_percent;
        } else if (choice.role == "premix" && comes_in) {
            held = 0;
        } else if (choice.role != "premix" || held > 0) {
            const bool dosed = choice.category == "premix" || choice.rate_percent;
            if (!(held > 0) || (!dosed && !is_salt(choice))) continue;
            if (is_salt(choice) && salt == Salt::up_to_cap) continue;
            constexpr double most_rates = 1.5;
            const double share = portion.share_for_cap(i, before[i], 1);
            if (choice.rate_percent) {
                if (held > most_rates * *choice.rate_percent) held = *choice.rate_percent;
            } else if (const auto cap = cap_of(recipe, choice.id); cap && share > *cap) {
                held *= *cap / share;
            }
        }
        choice.at_label_rate = true;
        choice.rate_percent = held;
    }
    // A label rate stands in place of a cap.
    std::erase_if(recipe.caps, [&](const job::CapLimit& cap) {
        const job::Choice* only = recipe.find(cap.subject);
        return only != nullptr && only->at_label_rate;
    });
    return recipe;
}

// The program over what is put in (columns 0 .. n-1) and what is taken out (n .. 2n-1) of each
// ingredient. Both start at nothing, so that a recipe that is nearly right changes little.
class Mender {
  public:
    Mender(const job::Job& recipe, const limits::Check& before, const MendOptions& options,
           Salt salt)
        : job_(recipe),
          portion_(recipe),
          before_(before.amounts),
          weighed_before_(before.weighed_in),
          before_all_(before.assessment),
          options_(options),
          count_(recipe.ingredients.size()),
          feed_(recipe, limits::limits_of(with_doses(recipe, before.amounts, salt))) {
        feed_.add_changes(before_);
        feed_.add_limits();
        add_uses();
        priced_ = std::all_of(job_.ingredients.begin(), job_.ingredients.end(),
                              [](const job::Choice& c) { return c.price.has_value(); });
    }

    bool priced() const { return priced_; }

    /// Asks, beside the limits, for advisory needs that the recipe meets: all of them, or where
    /// that leaves no change, all but those that are missed when the misses add up to the least.
    /// True when any is asked.
    bool keep_met_needs() {
        struct Kept {
            limits::Side side;
            std::size_t miss;
            double cost;
        };
        std::vector<Kept> sides;
        FeedProgram eased = feed_;
        for (std::size_t k = 0; k < feed_.limits().size(); ++k) {
            const limits::Limit& limit = feed_.limits()[k];
            const limits::LimitResult* result =
                limit.advisory ? find(before_all_, limit.id) : nullptr;
            if (result == nullptr || !result->met || !result->value) continue;
            for (const bool is_min : {true, false}) {
                if (!(is_min ? limit.min : limit.max)) continue;
                const std::size_t miss =
                    eased.add_column("miss " + std::to_string(sides.size()), 0);
                const std::size_t row =
                    eased.add_side({k, is_min}, limits::number_of(limit, is_min), Give{miss, 1});
                // A miss counts as a share of the weight that would make it up.
                const double cost = 1 / size_of(eased.program().rows()[row], miss);
                eased.program().set_cost(miss, cost);
                sides.push_back({{k, is_min}, miss, cost});
            }
        }
        if (sides.empty()) return false;
        const lp::Solution solution = lp::solve(eased.program(), options_.solve);
        if (solution.primal.empty()) return false;
        bool any = false;
        for (const Kept& kept : sides) {
            if (solution.primal[kept.miss] * kept.cost > least_change) continue;
            feed_.add_side(kept.side,
                           limits::number_of(feed_.limit_of(kept.side), kept.side.is_min));
            any = true;
        }
        return any;
    }

    /// The least weight moved, then the least cost.
    Change smallest() const { return best(weight_moved(), priced_ ? cost() : Costs{}); }
    /// The least cost, then the least weight moved.
    Change cheapest() const { return best(cost(), weight_moved()); }

    /// The fewest additions with which some change mends; nullopt when there is none.
    std::optional<int> fewest_additions() const {
        lp::LinearProgram program = feed_.program();
        if (additions_row_) program.set_row_limits(*additions_row_, {}, {});
        for (const std::size_t column : additions_)
            program.set_cost(column, 1);
        const lp::Solution solution = lp::solve(program, options_.solve);
        if (solution.primal.empty()) return std::nullopt;
        return static_cast<int>(std::lround(solution.objective));
    }

  private:
    using Costs = std::vector<double>;

    // The most of an ingredient that a recipe could hold.
    double most_of(std::size_t i) const {
        if (const auto most = portion_.most_of(i)) return *most;
        // A ration ten times as heavy as it is would not be a mended one.
        return job_.ingredients[i].max.value_or(10 * weighed_before_);
    }

    void add_uses() {
        std::vector<std::size_t> all;
        for (std::size_t i = 0; i < count_; ++i) {
            const job::Choice& choice = job_.ingredients[i];
            const bool is_new = !(before_[i] > 0);
            if (!feed_.is_use_asked(i) && !(is_new && options_.add_at_most)) continue;
            FeedProgram::UseRule rule{i, {}, most_of(i)};
            if (choice.min_if_used) rule.least = *choice.min_if_used / portion_.weight_per_kg();
            all.push_back(feed_.add_use(rule));
            if (is_new) additions_.push_back(all.back());
        }
        if (job_.at_most) feed_.add_count("at most", all, *job_.at_most);
        if (!options_.add_at_most) return;
        additions_row_ = feed_.add_count("additions", additions_, *options_.add_at_most);
    }

    // The largest coefficient of a row, but for its miss; 1 for a row without any.
    static double size_of(const lp::Row& row, std::size_t miss) {
        double size = 0;
        for (const lp::Entry& entry : row.entries) {
            if (entry.column != miss) size = std::max(size, std::abs(entry.value));
        }
        return size > 0 ? size : 1;
    }

    Costs weight_moved() const {
        Costs costs(2 * count_, 0.5);
        return costs;
    }

    Costs cost() const {
        Costs costs(2 * count_);
        for (std::size_t i = 0; i < count_; ++i) {
            costs[i] = *job_.ingredients[i].price;
            costs[count_ + i] = -costs[i];
        }
        return costs;
    }

    // What a rounding of the least `costs` is measured by: the dearest part that the mended recipe
    // has, for as much as the recipe weighs. What a change makes no use of has no part in it.
    double size_of(const Costs& costs, const lp::Solution& solution) const {
        std::vector<double> sizes;
        std::vector<double> amounts;
        double total = 0;
        for (std::size_t i = 0; i < count_; ++i) {
            sizes.push_back(costs[i]);
            amounts.push_back(before_[i] + solution.primal[i] - solution.primal[count_ + i]);
            total += before_[i];
        }
        return lp::cost_size(sizes, amounts) * total;
    }

    static void set_costs(lp::LinearProgram& program, const Costs& costs) {
        for (std::size_t c = 0; c < costs.size(); ++c)
            program.set_cost(c, costs[c]);
    }

    // The least `first`; of those the least `second`, if there is one.
    Change best(const Costs& first, const Costs& second) const {
        lp::LinearProgram program = feed_.program();
        set_costs(program, first);
        lp::Solution solution = lp::solve(program, options_.solve);
        Change change;
        change.status = solution.status;
        change.message = solution.message;
        if (solution.primal.empty()) return change;
        if (solution.status == lp::Status::optimal && !second.empty()) {
            lp::Row keep{"first", {}, {}, {}};
            const double size = size_of(first, solution);
            for (std::size_t c = 0; c < first.size(); ++c) {
                // What costs this much more than all else would blunt the row for the rest, and is
                // in no change that costs as little.
                constexpr double far = 1000;
                if (std::abs(first[c]) > far * size && !(solution.primal[c] > 0)) {
                    program.set_column_limits(c, 0.0, 0.0);
                } else if (first[c] != 0) {
                    keep.entries.push_back({c, first[c]});
                }
            }
            keep.upper = solution.objective + 1e-9 * size;
            program.add_row(std::move(keep));
            set_costs(program, second);
            const lp::Solution settled = lp::solve(program, options_.solve);
            if (settled.status == lp::Status::optimal) {
                solution = at_ends_of(settled, first, std::move(solution));
            }
        }
        fill(solution, change);
        return change;
    }

    // Settling leaves amounts a hair from nothing or from all, by the slack that "as little" needs.
    // Those are put there, and the rest solved for again; `fallback` where that does not work out.
    lp::Solution at_ends_of(const lp::Solution& settled, const Costs& first,
                            lp::Solution fallback) const {
        constexpr double hair = 1e-7;
        lp::LinearProgram program = feed_.program();
        set_costs(program, first);
        for (std::size_t c = 0; c < 2 * count_; ++c) {
            const double value = settled.primal[c];
            const auto& upper = program.columns()[c].upper;
            if (value < hair) {
                program.set_column_limits(c, 0.0, 0.0);
            } else if (upper && value > *upper - hair) {
                program.set_column_limits(c, *upper, *upper);
            }
        }
        lp::Solution ends = lp::solve(program, options_.solve);
        return ends.status == lp::Status::optimal ? std::move(ends) : std::move(fallback);
    }

    void fill(const lp::Solution& solution, Change& change) const {
        const double total = weighed_before_;
        std::vector<double> amounts;
        for (std::size_t i = 0; i < count_; ++i) {
            double moved = solution.primal[i] - solution.primal[count_ + i];
            if (std::abs(moved) < least_change * total) moved = 0;
            // What is taken out to the last gram leaves nothing, not rounding.
            double after = moved == 0 ? before_[i] : before_[i] + moved;
            if (after < least_change * total) after = 0;
            amounts.push_back(after);
            change.moved += std::abs(after - before_[i]) / 2;
        }
        static_cast<limits::Mix&>(change) = limits::mix_of(job_, std::move(amounts));
        for (std::size_t i = 0; i < count_; ++i) {
            if (!(before_[i] > 0) && !(change.amounts[i] > 0)) continue;
            const job::Choice& choice = job_.ingredients[i];
            change.changes.push_back(
                {choice.id, choice.name, before_[i], change.amounts[i], 100 * before_[i] / total,
                 100 * change.amounts[i] / change.weighed_in, !(before_[i] > 0), choice.price});
        }
        std::stable_sort(change.changes.begin(), change.changes.end(),
                         [](const MendedItem& a, const MendedItem& b) {
                             return std::abs(a.after - a.before) > std::abs(b.after - b.before);
                         });
        change.assessment =
            limits::assess(job_, limits::limits_of(job_, change.amounts), change.amounts);
        change.judgement = limits::judge(job_, change.amounts, change.assessment);
        for (const limits::LimitResult& limit : change.assessment.limits) {
            const limits::LimitResult* was = find(before_all_, limit.limit.id);
            if (was != nullptr && was->met && was->value && !limit.met)
                change.lost.push_back(limit);
        }
    }

    const job::Job& job_;
    job::Portion portion_;
    const std::vector<double>& before_;
    double weighed_before_;
    const limits::Assessment& before_all_;
    const MendOptions& options_;
    std::size_t count_;
    FeedProgram feed_;
    std::vector<std::size_t> additions_;
    std::optional<std::size_t> additions_row_;
    bool priced_ = false;
};

}  // namespace

Mending mend(const job::Job& recipe, const MendOptions& options) {
    Mending result;
    result.before = limits::check(recipe);
    if (result.before.passes && !options.even_if_it_passes) return result;
    std::optional<Mender> mender;
    Change smallest;
    for (const Salt salt : {Salt::as_it_is, Salt::up_to_cap}) {
        mender.emplace(recipe, result.before, options, salt);
        result.keeps_needs = mender->keep_met_needs();
        smallest = mender->smallest();
        if (result.keeps_needs && smallest.status == lp::Status::infeasible) {
            // Needs kept to the last digit may leave no room by a rounding; the limits come first.
            mender.emplace(recipe, result.before, options, salt);
            result.keeps_needs = false;
            smallest = mender->smallest();
        }
        if (smallest.status != lp::Status::infeasible) break;
    }
    result.status = smallest.status;
    result.message = smallest.message;
    if (smallest.amounts.empty()) {
        if (smallest.status != lp::Status::infeasible) return result;
        if (options.add_at_most) result.additions_needed = mender->fewest_additions();
        if (!result.additions_needed)
            result.reachable = reachable_limits(cheapest_program(with_any_prices(recipe)));
        return result;
    }
    result.smallest = std::move(smallest);
    if (mender->priced()) {
        Change cheapest = mender->cheapest();
        if (!cheapest.amounts.empty()) result.cheapest = std::move(cheapest);
        return result;
    }
    const bool any = std::any_of(recipe.ingredients.begin(), recipe.ingredients.end(),
                                 [](const job::Choice& c) { return c.price.has_value(); });
    for (const job::Choice& choice : recipe.ingredients) {
        if (any && !choice.price) result.no_price.push_back(choice.id);
    }
    return result;
}

}  // namespace feedwright::search
