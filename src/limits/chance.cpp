// SPDX-License-Identifier: GPL-3.0-or-later
#include "limits/chance.hpp"

#include "base/normal.hpp"
#include "catalog/variation.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <numeric>
#include <optional>
#include <random>
#include <string>
#include <utility>

namespace feedwright::limits {

namespace {

// What the limit's amount of an ingredient is made of: a content times a number; none where the
// amount is nothing, or does not vary.
struct Part {
    double factor = 0;
    std::string nutrient;
};

Part part_of(const job::Choice& choice, double amount, const std::string& nutrient) {
    const catalog::Amount* content = choice.composition.find(nutrient);
    if (content == nullptr || content->value == 0) return {};
    return {amount / content->value, nutrient};
}

Part amount_part(const job::Job& job, const Limit& limit, std::size_t i) {
    if (std::find(limit.assumed.begin(), limit.assumed.end(), i) != limit.assumed.end()) return {};
    return part_of(job.ingredients[i], limit.amount[i], limit.nutrient);
}

Part per_part(const job::Job& job, const Limit& limit, std::size_t i) {
    if (limit.per.empty()) return {};
    std::string whole = limit.nutrient_below;
    if (limit.kind == LimitKind::nutrient && limit.basis == "dry_matter") whole = "dry_matter";
    if (limit.kind == LimitKind::nutrient && limit.basis == "of_protein") whole = "crude_protein";
    if (whole.empty()) return {};
    return part_of(job.ingredients[i], limit.per[i], whole);
}

// What one standard deviation of each factor changes a content by, times `times`.
void add_changes(const job::Choice& choice, const Part& part, double times,
                 std::map<std::size_t, double>& changes) {
    if (part.factor == 0 || times == 0) return;
    const auto& factors = choice.variability.factors;
    const catalog::FactorSum content =
        catalog::content_of(choice.composition, choice.variability, part.nutrient);
    for (const catalog::FactorSum::Term& term : content.terms) {
        for (const std::size_t f : term.factors) {
            double change = term.coefficient * factors[f].sd;
            for (const std::size_t other : term.factors) {
                if (other != f) change *= factors[other].mean;
            }
            if (change != 0) changes[f] += times * part.factor * change;
        }
    }
}

double spread_of(const job::Job& job, const Limit& limit, std::size_t i, double number) {
    std::map<std::size_t, double> changes;
    const job::Choice& choice = job.ingredients[i];
    add_changes(choice, amount_part(job, limit, i), 1, changes);
    add_changes(choice, per_part(job, limit, i), -number, changes);
    double sum = 0;
    for (const auto& [factor, change] : changes)
        sum += change * change;
    return std::sqrt(sum);
}

// The chance that one side holds, to first order.
double side_holds(const job::Job& job, const Limit& limit, const std::vector<double>& x,
                  double value, bool is_min) {
    const Margin margin = margin_to(limit, value, is_min);
    double variance = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        if (!(x[i] > 0)) continue;
        const double spread = x[i] * spread_of(job, limit, i, margin.side);
        variance += spread * spread;
    }
    if (!(variance > 0)) return margin.met() ? 1 : 0;
    return base::normal_chance(margin.margin * scale_of(limit, x) / std::sqrt(variance));
}

std::optional<double> holds_percent(const job::Job& job, const LimitResult& result,
                                    const std::vector<double>& x) {
    const Limit& limit = result.limit;
    if (!is_on_contents(limit) || !result.value) return std::nullopt;
    double fails = 0;
    if (limit.min) fails += 1 - side_holds(job, limit, x, *result.value, true);
    if (limit.max) fails += 1 - side_holds(job, limit, x, *result.value, false);
    return 100 * std::clamp(1 - fails, 0.0, 1.0);
}

// Standard normal numbers, the same on every machine: the middles of as many equally likely ranges
// as 16 bits tell apart, four of them from each number of the standard's generator.
class NormalSource {
  public:
    explicit NormalSource(std::uint64_t seed) : engine_(seed) {}

    double next() {
        if (left_ == 0) {
            bits_ = engine_();
            left_ = 4;
        }
        const double z = table()[bits_ & (size - 1)];
        bits_ >>= 16U;
        --left_;
        return z;
    }

