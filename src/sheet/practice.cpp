// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/practice.hpp"

#include "base/json.hpp"

#include <array>
#include <set>
#include <string_view>

namespace feedwright::sheet {

namespace {

struct NamedFigure {
    std::string_view id;
    PracticeFigure Practice::*figure;
};

constexpr std::array<NamedFigure, 8> named{{
    {"micro_percent", &Practice::micro_percent},
    {"carrier_ratio", &Practice::carrier_ratio},
    {"mash_moisture", &Practice::mash_moisture},
    {"mixing_minutes", &Practice::mixing_minutes},
    {"dry_pellet_moisture", &Practice::dry_pellet_moisture},
    {"drying_hours", &Practice::drying_hours},
    {"drying_temperature", &Practice::drying_temperature},
    {"storage_moisture", &Practice::storage_moisture},
}};

PracticeFigure read_figure(const base::JsonView& item) {
    item.allow_only({"id", "low", "high", "unit", "source", "text"});
    const auto text = [&](std::string_view key) {
        const auto member = item.required(key);
        return member ? member->as_string().value_or("") : std::string();
    };
    PracticeFigure figure;
    item.required("low");
    item.required("high");
    figure.low = item.number_within("low", 0, 1000, "a figure").value_or(0);
    figure.high = item.number_within("high", figure.low, 1000, "at least low").value_or(0);
    figure.unit = text("unit");
    figure.source = text("source");
    figure.text = text("text");
    return figure;
}

Practice read_practice(const base::JsonView& root) {
    Practice practice;
    if (!root.require_format("feedwright-practice/1")) return practice;
    root.allow_only({"format", "figures"});
    std::set<std::string> seen;
    for (const base::JsonView& item : root.array("figures")) {
        const auto id = item.required("id");
        const std::string word = id ? id->as_string().value_or("") : std::string();
        bool known = false;
        for (const NamedFigure& entry : named) {
            if (entry.id != word) continue;
            practice.*entry.figure = read_figure(item);
            known = true;
        }
        if (!known && id) id->problem("the id of a figure that is used");
        if (!seen.insert(word).second) item.problem_found('"' + word + "\" again", "each once");
    }
    for (const NamedFigure& entry : named) {
        if (seen.contains(std::string(entry.id))) continue;
        root.problem_found("no figure \"" + std::string(entry.id) + '"', "every figure");
    }
    return practice;
}

}  // namespace

Practice load_practice(const catalog::LibraryFiles& files) {
    return catalog::load_file(files, "practice.json", read_practice);
}

std::vector<std::string> sources_of(const Practice& practice) {
    std::set<std::string> sources;
    for (const NamedFigure& entry : named)
        sources.insert((practice.*entry.figure).source);
    return {sources.begin(), sources.end()};
}

}  // namespace feedwright::sheet
