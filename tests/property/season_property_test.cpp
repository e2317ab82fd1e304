// SPDX-License-Identifier: GPL-3.0-or-later
// Random seasons as a user would write them: JSON text, read and solved, and the answer taken from
// the JSON of the result. The same season is made here again as a linear program, straight from its
// description and in plain kg, and solved by another solver.
#include "base/json.hpp"
#include "catalog/library.hpp"
#include "lp/linear_program.hpp"
#include "report/economics/season_report.hpp"
#include "support/catch.hpp"
#include "support/clp.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"
#include "support/random_program.hpp"
#include "tasks/formulate.hpp"
#include "tasks/season.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <vector>

using namespace feedwright;
using test::Random;

namespace {

constexpr double tolerance = 1e-7;  // relative, of the cost

constexpr std::array nutrients{"crude_protein", "lysine", "calcium", "phosphorus"};
constexpr std::array<double, 4> sizes{40, 3, 4, 1.5};

struct Ingredient {
    double dry_matter = 90;
    std::array<double, 4> content{};
    std::vector<double> price;   // empty: not sold
    std::vector<double> supply;  // empty: none
    double harvest_cost = 0;
    double stock = 0;
    std::optional<int> keeps;
    double loss_percent = 0;
    std::optional<double> store;
    double store_cost = 0;
    std::optional<double> max_percent;
};

struct Group {
    bool gains = false;
    std::vector<double> need;
    double fcr_home = 1;
    double fcr_bought = 1;
    std::vector<bool> home;
    std::array<std::optional<double>, 4> min{};
    std::array<std::optional<double>, 4> max{};
    std::optional<double> ratio_max;  // calcium : phosphorus
};

struct Dry {
    std::size_t from = 0;
    std::size_t to = 0;
    double cost = 0;
    double hours = 0;
};

struct BagSold {
    std::vector<std::size_t> groups;
    std::vector<double> price;
};

struct Case {
    std::size_t periods = 1;
    std::vector<Ingredient> ingredients;
    std::vector<Group> groups;
    std::vector<Dry> drying;
    std::vector<BagSold> bags;
    double cost_per_kg = 0;
    double hours_per_kg = 0;
    double value_of_hour = 0;
    double loss_percent = 0;
    std::optional<double> moisture;
    std::vector<double> hours;
    double equipment = 0;
};

std::string name_of(std::size_t i) {
    return fmt::format("own-{}", i);
}

Case random_case(Random& random) {
    const auto number = [&](double low, double high) {
        // Few digits, as people write them.
        return std::round((low + (high - low) * random.uniform(0, 1)) * 100) / 100;
    };
    const auto chance = [&](double share) { return random.uniform(0, 1) < share; };
    Case c;
    c.periods = 1 + static_cast<std::size_t>(5 * random.uniform(0, 1));
    const auto list = [&](double low, double high) {
        std::vector<double> values;
        for (std::size_t t = 0; t < c.periods; ++t)
            values.push_back(number(low, high));
        return values;
    };
    const std::size_t ingredients = 3 + static_cast<std::size_t>(5 * random.uniform(0, 1));
    for (std::size_t i = 0; i < ingredients; ++i) {
        Ingredient one;
        one.dry_matter = chance(0.25) ? number(10, 60) : number(85, 95);
        for (std::size_t k = 0; k < nutrients.size(); ++k)
            one.content[k] = std::min(number(0, sizes[k]), one.dry_matter / 4 / (k == 0 ? 0.6 : 4));
        one.content[1] = std::min(one.content[1], std::floor(one.content[0] * 10) / 100);
        if (chance(0.75)) one.price = list(0.1, 2);
        if (one.price.empty() || chance(0.3)) {
            one.supply = list(0, 60);
            if (chance(0.5)) one.harvest_cost = number(0, 0.3);
        }
        if (chance(0.3)) one.stock = number(0, 40);
        if (chance(0.5)) one.keeps = static_cast<int>(4 * random.uniform(0, 1));
        if (chance(0.5)) one.loss_percent = number(0, 20);
        if (chance(0.4)) one.store = number(0, 60);
        if (chance(0.3)) one.store_cost = number(0, 0.1);
        if (chance(0.3)) one.max_percent = number(5, 60);
        c.ingredients.push_back(one);
    }
    const std::size_t groups = 1 + static_cast<std::size_t>(3 * random.uniform(0, 1));
    for (std::size_t g = 0; g < groups; ++g) {
        Group group;
        group.gains = chance(0.5);
        group.need = list(1, 50);
        if (chance(0.2) && g > 0) group.need[0] = 0;
        if (group.gains) {
            group.fcr_home = number(1.2, 2.5);
            group.fcr_bought = number(1, 2);
        }
        for (std::size_t t = 0; t < c.periods; ++t)
            group.home.push_back(chance(0.9));
        for (std::size_t k = 0; k < nutrients.size(); ++k) {
            if (chance(0.6)) group.min[k] = number(0, sizes[k] / 3);
            if (chance(0.3)) group.max[k] = number(sizes[k] / 2.5, sizes[k]);
        }
        if (!group.min[0]) group.min[0] = number(5, 15);
        if (chance(0.2)) group.ratio_max = number(1, 3);
        c.groups.push_back(group);
    }
    for (std::size_t from = 0; from < ingredients; ++from) {
        const std::size_t to = (from + 1) % ingredients;
        if (c.ingredients[from].dry_matter < c.ingredients[to].dry_matter && chance(0.4))
            c.drying.push_back({from, to, number(0, 0.3), chance(0.5) ? number(0, 0.1) : 0.0});
    }
    for (int b = 0; b < 2; ++b) {
        BagSold bag;
        for (std::size_t g = 0; g < groups; ++g) {
            if (chance(0.75)) bag.groups.push_back(g);
        }
        bag.price = list(0.4, 2.5);
        if (!bag.groups.empty()) c.bags.push_back(bag);
    }
    c.cost_per_kg = number(0.01, 0.1);
    c.hours_per_kg = chance(0.7) ? number(0.01, 0.2) : 0;
    c.value_of_hour = number(0, 5);
    if (chance(0.5)) c.loss_percent = number(0, 10);
    if (chance(0.5)) c.moisture = number(5, 15);
    if (chance(0.5)) c.hours = list(0, 12);
    if (chance(0.5)) c.equipment = number(0, 60);
    return c;
}

std::string text_of(const Case& c) {
    std::string text = fmt::format(
        "{{\"format\": \"feedwright-season/1\", \"periods\": {}, \"period_days\": 30,\n"
        "\"animals\": [",
        c.periods);
    for (std::size_t g = 0; g < c.groups.size(); ++g) {
        const Group& group = c.groups[g];
        text += fmt::format("{}\n{{\"name\": \"group {}\", \"{}\": [{}]", g > 0 ? "," : "", g,
                            group.gains ? "gain_kg" : "feed_kg", fmt::join(group.need, ", "));
        if (group.gains)
            text += fmt::format(", \"fcr_home\": {}, \"fcr_bought\": {}", group.fcr_home,
                                group.fcr_bought);
        text += fmt::format(", \"home_feed\": [{}], \"limits\": [", fmt::join(group.home, ", "));
        bool first = true;
        for (std::size_t k = 0; k < nutrients.size(); ++k) {
            if (!group.min[k] && !group.max[k]) continue;
            text += fmt::format("{}{{\"nutrient\": \"{}\"", first ? "" : ", ", nutrients[k]);
            if (group.min[k]) text += fmt::format(", \"min\": {}", *group.min[k]);
            if (group.max[k]) text += fmt::format(", \"max\": {}", *group.max[k]);
            text += '}';
            first = false;
        }
        text += ']';
        if (group.ratio_max)
            text += fmt::format(
                ", \"ratios\": [{{\"of\": \"calcium\", \"to\": \"phosphorus\", \"max\": {}}}]",
                *group.ratio_max);
        text += '}';
    }
    text += "],\n\"ingredients\": [";
    for (std::size_t i = 0; i < c.ingredients.size(); ++i) {
        const Ingredient& one = c.ingredients[i];
        text += fmt::format("{}\n{{\"id\": \"{}\", \"dry_matter\": {}, \"nutrients\": {{",
                            i > 0 ? "," : "", name_of(i), one.dry_matter);
        for (std::size_t k = 0; k < nutrients.size(); ++k)
            text += fmt::format("{}\"{}\": {}", k > 0 ? ", " : "", nutrients[k], one.content[k]);
        text += '}';
        if (!one.price.empty())
            text += fmt::format(", \"price\": [{}]", fmt::join(one.price, ", "));
        if (!one.supply.empty())
            text += fmt::format(", \"supply_kg\": [{}], \"harvest_cost_per_kg\": {}",
                                fmt::join(one.supply, ", "), one.harvest_cost);
        text +=
            fmt::format(", \"stock_kg\": {}, \"loss_percent\": {}", one.stock, one.loss_percent);
        if (one.keeps) text += fmt::format(", \"keeps_periods\": {}", *one.keeps);
        if (one.store) text += fmt::format(", \"store_kg\": {}", *one.store);
        if (one.store_cost > 0) text += fmt::format(", \"store_cost_per_kg\": {}", one.store_cost);
        if (one.max_percent) text += fmt::format(", \"max\": {}", *one.max_percent);
        text += '}';
    }
    text += "],\n\"dried\": [";
    for (std::size_t d = 0; d < c.drying.size(); ++d) {
        const Dry& dry = c.drying[d];
        text += fmt::format(
            "{}{{\"from\": \"{}\", \"to\": \"{}\", \"cost_per_kg_water\": {}, "
            "\"hours_per_kg_water\": {}}}",
            d > 0 ? ", " : "", name_of(dry.from), name_of(dry.to), dry.cost, dry.hours);
    }
    text += "],\n\"bought_feeds\": [";
    for (std::size_t b = 0; b < c.bags.size(); ++b) {
        std::vector<std::string> names;
        for (const std::size_t g : c.bags[b].groups)
            names.push_back(fmt::format("\"group {}\"", g));
        text += fmt::format("{}{{\"name\": \"bag {}\", \"for\": [{}], \"price\": [{}]}}",
                            b > 0 ? ", " : "", b, fmt::join(names, ", "),
                            fmt::join(c.bags[b].price, ", "));
    }
    text += fmt::format(
        "],\n\"making\": {{\"cost_per_kg\": {}, \"hours_per_kg\": {}, \"value_of_hour\": {}, "
        "\"loss_percent\": {}, \"finished_moisture\": {}",
        c.cost_per_kg, c.hours_per_kg, c.value_of_hour, c.loss_percent, c.moisture.value_or(10));
    if (!c.hours.empty()) text += fmt::format(", \"hours\": [{}]", fmt::join(c.hours, ", "));
    if (c.equipment > 0)
        text += fmt::format(", \"equipment\": [{{\"name\": \"mincer\", \"cost_for_season\": {}}}]",
                            c.equipment);
    return text + "}}\n";
}

// The season as a linear program in kg, written from the description of the model alone.
class Oracle {
  public:
    explicit Oracle(const Case& c, bool home_feed = true) : c_(c) {
        const std::size_t n = c.ingredients.size();
        const double dry_feed = 100 - c.moisture.value_or(10);
        for (std::size_t i = 0; i < n; ++i) {
            for (std::size_t t = 0; t < c.periods; ++t) {
                const Ingredient& one = c.ingredients[i];
                buy_[{i, t}] =
                    column(one.price.empty() ? 0 : one.price[t], one.price.empty() ? 0 : 1e9);
                harvest_[{i, t}] = column(one.harvest_cost, one.supply.empty() ? 0 : one.supply[t]);
                store_[{i, t}] = column(one.store_cost, one.store.value_or(1e9));
            }
        }
        for (std::size_t d = 0; d < c.drying.size(); ++d) {
            const double water = 1 - made(d);
            for (std::size_t t = 0; t < c.periods; ++t)
                dry_[{d, t}] =
                    column(water * (c.drying[d].cost + c.drying[d].hours * c.value_of_hour), 1e9);
        }
        for (std::size_t g = 0; g < c.groups.size(); ++g) {
            const Group& group = c.groups[g];
            for (std::size_t t = 0; t < c.periods; ++t) {
                const bool may = home_feed && group.home[t];
                const std::size_t h =
                    column(c.cost_per_kg + c.hours_per_kg * c.value_of_hour, may ? 1e9 : 0);
                home_[{g, t}] = h;
                std::vector<lp::Entry> mix;
                std::vector<lp::Entry> weighed;
                for (std::size_t i = 0; i < n; ++i) {
                    const std::size_t u = column(0, 1e9);
                    use_[{i, g, t}] = u;
                    mix.push_back(
                        {u, (1 - c.loss_percent / 100) * c.ingredients[i].dry_matter / dry_feed});
                    weighed.push_back({u, 1});
                }
                mix.push_back({h, -1});
                row(mix, 0, 0);
                const auto limit = [&](std::size_t k, double number, bool is_min) {
                    std::vector<lp::Entry> entries;
                    for (std::size_t i = 0; i < n; ++i) {
                        const Ingredient& one = c.ingredients[i];
                        entries.push_back(
                            {use_[{i, g, t}], one.content[k] - number * one.dry_matter / dry_feed});
                    }
                    is_min ? row(entries, 0, {}) : row(entries, {}, 0);
                };
                for (std::size_t k = 0; k < nutrients.size(); ++k) {
                    if (group.min[k]) limit(k, *group.min[k], true);
                    if (group.max[k]) limit(k, *group.max[k], false);
                }
                if (group.ratio_max) {
                    std::vector<lp::Entry> entries;
                    for (std::size_t i = 0; i < n; ++i)
                        entries.push_back(
                            {use_[{i, g, t}], c.ingredients[i].content[2] -
                                                  *group.ratio_max * c.ingredients[i].content[3]});
                    row(entries, {}, 0);
                }
                for (std::size_t i = 0; i < n; ++i) {
                    if (!c.ingredients[i].max_percent) continue;
                    std::vector<lp::Entry> entries = weighed;
                    for (lp::Entry& entry : entries)
                        entry.value = -*c.ingredients[i].max_percent;
                    entries[i].value += 100;
                    row(entries, {}, 0);
                }
                std::vector<lp::Entry> meets{{h, 1 / group.fcr_home}};
                for (const BagSold& bag : c.bags) {
                    const bool eats =
                        std::find(bag.groups.begin(), bag.groups.end(), g) != bag.groups.end();
                    if (eats) meets.push_back({column(bag.price[t], 1e9), 1 / group.fcr_bought});
                }
                row(meets, group.need[t], {});
            }
        }
        for (std::size_t i = 0; i < n; ++i) {
            for (std::size_t t = 0; t < c.periods; ++t)
                add_stock(i, t);
        }
        for (std::size_t t = 0; t < c.periods && !c.hours.empty(); ++t) {
            std::vector<lp::Entry> hours;
            for (std::size_t g = 0; g < c.groups.size(); ++g)
                hours.push_back({home_[{g, t}], c.hours_per_kg});
            for (std::size_t d = 0; d < c.drying.size(); ++d)
                hours.push_back({dry_[{d, t}], (1 - made(d)) * c.drying[d].hours});
            row(hours, {}, c.hours[t]);
        }
    }