  private:
    static constexpr std::size_t size = std::size_t{1} << 16U;

    static const std::vector<double>& table() {
        static const std::vector<double> middles = [] {
            std::vector<double> list(size);
            for (std::size_t i = 0; i < size / 2; ++i) {
                const double z = base::normal_quantile((static_cast<double>(i) + 0.5) /
                                                       static_cast<double>(size));
                list[i] = z;
                list[size - 1 - i] = -z;
            }
            return list;
        }();
        return middles;
    }

    std::mt19937_64 engine_;
    std::uint64_t bits_ = 0;
    int left_ = 0;
};

// Whether all limits of a mix hold in lots drawn from the full model: every factor a normal
// number, none of a content below zero.
class Lots {
  public:
    Lots(const job::Job& job, const std::vector<double>& x, const Assessment& assessment)
        : job_(job), x_(x) {
        for (std::size_t k = 0; k < assessment.limits.size(); ++k) {
            const LimitResult& result = assessment.limits[k];
            const Limit& limit = result.limit;
            if (!is_on_contents(limit) || limit.advisory || !result.value) continue;
            if (limit.weak && !result.met) continue;
            add(k, limit);
        }
    }

    std::optional<Chance> draw() {
        if (limits_.empty()) return std::nullopt;
        constexpr std::uint64_t seed = 20'260'401;
        NormalSource normal(seed);
        std::vector<std::size_t> failed(limits_.size(), 0);
        std::vector<double> contents(contents_.size());
        std::vector<double> values(factors_.size());
        std::size_t all_hold = 0;
        for (std::size_t lot = 0; lot < chance_draws; ++lot) {
            for (std::size_t f = 0; f < factors_.size(); ++f) {
                values[f] = std::max(0.0, factors_[f]->mean + factors_[f]->sd * normal.next());
            }
            for (std::size_t c = 0; c < contents_.size(); ++c)
                contents[c] = value_of(contents_[c], values);
            bool holds = true;
            for (std::size_t k = 0; k < limits_.size(); ++k) {
                if (limits_[k].holds(contents)) continue;
                ++failed[k];
                holds = false;
            }
            if (holds) ++all_hold;
        }
        const auto percent = [](std::size_t lots) {
            return 100 * static_cast<double>(lots) / static_cast<double>(chance_draws);
        };
        Chance chance;
        chance.all_percent = percent(all_hold);
        const auto most = std::max_element(failed.begin(), failed.end());
        if (*most > 0) {
            chance.weakest = limits_[static_cast<std::size_t>(most - failed.begin())].limit;
            chance.weakest_percent = percent(chance_draws - *most);
        }
        chance.without_spread = without_spread();
        chance.values = factors_.size();
        for (const catalog::Factor* factor : factors_) {
            if (factor->spread == catalog::Spread::assumed) ++chance.assumed;
        }
        return chance;
    }

  private:
    struct Drawn {
        std::size_t limit = 0;
        std::optional<double> lowest;  // the sides, widened by what counts as met
        std::optional<double> highest;
        std::vector<std::pair<std::size_t, double>> amount;  // content and its weight
        std::vector<std::pair<std::size_t, double>> per;
        double fixed = 0;
        double fixed_per = 0;

        bool holds(const std::vector<double>& contents) const {
            double sum = fixed;
            for (const auto& [c, weight] : amount)
                sum += weight * contents[c];
            double whole = fixed_per;
            for (const auto& [c, weight] : per)
                whole += weight * contents[c];
            return !(lowest && sum < *lowest * whole) && !(highest && sum > *highest * whole);
        }
    };

    void add(std::size_t k, const Limit& limit) {
        Drawn drawn;
        drawn.limit = k;
        if (limit.min) drawn.lowest = *limit.min - binding_margin * size_of_side(limit, *limit.min);
        if (limit.max)
            drawn.highest = *limit.max + binding_margin * size_of_side(limit, *limit.max);
        if (limit.per.empty()) drawn.fixed_per = 1;
        for (std::size_t i = 0; i < x_.size(); ++i) {
            if (!(x_[i] > 0)) continue;
            const auto put = [&](const Part& part, double amount, auto& list, double& fixed) {
                if (part.factor == 0) {
                    fixed += x_[i] * amount;
                } else {
                    list.emplace_back(content(i, part.nutrient), x_[i] * part.factor);
                }
            };
            put(amount_part(job_, limit, i), limit.amount[i], drawn.amount, drawn.fixed);
            if (!limit.per.empty())
                put(per_part(job_, limit, i), limit.per[i], drawn.per, drawn.fixed_per);
        }
        limits_.push_back(std::move(drawn));
    }

