// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/catalog/coverage_report.hpp"

#include "base/json_writer.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>
#include <utility>
#include <vector>

namespace feedwright::report {

namespace {

using catalog::CoveredLimit;

Cell count_cell(std::size_t n) {
    return n == 0 ? Cell{} : number_cell(static_cast<double>(n), 0);
}

Table by_nutrient(const catalog::Coverage& coverage,
                  const catalog::NutrientDictionary& dictionary) {
    Table table;
    table.key = "coverage_by_nutrient";
    table.columns = {{"limited nutrient", Align::left, "nutrient"},
                     {"ingredients with a value", Align::right, "ingredients"},
                     {"profiles that enforce it", Align::right, "shaping_profiles"},
                     {"profiles where it is advisory", Align::right, "advisory_profiles"}};
    for (const catalog::Nutrient& nutrient : dictionary.all()) {
        std::size_t shaping = 0;
        std::size_t advisory = 0;
        std::optional<std::pair<std::size_t, std::size_t>> range;
        for (const CoveredLimit& limit : coverage.limits) {
            if (limit.nutrient != nutrient.id) continue;
            ++(limit.advisory ? advisory : shaping);
            if (!range) range = {limit.ingredients, limit.ingredients};
            range->first = std::min(range->first, limit.ingredients);
            range->second = std::max(range->second, limit.ingredients);
        }
        if (!range) continue;
        // What an animal digests decides whether a digestible amount is known.
        Cell known = range->first == range->second
                         ? number_cell(static_cast<double>(range->first), 0)
                         : text_cell(fmt::format("{} to {}", range->first, range->second));
        table.rows.push_back({text_cell(nutrient.name), std::move(known), count_cell(shaping),
                              count_cell(advisory)});
    }
    return table;
}

struct Side {
    std::size_t limits = 0;
    const CoveredLimit* least = nullptr;

    void add(const CoveredLimit& limit) {
        ++limits;
        if (least == nullptr || limit.ingredients < least->ingredients) least = &limit;
    }
};

Table by_profile(const catalog::Coverage& coverage, const catalog::NutrientDictionary& dictionary) {
    Table table;
    table.key = "coverage_by_profile";
    table.columns = {{"profile", Align::left, "profile"},
                     {"enforced limits", Align::right, "shaping_limits"},
                     {"fewest ingredients with a value", Align::left, "shaping_least"},
                     {"advisory limits", Align::right, "advisory_limits"},
                     {"fewest ingredients with a value", Align::left, "advisory_least"}};
    const auto least_cell = [&](const Side& side) {
        if (side.least == nullptr) return Cell{};
        return text_cell(fmt::format("{}: {}", dictionary.find(side.least->nutrient)->name,
                                     side.least->ingredients));
    };
    for (std::size_t i = 0; i < coverage.limits.size();) {
        const std::string& profile = coverage.limits[i].profile;
        Side shaping;
        Side advisory;
        for (; i < coverage.limits.size() && coverage.limits[i].profile == profile; ++i) {
            (coverage.limits[i].advisory ? advisory : shaping).add(coverage.limits[i]);
        }
        table.rows.push_back({text_cell(profile), count_cell(shaping.limits), least_cell(shaping),
                              count_cell(advisory.limits), least_cell(advisory)});
    }
    return table;
}

}  // namespace

Document coverage_document(const catalog::Coverage& coverage,
                           const catalog::NutrientDictionary& dictionary) {
    Document document;
    document.title = "Coverage: how many ingredients have a value for each nutrient";
    document.blocks.push_back(Paragraph{
        fmt::format(
            "Of {} ingredients, how many have a value for each nutrient that a profile limits. "
            "True zeros, derived amounts and estimates count; a range is over the animals.",
            coverage.ingredients),
        Tone::plain});
    document.blocks.push_back(by_nutrient(coverage, dictionary));
    document.blocks.push_back(by_profile(coverage, dictionary));
    return document;
}

std::string coverage_json(const catalog::Coverage& coverage) {
    base::JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-coverage/1");
    json.member("ingredients", static_cast<int>(coverage.ingredients));
    json.key("limits").begin_array();
    for (const CoveredLimit& limit : coverage.limits) {
        json.begin_object();
        json.member("profile", limit.profile).member("nutrient", limit.nutrient);
        json.member("advisory", limit.advisory);
        json.member("ingredients", static_cast<int>(limit.ingredients));
        json.end_object();
    }
    json.end_array();
    json.end_object();
    return json.take();
}

}  // namespace feedwright::report
