// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/season.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "economics/plan.hpp"
#include "economics/sampling.hpp"
#include "job/meant.hpp"
#include "job/portion.hpp"
#include "limits/limit.hpp"
#include "search/cheapest.hpp"
#include "search/program.hpp"
#include "tasks/answering.hpp"
#include "tasks/economics.hpp"
#include "tasks/reading.hpp"

#include <algorithm>
#include <atomic>
#include <cstdint>
#include <map>
#include <numeric>
#include <set>
#include <thread>
#include <tuple>
#include <utility>

namespace feedwright::tasks {

namespace {

using economics::Season;
using economics::SeasonAnimals;

// Problems of several readings of one file, each told once.
class Problems {
  public:
    void add(const std::vector<base::Diagnostic>& list) {
        for (const base::Diagnostic& one : list) {
            if (told_.insert(one.text()).second) diagnostics_.add(one);
        }
    }
    template <class Work>
    void gather(Work&& work) {
        try {
            work();
        } catch (const base::DataError& error) {
            add(error.list());
        }
    }
    void throw_if_any() const { diagnostics_.throw_if_any(); }

  private:
    base::Diagnostics diagnostics_;
    std::set<std::string> told_;
};

bool holds(const std::vector<std::string>& names, const std::string& name) {
    return names.empty() || std::find(names.begin(), names.end(), name) != names.end();
}

std::optional<double> dry_matter(const job::Choice& choice) {
    const catalog::Amount* amount = choice.composition.find("dry_matter");
    return amount == nullptr ? std::nullopt : std::optional(amount->value);
}

class Maker {
  public:
    Maker(const SeasonRequest& request, catalog::Library& library)
        : request_(request), library_(library) {}

    SeasonOf make() {
        base::Diagnostics of_file;
        season() = economics::read_season(
            request_.file.empty() ? request_.text : base::read_file(request_.file), request_.file,
            of_file);
        problems_.add(of_file.list());
        if (!request_.file.empty()) result_.inputs.push_back(request_.file);
        name_ingredients();
        read_ingredients();
        read_needs();
        read_feeds();
        problems_.throw_if_any();
        make_stocks();
        problems_.throw_if_any();
        make_meals();
        if (model_.meals.empty()) {
            problems_.add({base::Diagnostic{season().file, "/animals",
                                            "animals that need nothing in any period",
                                            "a need above zero", ""}});
        }
        problems_.throw_if_any();
        result_.plan = search::plan_season(model_, request_.solve);
        if (!result_.plan.meals.empty()) take_plan();
        take_income();
        if (result_.solved() && economics::is_uncertain(season())) try_cases();
        return std::move(result_);
    }

  private:
    Season& season() { return result_.season; }
    std::size_t periods() const { return static_cast<std::size_t>(result_.season.periods); }

    // Of some animals what they need in a period.
    struct Need {
        double kg = 0;
        bool is_gain = false;
        std::string profile;
        bool home = true;
    };

    void name_ingredients() {
        for (const economics::SeasonIngredient& one : season().ingredients) {
            const job::Meant meant = job::meant_by({}, library_, one.id, false);
            ids_.push_back(one.own || meant.id.empty() ? one.id : meant.id);
            if (!one.own && meant.by_name && !meant.id.empty())
                result_.notes.push_back(job::note_on(meant, one.id, {}, library_));
        }
    }

    std::vector<std::size_t> all() const {
        std::vector<std::size_t> list(ids_.size());
        std::iota(list.begin(), list.end(), std::size_t{0});
        return list;
    }

    job::Job read(const SeasonAnimals* animals, const std::string& profile,
                  const std::vector<std::size_t>& ingredients) {
        JobSource source;
        source.document = economics::job_in(season(), animals, profile, ingredients, ids_,
                                            result_.finished_moisture);
        return read_job(source, library_);
    }

