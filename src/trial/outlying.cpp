// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers far from their neighbours. The rule and its reasons: docs/method.md.
#include "base/number.hpp"
#include "trial/data.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <tuple>

namespace feedwright::trial {

namespace {

// A point left out or a digit too many makes a factor of ten; healthy tanks of a trial are never
// this far from each other.
constexpr double far_factor = 5;
// Nearer than that, but far beyond how much tanks differ elsewhere in the trial …
constexpr double far_spreads = 8;
// … as long as it is no small difference among tanks that are by chance nearly equal.
constexpr double least_factor = 1.5;
// The spread is not known from fewer tanks.
constexpr std::size_t least_tanks = 4;
// Makes the median distance of a normal distribution its standard deviation.
constexpr double to_sd = 1.4826;
// More than these is no slip of the pen, and need not be listed.
constexpr std::size_t most = 20;

struct Cell {
    std::string group;
    double value = 0;  ///< compared; a logarithm where `factors`
    std::size_t at = 0;
};

struct Rule {
    bool factors = true;   ///< values are logarithms
    bool near_far = true;  ///< a factor of five counts whatever the spread
    bool spreads = true;   ///< so does what is far beyond the spread of tanks on one diet
    bool overall = true;   ///< compared with all tanks too
};

struct Far {
    std::size_t at = 0;
    double from = 0;  ///< the middle it is far from
    bool overall = false;
};

// Of sorted values without the one at `without`.
double median_without(const std::vector<double>& sorted, std::size_t without) {
    const std::size_t n = sorted.size() - 1;
    const auto left = [&](std::size_t i) { return sorted[i < without ? i : i + 1]; };
    return n % 2 == 1 ? left(n / 2) : (left(n / 2 - 1) + left(n / 2)) / 2;
}

// How much the others of a group differ, as they show it themselves: a diet may make tanks unequal.
double spread_without(std::vector<double> group, std::size_t without) {
    group.erase(group.begin() + static_cast<std::ptrdiff_t>(without));
    if (group.size() < 2) return 0;
    std::vector<double> distances;
    for (std::size_t i = 0; i < group.size(); ++i)
        distances.push_back(std::abs(group[i] - median_without(group, i)));
    return to_sd * base::median(std::move(distances));
}

// One number with its distances, when all but it have been looked at.
struct Look {
    Far far;
    double distance = 0;
    double from_all = 0;
};

// The farthest of the cells that are too far, if any. `cells` are sorted by group, value and place.
std::optional<Far> farthest(const std::vector<Cell>& cells, const Rule& rule) {
    std::vector<double> all;
    std::map<std::string, std::vector<double>> groups;
    for (const Cell& c : cells) {
        all.push_back(c.value);
        groups[c.group].push_back(c.value);
    }
    std::sort(all.begin(), all.end());
    std::map<std::string, std::vector<double>> distances;
    for (const auto& [name, values] : groups) {
        for (std::size_t i = 0; values.size() > 1 && i < values.size(); ++i)
            distances[name].push_back(std::abs(values[i] - median_without(values, i)));
    }
    // How much tanks on one diet differ, as the other groups show it: a slip in this one does not
    // hide itself.
    const auto spread_beside = [&](const std::string& group) -> std::optional<double> {
        std::vector<double> others;
        for (const auto& [name, list] : distances) {
            if (name != group) others.insert(others.end(), list.begin(), list.end());
        }
        if (others.size() < least_tanks) return std::nullopt;
        return to_sd * base::median(std::move(others));
    };
    const double far = std::log(far_factor);
    const double least = rule.factors ? std::log(least_factor) : 0;
    std::optional<Look> worst;
    std::string name;
    std::size_t place = 0;
    std::optional<double> spread;
    for (const Cell& c : cells) {
        if (place == 0 || c.group != name) {
            name = c.group;
            place = 0;
            if (rule.spreads) spread = spread_beside(name);
        }
        const std::vector<double>& group = groups.at(name);
        const std::size_t i = place++;
        std::optional<Look> look;
        double from_all = 0;
        if (all.size() > 2) {
            const auto here = static_cast<std::size_t>(
                std::lower_bound(all.begin(), all.end(), c.value) - all.begin());
            const double middle = median_without(all, here);
            from_all = std::abs(c.value - middle);
            if (rule.overall && rule.near_far && from_all > far) {
                look = Look{{c.at, middle, true}, from_all, from_all};
            }
        }
        if (group.size() > 1) {
            const double middle = median_without(group, i);
            const double distance = std::abs(c.value - middle);
            const bool by_factor = rule.near_far && distance > far;
            const bool by_spread = spread && distance > far_spreads * *spread && distance > least &&
                                   distance > far_spreads * spread_without(group, i);
            if (by_factor || by_spread) look = Look{{c.at, middle, false}, distance, from_all};
        }
        if (!look) continue;
        // Two tanks are equally far from each other; that which is farther from all others is
        // named.
        const double rounding = 1e-12 * std::abs(look->distance);
        const bool farther =
            !worst || look->distance > worst->distance + rounding ||
            (look->distance > worst->distance - rounding && look->from_all > worst->from_all);
        if (farther) worst = look;
    }
    if (!worst) return std::nullopt;
    return worst->far;
}

std::vector<Far> all_far(std::vector<Cell> cells, const Rule& rule) {
    std::sort(cells.begin(), cells.end(), [](const Cell& a, const Cell& b) {
        return std::tie(a.group, a.value, a.at) < std::tie(b.group, b.value, b.at);
    });
    std::vector<Far> found;
    while (found.size() < most) {
        const auto next = farthest(cells, rule);
        if (!next) break;
        found.push_back(*next);
        std::erase_if(cells, [&](const Cell& c) { return c.at == next->at; });
    }
    return found;
}

void sort_by_line(std::vector<Outlying>& list) {
    std::sort(list.begin(), list.end(), [](const Outlying& a, const Outlying& b) {
        return std::tie(a.line, a.column) < std::tie(b.line, b.column);
    });
}

struct Column {
    const char* name;
    std::function<std::optional<double>(const Tank&)> value;
    Rule rule;
    bool a_fish = false;  ///< compared per fish
};

}  // namespace

std::vector<Outlying> outlying(const TrialData& data) {
    // In an order that does not depend on that of the rows.
    std::vector<Tank> tanks = data.tanks;
    std::sort(tanks.begin(), tanks.end(),
              [](const Tank& a, const Tank& b) { return natural_less(a.name, b.name); });
    std::vector<Outlying> out;
    std::set<std::size_t> wrong_count;
    const auto look = [&](const Column& column) {
        std::vector<Cell> cells;
        for (std::size_t i = 0; i < tanks.size(); ++i) {
            const auto v = column.value(tanks[i]);
            if (v && *v > 0) cells.push_back({tanks[i].diet, std::log(*v), i});
        }
        for (const Far& far : all_far(std::move(cells), column.rule)) {
            const Tank& t = tanks[far.at];
            if (std::string_view(column.name) == "count_in") wrong_count.insert(far.at);
            const double value = *column.value(t);
            Outlying one;
            one.line = t.line;
            one.column = column.name;
            one.group = t.diet;
            one.tank = t.name;
            one.value = column.a_fish ? value * *t.count_in : value;
            one.times = value / std::exp(far.from);
            one.compared = far.overall ? Compared::all_tanks : Compared::diet;
            one.a_fish = column.a_fish;
            out.push_back(std::move(one));
        }
    };
    const Rule measured{};
    const Rule set{.spreads = false};      // the same for all tanks, or as many as there are
    const Rule of_diet{.overall = false};  // differs between diets
    look({"weight_in_g", [](const Tank& t) { return std::optional(t.weight_in_g); }, measured});
    look({"weight_out_g", [](const Tank& t) { return t.weight_out_g; }, measured});
    look({"days", [](const Tank& t) { return std::optional(t.days); }, set});
    const auto number = [](const std::optional<int>& n) -> std::optional<double> {
        if (!n) return std::nullopt;
        return *n;
    };
    look({"count_in", [&](const Tank& t) { return number(t.count_in); }, set});
    look({"count_out", [&](const Tank& t) { return number(t.count_out); }, set});
    // Feed a fish where the fish are counted, so that fuller tanks may eat more. A count that is
    // wrong itself does not make the feed so.
    const double unit = data.feed_in_grams ? 1000 : 1;
    const char* feed = data.feed_in_grams ? "feed_g" : "feed_kg";
    const bool counted = std::all_of(tanks.begin(), tanks.end(),
                                     [](const Tank& t) { return t.count_in.has_value(); });
    look({feed,
          [&](const Tank& t) -> std::optional<double> {
              const auto at = static_cast<std::size_t>(&t - tanks.data());
              if (!t.feed_kg || wrong_count.contains(at)) return std::nullopt;
              return *t.feed_kg * unit / (counted ? *t.count_in : 1);
          },
          measured, counted});
    look({"length_out_cm", [](const Tank& t) { return t.length_out_cm; }, measured});
    look({"temperature_c", [](const Tank& t) { return t.temperature_c; }, set});
    look({"protein_percent", [](const Tank& t) { return t.protein_percent; }, measured});
    look({"carcass_protein_in_percent", [](const Tank& t) { return t.carcass_protein_in_percent; },
          measured});
    look({"carcass_protein_out_percent",
          [](const Tank& t) { return t.carcass_protein_out_percent; }, measured});
    look({"feed_price", [](const Tank& t) { return t.feed_price; }, of_diet});
    // The dead of a tank weighed against its living: fish of one tank are alike.
    for (const Tank& t : tanks) {
        if (!t.dead_weight_g || !t.count_in || !t.count_out || !t.weight_out_g) continue;
        const int dead = *t.count_in - *t.count_out;
        if (dead < 1) continue;
        const double times = *t.dead_weight_g / dead / std::max(t.weight_in_g, *t.weight_out_g);
        if (times < far_factor) continue;
        out.push_back({.line = t.line,
                       .column = "dead_weight_g",
                       .group = t.diet,
                       .tank = t.name,
                       .value = *t.dead_weight_g,
                       .times = times,
                       .compared = Compared::living,
                       .dead = dead});
    }
    sort_by_line(out);
    return out;
}

std::vector<Outlying> outlying(const OneWayData& data) {
    const bool factors = std::all_of(data.values.begin(), data.values.end(),
                                     [](const Observation& o) { return o.value > 0; });
    std::vector<Cell> cells;
    for (std::size_t i = 0; i < data.values.size(); ++i) {
        const Observation& o = data.values[i];
        cells.push_back({o.group, factors ? std::log(o.value) : o.value, i});
    }
    // Nothing is known of what is measured: groups may differ by any factor, and values too.
    const Rule rule{.factors = factors, .near_far = false, .overall = false};
    std::vector<Outlying> out;
    for (const Far& far : all_far(std::move(cells), rule)) {
        const Observation& o = data.values[far.at];
        out.push_back({.line = data.lines[far.at],
                       .column = data.response,
                       .group = o.group,
                       .value = o.value,
                       .times = factors ? o.value / std::exp(far.from) : 0,
                       .compared = Compared::group,
                       .middle = factors ? 0 : far.from,
                       .group_column = data.group});
    }
    sort_by_line(out);
    return out;
}

}  // namespace feedwright::trial
