// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/make_or_buy.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::economics {

namespace {

double outlay(const Make& make) {
    double sum = 0;
    for (const Equipment& e : make.equipment)
        sum += e.price;
    return sum;
}

// Money spent once to start, at the running cost of the feed that is used up in learning.
double start_cost(const StartUp& start, double running_cost_per_kg) {
    return start.feed_kg * running_cost_per_kg + start.other;
}

double running(const MakeCosts& c) {
    return c.materials + c.premix + c.labour + c.energy + c.drying + c.other + c.packaging;
}

// Zero of a straight line through two points of `difference`, where it is positive.
template <class Function>
std::optional<double> zero_of_line(double x1, double x2, const Function& difference) {
    const double d1 = difference(x1);
    const double d2 = difference(x2);
    const double slope = (d2 - d1) / (x2 - x1);
    if (slope == 0 || !std::isfinite(slope)) return std::nullopt;
    const double root = x1 - d1 / slope;
    // A root that is zero, or beyond reach, but for rounding is none.
    const double scale = std::max(std::abs(x1), std::abs(x2));
    if (!std::isfinite(root) || root <= 1e-9 * scale || root >= 1e9 * scale) return std::nullopt;
    return root;
}

// The input on which the yearly difference depends as a straight line.
std::optional<double> solve(const Venture& venture, const std::function<double&(Venture&)>& at) {
    Venture changed = venture;
    const double now = at(changed);
    const double step = now > 0 ? now : 1;
    return zero_of_line(now, now + step, [&](double x) {
        at(changed) = x;
        return yearly_difference(changed);
    });
}

// The same for an input that acts through its reciprocal.
std::optional<double> solve_reciprocal(const Venture& venture,
                                       const std::function<double&(Venture&)>& at) {
    Venture changed = venture;
    const double now = 1 / at(changed);
    const auto root = zero_of_line(now, 2 * now, [&](double x) {
        at(changed) = 1 / x;
        return yearly_difference(changed);
    });
    return root ? std::optional<double>(1 / *root) : std::nullopt;
}

std::optional<double> payback(const Venture& venture) {
    const MakeCosts costs = make_costs(venture);
    double spent = outlay(venture.make);
    double written_off = 0;
    for (const Equipment& e : venture.make.equipment) {
        written_off += (e.price - e.salvage) / e.life_years;
    }
    if (const auto& start = venture.make.start_up) {
        const double cost = start_cost(*start, running(costs));
        spent += cost;
        written_off += cost / start->over_years;
    }
    const double saving = yearly_difference(venture) + written_off;
    if (!(spent > 0) || !(saving > 0)) return std::nullopt;
    return spent / saving;
}

BreakEven present_values(const Venture& venture) {
    BreakEven now;
    now.value_of_hour = venture.make.value_of_hour;
    now.bought_price_per_kg = venture.buy.pack_price / venture.buy.pack_kg;
    now.make_fcr = venture.make.fcr;
    now.materials_per_kg = venture.make.materials_per_kg;
    now.batch_kg = venture.make.batch_kg;
    now.gain_kg_per_year = venture.gain_kg_per_year;
    now.feed_kg_per_year = venture.feed_kg_per_year;
    return now;
}

GrownResult grown_result(const OwnGrown& grown, double mixed_kg_per_year) {
    GrownResult result;
    result.ingredient = grown.ingredient;
    result.organism = grown.organism;
    result.kind = grown.kind;
    result.yield = grown.yield;
    result.own_yield = grown.own_yield;
    result.grown_kg_per_year = grown_dry_matter_per_year(grown);
    result.needed_kg_per_year =
        mixed_kg_per_year * grown.percent_of_mix / 100 * grown.dry_matter / 100;
    const double share = result.needed_kg_per_year / result.grown_kg_per_year;
    result.needed_area_m2 = grown.area_m2 * share;
    result.needed_substrate_kg_per_week = grown.substrate_kg_per_week * share;
    result.cost_per_kg_dry_matter = grown_cost_per_kg_dry_matter(grown);
    result.price_per_kg = grown_price_per_kg(grown);
    if (const auto& pack = grown.small_packs) {
        result.small_pack_cost_per_kg_dry_matter =
            (pack->price + pack->delivery) / (pack->kg * pack->dry_matter / 100);
    }
    result.sources = grown.sources;
    result.note = grown.note;
    return result;
}

std::optional<HomeNutrient> home_value(const Venture& venture, const VentureContext& context,
                                       const std::string& nutrient) {
    for (const LabelValue& line : venture.make.analysis) {
        if (line.nutrient == nutrient) return HomeNutrient{nutrient, line.min.value_or(0), 100};
    }
    for (const HomeNutrient& known : context.home_analysis) {
        if (known.nutrient == nutrient) return known;
    }
    return std::nullopt;
}

void compare_nutrients(const Venture& venture, const VentureContext& context,
                       VentureResult& result) {
    for (const LabelValue& line : venture.buy.label) {
        NutrientComparison row;
        row.nutrient = line.nutrient;
        row.bought_min = line.min;
        row.bought_max = line.max;
        if (const auto home = home_value(venture, context, line.nutrient)) {
            row.home = home->value;
            row.known_percent = home->known_percent;
        }
        row.home_below = row.home && line.min && *row.home < *line.min;
        row.home_above = row.home && line.max && *row.home > *line.max;
        if (line.nutrient == "crude_protein" && line.min && *line.min > 0) {
            result.buy_cost_per_kg_protein = result.bought_cost_per_kg / (*line.min / 100);
        }
        result.nutrients.push_back(std::move(row));
    }
    const auto protein = home_value(venture, context, "crude_protein");
    if (protein && protein->value > 0) {
        result.make_cost_per_kg_protein = result.make.total / (protein->value / 100);
    }
}

void add_cautions(const Venture& venture, const VentureContext& context, VentureResult& result) {
    const auto add = [&](const KeepingFact& fact, KeepingCaution::Kind kind, double value) {
        result.cautions.push_back({kind, value, fact.text});
        result.sources.push_back(fact.source);
    };
    const Make& make = venture.make;
    for (const KeepingFact& fact : context.keeping) {
        if (fact.id == "finished_feed_months") {
            const double lasts = 12 / result.batches_per_year;
            if (make.storage_months && *make.storage_months > fact.value) {
                add(fact, KeepingCaution::Kind::kept_long, *make.storage_months);
            } else if (lasts > fact.value) {
                add(fact, KeepingCaution::Kind::batch_lasts, lasts);
            }
        }
        if (fact.id == "finished_feed_moisture" && make.drying &&
            make.drying->finished_moisture > fact.value) {
            add(fact, KeepingCaution::Kind::damp, make.drying->finished_moisture);
        }
    }
}

}  // namespace

