// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/plan.hpp"

#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace feedwright::economics {

namespace {

using base::shortest;

// A table for another temperature is still used within this distance without a table that knows
// none.
constexpr double near_enough_c = 3;
constexpr double days_per_month = 365.0 / 12;
constexpr double fcr_agreement = 0.1;

[[noreturn]] void refuse(const Plan& plan, std::string place, std::string found,
                         std::string expected, std::string hint = {}) {
    // "/target_g" of a file is --target of the command line.
    if (plan.file.empty()) place = "--" + place.substr(1, place.find('_') - 1);
    throw base::DataError(base::Diagnostic{plan.file, std::move(place), std::move(found),
                                           std::move(expected), std::move(hint)});
}

template <class T>
void add_once(std::vector<T>& list, const T& one) {
    if (std::find(list.begin(), list.end(), one) == list.end()) list.push_back(one);
}

// Nothing for figures without a source.
void add_source(PlanResult& result, const std::string& source) {
    if (!source.empty()) add_once(result.sources, source);
}

std::optional<double> temperature_at(const Plan& plan, double day) {
    std::optional<double> found;
    for (const DayStep& step : plan.temperature) {
        if (step.day <= day) found = step.value;
    }
    return found;
}

// Straight line through the weighings, level after the last.
template <class Member>
double weighed_at(const std::vector<GrowthPoint>& list, double day, const Member& member) {
    for (std::size_t i = 1; i < list.size(); ++i) {
        if (day > list[i].day) continue;
        const double share = (day - list[i - 1].day) / (list[i].day - list[i - 1].day);
        return member(list[i - 1]) + share * (member(list[i]) - member(list[i - 1]));
    }
    return member(list.back());
}

double distance(const catalog::Range& range, double value) {
    return std::max({0.0, range.low - value, value - range.high});
}

int whole_packs(double kg, double pack_kg) {
    return static_cast<int>(std::ceil(kg / pack_kg - 1e-9));
}

// How the growth of the plan's animals follows the water, where rations of the profile set it.
const catalog::GrowthResponse* response_of(const Plan& plan, const PlanContext& context) {
    const bool published = plan.growth == Growth::fed && plan.rations.empty();
    if (!published || context.water == nullptr || context.profile == nullptr) return nullptr;
    return context.water->growth_of(context.profile->species);
}

// Finds published or own feeding rates for a weight and remembers what it had to assume.
class FeedingGuide {
  public:
    FeedingGuide(const Plan& plan, const PlanContext& context, PlanResult& result)
        : plan_(plan), result_(result), follows_water_(response_of(plan, context) != nullptr) {
        const catalog::Profile* profile = context.profile;
        for (const auto& rate : plan.rations)
            own_.push_back(&rate);
        if (profile == nullptr) return;
        for (const auto& stage : profile->stages) {
            for (const auto& rate : stage.feeding)
                published_.push_back(&rate);
        }
    }

    const catalog::FeedingRate* ration(double weight, std::optional<double> temperature) {
        const auto has_ration = [](const catalog::FeedingRate& r) {
            return r.ration_percent.has_value();
        };
        const auto* rate = pick(covering(own_, weight, has_ration), weight, temperature);
        if (rate == nullptr) {
            rate = pick(covering(published_, weight, has_ration), weight, temperature);
        }
        if (rate != nullptr) add_source(result_, rate->source);
        return rate;
    }

    const catalog::FeedingRate* pellet(double weight) {
        const auto has_pellet = [](const catalog::FeedingRate& r) {
            return r.pellet_mm.has_value();
        };
        auto list = covering(own_, weight, has_pellet);
        if (list.empty()) list = covering(published_, weight, has_pellet);
        if (list.empty()) return nullptr;
        add_source(result_, list.front()->source);
        return list.front();
    }

  private:
    using List = std::vector<const catalog::FeedingRate*>;

    // A weight on the border of two classes belongs to the upper one.
    template <class Test>
    static List covering(const List& from, double weight, const Test& test) {
        List inside;
        List at_top;
        for (const auto* rate : from) {
            if (!test(*rate) || weight < rate->weight_g.low) continue;
            if (weight < rate->weight_g.high) inside.push_back(rate);
            if (weight == rate->weight_g.high) at_top.push_back(rate);
        }
        return inside.empty() ? at_top : inside;
    }

