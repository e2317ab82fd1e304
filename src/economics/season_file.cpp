// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "economics/plan.hpp"
#include "economics/range_reader.hpp"
#include "economics/season.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <initializer_list>
#include <utility>

namespace feedwright::economics {

namespace {

using base::JsonValue;
using base::JsonView;

constexpr NumberRule kg_rule{.kind = NumberRule::Kind::mass_kg,
                             .what = "kilograms, 0 or more, or a text such as \"50 lb\""};
constexpr NumberRule price_rule{.kind = NumberRule::Kind::price_per_kg,
                                .what =
                                    "a price per kg, 0 or more, or a text such as \"24.5 per "
                                    "20 kg\""};
constexpr NumberRule hours_rule{.what = "hours, 0 or more"};

void put(JsonValue& object, std::string key, JsonValue value) {
    object.keys.push_back(std::move(key));
    object.items.push_back(std::move(value));
}

JsonValue empty(JsonValue::Kind kind, const JsonValue* at = nullptr) {
    JsonValue value;
    value.kind = kind;
    if (at != nullptr) value.offset = at->offset;
    return value;
}

JsonValue text(std::string words) {
    JsonValue value = empty(JsonValue::Kind::string);
    value.string = std::move(words);
    return value;
}

JsonValue number(double n) {
    JsonValue value = empty(JsonValue::Kind::number);
    value.number = n;
    return value;
}

// Those members of an object that are named, in its order.
JsonValue members_of(const JsonValue& object, std::initializer_list<std::string_view> names) {
    JsonValue some = empty(JsonValue::Kind::object, &object);
    for (std::size_t i = 0; i < object.keys.size(); ++i) {
        if (std::find(names.begin(), names.end(), object.keys[i]) != names.end())
            put(some, object.keys[i], object.items[i]);
    }
    return some;
}

// The weight of the pack in a price such as "24.5 per 20 kg"; nothing where it is per unit.
std::optional<double> pack_of(const JsonView& price) {
    if (!price.is_string()) return std::nullopt;
    const std::string& words = price.value().string;
    const std::size_t per = words.find("per ");
    if (per == std::string::npos) return std::nullopt;
    const auto quantity = base::parse_quantity(words.substr(per + 4));
    return quantity ? base::parse_mass_kg(words.substr(per + 4)) : std::nullopt;
}

class Reader {
  public:
    Reader(Season& season, const JsonView& root) : season_(season), root_(root) {}

    void read() {
        root_.allow_only({"format", "title", "note", "currency", "start_date", "periods",
                          "period_days", "animals", "ingredients", "dried", "bought_feeds",
                          "making", "nutrients"});
        season_.title = root_.string("title").value_or("");
        season_.note = root_.string("note").value_or("");
        season_.currency = root_.string("currency").value_or("");
        if (const auto date = root_.string("start_date")) {
            season_.start = parse_date(*date);
            if (!season_.start) root_.member("start_date")->problem("a date as \"2026-04-01\"");
        }
        season_.periods = required_whole("periods", most_periods);
        season_.period_days = required_whole("period_days", 366);
        if (const auto own = root_.member("nutrients")) season_.nutrients = own->value();
        read_animals();
        root_.required("ingredients");
        for (const JsonView& item : root_.array("ingredients"))
            read_ingredient(item);
        for (const JsonView& item : root_.array("dried"))
            read_drying(item);
        for (const JsonView& item : root_.array("bought_feeds"))
            read_bought(item);
        if (const auto making = root_.member("making")) read_making(*making);
    }

  private:
    std::size_t periods() const { return static_cast<std::size_t>(season_.periods); }

    int required_whole(std::string_view key, int high) {
        root_.required(key);
        const auto value = root_.number_within(key, 1, high, "a whole number");
        if (!value) return 1;
        if (*value == std::floor(*value)) return static_cast<int>(*value);
        root_.member(key)->problem("a whole number");
        return 1;
    }