    // Least cost; nothing where not all can be fed.
    std::optional<double> cost() const {
        const auto answer = test::solve_with_clp(program_);
        if (answer.status != lp::Status::optimal) return std::nullopt;
        return answer.objective;
    }

  private:
    std::size_t column(double cost, double upper) {
        const std::size_t c = program_.columns().size();
        return program_.add_column(
            {std::to_string(c), cost, 0.0, upper >= 1e9 ? std::optional<double>() : upper, false});
    }
    void row(std::vector<lp::Entry> entries, std::optional<double> lower,
             std::optional<double> upper) {
        std::erase_if(entries, [](const lp::Entry& entry) { return entry.value == 0; });
        std::sort(entries.begin(), entries.end(),
                  [](const lp::Entry& a, const lp::Entry& b) { return a.column < b.column; });
        program_.add_row({std::to_string(program_.rows().size()), lower, upper, entries});
    }
    double made(std::size_t d) const {
        return c_.ingredients[c_.drying[d].from].dry_matter /
               c_.ingredients[c_.drying[d].to].dry_matter;
    }
    void inflow(std::vector<lp::Entry>& entries, std::size_t i, std::size_t t, double sign) {
        entries.push_back({buy_[{i, t}], sign});
        entries.push_back({harvest_[{i, t}], sign});
        for (std::size_t d = 0; d < c_.drying.size(); ++d) {
            if (c_.drying[d].to == i) entries.push_back({dry_[{d, t}], sign * made(d)});
        }
    }
    void add_stock(std::size_t i, std::size_t t) {
        const Ingredient& one = c_.ingredients[i];
        const double kept = 1 - one.loss_percent / 100;
        std::vector<lp::Entry> balance{{store_[{i, t}], -1}};
        inflow(balance, i, t, 1);
        if (t > 0) balance.push_back({store_[{i, t - 1}], kept});
        for (std::size_t d = 0; d < c_.drying.size(); ++d) {
            if (c_.drying[d].from == i) balance.push_back({dry_[{d, t}], -1});
        }
        for (std::size_t g = 0; g < c_.groups.size(); ++g)
            balance.push_back({use_[{i, g, t}], -1});
        row(balance, t == 0 ? -kept * one.stock : 0, {});
        if (!one.keeps) return;
        std::vector<lp::Entry> keeping{{store_[{i, t}], 1}};
        double before = 0;
        for (int s = static_cast<int>(t) - *one.keeps + 1; s <= static_cast<int>(t); ++s) {
            if (s == -1) before = one.stock;
            if (s >= 0) inflow(keeping, i, static_cast<std::size_t>(s), -1);
        }
        row(keeping, {}, before);
    }