    // The ingredients by themselves: what they are and hold.
    void read_ingredients() {
        problems_.gather([&] {
            job::Job job = read(nullptr, "", all());
            for (const std::string& id : ids_) {
                const job::Choice* choice = job.find(id);
                if (choice != nullptr) result_.ingredients.push_back(*choice);
            }
            for (const std::string& input : job.inputs) {
                if (!input.empty() && std::find(result_.inputs.begin(), result_.inputs.end(),
                                                input) == result_.inputs.end())
                    result_.inputs.push_back(input);
            }
            result_.notes.insert(result_.notes.end(), job.notes.begin(), job.notes.end());
        });
        set_moisture();
    }

    // Feeds from a wet ingredient are compared with the needs once they are dry.
    void set_moisture() {
        if (season().making) result_.finished_moisture = season().making->finished_moisture;
        if (result_.finished_moisture) return;
        bool wet = false;
        for (const job::Choice& choice : result_.ingredients) {
            const auto dry = dry_matter(choice);
            if (!dry) return;
            wet = wet || *dry < search::least_dry_matter;
        }
        if (!wet) return;
        result_.finished_moisture = search::common_moisture;
        result_.moisture_assumed = true;
    }

    bool has_bag(const SeasonAnimals& animals) {
        return std::any_of(season().bought_feeds.begin(), season().bought_feeds.end(),
                           [&](const auto& feed) { return holds(feed.animals, animals.name); });
    }

    void read_needs() {
        for (SeasonAnimals& animals : season().animals) {
            needs_.emplace_back(periods());
            problems_.gather([&] { read_need(animals, needs_.back()); });
        }
    }

    void read_need(SeasonAnimals& animals, std::vector<Need>& needs) {
        const auto profile_of = [&](std::size_t t) {
            return t < animals.profiles.size() ? animals.profiles[t] : "";
        };
        if (animals.plan_file.empty()) {
            const bool gains = !animals.gain_kg.empty();
            const auto& kg = gains ? animals.gain_kg : animals.feed_kg;
            for (std::size_t t = 0; t < needs.size() && t < kg.size(); ++t)
                needs[t] = {kg[t], gains, profile_of(t), is_home(animals, t)};
            return;
        }
        economics::Plan plan = economics::load_plan(animals.plan_file);
        result_.inputs.push_back(animals.plan_file);
        economics::PlanContext known;
        known.water = &library_.water();
        known.profile = species_of_plan(plan.species, animals.plan_file, "/profile", library_);
        const economics::PlanResult worked_out = economics::work_out(plan, known);
        if (worked_out.growth_caution)
            result_.growth_cautions.push_back({animals.name, *worked_out.growth_caution});
        const bool by_gain = animals.fcr_home || animals.fcr_bought;
        const economics::SeasonNeed need =
            economics::need_of(season(), plan, worked_out, known.profile, by_gain);
        if (need.is_gain) require_fcrs(animals);
        for (std::size_t t = 0; t < needs.size() && t < need.kg.size(); ++t) {
            const std::string own = profile_of(t);
            needs[t] = {need.kg[t], need.is_gain, own.empty() ? need.profiles[t] : own,
                        need.home_feed[t] && is_home(animals, t)};
            const bool known_needs = !needs[t].profile.empty() || !animals.limits.keys.empty();
            if (needs[t].home && needs[t].kg > 0 && !known_needs) {
                throw base::DataError(base::Diagnostic{
                    season().file, animals.place,
                    "a plan whose animals are of no stage of their profile in period " +
                        std::to_string(t + 1),
                    "a \"profile\", \"limits\" or no home feed then", ""});
            }
        }
    }

    static bool is_home(const SeasonAnimals& animals, std::size_t t) {
        return t < animals.home_feed.size() && animals.home_feed[t];
    }

    void require_fcrs(const SeasonAnimals& animals) {
        const bool home = std::find(animals.home_feed.begin(), animals.home_feed.end(), true) !=
                          animals.home_feed.end();
        const auto lack = [&](const char* key) {
            problems_.add({base::Diagnostic{season().file, animals.place,
                                            std::string("one FCR and no \"") + key + '"',
                                            "both \"fcr_home\" and \"fcr_bought\", or neither: "
                                            "then the plan's feed counts",
                                            ""}});
        };
        if (home && !animals.fcr_home) lack("fcr_home");
        if (has_bag(animals) && !animals.fcr_bought) lack("fcr_bought");
    }