    // The values of a list for all periods, or a value that holds in each.
    std::vector<JsonView> each_period(const JsonView& view) {
        if (!view.is_array()) return {periods(), view};
        std::vector<JsonView> list = view.elements();
        if (list.size() != periods()) {
            view.problem_found(fmt::format("a list of {}", list.size()),
                               fmt::format("one value, or a list of {}: one a period", periods()));
            return {};
        }
        return list;
    }

    PerPeriod numbers(const JsonView& object, std::string_view key, const NumberRule& rule) {
        PerPeriod list;
        const auto view = object.member(key);
        if (!view) return list;
        if (!view->is_array()) {
            list.assign(periods(), read_number(*view, rule).value_or(0));
            return list;
        }
        for (const JsonView& one : each_period(*view))
            list.push_back(read_number(one, rule).value_or(0));
        if (list.empty()) list.assign(periods(), 0);
        return list;
    }

    PricePerPeriod prices(const JsonView& object, std::optional<double>& pack_kg) {
        PricePerPeriod list;
        const auto view = object.member("price");
        if (!view) return list;
        const auto of = [&](const JsonView& one) -> std::optional<double> {
            if (one.value().kind == JsonValue::Kind::null) return std::nullopt;
            const auto price = read_number(one, price_rule);
            if (price && !pack_kg) pack_kg = pack_of(one);
            return price;
        };
        if (!view->is_array()) {
            if (view->value().kind == JsonValue::Kind::null) view->problem("a price");
            list.assign(periods(), of(*view));
            return list;
        }
        for (const JsonView& one : each_period(*view))
            list.push_back(of(one));
        return list;
    }

    // How far off what is written may be; as it is written is likeliest.
    Triangular percent_of(const JsonView& item, std::string_view key, std::string_view of) {
        const auto range =
            read_triangular(item, key, {.what = "percent from 0 to 1000", .high = 1000});
        if (!range) return as_written;
        if (range->likely != 100)
            item.member(key)->problem("[low, 100, high]: percent of what is written");
        if (!item.has(of))
            item.member(key)->problem_found(fmt::format("a range and no \"{}\"", of),
                                            "what it is a range of");
        return *range;
    }

    void read_sales(const JsonView& item, SeasonAnimals& animals) {
        for (const JsonView& one : item.array("sells")) {
            one.allow_only({"name", "amount", "price", "note"});
            if (!one.is_object()) continue;
            SeasonSale sale;
            if (const auto name = one.required("name")) sale.name = name->as_string().value_or("");
            sale.amount = numbers(one, "amount", rules::amount);
            one.required("price");
            sale.price = read_number(one, "price", rules::money).value_or(0);
            if (sale.amount.empty() && item.has("feed_kg"))
                one.problem_found("no \"amount\"",
                                  "how many are sold in each period; only what animals gain is "
                                  "known without it");
            animals.sales.push_back(std::move(sale));
        }
    }

    template <class T>
    std::vector<T> values(const JsonView& object, std::string_view key,
                          std::optional<T> (JsonView::*as)() const) {
        std::vector<T> list;
        const auto view = object.member(key);
        if (!view) return list;
        if (!view->is_array()) {
            if (const auto value = ((*view).*as)()) list.assign(periods(), *value);
            return list;
        }
        for (const JsonView& one : each_period(*view))
            list.push_back((one.*as)().value_or(T{}));
        return list;
    }

    // Names of animals of the season.
    std::vector<std::string> named_animals(const JsonView& item) {
        std::vector<std::string> names;
        for (const JsonView& one : item.array("for")) {
            const auto name = one.as_string();
            if (!name) continue;
            const bool known = std::find(names_.begin(), names_.end(), *name) != names_.end();
            if (!known)
                one.problem("the name of one of the \"animals\"",
                            base::did_you_mean(*name, names_));
            names.push_back(*name);
        }
        if (item.has("for") && names.empty() && item.member("for")->is_array())
            item.member("for")->problem("at least one name");
        return names;
    }