    const catalog::FeedingRate* pick(const List& list, double weight,
                                     std::optional<double> temperature) {
        const catalog::FeedingRate* any = nullptr;
        const catalog::FeedingRate* nearest = nullptr;
        bool several = false;
        for (const auto* rate : list) {
            if (!rate->temperature_c) {
                if (any == nullptr) any = rate;
                continue;
            }
            several |= nearest != nullptr;
            const bool nearer =
                nearest == nullptr ||
                (temperature && distance(*rate->temperature_c, *temperature) <
                                    distance(*nearest->temperature_c, *temperature));
            if (nearer) nearest = rate;
        }
        if (nearest == nullptr) return any;
        if (!temperature) {
            if (any != nullptr) return any;
            if (several) {
                refuse(plan_, "/temperature", "no \"temperature\"",
                       fmt::format("a \"temperature\": the rations at {} g depend on it",
                                   base::significant(weight, 3)));
            }
            note({.kind = PlanNote::Kind::rations_for, .value = nearest->temperature_c->low});
            return nearest;
        }
        const double away = distance(*nearest->temperature_c, *temperature);
        if (away > near_enough_c) {
            if (any != nullptr) return any;
            if (!follows_water_)
                note({.kind = PlanNote::Kind::nearest_rations,
                      .value = nearest->temperature_c->low,
                      .own = *temperature});
        }
        return nearest;
    }

    void note(const PlanNote& one) { add_once(result_.notes, one); }

    const Plan& plan_;
    PlanResult& result_;
    bool follows_water_;
    List own_;
    List published_;
};

// Growth that is the same whatever the water's temperature.
bool ignores_temperature(const Plan& plan) {
    return plan.growth == Growth::fed || plan.growth == Growth::sgr;
}

bool is_off_best(const catalog::TemperatureRange& range, double celsius) {
    return (range.best_low && celsius < *range.best_low) ||
           (range.best_high && celsius > *range.best_high);
}

// `response`: what all of the plan's growth follows; nullptr where it follows nothing, or not all.
std::optional<GrowthCaution> growth_caution(const Plan& plan, const catalog::Profile& profile,
                                            const catalog::GrowthResponse* response, int days) {
    const bool is_followed = response != nullptr;
    if (!ignores_temperature(plan)) return std::nullopt;
    if (!is_followed &&
        !(profile.temperature && profile.temperature->best_low && profile.temperature->best_high))
        return std::nullopt;
    std::optional<catalog::Range> off;
    for (const DayStep& step : plan.temperature) {
        if (step.day >= days) continue;
        const bool known = is_followed ? response->covers(step.value)
                                       : !is_off_best(*profile.temperature, step.value);
        if (known) continue;
        if (!off) off = {step.value, step.value};
        off->low = std::min(off->low, step.value);
        off->high = std::max(off->high, step.value);
    }
    if (!off) return std::nullopt;
    const catalog::Range inside =
        is_followed
            ? catalog::Range{response->sgr.front().celsius, response->sgr.back().celsius}
            : catalog::Range{*profile.temperature->best_low, *profile.temperature->best_high};
    return GrowthCaution{profile.name, *off, inside,
                         plan.growth == Growth::sgr || !plan.rations.empty(), is_followed};
}

// "30 laying hens", "1 laying hen", "200 Nile tilapia": the names of fish stay as they are.
std::string counted_name(const catalog::Profile& profile, double number) {
    std::string name = profile.name;
    if (number == 1 || profile.group == "fish") return name;
    return name.insert(std::min(name.find(" ("), name.size()), "s");
}

void check_temperature(const Plan& plan, const catalog::Profile& profile, PlanResult& result) {
    if (!profile.temperature) return;
    const auto& range = *profile.temperature;
    for (const DayStep& step : plan.temperature) {
        const bool cold = range.low && step.value < *range.low;
        const bool hot = range.high && step.value > *range.high;
        if (cold || hot) {
            std::string lives = range.low ? fmt::format("from {}", shortest(*range.low)) : "";
            if (range.high)
                lives += fmt::format("{}to {}", lives.empty() ? "" : " ", shortest(*range.high));
            refuse(plan, "/temperature", fmt::format("{} C", base::fixed(step.value, 1)),
                   fmt::format("a temperature {} lives at: {} C", profile.name, lives),
                   range.limits_sources.empty()
                       ? fmt::format("Choose another species or season ({})", range.source)
                       : fmt::format("Choose another species or season ({})",
                                     base::join_words(range.limits_sources)));
        }
        const bool off_best = is_off_best(range, step.value);
        if (off_best && range.best_low && range.best_high && !ignores_temperature(plan)) {
            add_once(result.notes, {.kind = PlanNote::Kind::slower_growth,
                                    .name = profile.name,
                                    .value = step.value,
                                    .range = {*range.best_low, *range.best_high}});
        }
        if (cold || hot || off_best) add_source(result, range.source);
    }
}

const catalog::Stage* stage_at(const catalog::Profile* profile, double weight) {
    if (profile == nullptr) return nullptr;
    const catalog::Stage* at_top = nullptr;
    for (const auto& stage : profile->stages) {
        if (!stage.weight_g || weight < stage.weight_g->low) continue;
        if (weight < stage.weight_g->high) return &stage;
        if (weight == stage.weight_g->high) at_top = &stage;
    }
    return at_top;
}

// One row's growth beside the row itself.
struct Period {
    PlanRow row;
    double end_g = 0;
    double fcr = 0;  // of a period fed by FCR
};

// Walks through the periods: weights, rations and pellets, not yet numbers and amounts.
class Walk {
  public:
    Walk(const Plan& plan, const PlanContext& context, PlanResult& result)
        : plan_(plan),
          context_(context),
          result_(result),
          guide_(plan, context, result),
          followed_(response_of(plan, context)) {
        fcr_ = plan.fcr;
        if (!fcr_ && context.venture) fcr_ = context.venture->make.fcr;
    }

