// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/water.hpp"

#include <algorithm>
#include <optional>

namespace feedwright::catalog {

namespace {

using base::JsonView;

template <class Of>
const Of* of_animal(const std::vector<Of>& list, std::string_view species) {
    const auto at = std::find_if(list.begin(), list.end(), [&](const Of& one) {
        return std::find(one.animals.begin(), one.animals.end(), species) != one.animals.end();
    });
    return at == list.end() ? nullptr : &*at;
}

std::string required_text(const JsonView& item, std::string_view key) {
    item.required(key);
    return item.string(key).value_or("");
}

double above_zero(const JsonView& item, std::string_view key, double most, std::string_view unit) {
    item.required(key);
    return item.number_within(key, 0, most, unit).value_or(0);
}

std::optional<Range> read_range(const JsonView& item, std::string_view key) {
    std::vector<double> sides;
    for (const JsonView& view : item.array(key)) {
        if (const auto value = view.as_number()) sides.push_back(*value);
    }
    if (sides.size() == 2 && sides[0] >= 0 && sides[0] <= sides[1])
        return Range{sides[0], sides[1]};
    item.problem_found("no range of \"" + std::string(key) + '"', "[lowest, highest]");
    return std::nullopt;
}

GrowthResponse read_growth(const JsonView& item) {
    item.allow_only({"animals", "weight_g", "sgr", "source", "note"});
    GrowthResponse one;
    one.animals = item.strings("animals");
    const auto weight = read_range(item, "weight_g");
    if (weight) one.weight_g = *weight;
    for (const JsonView& view : item.array("sgr")) {
        view.allow_only({"celsius", "percent_a_day"});
        view.required("celsius");
        const double celsius = view.number_within("celsius", -2, 45, "degrees Celsius").value_or(0);
        const double rate = above_zero(view, "percent_a_day", 50, "percent a day");
        if (!one.sgr.empty() && celsius <= one.sgr.back().celsius)
            view.problem_found("a temperature that is not above the one before",
                               "temperatures that rise");
        one.sgr.push_back({celsius, rate});
    }
    if (one.sgr.size() < 2) item.problem_found("too few figures", "two temperatures at least");
    one.source = required_text(item, "source");
    one.note = item.string("note").value_or("");
    return one;
}

}  // namespace

bool GrowthResponse::covers(double celsius) const {
    return celsius >= sgr.front().celsius && celsius <= sgr.back().celsius;
}

double GrowthResponse::at(double celsius) const {
    if (celsius <= sgr.front().celsius) return sgr.front().percent_a_day;
    for (std::size_t i = 1; i < sgr.size(); ++i) {
        if (celsius > sgr[i].celsius) continue;
        const double share = (celsius - sgr[i - 1].celsius) / (sgr[i].celsius - sgr[i - 1].celsius);
        return sgr[i - 1].percent_a_day + share * (sgr[i].percent_a_day - sgr[i - 1].percent_a_day);
    }
    return sgr.back().percent_a_day;
}

const GrowthResponse* WaterRules::growth_of(std::string_view species) const {
    return of_animal(growth, species);
}

bool WaterRules::breathes_air(std::string_view species) const {
    return std::find(air_breathers.begin(), air_breathers.end(), species) != air_breathers.end();
}

const Load* WaterRules::load_of(std::string_view species) const {
    return of_animal(loads, species);
}

WaterRules load_water(const JsonView& root, const NutrientDictionary& /*dictionary*/) {
    WaterRules rules;
    if (!root.require_format("feedwright-water/1")) return rules;
    root.allow_only({"format", "note", "growth", "oxygen", "nitrogen", "loads", "air_breathers"});
    for (const JsonView& item : root.array("growth"))
        rules.growth.push_back(read_growth(item));
    if (const auto oxygen = root.member("oxygen")) {
        oxygen->allow_only({"kg_per_kg_feed", "source", "note"});
        rules.oxygen_kg_per_kg_feed =
            above_zero(*oxygen, "kg_per_kg_feed", 10, "kg of oxygen per kg of feed");
        rules.oxygen_source = required_text(*oxygen, "source");
    }
    if (const auto nitrogen = root.member("nitrogen")) {
        nitrogen->allow_only({"retained_percent", "source", "note"});
        rules.nitrogen_retained_percent = read_range(*nitrogen, "retained_percent");
        rules.nitrogen_source = required_text(*nitrogen, "source");
    }
    for (const JsonView& item : root.array("loads")) {
        item.allow_only({"animals", "kg_per_m3", "where", "source"});
        Load load;
        load.animals = item.strings("animals");
        load.kg_per_m3 = above_zero(item, "kg_per_m3", 1000, "kg of animals per m3 of water");
        load.where = required_text(item, "where");
        load.source = required_text(item, "source");
        rules.loads.push_back(std::move(load));
    }
    rules.air_breathers = root.strings("air_breathers");
    return rules;
}

}  // namespace feedwright::catalog