    void read_animals() {
        root_.required("animals");
        const auto list = root_.array("animals");
        for (const JsonView& item : list) {
            if (const auto name = item.is_object() ? item.member("name") : std::nullopt)
                if (name->is_string()) names_.push_back(name->value().string);
        }
        for (const JsonView& item : list)
            read_some_animals(item);
        if (root_.has("animals") && root_.member("animals")->is_array() && list.empty())
            root_.member("animals")->problem("at least one entry");
    }

    void read_some_animals(const JsonView& item) {
        item.allow_only({"name", "note", "plan", "profile", "gain_kg", "feed_kg", "fcr_home",
                         "fcr_bought", "home_feed", "limits", "ratios", "sells"});
        if (!item.is_object()) return;
        SeasonAnimals animals;
        animals.place = item.place();
        if (const auto name = item.required("name")) {
            animals.name = name->as_string().value_or("");
            if (std::count(names_.begin(), names_.end(), animals.name) > 1)
                name->problem("a name of its own for each of the animals");
        }
        animals.fcr_home = read_triangular(item, "fcr_home", rules::fcr);
        animals.fcr_bought = read_triangular(item, "fcr_bought", rules::fcr);
        animals.profiles = values(item, "profile", &JsonView::as_string);
        animals.home_feed = values(item, "home_feed", &JsonView::as_bool);
        if (animals.home_feed.empty()) animals.home_feed.assign(periods(), true);
        animals.limits = members_of(item.value(), {"limits", "ratios"});
        const int needs = (item.has("plan") ? 1 : 0) + (item.has("gain_kg") ? 1 : 0) +
                          (item.has("feed_kg") ? 1 : 0);
        if (needs != 1) {
            item.problem_found(needs == 0
                                   ? "nothing that the animals need"
                                   : "more than one of \"plan\", \"gain_kg\" and \"feed_kg\"",
                               "one of \"plan\", \"gain_kg\" or \"feed_kg\"");
        }
        if (const auto plan = item.string("plan")) {
            const std::filesystem::path folder = std::filesystem::path(season_.file).parent_path();
            animals.plan_file = (folder / *plan).string();
        }
        animals.gain_kg = numbers(item, "gain_kg", kg_rule);
        animals.feed_kg = numbers(item, "feed_kg", kg_rule);
        read_sales(item, animals);
        if (item.has("feed_kg") && (item.has("fcr_home") || item.has("fcr_bought"))) {
            item.problem_found("an FCR beside \"feed_kg\"",
                               "\"gain_kg\" with an FCR, or \"feed_kg\" without one");
        }
        const bool at_home = std::find(animals.home_feed.begin(), animals.home_feed.end(), true) !=
                             animals.home_feed.end();
        if (item.has("gain_kg") && at_home && !item.has("fcr_home")) {
            item.problem_found("a \"gain_kg\" and no \"fcr_home\"",
                               "the FCR on the home feed, or \"home_feed\": false");
        }
        const bool described =
            item.has("profile") || item.has("limits") || item.has("ratios") || item.has("plan");
        if (at_home && !described) {
            item.problem_found("no \"profile\" and no \"limits\"",
                               "what a home feed has to meet, or \"home_feed\": false");
        }
        season_.animals.push_back(std::move(animals));
    }