    /// What the growth of all periods followed; nullptr where some of it did not.
    const catalog::GrowthResponse* followed() const { return followed_; }

    std::vector<Period> periods() {
        std::vector<Period> list;
        double weight = plan_.start_g;
        int day = 0;
        while (!ended(day, weight)) {
            Period period = begin(day, weight, static_cast<int>(list.size()) + 1);
            while (period.row.days < plan_.adjust_every_days && !ended(day, weight)) {
                weight = next_weight(day, weight, period);
                ++day;
                ++period.row.days;
            }
            period.end_g = weight;
            list.push_back(std::move(period));
        }
        return list;
    }

  private:
    bool ended(int day, double weight) const {
        if (plan_.target_g) {
            if (weight >= *plan_.target_g * (1 - 1e-12)) return true;
            if (day >= longest_plan_days) {
                refuse(plan_, "/target_g",
                       fmt::format("a target of {} g", shortest(*plan_.target_g)),
                       "a target that is reached within ten years",
                       fmt::format("At this growth the animals weigh {} g by then",
                                   base::significant(weight, 3)));
            }
            return false;
        }
        return day >= *plan_.days;
    }

    Period begin(int day, double weight, int number) {
        Period period;
        PlanRow& row = period.row;
        row.number = number;
        row.first_day = day;
        row.weight_g = weight;
        row.temperature_c = temperature_at(plan_, day);
        if (const auto* stage = stage_at(context_.profile, weight)) row.stage = stage->name;
        if (plan_.start) row.date = date_text(*plan_.start + std::chrono::days(day));
        row.home = !plan_.home_feed_from_g || weight >= *plan_.home_feed_from_g;
        choose_feed(period);
        if (const auto* pellet = guide_.pellet(weight)) row.pellet_mm = pellet->pellet_mm;
        return period;
    }

    void choose_feed(Period& period) {
        PlanRow& row = period.row;
        if (plan_.intake_g) {
            row.feed_from = FeedFrom::intake;
            return;
        }
        const auto* rate =
            plan_.feed_by_fcr ? nullptr : guide_.ration(row.weight_g, row.temperature_c);
        if (rate != nullptr) {
            row.feed_from = FeedFrom::ration;
            row.ration_percent = rate->ration_percent;
            follow_water(*rate, row);
            row.meals_per_day = rate->meals_per_day;
            return;
        }
        if (plan_.growth == Growth::fed || !fcr_) {
            const std::string found =
                fmt::format("no feeding rate for {} g", base::significant(row.weight_g, 3));
            const std::string hint = plan_.species.empty() ? "" : "The profile has none there";
            if (plan_.file.empty()) {
                refuse(plan_, plan_.growth == Growth::fed ? "/sgr" : "/fcr", found,
                       plan_.growth == Growth::fed ? "--sgr or --tgc, and --fcr" : "--fcr", hint);
            }
            refuse(plan_, plan_.feed_by_fcr ? "/fcr" : "/rations", found,
                   plan_.growth == Growth::fed ? "\"rations\" of your own at this weight"
                                               : "an \"fcr\", or \"rations\" of your own",
                   hint);
        }
        row.feed_from = FeedFrom::fcr;
        period.fcr = *fcr_;
        if (!plan_.feed_by_fcr) {
            add_once(result_.notes, {.kind = PlanNote::Kind::fed_by_fcr});
        }
    }