YearlyAmounts yearly_amounts(const Venture& venture) {
    YearlyAmounts amounts;
    const auto& home = venture.make.fcr;
    const auto& bought = venture.buy.fcr;
    if (venture.gain_kg_per_year) {
        amounts.gain_kg = venture.gain_kg_per_year;
        amounts.home_feed_kg = *venture.gain_kg_per_year * *home;
        amounts.bought_feed_kg = *venture.gain_kg_per_year * *bought;
    } else {
        amounts.home_feed_kg = *venture.feed_kg_per_year;
        amounts.bought_feed_kg = *venture.feed_kg_per_year;
        if (home && bought) {
            amounts.gain_kg = *venture.feed_kg_per_year / *home;
            amounts.bought_feed_kg = *amounts.gain_kg * *bought;
        }
    }
    return amounts;
}

double materials_per_kg_of_mix(const Venture& venture) {
    const Make& make = venture.make;
    double sum = make.materials_per_kg * (1 + make.materials_change_percent / 100);
    for (const OwnGrown& grown : make.own_grown) {
        sum += grown.percent_of_mix / 100 * grown_price_per_kg(grown);
    }
    return sum;
}

double saleable_share(const Make& make) {
    double share = 1;
    for (const LossStep& step : make.losses)
        share *= 1 - step.percent / 100;
    return share * (1 - make.spoilage_percent / 100);
}