    // Each feed with all ingredients, for what may be wrong with it.
    void read_feeds() {
        for (std::size_t g = 0; g < season().animals.size(); ++g) {
            std::set<std::string> read_already;
            for (const Need& need : needs_[g]) {
                if (!need.home || !read_already.insert(need.profile).second) continue;
                problems_.gather([&] { read(&season().animals[g], need.profile, all()); });
            }
        }
    }

    void make_stocks() {
        model_.periods = periods();
        for (std::size_t i = 0; i < season().ingredients.size(); ++i) {
            const economics::SeasonIngredient& one = season().ingredients[i];
            model_.stocks.push_back({ids_[i], one.price, one.supply_kg, one.harvest_cost_per_kg,
                                     one.stock_kg, one.keeps_periods, one.loss_percent / 100,
                                     one.store_kg, one.store_cost_per_kg});
        }
        for (const economics::SeasonDrying& one : season().drying)
            add_drying(one);
        if (const auto& making = season().making) {
            model_.work = {making->cost_per_kg,        making->hours_per_kg, making->value_of_hour,
                           making->loss_percent / 100, making->hours,        0};
            for (const economics::SeasonEquipment& one : making->equipment)
                model_.work.equipment += one.cost;
        }
    }

    std::size_t place_of(const std::string& written) const {
        const auto& list = result_.season.ingredients;
        return static_cast<std::size_t>(
            std::find_if(list.begin(), list.end(),
                         [&](const auto& one) { return one.id == written; }) -
            list.begin());
    }

    // One kg of what is dried makes as much as its dry matter gives.
    void add_drying(const economics::SeasonDrying& one) {
        const std::size_t from = place_of(one.from);
        const std::size_t to = place_of(one.to);
        const auto wet = dry_matter(result_.ingredients[from]);
        const auto dry = dry_matter(result_.ingredients[to]);
        const auto lack = [&](const std::string& found, const std::string& expected) {
            problems_.add({base::Diagnostic{season().file, one.place, found, expected, ""}});
        };
        if (!wet || !dry || !(*dry > 0)) {
            lack("no dry matter of " + (wet ? one.to : one.from),
                 "the \"dry_matter\" of both ingredients");
            return;
        }
        if (*wet >= *dry) {
            lack(one.to + ", which holds no less water than " + one.from,
                 "drying from a wetter ingredient to a drier one");
            return;
        }
        const double made = *wet / *dry;
        model_.drying.push_back({from, to, made, (1 - made) * one.cost_per_kg_water,
                                 (1 - made) * one.hours_per_kg_water});
    }

    // A premix goes only into feeds of the animals that it is made for.
    bool is_made_for(std::size_t i, const catalog::Animal& animal) {
        const job::Choice& choice = result_.ingredients[i];
        if (choice.role != "premix" || animal.species.empty()) return true;
        const catalog::Ingredient* ingredient = library_.ingredient(ids_[i]);
        for (std::size_t k = 0; ingredient == nullptr && k < choice.kin.size(); ++k)
            ingredient = library_.ingredient(choice.kin[k]);
        return ingredient == nullptr || ingredient->made_for.empty() ||
               catalog::closeness(ingredient->made_for, ingredient->made_for_stages, animal) > 0;
    }

    catalog::Animal animal_of(const std::string& profile_id) {
        if (profile_id.empty()) return {};
        const auto [species, stage] = catalog::parse_profile_id(profile_id);
        const catalog::Profile* profile = library_.profile(species);
        return {profile->species, profile->group, profile->feeds_as, stage};
    }

    // A job with the ingredients that are at their places in `ingredients`, settled.
    struct Feed {
        std::shared_ptr<const job::Job> job;
        std::vector<std::size_t> stocks;  // of each of the job's ingredients
        bool no_mix = false;
    };