    // Published rations are for water of one temperature, where the source names any. Outside what
    // was tried the nearest temperature that was counts, and the plan is told to be no forecast.
    void follow_water(const catalog::FeedingRate& rate, PlanRow& row) {
        const catalog::GrowthResponse* response = response_of(plan_, context_);
        if (response == nullptr || !row.temperature_c) return;
        if (!rate.temperature_c) {
            followed_ = nullptr;
            return;
        }
        const double own = *row.temperature_c;
        // Half a degree is less than a thermometer and a trial tell.
        if (distance(*rate.temperature_c, own) <= 0.5) return;
        const double of_table = std::clamp(own, rate.temperature_c->low, rate.temperature_c->high);
        double factor = response->at(own) / response->at(of_table);
        // Growth falls beyond the warmest that was tried, if not before.
        if (!response->covers(own)) factor = std::min(factor, 1.0);
        if (factor == 1) return;
        row.ration_percent->low *= factor;
        row.ration_percent->high *= factor;
        add_once(result_.notes, {.kind = PlanNote::Kind::follows_water,
                                 .name = response->source,
                                 .value = factor,
                                 .own = own,
                                 .range = *rate.temperature_c});
        add_source(result_, response->source);
    }

    double next_weight(int day, double weight, const Period& period) const {
        switch (plan_.growth) {
            case Growth::tgc:
                return grow_tgc(weight, plan_.rate, *temperature_at(plan_, day));
            case Growth::sgr:
                return grow_sgr(weight, plan_.rate);
            case Growth::fed: {
                const auto& ration = *period.row.ration_percent;
                const double fed_g = period.row.weight_g * (ration.low + ration.high) / 200;
                return weight + fed_g / plan_.rate;
            }
            case Growth::weighed:
                return weighed_at(plan_.weighings, day + 1,
                                  [](const GrowthPoint& w) { return w.weight_g; });
            case Growth::none:
                break;
        }
        return weight;
    }