MakeCosts make_costs(const Venture& venture) {
    const Make& make = venture.make;
    const double share = saleable_share(make);
    const double saleable = make.batch_kg * share;
    const double feed = yearly_amounts(venture).home_feed_kg;
    MakeCosts costs;
    costs.materials = materials_per_kg_of_mix(venture) / share;
    if (make.premix) {
        costs.premix = make.premix->percent / 100 * make.premix->price_per_kg / share;
    }
    costs.labour = make.hours_per_batch * make.value_of_hour / saleable;
    costs.energy = make.kwh_per_batch * make.price_per_kwh / saleable;
    if (make.drying) {
        costs.drying =
            water_per_kg(*make.drying) * make.drying->kwh_per_kg_water * make.price_per_kwh / share;
    }
    costs.other = make.other_per_batch / saleable;
    // Bags are filled with what is left after making; what spoils in store was bagged too.
    if (make.packaging) {
        costs.packaging =
            make.packaging->price / make.packaging->pack_kg / (1 - make.spoilage_percent / 100);
    }
    costs.equipment = equipment_per_year(make.equipment) / feed;
    if (make.start_up) {
        costs.start_up =
            start_cost(*make.start_up, running(costs)) / make.start_up->over_years / feed;
    }
    costs.total = running(costs) + costs.equipment + costs.start_up;
    return costs;
}

double bought_cost_per_kg(const Buy& buy) {
    return (buy.pack_price + buy.delivery_per_pack) / buy.pack_kg / (1 - buy.loss_percent / 100);
}

double yearly_difference(const Venture& venture) {
    const YearlyAmounts amounts = yearly_amounts(venture);
    return amounts.bought_feed_kg * bought_cost_per_kg(venture.buy) -
           amounts.home_feed_kg * make_costs(venture).total;
}

BreakEven break_even(const Venture& venture) {
    BreakEven result;
    result.value_of_hour =
        solve(venture, [](Venture& v) -> double& { return v.make.value_of_hour; });
    result.materials_per_kg =
        solve(venture, [](Venture& v) -> double& { return v.make.materials_per_kg; });
    const auto pack_price = solve(venture, [](Venture& v) -> double& { return v.buy.pack_price; });
    if (pack_price) result.bought_price_per_kg = *pack_price / venture.buy.pack_kg;
    result.batch_kg =
        solve_reciprocal(venture, [](Venture& v) -> double& { return v.make.batch_kg; });
    if (venture.make.fcr) {
        const auto fcr = [](Venture& v) -> double& { return *v.make.fcr; };
        // At a given gain the home feed's cost is a straight line in its FCR; at a given amount of
        // feed it is the gain, and so the bought feed, that moves with 1 / FCR.
        result.make_fcr =
            venture.gain_kg_per_year ? solve(venture, fcr) : solve_reciprocal(venture, fcr);
    }
    if (venture.gain_kg_per_year) {
        result.gain_kg_per_year =
            solve(venture, [](Venture& v) -> double& { return *v.gain_kg_per_year; });
    } else {
        result.feed_kg_per_year =
            solve(venture, [](Venture& v) -> double& { return *v.feed_kg_per_year; });
    }
    result.payback_years = payback(venture);
    return result;
}