    const Feed& feed_of(std::size_t g, const std::string& profile,
                        const std::vector<std::size_t>& ingredients) {
        const auto key = std::tuple(g, profile, ingredients);
        const auto known = feeds_.find(key);
        if (known != feeds_.end()) return known->second;
        Feed feed;
        if (!ingredients.empty()) {
            job::Job job = read(&season().animals[g], profile, ingredients);
            job.moisture_assumed = result_.moisture_assumed;
            job = search::settle(std::move(job));
            for (const job::Choice& choice : job.ingredients) {
                feed.stocks.push_back(static_cast<std::size_t>(
                    std::find(ids_.begin(), ids_.end(), choice.id) - ids_.begin()));
            }
            const auto program = search::cheapest_program(search::with_any_prices(job)).relaxed();
            feed.no_mix = lp::solve(program).status != lp::Status::optimal;
            feed.job = std::make_shared<const job::Job>(std::move(job));
        }
        return feeds_.emplace(key, std::move(feed)).first->second;
    }

    void make_meals() {
        const auto there = search::can_be_had(periods(), model_.stocks, model_.drying);
        for (std::size_t g = 0; g < season().animals.size(); ++g) {
            const SeasonAnimals& animals = season().animals[g];
            for (std::size_t t = 0; t < periods(); ++t) {
                const Need& need = needs_[g][t];
                if (!(need.kg > 0)) continue;
                search::Meal meal;
                meal.animals = g;
                meal.period = t;
                meal.need = need.kg;
                meal.home_meets =
                    need.is_gain && animals.fcr_home ? 1 / animals.fcr_home->likely : 1;
                SeasonFed fed;
                fed.animals = g;
                fed.period = t;
                fed.need_kg = need.kg;
                fed.is_gain = need.is_gain;
                fed.home_allowed = need.home;
                if (need.home) take_feed(there, need, meal, fed);
                for (std::size_t b = 0; b < season().bought_feeds.size(); ++b) {
                    const economics::SeasonFeed& feed = season().bought_feeds[b];
                    if (!holds(feed.animals, animals.name) || !feed.price[t]) continue;
                    meal.bags.push_back(
                        {b, *feed.price[t],
                         need.is_gain && animals.fcr_bought ? 1 / animals.fcr_bought->likely : 1});
                }
                model_.meals.push_back(std::move(meal));
                result_.fed.push_back(std::move(fed));
            }
        }
    }

    void take_feed(const std::vector<std::vector<bool>>& there, const Need& need,
                   search::Meal& meal, SeasonFed& fed) {
        const SeasonAnimals& animals = season().animals[meal.animals];
        const catalog::Animal animal = animal_of(need.profile);
        std::vector<std::size_t> ingredients;
        for (std::size_t i = 0; i < ids_.size(); ++i) {
            if (there[i][meal.period] && holds(season().ingredients[i].animals, animals.name) &&
                is_made_for(i, animal))
                ingredients.push_back(i);
        }
        problems_.gather([&] {
            const Feed& feed = feed_of(meal.animals, need.profile, ingredients);
            fed.no_mix = feed.no_mix || !feed.job;
            meal.stocks = feed.stocks;
            (fed.no_mix ? without_mix_[model_.meals.size()] : meal.job) = feed.job.get();
        });
    }

    // ---- ranges

    // The season with numbers drawn from its ranges; each ingredient, feed and FCR by itself, and
    // one number for the whole season.
    search::SeasonModel drawn(economics::UniformSource& uniform) const {
        search::SeasonModel model = model_;
        const auto factor = [&](const economics::Triangular& range, double of) {
            if (!(range.low < range.high)) return range.likely / of;
            return economics::triangular_quantile(range, uniform.next()) / of;
        };
        for (std::size_t i = 0; i < model.stocks.size(); ++i) {
            const economics::SeasonIngredient& one = result_.season.ingredients[i];
            const double price = factor(one.price_percent, 100);
            const double supply = factor(one.supply_percent, 100);
            for (std::optional<double>& each : model.stocks[i].price) {
                if (each) *each *= price;
            }
            for (double& each : model.stocks[i].supply_kg)
                each *= supply;
        }
        std::vector<double> feeds;
        for (const economics::SeasonFeed& one : result_.season.bought_feeds)
            feeds.push_back(factor(one.price_percent, 100));
        std::vector<double> home;
        std::vector<double> bought;
        for (const SeasonAnimals& one : result_.season.animals) {
            home.push_back(one.fcr_home ? factor(*one.fcr_home, one.fcr_home->likely) : 1);
            bought.push_back(one.fcr_bought ? factor(*one.fcr_bought, one.fcr_bought->likely) : 1);
        }
        for (search::Meal& meal : model.meals) {
            meal.home_meets /= home[meal.animals];
            for (search::Bag& bag : meal.bags) {
                bag.meets /= bought[meal.animals];
                bag.price *= feeds[bag.feed];
            }
        }
        return model;
    }