    const Case& c_;
    lp::LinearProgram program_;
    std::map<std::pair<std::size_t, std::size_t>, std::size_t> buy_, harvest_, store_, dry_, home_;
    std::map<std::tuple<std::size_t, std::size_t, std::size_t>, std::size_t> use_;
};

std::optional<double> least_cost(const Case& c) {
    const auto with = Oracle(c).cost();
    const auto without = Oracle(c, false).cost();
    if (!with) return std::nullopt;
    // Equipment is bought if any home feed is made: where it is made at no saving, it is not.
    if (!without) return *with + c.equipment;
    return std::min(*without, *with + c.equipment);
}

const base::JsonValue& member(const base::JsonValue& object, std::string_view key) {
    for (std::size_t k = 0; k < object.keys.size(); ++k) {
        if (object.keys[k] == key) return object.items[k];
    }
    static const base::JsonValue none;
    return none;
}

double number(const base::JsonValue& object, std::string_view key) {
    return member(object, key).number;
}

using test::library;

base::JsonValue solve(const std::string& text) {
    const tasks::SeasonOf result = tasks::season({"", {}, text}, library());
    const report::Run run{"feedwright", {}, {}, false};
    return base::parse_json(report::season_json(result, run), "result")->root;
}

// Whether a is at least b, but for rounding of amounts of this size.
bool at_least(double a, double b, double size) {
    return a >= b - 1e-7 * (1 + std::abs(size));
}

// Everything that must hold of the printed plan.
void check_plan(const Case& c, const base::JsonValue& result) {
    std::map<std::pair<std::string, std::size_t>, double> used;
    std::vector<double> hours(c.periods);
    double cost = 0;
    bool any_home = false;
    std::map<std::pair<std::size_t, std::size_t>, bool> seen;
    for (const base::JsonValue& fed : member(result, "feeds").items) {
        const std::string& name = member(fed, "animals").string;
        const auto g = static_cast<std::size_t>(std::stoul(name.substr(6)));
        const auto t = static_cast<std::size_t>(number(fed, "period")) - 1;
        const Group& group = c.groups[g];
        seen[{g, t}] = true;
        const double home = number(fed, "home_kg");
        any_home = any_home || home > 0;
        double met = home / group.fcr_home;
        for (const base::JsonValue& bag : member(fed, "bought").items) {
            const auto b =
                static_cast<std::size_t>(std::stoul(member(bag, "name").string.substr(4)));
            const auto& eaters = c.bags[b].groups;
            CHECK(std::find(eaters.begin(), eaters.end(), g) != eaters.end());
            met += number(bag, "kg") / group.fcr_bought;
            cost += number(bag, "kg") * c.bags[b].price[t];
        }
        CHECK(at_least(met, group.need[t], group.need[t]));
        cost += home * (c.cost_per_kg + c.hours_per_kg * c.value_of_hour);
        hours[t] += home * c.hours_per_kg;
        if (home > 0) CHECK(group.home[t]);
        double dry = 0;
        double weighed = 0;
        std::array<double, 4> content{};
        for (const base::JsonValue& item : member(fed, "mix").items) {
            const std::string& id = member(item, "id").string;
            const Ingredient& one = c.ingredients[std::stoul(id.substr(4))];
            const double kg = number(item, "kg");
            used[{id, t}] += kg;
            weighed += kg;
            dry += kg * one.dry_matter;
            for (std::size_t k = 0; k < nutrients.size(); ++k)
                content[k] += kg * one.content[k];
        }
        const double feed = dry / (100 - c.moisture.value_or(10)) * (1 - c.loss_percent / 100);
        CHECK(feed == Approx(home).epsilon(1e-7).margin(1e-9));
        if (!(home > 0)) continue;
        const double made = dry / (100 - c.moisture.value_or(10));
        for (std::size_t k = 0; k < nutrients.size(); ++k) {
            if (group.min[k]) CHECK(at_least(content[k] / made, *group.min[k], sizes[k]));
            if (group.max[k]) CHECK(at_least(*group.max[k], content[k] / made, sizes[k]));
        }
        if (group.ratio_max)
            CHECK(at_least(*group.ratio_max * content[3] / made, content[2] / made, sizes[2]));
        for (const base::JsonValue& item : member(fed, "mix").items) {
            const Ingredient& one = c.ingredients[std::stoul(member(item, "id").string.substr(4))];
            CHECK(number(item, "percent") ==
                  Approx(100 * number(item, "kg") / weighed).epsilon(1e-9));
            if (one.max_percent) CHECK(at_least(*one.max_percent, number(item, "percent"), 100));
        }
    }
    for (std::size_t g = 0; g < c.groups.size(); ++g) {
        for (std::size_t t = 0; t < c.periods; ++t)
            CHECK(seen[{g, t}] == c.groups[g].need[t] > 0);
    }
    std::map<std::pair<std::string, std::size_t>, const base::JsonValue*> stock;
    for (const base::JsonValue& row : member(result, "stock").items)
        stock[{member(row, "id").string, static_cast<std::size_t>(number(row, "period")) - 1}] =
            &row;
    static const base::JsonValue nothing;
    std::map<std::pair<std::size_t, std::size_t>, double> dried;
    for (std::size_t i = 0; i < c.ingredients.size(); ++i) {
        const Ingredient& one = c.ingredients[i];
        double before = one.stock;
        std::vector<double> inflow;
        for (std::size_t t = 0; t < c.periods; ++t) {
            const auto at = stock.find({name_of(i), t});
            const base::JsonValue& row = at == stock.end() ? nothing : *at->second;
            const double bought = number(row, "bought_kg");
            const double harvested = number(row, "harvested_kg");
            const double stored = number(row, "stored_kg");
            const double lost = number(row, "lost_kg");
            const double size = before + bought + harvested + std::abs(number(row, "dried_kg"));
            CHECK(std::abs(before + bought + harvested + number(row, "dried_kg") -
                           number(row, "used_kg") - stored - lost) <= 1e-7 * (1 + size));
            CHECK(std::abs(number(row, "used_kg") - used[{name_of(i), t}]) <= 1e-7 * (1 + size));
            CHECK(at_least(lost, before * one.loss_percent / 100, size));
            CHECK((bought == 0 || !one.price.empty()));
            CHECK(at_least(one.supply.empty() ? 0 : one.supply[t], harvested, size));
            if (one.store) CHECK(at_least(*one.store, stored, size));
            inflow.push_back(bought + harvested + std::max(0.0, number(row, "dried_kg")));
            // Where something is dried into it and out of it at once, the net tells less.
            const bool both = std::any_of(c.drying.begin(), c.drying.end(),
                                          [&](const Dry& d) { return d.from == i; });
            if (one.keeps && !both) {
                double recent = 0;
                for (int s = static_cast<int>(t) - *one.keeps + 1; s <= static_cast<int>(t); ++s) {
                    if (s == -1) recent += one.stock;
                    if (s >= 0) recent += inflow[static_cast<std::size_t>(s)];
                }
                CHECK(at_least(recent, stored, size));
            }
            if (!one.price.empty()) cost += bought * one.price[t];
            cost += harvested * one.harvest_cost + stored * one.store_cost;
            before = stored;
        }
    }
    if (c.drying.empty()) {
        if (any_home) cost += c.equipment;
        CHECK(number(result, "cost") == Approx(cost).epsilon(tolerance));
        for (std::size_t t = 0; t < c.periods && !c.hours.empty(); ++t)
            CHECK(at_least(c.hours[t], hours[t], c.hours[t]));
    }
}

// With one more of something.
std::optional<double> cost_with_more(Case c, const base::JsonValue& worth) {
    const auto t = static_cast<std::size_t>(number(worth, "period")) - 1;
    const std::string& what = member(worth, "what").string;
    if (what == "hours") {
        c.hours[t] += 1;
        return Oracle(c).cost();
    }
    Ingredient& one = c.ingredients[std::stoul(member(worth, "id").string.substr(4))];
    if (what == "supply") {
        one.supply[t] += 1;
        return Oracle(c).cost();
    }
    return std::nullopt;  // room in one period alone has no place in the description
}

}  // namespace