Chance chance_of(const Venture& venture, int draws, std::uint64_t seed) {
    Chance chance;
    chance.draws = draws;
    chance.seed = seed;
    Venture drawn = venture;
    std::vector<double*> places;
    for (const Uncertain& input : venture.uncertain)
        places.push_back(&input.at(drawn));

    const double likely = yearly_difference(venture);
    for (std::size_t i = 0; i < places.size(); ++i) {
        const Uncertain& input = venture.uncertain[i];
        Swing swing{input.name, input.unit, input.range};
        *places[i] = input.range.low;
        swing.at_low = yearly_difference(drawn);
        *places[i] = input.range.high;
        swing.at_high = yearly_difference(drawn);
        *places[i] = input.range.likely;
        swing.flips = (swing.at_low > 0) != (likely > 0) || (swing.at_high > 0) != (likely > 0);
        chance.tornado.push_back(std::move(swing));
    }
    std::stable_sort(chance.tornado.begin(), chance.tornado.end(),
                     [](const Swing& a, const Swing& b) {
                         return std::abs(a.at_high - a.at_low) > std::abs(b.at_high - b.at_low);
                     });
    // What can flip the answer alone is worth measuring before what only moves it further.
    const auto flipping = std::find_if(chance.tornado.begin(), chance.tornado.end(),
                                       [](const Swing& s) { return s.flips; });
    if (flipping != chance.tornado.end()) {
        chance.measure_first = flipping->name;
    } else if (!chance.tornado.empty()) {
        chance.measure_first = chance.tornado.front().name;
    }

    UniformSource uniform(seed);
    std::vector<double> differences(static_cast<std::size_t>(draws));
    int wins = 0;
    for (double& difference : differences) {
        for (std::size_t i = 0; i < places.size(); ++i) {
            *places[i] = triangular_quantile(venture.uncertain[i].range, uniform.next());
        }
        difference = yearly_difference(drawn);
        if (difference > 0) ++wins;
    }
    std::sort(differences.begin(), differences.end());
    const auto quantile = [&](double p) {
        return differences[static_cast<std::size_t>(p * static_cast<double>(draws - 1))];
    };
    chance.making_wins = static_cast<double>(wins) / draws;
    chance.low = quantile(0.05);
    chance.middle = quantile(0.5);
    chance.high = quantile(0.95);
    return chance;
}

VentureResult make_or_buy(const Venture& venture, const VentureContext& context) {
    VentureResult result;
    const Make& make = venture.make;
    result.title = venture.title;
    result.note = venture.note;
    result.currency = venture.currency;
    result.gain_of = venture.gain_of;
    result.bought_name = venture.buy.name;
    result.context = context;
    result.make = make_costs(venture);
    result.bought_cost_per_kg = bought_cost_per_kg(venture.buy);
    result.bought_delivery_part =
        venture.buy.delivery_per_pack / venture.buy.pack_kg / (1 - venture.buy.loss_percent / 100);
    result.present = present_values(venture);
    result.make_fcr = make.fcr.value_or(0);
    result.buy_fcr = venture.buy.fcr.value_or(0);
    if (make.fcr && venture.buy.fcr) {
        result.make_cost_per_kg_gain = result.make.total * *make.fcr;
        result.buy_cost_per_kg_gain = result.bought_cost_per_kg * *venture.buy.fcr;
    }
    result.amounts = yearly_amounts(venture);
    result.yearly_difference = yearly_difference(venture);
    result.saleable_kg_per_batch = make.batch_kg * saleable_share(make);
    result.batches_per_year = result.amounts.home_feed_kg / result.saleable_kg_per_batch;
    result.hours_per_year = result.batches_per_year * make.hours_per_batch;
    for (const OwnGrown& grown : make.own_grown) {
        result.hours_per_year += grown.hours_per_week * 365 / 7;
    }
    result.equipment_outlay = outlay(make);
    for (const Equipment& e : make.equipment) {
        result.equipment_life_years = std::max(result.equipment_life_years, e.life_years);
    }
    if (make.drying) result.water_kg_per_batch = make.batch_kg * water_per_kg(*make.drying);
    result.labour_is_free = make.hours_per_batch > 0 && make.value_of_hour == 0;
    for (const OwnGrown& grown : make.own_grown) {
        result.labour_is_free |= grown.hours_per_week > 0 && grown.value_of_hour == 0;
        result.grown.push_back(grown_result(grown, result.batches_per_year * make.batch_kg));
    }
    result.break_even = break_even(venture);
    if (!venture.uncertain.empty()) result.chance = chance_of(venture);
    compare_nutrients(venture, context, result);
    result.not_counted = venture.not_counted;
    add_cautions(venture, context, result);
    return result;
}

}  // namespace feedwright::economics