    std::vector<std::string> without_spread() const {
        constexpr double trifle = 0.01;  // of the mix: its contents hardly matter
        const double total = std::accumulate(x_.begin(), x_.end(), 0.0);
        std::vector<std::string> names;
        for (std::size_t i = 0; i < x_.size(); ++i) {
            const job::Choice& choice = job_.ingredients[i];
            const auto& factors = choice.variability.factors;
            // An sd of 0 that was given is known.
            const bool known = std::any_of(factors.begin(), factors.end(), [](const auto& factor) {
                return factor.sd > 0 || factor.spread != catalog::Spread::assumed;
            });
            // Water is the same in every lot.
            if (x_[i] > trifle * total && !known && choice.category != "water")
                names.push_back(choice.name);
        }
        return names;
    }

    std::size_t content(std::size_t i, const std::string& nutrient) {
        const auto [known, is_new] = content_at_.try_emplace({i, nutrient}, contents_.size());
        if (!is_new) return known->second;
        const job::Choice& choice = job_.ingredients[i];
        catalog::FactorSum content =
            catalog::content_of(choice.composition, choice.variability, nutrient);
        for (catalog::FactorSum::Term& term : content.terms) {
            std::vector<std::size_t> drawn;
            for (const std::size_t f : term.factors) {
                const catalog::Factor& factor = choice.variability.factors[f];
                if (factor.sd > 0) {
                    drawn.push_back(place_of(factor));
                } else {
                    term.coefficient *= factor.mean;
                }
            }
            term.factors = std::move(drawn);
        }
        contents_.push_back(std::move(content));
        return known->second;
    }

    std::size_t place_of(const catalog::Factor& factor) {
        const auto [known, is_new] = factor_at_.try_emplace(&factor, factors_.size());
        if (is_new) factors_.push_back(&factor);
        return known->second;
    }

    static double value_of(const catalog::FactorSum& content, const std::vector<double>& values) {
        double sum = content.constant;
        for (const catalog::FactorSum::Term& term : content.terms) {
            double product = term.coefficient;
            for (const std::size_t f : term.factors)
                product *= values[f];
            sum += product;
        }
        return sum;
    }

    const job::Job& job_;
    const std::vector<double>& x_;
    std::vector<Drawn> limits_;
    std::vector<catalog::FactorSum> contents_;  // over factors_
    std::vector<const catalog::Factor*> factors_;
    std::map<std::pair<std::size_t, std::string>, std::size_t> content_at_;
    std::map<const catalog::Factor*, std::size_t> factor_at_;
};

}  // namespace

bool is_on_contents(const Limit& limit) {
    const bool is_exact = limit.min && limit.max && *limit.min == *limit.max;
    return !is_exact && (limit.kind == LimitKind::nutrient || limit.kind == LimitKind::ratio);
}

std::vector<double> spreads_of(const job::Job& job, const Limit& limit, double number) {
    std::vector<double> spreads;
    for (std::size_t i = 0; i < job.ingredients.size(); ++i)
        spreads.push_back(spread_of(job, limit, i, number));
    return spreads;
}

void add_chance(const job::Job& job, const std::vector<double>& x, Assessment& assessment) {
    for (LimitResult& result : assessment.limits)
        result.holds_percent = result.nothing_known ? std::nullopt : holds_percent(job, result, x);
    // Of a limit that nothing is known of there is no chance to tell.
    if (std::any_of(assessment.limits.begin(), assessment.limits.end(),
                    [](const LimitResult& result) {
                        return result.nothing_known && !result.limit.advisory;
                    }))
        return;
    assessment.chance = Lots(job, x, assessment).draw();
}

}  // namespace feedwright::limits
