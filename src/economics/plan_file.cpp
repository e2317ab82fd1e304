// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "base/json.hpp"
#include "base/number.hpp"
#include "base/units.hpp"
#include "economics/plan.hpp"
#include "economics/range_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <utility>

namespace feedwright::economics {

namespace {

constexpr NumberRule weight_rule{
    .what = "a body weight in g above 0, to 1000000", .high = 1e6, .above_low = true};
constexpr NumberRule temperature_rule{
    .kind = NumberRule::Kind::temperature_c,
    .what = "degrees Celsius from -2 to 45, or a text such as \"82 F\"",
    .low = -2,
    .high = 45};
constexpr NumberRule day_rule{.what = "a day from 0 to 3660", .high = longest_plan_days};

std::optional<int> whole(const base::JsonView& object, std::string_view key, int low, int high) {
    const auto value = object.number_within(key, low, high, "a whole number");
    if (!value) return std::nullopt;
    if (*value != std::floor(*value)) {
        object.member(key)->problem("a whole number");
        return std::nullopt;
    }
    return static_cast<int>(*value);
}

// A number or [low, high], as in the profiles.
std::optional<catalog::Range> interval(const base::JsonView& object, std::string_view key,
                                       double low, double high) {
    const auto view = object.member(key);
    if (!view) return std::nullopt;
    std::vector<base::JsonView> ends;
    if (view->is_array()) {
        ends = view->elements();
    } else {
        ends = {*view, *view};
    }
    std::vector<double> values;
    for (const auto& end : ends) {
        if (end.is_number() && end.value().number >= low && end.value().number <= high) {
            values.push_back(end.value().number);
        }
    }
    if (ends.size() != 2 || values.size() != 2 || values[0] > values[1]) {
        view->problem(fmt::format("a number or [low, high] from {} to {}", base::shortest(low),
                                  base::shortest(high)));
        return std::nullopt;
    }
    return catalog::Range{values[0], values[1]};
}

void read_temperature(const base::JsonView& root, Plan& plan) {
    const auto view = root.member("temperature");
    if (!view) return;
    if (!view->is_array()) {
        if (const auto value = read_number(root, "temperature", temperature_rule)) {
            plan.temperature = {{0, *value}};
        }
        return;
    }
    for (const auto& entry : view->elements()) {
        if (!entry.is_object()) {
            entry.problem("{ \"from_day\": 0, \"value\": \"18 C\" }, one for each change");
            return;
        }
        entry.allow_only({"from_day", "value"});
        entry.required("from_day");
        entry.required("value");
        const auto day = read_number(entry, "from_day", day_rule);
        const auto value = read_number(entry, "value", temperature_rule);
        if (!day || !value) continue;
        const bool first = plan.temperature.empty();
        if (first ? *day != 0 : *day <= plan.temperature.back().day) {
            entry.problem(first ? "the first temperature from day 0 on"
                                : "a later day than before");
        }
        plan.temperature.push_back({*day, *value});
    }
}

void read_weighings(const base::JsonView& growth, Plan& plan) {
    for (const auto& entry : growth.array("weights")) {
        entry.allow_only({"day", "weight_g", "number"});
        entry.required("day");
        entry.required("weight_g");
        const auto day = read_number(entry, "day", day_rule);
        const auto weight = read_number(entry, "weight_g", weight_rule);
        const auto number = read_number(entry, "number", rules::amount);
        if (!day || !weight) continue;
        const bool first = plan.weighings.empty();
        if (first ? *day != 0 : *day <= plan.weighings.back().day) {
            entry.problem(first ? "the first weighing on day 0" : "a later day than before");
        }
        plan.weighings.push_back({*day, *weight, number});
    }
    const auto counted = std::count_if(plan.weighings.begin(), plan.weighings.end(),
                                       [](const GrowthPoint& w) { return w.number.has_value(); });
    if (counted != 0 && counted != static_cast<long>(plan.weighings.size())) {
        growth.problem("a \"number\" in every weighing or in none");
    }
}

void read_growth(const base::JsonView& root, Plan& plan) {
    const auto growth = root.member("growth");
    if (root.has("intake_g")) {
        plan.intake_g = read_number(root, "intake_g",
                                    {.what = "grams a day and animal above 0", .above_low = true});
        if (growth) growth->problem("no growth beside \"intake_g\": it is for grown animals");
        return;
    }
    if (!growth) {
        root.problem_found("no \"growth\"",
                           "\"growth\" with a tgc, an sgr, an fcr or weights; or \"intake_g\"");
        return;
    }
    growth->allow_only({"tgc", "sgr", "fcr", "weights"});
    if (!growth->is_object() || growth->value().keys.size() != 1) {
        growth->problem("one of \"tgc\", \"sgr\", \"fcr\" or \"weights\"");
        return;
    }
    const auto rate = [&](std::string_view key, Growth kind, const NumberRule& rule) {
        if (!growth->has(key)) return;
        plan.growth = kind;
        plan.rate = read_number(*growth, key, rule).value_or(1);
    };
    rate("tgc", Growth::tgc,
         {.what = "a thermal growth coefficient above 0, to 10",
          .high = 10,
          .above_low = true,
          .hint = "TGC is 1000 (W2^(1/3) - W1^(1/3)) / degree-days; with the factor 100 multiply "
                  "by 10"});
    rate("sgr", Growth::sgr,
         {.what = "percent a day above 0, to 50", .high = 50, .above_low = true});
    rate("fcr", Growth::fed, rules::fcr);
    if (growth->has("weights")) {
        plan.growth = Growth::weighed;
        read_weighings(*growth, plan);
    }
}

void read_rations(const base::JsonView& root, Plan& plan) {
    for (const auto& entry : root.array("rations")) {
        entry.allow_only(
            {"weight_g", "temperature_c", "ration_percent", "meals_per_day", "pellet_mm", "note"});
        entry.required("weight_g");
        catalog::FeedingRate rate;
        const auto weight = interval(entry, "weight_g", 0, 1e6);
        if (weight) rate.weight_g = *weight;
        rate.temperature_c = interval(entry, "temperature_c", -2, 45);
        rate.ration_percent = interval(entry, "ration_percent", 0, 100);
        rate.meals_per_day = interval(entry, "meals_per_day", 0, 24);
        rate.pellet_mm = interval(entry, "pellet_mm", 0, 50);
        rate.note = entry.string("note").value_or("");
        if (!rate.ration_percent && !rate.pellet_mm) {
            entry.problem("a \"ration_percent\", a \"pellet_mm\" or both");
        }
        plan.rations.push_back(std::move(rate));
    }
}

void read_end(const base::JsonView& root, Plan& plan) {
    plan.target_g = read_number(root, "target_g", weight_rule);
    plan.days = whole(root, "days", 1, longest_plan_days);
    const bool grows_by_rate = !plan.intake_g && plan.growth != Growth::weighed;
    if (grows_by_rate && root.has("target_g") == root.has("days")) {
        root.problem_found(root.has("days") ? "both a target and days" : "no end of the plan",
                           "one of \"target_g\" or \"days\"");
    }
    if (!grows_by_rate && (!root.has("days") || root.has("target_g"))) {
        root.problem_found(root.has("target_g") ? "a target weight" : "no \"days\"",
                           "\"days\", since the plan does not grow by a rate");
    }
    if (plan.target_g && *plan.target_g <= plan.start_g) {
        root.member("target_g")
            ->problem(fmt::format("a target above the start weight of {} g",
                                  base::shortest(plan.start_g)),
                      "");
    }
}

void read_stock(const base::JsonView& root, Plan& plan) {
    const bool counted = !plan.weighings.empty() && plan.weighings.front().number.has_value();
    if (counted) {
        plan.number = *plan.weighings.front().number;
        for (const char* key : {"number", "survival_percent"}) {
            if (root.has(key)) root.member(key)->problem("no second count: the weighings give it");
        }
    } else {
        root.required("number");
        plan.number =
            read_number(root, "number", {.what = "a number of animals above 0", .above_low = true})
                .value_or(1);
        if (root.has("survival_percent")) {
            plan.survival_percent =
                read_number(root, "survival_percent",
                            {.what = "percent alive at the end, above 0, to 100",
                             .high = 100,
                             .above_low = true});
        } else {
            plan.survival_percent = 100;
            plan.notes.push_back({.kind = PlanNote::Kind::all_survive});
        }
    }
    if (plan.growth == Growth::weighed) {
        if (root.has("start_g")) root.member("start_g")->problem("no start: the weighings give it");
        if (!plan.weighings.empty()) plan.start_g = plan.weighings.front().weight_g;
        if (plan.weighings.empty()) root.problem("at least one weighing");
    } else if (!plan.intake_g || root.has("start_g")) {
        root.required("start_g");
        plan.start_g = read_number(root, "start_g", weight_rule).value_or(1);
    }
}

void read_feeding(const base::JsonView& root, Plan& plan) {
    plan.fcr = read_number(root, "fcr", rules::fcr);
    if (const auto by = root.string("feed_by")) {
        if (*by != "ration" && *by != "fcr")
            root.member("feed_by")->problem("\"ration\" or \"fcr\"");
        plan.feed_by_fcr = *by == "fcr";
    } else {
        // An FCR that was given is meant; rations that were given are meant before it.
        plan.feed_by_fcr =
            plan.fcr && plan.growth != Growth::fed && !plan.intake_g && !root.has("rations");
    }
    if (plan.growth == Growth::fed && plan.feed_by_fcr) {
        root.member("feed_by")->problem("\"ration\": growth by FCR starts from the ration");
    }
    if (plan.growth == Growth::fed && root.has("fcr")) {
        root.member("fcr")->problem("no second FCR: \"growth\" has one");
    }
    if (const auto days = whole(root, "adjust_every_days", 1, 60)) plan.adjust_every_days = *days;
    plan.home_feed_from_g = read_number(root, "home_feed_from_g", weight_rule);
    plan.pack_kg = read_number(root, "pack_kg", rules::mass);
    if (const auto packs = root.member("packs")) {
        for (const auto& [id, value] : packs->members()) {
            if (const auto kg = read_number(*packs, id, rules::mass))
                plan.packs.emplace_back(id, *kg);
        }
    }
    read_rations(root, plan);
}

void read_place(const base::JsonView& root, Plan& plan) {
    if (const auto tank = root.member("tank")) {
        if (tank->is_number() && tank->value().number > 0) {
            plan.tank_l = tank->value().number;
        } else if (tank->is_string()) {
            plan.tank_l = base::parse_volume_l(tank->value().string);
        }
        if (!plan.tank_l)
            tank->problem("litres above 0, or a text such as \"500 gal\" or \"2 m3\"");
    }
    if (const auto date = root.string("start_date")) {
        plan.start = parse_date(*date);
        if (!plan.start) root.member("start_date")->problem("a date as \"2025-04-01\"");
    }
    if (const auto venture = root.string("venture")) {
        const std::filesystem::path folder = std::filesystem::path(plan.file).parent_path();
        plan.venture_file = (folder / *venture).string();
    }
}

}  // namespace

Plan parse_plan(std::string text, const std::string& file) {
    base::Diagnostics diagnostics;
    const base::JsonView root(base::parse_json(std::move(text), file), diagnostics);
    Plan plan;
    plan.file = file;
    if (root.require_format("feedwright-plan/1")) {
        root.allow_only({"format",
                         "title",
                         "note",
                         "profile",
                         "number",
                         "start_g",
                         "target_g",
                         "days",
                         "temperature",
                         "survival_percent",
                         "growth",
                         "intake_g",
                         "fcr",
                         "feed_by",
                         "rations",
                         "start_date",
                         "adjust_every_days",
                         "home_feed_from_g",
                         "pack_kg",
                         "packs",
                         "tank",
                         "venture"});
        plan.title = root.string("title").value_or("");
        plan.note = root.string("note").value_or("");
        plan.species = root.string("profile").value_or("");
        read_growth(root, plan);
        read_stock(root, plan);
        read_end(root, plan);
        read_temperature(root, plan);
        if (plan.growth == Growth::tgc && !root.has("temperature")) {
            root.problem_found("no \"temperature\"", "a \"temperature\": growth by TGC needs it");
        }
        read_feeding(root, plan);
        read_place(root, plan);
    }
    diagnostics.throw_if_any();
    return plan;
}

Plan load_plan(const std::string& path) {
    return parse_plan(base::read_file(path), path);
}

std::optional<std::chrono::sys_days> parse_date(std::string_view text) {
    if (text.size() != 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
    for (const std::size_t i : {0u, 1u, 2u, 3u, 5u, 6u, 8u, 9u}) {
        if (text[i] < '0' || text[i] > '9') return std::nullopt;
    }
    const auto part = [&](std::size_t at, std::size_t length) {
        int value = 0;
        for (std::size_t i = at; i < at + length; ++i)
            value = value * 10 + (text[i] - '0');
        return value;
    };
    const std::chrono::year_month_day date{std::chrono::year(part(0, 4)),
                                           std::chrono::month(static_cast<unsigned>(part(5, 2))),
                                           std::chrono::day(static_cast<unsigned>(part(8, 2)))};
    if (!date.ok()) return std::nullopt;
    return std::chrono::sys_days(date);
}

std::string date_text(std::chrono::sys_days day) {
    const std::chrono::year_month_day date(day);
    return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()),
                       static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()));
}

}  // namespace feedwright::economics