    const Plan& plan_;
    const PlanContext& context_;
    PlanResult& result_;
    FeedingGuide guide_;
    const catalog::GrowthResponse* followed_;
    std::optional<double> fcr_;
};

void expect_fcr(const std::optional<PublishedFcr>& published, PlanResult& result) {
    if (!published) return;
    result.expected_fcr = published->range;
    for (const std::string& source : published->sources)
        add_source(result, source);
}

double animals_at(const Plan& plan, int day, int days) {
    if (!plan.survival_percent) {
        return weighed_at(plan.weighings, day, [](const GrowthPoint& w) { return *w.number; });
    }
    // The same share is lost every day.
    return plan.number * std::pow(*plan.survival_percent / 100, static_cast<double>(day) / days);
}

void feed_rows(const Plan& plan, std::vector<Period>& periods, PlanResult& result) {
    double low = 0;
    double high = 0;
    bool published = false;
    for (Period& period : periods) {
        PlanRow& row = period.row;
        row.animals = animals_at(plan, row.first_day, result.days);
        row.biomass_kg = row.animals * row.weight_g / 1000;
        switch (row.feed_from) {
            case FeedFrom::ration: {
                const auto& r = *row.ration_percent;
                row.feed_per_day_kg = row.biomass_kg * (r.low + r.high) / 200;
                low += row.biomass_kg * r.low / 100 * row.days;
                high += row.biomass_kg * r.high / 100 * row.days;
                published = true;
                break;
            }
            case FeedFrom::fcr: {
                const double mean =
                    (row.animals + animals_at(plan, row.first_day + row.days, result.days)) / 2;
                const double gain = std::max(0.0, period.end_g - row.weight_g) * mean / 1000;
                row.feed_per_day_kg = period.fcr * gain / row.days;
                break;
            }
            case FeedFrom::intake:
                row.feed_per_day_kg = *plan.intake_g * row.animals / 1000;
                break;
        }
        row.feed_kg = row.feed_per_day_kg * row.days;
        if (row.feed_from != FeedFrom::ration) {
            low += row.feed_kg;
            high += row.feed_kg;
        }
        result.feed_kg += row.feed_kg;
        row.cumulative_feed_kg = result.feed_kg;
        if (row.home) result.home_feed_kg += row.feed_kg;
        if (result.stages.empty() || result.stages.back().stage != row.stage) {
            result.stages.push_back({row.stage, 0, 0});
        }
        result.stages.back().days += row.days;
        result.stages.back().feed_kg += row.feed_kg;
        result.rows.push_back(row);
    }
    if (published && high > low) {
        result.feed_low_kg = low;
        result.feed_high_kg = high;
    }
}

std::vector<ShoppingLine> bought_lines(const PlanResult& result, const Plan& plan,
                                       const std::optional<Venture>& venture, bool everything,
                                       double ratio) {
    std::optional<double> pack_kg = plan.pack_kg;
    double loss = 0;
    std::optional<double> pack_cost;
    if (venture) {
        pack_kg = venture->buy.pack_kg;
        loss = venture->buy.loss_percent / 100;
        pack_cost = venture->buy.pack_price + venture->buy.delivery_per_pack;
    }
    std::vector<ShoppingLine> lines;
    for (const PlanRow& row : result.rows) {
        if (row.home && !everything) continue;
        auto line = std::find_if(lines.begin(), lines.end(), [&](const ShoppingLine& l) {
            return l.pellet_mm == row.pellet_mm;
        });
        if (line == lines.end()) {
            line = lines.insert(lines.end(), ShoppingLine{.pellet_mm = row.pellet_mm});
        }
        line->kg += row.feed_kg * (row.home ? ratio : 1) / (1 - loss);
    }
    for (ShoppingLine& line : lines) {
        line.pack_kg = pack_kg;
        if (!pack_kg) continue;
        line.packs = whole_packs(line.kg, *pack_kg);
        if (pack_cost) line.cost = *line.packs * *pack_cost;
    }
    return lines;
}

void buy_ingredients(const Plan& plan, const PlanContext& context, PlanResult& result) {
    std::vector<PlanIngredient> list = context.mix;
    if (const auto& premix = context.venture->make.premix) {
        list.push_back({"premix", "premix", premix->percent, premix->price_per_kg});
    }
    for (const PlanIngredient& item : list) {
        ShoppingLine line{.id = item.id, .name = item.name};
        line.kg = result.mixed_kg * item.percent / 100;
        for (const auto& [id, kg] : plan.packs) {
            if (id == item.id) line.pack_kg = kg;
        }
        double paid_kg = line.kg;
        if (line.pack_kg) {
            line.packs = whole_packs(line.kg, *line.pack_kg);
            paid_kg = *line.packs * *line.pack_kg;
        }
        if (item.price_per_kg) line.cost = paid_kg * *item.price_per_kg;
        result.ingredients.push_back(std::move(line));
    }
    for (const auto& [id, kg] : plan.packs) {
        const bool used = std::any_of(list.begin(), list.end(),
                                      [&id = id](const PlanIngredient& i) { return i.id == id; });
        if (!used) add_once(result.notes, {.kind = PlanNote::Kind::pack_unused, .name = id});
    }
}

void schedule_batches(const Plan& plan, const PlanContext& context, PlanResult& result) {
    const Make& make = context.venture->make;
    const double saleable = make.batch_kg * saleable_share(make);
    const int count = whole_packs(result.home_feed_kg, saleable);
    double fed = 0;
    int next = 0;
    double left = result.mixed_kg;
    for (const PlanRow& row : result.rows) {
        if (!row.home) continue;
        for (int day = 0; day < row.days; ++day) {
            // Ready on the day on which what is in store no longer lasts.
            while (next < count && fed + row.feed_per_day_kg > next * saleable * (1 + 1e-12)) {
                BatchDate batch;
                batch.number = ++next;
                batch.day = row.first_day + day;
                if (plan.start) batch.date = date_text(*plan.start + std::chrono::days(batch.day));
                batch.mixed_kg = std::min(make.batch_kg, left);
                left -= batch.mixed_kg;
                result.batches.push_back(std::move(batch));
            }
            fed += row.feed_per_day_kg;
        }
    }
    int longest = 0;
    for (std::size_t i = 0; i < result.batches.size(); ++i) {
        const int until = i + 1 < result.batches.size() ? result.batches[i + 1].day : result.days;
        longest = std::max(longest, until - result.batches[i].day);
    }
    for (const KeepingFact& fact : context.keeping) {
        if (fact.id == "finished_feed_months" && longest > fact.value * days_per_month) {
            result.notes.push_back({.kind = PlanNote::Kind::batch_lasts,
                                    .name = fact.text,
                                    .value = static_cast<double>(longest)});
            add_source(result, fact.source);
        }
        if (fact.id == "finished_feed_moisture" && make.drying) {
            result.notes.push_back({.kind = PlanNote::Kind::drying, .name = fact.text});
            add_source(result, fact.source);
        }
    }
}

void grow_ingredients(const Venture& venture, PlanResult& result) {
    double peak = 0;
    for (const PlanRow& row : result.rows) {
        if (row.home) peak = std::max(peak, row.feed_per_day_kg);
    }
    const double share = saleable_share(venture.make);
    for (const OwnGrown& grown : venture.make.own_grown) {
        const double dry = grown.percent_of_mix / 100 * grown.dry_matter / 100 / share;
        GrowingNeed need;
        need.ingredient = grown.ingredient;
        need.kind = grown.kind;
        need.peak_kg_per_day = peak * dry;
        need.mean_kg_per_day = result.home_feed_kg / result.days * dry;
        if (grown.kind == YieldKind::area) {
            need.peak_area_m2 = need.peak_kg_per_day * 1000 / grown.yield;
            need.mean_area_m2 = need.mean_kg_per_day * 1000 / grown.yield;
            need.have = grown.area_m2;
        } else {
            const double per_kg_substrate =
                grown_dry_matter_per_year(grown) / (grown.substrate_kg_per_week * 365.0 / 7);
            need.peak_substrate_kg_per_week = need.peak_kg_per_day * 7 / per_kg_substrate;
            need.have = grown.substrate_kg_per_week;
        }
        result.growing.push_back(std::move(need));
    }
}

void price(const Venture& venture, double ratio, PlanResult& result) {
    const double make = make_costs(venture).total;
    const double buy = bought_cost_per_kg(venture.buy);
    const double small = result.feed_kg - result.home_feed_kg;
    FeedCost home{result.feed_kg, result.home_feed_kg * make + small * buy, {}};
    FeedCost bought{result.home_feed_kg * ratio + small, 0, {}};
    bought.cost = bought.feed_kg * buy;
    if (result.gain_kg > 0) {
        home.cost_per_kg_gain = home.cost / result.gain_kg;
        bought.cost_per_kg_gain = bought.cost / result.gain_kg;
    }
    result.home_cost = home;
    result.bought_cost = bought;
}

// The growth and the rations together imply an FCR; the venture's may be another.
void compare_with_fcr(const Venture& venture, PlanResult& result) {
    if (!result.fcr || !venture.make.fcr) return;
    const double given = *venture.make.fcr;
    if (std::abs(*result.fcr / given - 1) <= fcr_agreement) return;
    result.notes.push_back({.kind = PlanNote::Kind::other_fcr, .value = given});
}

bool lives_in_water(const catalog::Profile& profile) {
    return profile.group == "fish" || profile.group == "crustacean";
}

std::optional<WaterLoad> water_load(const Plan& plan, const PlanContext& context,
                                    PlanResult& result) {
    const double m3 = *plan.tank_l / 1000;
    double peak = result.end_biomass_kg;
    const PlanRow* most_fed = nullptr;
    for (const PlanRow& row : result.rows) {
        peak = std::max(peak, row.biomass_kg);
        if (most_fed == nullptr || row.feed_per_day_kg > most_fed->feed_per_day_kg) most_fed = &row;
    }
    if (!(peak > 0) || most_fed == nullptr) return std::nullopt;
    WaterLoad load;
    load.kg_per_m3 = peak / m3;
    load.feed_kg_per_m3_day = most_fed->feed_per_day_kg / m3;
    load.celsius = most_fed->temperature_c;
    if (load.celsius) load.saturated_g_per_m3 = saturated_oxygen(*load.celsius);
    if (context.water == nullptr || context.profile == nullptr) return load;
    if (!lives_in_water(*context.profile)) return load;
    load.breathes_air = context.water->breathes_air(context.profile->species);
    load.oxygen_g_per_m3_day =
        1000 * context.water->oxygen_kg_per_kg_feed * load.feed_kg_per_m3_day;
    load.oxygen_source = context.water->oxygen_source;
    add_source(result, load.oxygen_source);
    if (const catalog::Load* published = context.water->load_of(context.profile->species)) {
        load.published = *published;
        add_source(result, published->source);
    }
    return load;
}

// Fed nitrogen that is not harvested, on the plan's feeding and, beside it, on bought feed alone.
std::optional<NitrogenLoss> nitrogen_loss(const PlanContext& context, double ratio,
                                          PlanResult& result) {
    if (context.profile == nullptr || !lives_in_water(*context.profile)) return std::nullopt;
    if (context.water == nullptr || !context.water->nitrogen_retained_percent || !context.venture ||
        !(result.gain_kg > 0))
        return std::nullopt;
    std::optional<double> bought;
    for (const LabelValue& line : context.venture->buy.label) {
        if (line.nutrient == "crude_protein") bought = line.min;
    }
    const double small = result.feed_kg - result.home_feed_kg;
    if (!context.home_protein_percent || (small > 0 && !bought)) return std::nullopt;
    NitrogenLoss loss;
    loss.retained_percent = *context.water->nitrogen_retained_percent;
    loss.source = context.water->nitrogen_source;
    const auto lost = [&](double home_kg, double bought_kg) {
        const double protein_kg =
            home_kg * *context.home_protein_percent / 100 + bought_kg * bought.value_or(0) / 100;
        return nitrogen_lost(protein_kg, result.gain_kg, loss.retained_percent);
    };
    loss.home = lost(result.home_feed_kg, small);
    if (bought) loss.bought = lost(0, result.home_feed_kg * ratio + small);
    add_source(result, loss.source);
    return loss;
}

}  // namespace