TEST_CASE("season: random seasons cost what another solver finds", "[season]") {
    int solved = 0;
    int infeasible = 0;
    int with_home = 0;
    int worths = 0;
    for (std::uint64_t seed = 1; seed <= 500; ++seed) {
        Random random(seed);
        const Case c = random_case(random);
        const std::string text = text_of(c);
        INFO("seed " << seed << '\n' << text);
        const base::JsonValue result = solve(text);
        const auto cost = least_cost(c);
        const std::string& status = member(result, "status").string;
        if (!cost) {
            CHECK(status == "infeasible");
            ++infeasible;
            continue;
        }
        REQUIRE(status == "optimal");
        ++solved;
        CHECK(number(result, "cost") == Approx(*cost).epsilon(tolerance));
        check_plan(c, result);
        const base::JsonValue& compare = member(result, "compare");
        const auto bought = Oracle(c, false).cost();
        CHECK(bought.has_value() ==
              (member(compare, "all_bought").kind == base::JsonValue::Kind::number));
        if (bought) CHECK(number(compare, "all_bought") == Approx(*bought).epsilon(tolerance));
        const auto& feeds = member(result, "feeds").items;
        const bool home = std::any_of(feeds.begin(), feeds.end(),
                                      [](const auto& fed) { return number(fed, "home_kg") > 0; });
        with_home += home ? 1 : 0;
        const double paid = number(result, "cost") - (home ? c.equipment : 0);
        for (const base::JsonValue& worth : member(result, "worth").items) {
            const auto more = cost_with_more(c, worth);
            if (!more) continue;
            ++worths;
            INFO(member(worth, "what").string << ' ' << number(worth, "period"));
            CHECK(std::abs(paid - *more - number(worth, "per_unit")) <= tolerance * paid);
        }
    }
    // The random cases are of every kind.
    CHECK(solved > 250);
    CHECK(infeasible > 20);
    CHECK(with_home > 150);
    CHECK(worths > 100);
}