    void read_ingredient(const JsonView& item) {
        item.allow_only({"id",
                         "name",
                         "note",
                         "price",
                         "supply_kg",
                         "harvest_cost_per_kg",
                         "stock_kg",
                         "keeps_periods",
                         "store_cost_per_kg",
                         "price_percent",
                         "supply_percent",
                         "loss_percent",
                         "store_kg",
                         "for",
                         "min",
                         "max",
                         "dry_matter",
                         "basis",
                         "nutrients",
                         "category",
                         "extend",
                         "scale",
                         "label",
                         "recipe"});
        if (!item.is_object()) return;
        SeasonIngredient one;
        one.place = item.place();
        if (const auto id = item.required("id")) one.id = id->as_string().value_or("");
        one.asked = members_of(
            item.value(), {"id", "name", "note", "min", "max", "dry_matter", "basis", "nutrients",
                           "category", "extend", "scale", "label", "recipe"});
        one.own = item.has("nutrients") || item.has("extend") || item.has("dry_matter") ||
                  item.has("label") || item.has("recipe");
        one.price = prices(item, one.pack_kg);
        one.supply_kg = numbers(item, "supply_kg", kg_rule);
        one.price_percent = percent_of(item, "price_percent", "price");
        one.supply_percent = percent_of(item, "supply_percent", "supply_kg");
        if (const auto cost = read_number(item, "harvest_cost_per_kg", rules::money)) {
            one.harvest_cost_per_kg = *cost;
            if (!item.has("supply_kg"))
                item.member("harvest_cost_per_kg")
                    ->problem_found("a cost of harvest and no \"supply_kg\"",
                                    "the kilograms that can be harvested");
        }
        one.stock_kg = read_number(item, "stock_kg", kg_rule).value_or(0);
        one.store_kg = read_number(item, "store_kg", kg_rule);
        one.store_cost_per_kg = read_number(item, "store_cost_per_kg", rules::money).value_or(0);
        one.loss_percent = read_number(item, "loss_percent", rules::loss).value_or(0);
        if (const auto keeps = item.number_within("keeps_periods", 0, most_periods, "periods")) {
            if (*keeps != std::floor(*keeps))
                item.member("keeps_periods")->problem("a whole number of periods");
            one.keeps_periods = static_cast<int>(*keeps);
        }
        one.animals = named_animals(item);
        for (const SeasonIngredient& other : season_.ingredients) {
            if (other.id == one.id && !one.id.empty())
                item.problem_found(fmt::format("the ingredient \"{}\" again", one.id),
                                   "each ingredient once",
                                   fmt::format("It is there already: {}", other.place));
        }
        season_.ingredients.push_back(std::move(one));
    }

    std::string ingredient_named(const JsonView& item, std::string_view key) {
        const auto view = item.required(key);
        const auto id = view ? view->as_string() : std::nullopt;
        if (!id) return "";
        std::vector<std::string> known;
        for (const SeasonIngredient& one : season_.ingredients)
            known.push_back(one.id);
        if (std::find(known.begin(), known.end(), *id) == known.end())
            view->problem("an id from \"ingredients\"", base::did_you_mean(*id, known));
        return *id;
    }

    void read_drying(const JsonView& item) {
        item.allow_only({"from", "to", "cost_per_kg_water", "hours_per_kg_water", "note"});
        if (!item.is_object()) return;
        SeasonDrying drying;
        drying.place = item.place();
        drying.from = ingredient_named(item, "from");
        drying.to = ingredient_named(item, "to");
        if (drying.from == drying.to && !drying.to.empty())
            item.member("to")->problem("another ingredient than \"from\"");
        drying.cost_per_kg_water = read_number(item, "cost_per_kg_water", rules::money).value_or(0);
        drying.hours_per_kg_water = read_number(item, "hours_per_kg_water", hours_rule).value_or(0);
        for (const SeasonDrying& other : season_.drying) {
            if (other.from == drying.from && other.to == drying.to)
                item.problem_found("the same drying again", "each once");
        }
        season_.drying.push_back(std::move(drying));
    }

    void read_bought(const JsonView& item) {
        item.allow_only({"name", "for", "price", "price_percent", "note"});
        if (!item.is_object()) return;
        SeasonFeed feed;
        if (const auto name = item.required("name")) {
            feed.name = name->as_string().value_or("");
            for (const SeasonFeed& other : season_.bought_feeds) {
                if (other.name == feed.name)
                    name->problem("a name of its own for each bought feed");
            }
        }
        item.required("price");
        feed.animals = named_animals(item);
        feed.price = prices(item, feed.pack_kg);
        feed.price_percent = percent_of(item, "price_percent", "price");
        for (const SeasonAnimals& animals : season_.animals) {
            const bool eats = feed.animals.empty() ||
                              std::find(feed.animals.begin(), feed.animals.end(), animals.name) !=
                                  feed.animals.end();
            if (eats && !animals.gain_kg.empty() && !animals.fcr_bought)
                item.problem_found(
                    fmt::format("a bought feed for \"{}\", which has no \"fcr_bought\"",
                                animals.name),
                    "the FCR of these animals on a bought feed, or \"for\" without them");
        }
        season_.bought_feeds.push_back(std::move(feed));
    }