PlanResult work_out(const Plan& plan, const PlanContext& context) {
    PlanResult result;
    result.title = plan.title;
    result.note = plan.note;
    result.notes = plan.notes;
    result.short_of = context.short_of;
    if (context.profile != nullptr) {
        result.species_name = counted_name(*context.profile, plan.number);
        check_temperature(plan, *context.profile, result);
    }
    Walk walk(plan, context, result);
    std::vector<Period> periods = walk.periods();
    result.days = periods.back().row.first_day + periods.back().row.days;
    if (context.profile != nullptr) {
        result.growth_caution =
            growth_caution(plan, *context.profile, walk.followed(), result.days);
    }
    result.start_g = plan.start_g;
    result.end_g = periods.back().end_g;
    if (context.profile != nullptr) {
        expect_fcr(published_fcr(*context.profile, result.start_g, result.end_g), result);
    }
    feed_rows(plan, periods, result);
    result.stocked = plan.number;
    result.harvested = animals_at(plan, result.days, result.days);
    result.start_biomass_kg = result.stocked * result.start_g / 1000;
    result.end_biomass_kg = result.harvested * result.end_g / 1000;
    result.gain_kg = result.end_biomass_kg - result.start_biomass_kg;
    const bool grows = plan.growth != Growth::none;
    if (grows && result.gain_kg > 0) result.fcr = fcr_of(result.feed_kg, result.gain_kg);
    if (!grows) result.gain_kg = 0;
    if (plan.start) result.harvest_date = date_text(*plan.start + std::chrono::days(result.days));
    if (plan.tank_l) result.load = water_load(plan, context, result);
    double ratio = 1;
    if (const auto& venture = context.venture) {
        result.currency = venture->currency;
        if (venture->make.fcr && venture->buy.fcr) ratio = *venture->buy.fcr / *venture->make.fcr;
        result.mixed_kg = result.home_feed_kg / saleable_share(venture->make);
        buy_ingredients(plan, context, result);
        schedule_batches(plan, context, result);
        grow_ingredients(*venture, result);
        price(*venture, ratio, result);
        compare_with_fcr(*venture, result);
        result.nitrogen = nitrogen_loss(context, ratio, result);
    }
    result.bought = bought_lines(result, plan, context.venture, false, ratio);
    result.all_bought = bought_lines(result, plan, context.venture, true, ratio);
    return result;
}

}  // namespace feedwright::economics