    // A large season takes longer for each case, and is tried in fewer.
    std::size_t count_of_cases() const {
        constexpr double most = 1000;
        constexpr double fewest = 100;
        constexpr double small = 250;  // amounts of ingredients in feeds
        double amounts = 0;
        for (const search::Meal& meal : model_.meals)
            amounts += static_cast<double>(meal.stocks.size());
        const double share = small / std::max(amounts, small);
        return static_cast<std::size_t>(std::max(fewest, most * share * share));
    }

    void try_cases() {
        const std::size_t cases = count_of_cases();
        constexpr std::uint64_t seed = 20260301;
        economics::UniformSource uniform(seed);
        std::vector<search::SeasonModel> models;
        for (std::size_t k = 0; k < cases; ++k)
            models.push_back(drawn(uniform));
        const search::SeasonTurnouts turnouts(model_, result_.plan);
        std::vector<search::SeasonTurnout> list(cases);
        // Each case stands by itself, so that the result does not depend on the threads.
        std::atomic<std::size_t> next = 0;
        {
            std::vector<std::jthread> threads;
            const unsigned count = std::clamp(std::thread::hardware_concurrency(), 1u, 8u);
            for (unsigned n = 0; n < count; ++n) {
                threads.emplace_back([&] {
                    for (std::size_t k = next++; k < cases; k = next++)
                        list[k] = turnouts.of(models[k], request_.solve);
                });
            }
        }
        const SeasonCases all = sum_up(list);
        if (all.cases > 0) result_.cases = all;
    }

    static SeasonCases sum_up(const std::vector<search::SeasonTurnout>& list) {
        SeasonCases all;
        std::vector<double> costs;
        double pays = 0;
        double knowing = 0;
        bool can_buy = true;
        for (const search::SeasonTurnout& one : list) {
            can_buy = can_buy && one.all_bought;
            // A case without an answer that holds is none.
            if (!one.as_planned && !one.is_short) continue;
            ++all.cases;
            if (!one.as_planned) continue;
            costs.push_back(*one.as_planned);
            if (one.all_bought && *one.as_planned < *one.all_bought) pays += 1;
            if (one.best) knowing += *one.as_planned - *one.best;
        }
        if (all.cases == 0) return all;
        const auto of_all = static_cast<double>(all.cases);
        const auto fed = static_cast<double>(costs.size());
        if (can_buy) all.pays_percent = 100 * pays / of_all;
        all.short_percent = 100 * (of_all - fed) / of_all;
        if (costs.empty()) return all;
        std::sort(costs.begin(), costs.end());
        const auto at = [&](double share) {
            return costs[static_cast<std::size_t>(share * (fed - 1) + 0.5)];
        };
        all.low = at(0.05);
        all.middle = at(0.5);
        all.high = at(0.95);
        all.value_of_knowing = std::max(0.0, knowing / fed);
        return all;
    }

    // ---- the answer

    void take_income() {
        for (std::size_t g = 0; g < season().animals.size(); ++g) {
            for (const economics::SeasonSale& sale : season().animals[g].sales) {
                double amount = 0;
                for (std::size_t t = 0; t < periods(); ++t)
                    amount += sale.amount.empty() ? gain_of(g, t) : sale.amount[t];
                result_.income.push_back(
                    {season().animals[g].name, sale.name, amount, amount * sale.price});
            }
        }
    }