    void read_making(const JsonView& item) {
        item.allow_only({"batch_kg", "cost_per_kg", "hours_per_kg", "hours_per_batch", "hours",
                         "value_of_hour", "loss_percent", "finished_moisture", "equipment",
                         "note"});
        if (!item.is_object()) return;
        SeasonMaking making;
        making.batch_kg = read_number(item, "batch_kg", rules::mass);
        making.cost_per_kg = read_number(item, "cost_per_kg", rules::money).value_or(0);
        making.hours_per_kg = read_number(item, "hours_per_kg", hours_rule).value_or(0);
        making.hours = numbers(item, "hours", hours_rule);
        making.value_of_hour = read_number(item, "value_of_hour", rules::money).value_or(0);
        making.loss_percent = read_number(item, "loss_percent", rules::loss).value_or(0);
        making.finished_moisture = read_number(item, "finished_moisture", rules::moisture);
        if (const auto per_batch = read_number(item, "hours_per_batch", hours_rule)) {
            if (item.has("hours_per_kg") || !making.batch_kg) {
                item.member("hours_per_batch")
                    ->problem_found(making.batch_kg ? "hours per kg and per batch"
                                                    : "hours per batch and no \"batch_kg\"",
                                    making.batch_kg ? "one of the two" : "the weight of a batch");
            } else {
                making.hours_per_kg =
                    *per_batch / (*making.batch_kg * (1 - making.loss_percent / 100));
            }
        }
        for (const JsonView& one : item.array("equipment")) {
            one.allow_only({"name", "cost_for_season", "note"});
            if (!one.is_object()) continue;
            SeasonEquipment equipment;
            if (const auto name = one.required("name"))
                equipment.name = name->as_string().value_or("");
            one.required("cost_for_season");
            equipment.cost = read_number(one, "cost_for_season", rules::money).value_or(0);
            making.equipment.push_back(std::move(equipment));
        }
        season_.making = std::move(making);
    }

