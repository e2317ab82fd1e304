// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json.hpp"
#include "base/units.hpp"
#include "catalog/loading.hpp"

#include <algorithm>
#include <utility>

namespace feedwright::catalog {

namespace {

using base::JsonView;

// "moisture" of a label is what the dry matter leaves.
std::optional<LabelContent> read_content(const JsonView& view, const std::string& id,
                                         const NutrientDictionary& dictionary) {
    const Nutrient* nutrient = find_nutrient(view, id, dictionary);
    if (nutrient == nullptr) return std::nullopt;
    LabelContent content;
    content.nutrient = id;
    std::optional<double> min;
    if (view.is_object()) {
        view.allow_only({"min", "max"});
        min = read_limit(view, "min", *nutrient, Basis::as_fed);
        content.max = read_limit(view, "max", *nutrient, Basis::as_fed);
        if (!view.has("min") && !view.has("max")) {
            view.problem_found("neither \"min\" nor \"max\"", "at least one of them");
        }
        require_order(view, min, content.max);
    } else {
        min = read_amount(view, *nutrient, Basis::as_fed);
    }
    if (!min && !content.max) return std::nullopt;
    content.only_max = !min;
    content.value = min ? *min : *content.max;
    if (id != "moisture") return content;
    LabelContent dry;
    dry.nutrient = "dry_matter";
    dry.value = 100 - (content.max ? *content.max : content.value);
    return dry;
}

}  // namespace

void read_label(const JsonView& view, const NutrientDictionary& dictionary,
                Ingredient& ingredient) {
    Label label;
    if (const auto animal = view.required("for")) label.animal = animal->as_string().value_or("");
    if (const auto use = view.member("use_percent")) {
        label.use_percent = use->as_number();
        if (label.use_percent && !(*label.use_percent > 0 && *label.use_percent <= 100)) {
            use->problem(
                "the share of the feed that the label asks for, percent above 0, at most "
                "100");
            label.use_percent.reset();
        }
    }
    label.reserve_percent =
        view.number_within("reserve_percent", 0, 100, "percent above what the animal needs")
            .value_or(0);
    view.string("note");
    for (const auto& [id, value] : view.members()) {
        if (id == "for" || id == "use_percent" || id == "reserve_percent" || id == "note") continue;
        auto content = read_content(value, id, dictionary);
        if (!content) continue;
        const bool twice =
            std::any_of(label.contents.begin(), label.contents.end(),
                        [&](const auto& other) { return other.nutrient == content->nutrient; });
        if (twice) {
            value.problem_found("a second amount of " + content->nutrient, "one",
                                "Moisture is what the dry matter leaves");
            continue;
        }
        StatedValue stated;
        stated.nutrient = content->nutrient;
        stated.amount = content->value;
        stated.source = "label";
        ingredient.stated.push_back(std::move(stated));
        label.contents.push_back(std::move(*content));
    }
    ingredient.label = std::move(label);
}

}  // namespace feedwright::catalog