    double gain_of(std::size_t g, std::size_t t) const {
        return needs_[g][t].is_gain ? needs_[g][t].kg : 0;
    }

    void take_plan() {
        const double loss = model_.work.loss;
        for (std::size_t m = 0; m < model_.meals.size(); ++m) {
            const search::Meal& meal = model_.meals[m];
            const search::MealPlan& planned = result_.plan.meals[m];
            SeasonFed& fed = result_.fed[m];
            fed.home_kg = planned.home_kg;
            fed.missing_kg = planned.missing;
            for (std::size_t b = 0; b < meal.bags.size(); ++b) {
                if (planned.bags_kg[b] > 0)
                    fed.bought.push_back(
                        {season().bought_feeds[meal.bags[b].feed].name, planned.bags_kg[b]});
            }
            if (fed.no_mix && fed.missing_kg > 0) say_clash(m, fed);
            if (fed.home_kg > 0)
                fed.mix = mix_of(shared(meal), planned.used_kg, fed.home_kg / (1 - loss));
            if (fed.mix) judge(*fed.mix);
        }
    }

    void say_clash(std::size_t m, SeasonFed& fed) {
        const auto at = without_mix_.find(m);
        if (at == without_mix_.end() || at->second == nullptr) return;
        Solved solved = solve(search::with_any_prices(*at->second), request_.solve);
        say_why(solved, request_.solve);
        if (!solved.mix.conflict) return;
        for (const search::Clash& clash : solved.mix.conflict->limits)
            fed.clash.push_back(clash.side.name);
    }

    std::shared_ptr<const job::Job> shared(const search::Meal& meal) const {
        for (const auto& [key, feed] : feeds_) {
            if (feed.job.get() == meal.job) return feed.job;
        }
        return nullptr;
    }

    SeasonMix mix_of(const std::shared_ptr<const job::Job>& job, const std::vector<double>& used,
                     double feed_kg) {
        SeasonMix mix;
        mix.job = job;
        std::vector<double> amounts;
        for (const double kg : used)
            amounts.push_back(kg / feed_kg);
        const std::vector<limits::Limit> limits = limits::limits_of(*job);
        mix.mix = limits::mix_of(*job, limits, std::move(amounts));
        mix.weighed_in_kg = mix.mix.weighed_in * feed_kg;
        mix.assessment = limits::assess(*job, limits, mix.mix.amounts);
        mix.judgement = limits::judge(*job, mix.mix.amounts, mix.assessment);
        return mix;
    }

    void judge(const SeasonMix& mix) {
        if (const auto verdict = mix.judgement.verdict) {
            result_.verdict = std::max(result_.verdict.value_or(*verdict), *verdict);
        }
        for (limits::CautionResult& one :
             limits::cautions_for(*mix.job, mix.mix.amounts, library_.cautions())) {
            const bool told =
                std::any_of(result_.cautions.begin(), result_.cautions.end(),
                            [&](const auto& other) { return other.text == one.text; });
            if (!told) result_.cautions.push_back(std::move(one));
        }
        std::stable_sort(
            result_.cautions.begin(), result_.cautions.end(), [](const auto& a, const auto& b) {
                return std::tuple(a.general, a.danger) < std::tuple(b.general, b.danger);
            });
    }

    const SeasonRequest& request_;
    catalog::Library& library_;
    Problems problems_;
    SeasonOf result_;
    std::vector<std::string> ids_;          // of the season's ingredients
    std::vector<std::vector<Need>> needs_;  // of each of the animals and period
    std::map<std::tuple<std::size_t, std::string, std::vector<std::size_t>>, Feed> feeds_;
    search::SeasonModel model_;
    std::map<std::size_t, const job::Job*> without_mix_;  // of meals, the job that has no mix
};

}  // namespace

SeasonOf season(const SeasonRequest& request, catalog::Library& library) {
    return Maker(request, library).make();
}

}  // namespace feedwright::tasks