    Season& season_;
    JsonView root_;
    std::vector<std::string> names_;  // of animals
};

}  // namespace

Season read_season(std::string text, const std::string& file, base::Diagnostics& diagnostics) {
    Season season;
    season.file = file;
    season.document = base::parse_json(std::move(text), file);
    const JsonView root(season.document, diagnostics);
    if (root.require_format("feedwright-season/1")) Reader(season, root).read();
    return season;
}

std::shared_ptr<const base::JsonDocument> job_in(const Season& season, const SeasonAnimals* animals,
                                                 const std::string& profile,
                                                 const std::vector<std::size_t>& ingredients,
                                                 const std::vector<std::string>& ids,
                                                 std::optional<double> finished_moisture) {
    JsonValue root = empty(JsonValue::Kind::object, &season.document->root);
    put(root, "format", text("feedwright-job/1"));
    if (!season.currency.empty()) put(root, "currency", text(season.currency));
    if (!profile.empty()) put(root, "profile", text(profile));
    if (finished_moisture) put(root, "finished_moisture", number(*finished_moisture));
    if (season.nutrients.kind != JsonValue::Kind::null) put(root, "nutrients", season.nutrients);
    JsonValue list = empty(JsonValue::Kind::array);
    for (const std::size_t i : ingredients) {
        const SeasonIngredient& one = season.ingredients[i];
        JsonValue item = one.asked;
        for (std::size_t k = 0; k < item.keys.size(); ++k) {
            if (item.keys[k] == "id") item.items[k].string = ids[i];
        }
        const auto price = std::find_if(one.price.begin(), one.price.end(),
                                        [](const auto& p) { return p.has_value(); });
        if (price != one.price.end()) put(item, "price", number(**price));
        list.items.push_back(std::move(item));
    }
    put(root, "ingredients", std::move(list));
    if (animals != nullptr) {
        for (std::size_t k = 0; k < animals->limits.keys.size(); ++k)
            put(root, animals->limits.keys[k], animals->limits.items[k]);
    }
    return std::make_shared<base::JsonDocument>(
        base::JsonDocument{season.file, season.document->text, std::move(root)});
}

namespace {

// Of a plan's day (from its first on), how much of a row's total has come by then.
double share_of(const PlanRow& row, double day) {
    return std::clamp((day - row.first_day) / row.days, 0.0, 1.0);
}

double biomass_at(const PlanResult& result, double day) {
    for (std::size_t r = 0; r < result.rows.size(); ++r) {
        const PlanRow& row = result.rows[r];
        if (day > row.first_day + row.days) continue;
        const double end =
            r + 1 < result.rows.size() ? result.rows[r + 1].biomass_kg : result.end_biomass_kg;
        return row.biomass_kg + share_of(row, day) * (end - row.biomass_kg);
    }
    return result.end_biomass_kg;
}

double fed_by(const PlanResult& result, double day) {
    double kg = 0;
    for (const PlanRow& row : result.rows)
        kg += share_of(row, day) * row.feed_kg;
    return kg;
}

}  // namespace

SeasonNeed need_of(const Season& season, const Plan& plan, const PlanResult& result,
                   const catalog::Profile* profile, bool by_gain) {
    SeasonNeed need;
    need.is_gain = by_gain && plan.growth != Growth::none;
    const bool dated = season.start && plan.start;
    const double first = dated ? static_cast<double>((*season.start - *plan.start).count()) : 0;
    for (int t = 0; t < season.periods; ++t) {
        const double from = first + t * season.period_days;
        const double until = from + season.period_days;
        const double begin = std::clamp(from, 0.0, static_cast<double>(result.days));
        const double end = std::clamp(until, 0.0, static_cast<double>(result.days));
        const double kg = need.is_gain
                              ? std::max(0.0, biomass_at(result, end) - biomass_at(result, begin))
                              : fed_by(result, end) - fed_by(result, begin);
        need.kg.push_back(end > begin ? kg : 0);
        const PlanRow* now = &result.rows.front();
        for (const PlanRow& row : result.rows) {
            if (row.first_day <= begin) now = &row;
        }
        std::string stage;
        for (const auto& one :
             profile == nullptr ? std::vector<catalog::Stage>{} : profile->stages) {
            if (one.name == now->stage) stage = profile->species + '/' + one.id;
        }
        need.profiles.push_back(std::move(stage));
        need.home_feed.push_back(now->home);
    }
    return need;
}

bool is_uncertain(const Season& season) {
    const auto wide = [](const Triangular& range) { return range.low < range.high; };
    return std::any_of(season.animals.begin(), season.animals.end(),
                       [&](const SeasonAnimals& one) {
                           return (one.fcr_home && wide(*one.fcr_home)) ||
                                  (one.fcr_bought && wide(*one.fcr_bought));
                       }) ||
           std::any_of(season.ingredients.begin(), season.ingredients.end(),
                       [&](const SeasonIngredient& one) {
                           return wide(one.price_percent) || wide(one.supply_percent);
                       }) ||
           std::any_of(season.bought_feeds.begin(), season.bought_feeds.end(),
                       [&](const SeasonFeed& one) { return wide(one.price_percent); });
}

std::string period_start(const Season& season, std::size_t period) {
    const int day = static_cast<int>(period) * season.period_days;
    if (!season.start) return fmt::format("day {}", day + 1);
    return date_text(*season.start + std::chrono::days(day));
}

}  // namespace feedwright::economics
