// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"
#include "catalog/loading.hpp"
#include "catalog/plausible.hpp"
#include "job/meant.hpp"
#include "job/reading.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <utility>

namespace feedwright::job {

namespace {

using base::JsonView;
using catalog::Basis;

// The id of the ingredient of the job that is named.
std::string require_choice(Reading& reading, const JsonView& view, const std::string& written) {
    std::string id = named_in(reading.job, reading.library, written);
    if (reading.job.find(id) == nullptr) {
        view.problem_found(fmt::format("\"{}\", which is no ingredient of the job", written),
                           "an id from \"ingredients\"",
                           base::did_you_mean(written, reading.job.ingredient_ids()));
    }
    return id;
}

// A floor on an amino acid above the ceiling on protein.
void require_reachable(Reading& reading, const JsonView& item, const NutrientLimit& amino_acid,
                       const NutrientLimit& protein) {
    if (protein.nutrient != "crude_protein" || !protein.max || !amino_acid.min ||
        protein.basis != amino_acid.basis || protein.is_amount != amino_acid.is_amount) {
        return;
    }
    const auto problem = catalog::limits_at_odds(*reading.job.dictionary.find(amino_acid.nutrient),
                                                 *amino_acid.min, *protein.max);
    if (problem) item.problem_found(problem->found, problem->expected, problem->hint);
}

// Nothing can be sure to be one number exactly.
std::optional<double> read_sure_percent_of(const JsonView& item, const std::optional<double>& min,
                                           const std::optional<double>& max) {
    const auto percent = read_sure_percent(item);
    if (percent && min && max && *min == *max) {
        item.member("sure_percent")
            ->problem_found("a sure_percent of a limit with min equal to max",
                            "a min below the max, or no sure_percent");
    }
    return percent;
}

void read_limit(Reading& reading, const JsonView& item) {
    item.allow_only({"nutrient", "min", "max", "basis", "note", "source", "sure_percent"});
    const auto id = item.required("nutrient");
    const catalog::Nutrient* nutrient =
        id ? catalog::read_nutrient_id(*id, reading.job.dictionary) : nullptr;
    if (nutrient == nullptr) return;
    NutrientLimit limit;
    limit.nutrient = nutrient->id;
    limit.basis = catalog::read_basis(item);
    limit.source = item.string("source").value_or("job");
    limit.note = item.string("note").value_or("");
    if (reading.job.free_total && limit.basis == Basis::as_fed) {
        limit.is_amount = true;
        limit.min = item.number_within("min", 0, unlimited, "an amount");
        limit.max = item.number_within("max", 0, unlimited, "an amount");
    } else {
        limit.min = catalog::read_limit(item, "min", *nutrient, limit.basis);
        limit.max = catalog::read_limit(item, "max", *nutrient, limit.basis);
    }
    if (!item.has("min") && !item.has("max")) {
        item.problem_found("neither \"min\" nor \"max\"", "at least one of them");
    }
    catalog::require_order(item, limit.min, limit.max);
    limit.sure_percent = read_sure_percent_of(item, limit.min, limit.max);
    for (const NutrientLimit& other : reading.job.limits) {
        require_reachable(reading, item, limit, other);
        require_reachable(reading, item, other, limit);
        if (other.nutrient == limit.nutrient && other.basis == limit.basis) {
            item.problem_found(fmt::format("a second limit on {}", nutrient->name),
                               "one limit for each nutrient and basis",
                               "Put min and max in one entry");
        }
    }
    reading.job.limits.push_back(std::move(limit));
}

void read_group(Reading& reading, const JsonView& item) {
    item.allow_only({"name", "ingredients", "min", "max", "note"});
    GroupLimit group;
    const auto name = item.required("name");
    if (name) group.name = name->as_string().value_or("");
    std::set<std::string> seen;
    for (const JsonView& member : item.array("ingredients")) {
        const auto written = member.as_string();
        if (!written) continue;
        const std::string id = require_choice(reading, member, *written);
        if (!seen.insert(id).second) member.problem_found('"' + *written + "\" again", "each once");
        group.ingredients.push_back(id);
    }
    if (group.ingredients.empty() && item.has("ingredients")) {
        item.problem_found("a group without ingredients", "at least one");
    }
    item.required("ingredients");
    const double most = reading.job.free_total ? unlimited : 100;
    group.min = item.number_within("min", 0, most, "percent of the mix");
    group.max = item.number_within("max", 0, most, "percent of the mix");
    if (!item.has("min") && !item.has("max")) {
        item.problem_found("neither \"min\" nor \"max\"", "at least one of them");
    }
    catalog::require_order(item, group.min, group.max);
    for (const GroupLimit& other : reading.job.groups) {
        if (other.name == group.name) {
            item.problem_found(fmt::format("a second group \"{}\"", group.name),
                               "a name of its own");
        }
    }
    reading.job.groups.push_back(std::move(group));
}

void read_ratio(Reading& reading, const JsonView& item) {
    item.allow_only({"of", "to", "min", "max", "note", "source", "sure_percent"});
    RatioLimit ratio;
    const auto read_id = [&](std::string_view key) {
        const auto view = item.required(key);
        const catalog::Nutrient* nutrient =
            view ? catalog::read_nutrient_id(*view, reading.job.dictionary) : nullptr;
        return nutrient == nullptr ? std::string{} : nutrient->id;
    };
    ratio.of = read_id("of");
    ratio.to = read_id("to");
    if (ratio.of == ratio.to && !ratio.of.empty()) {
        item.member("to")->problem("another nutrient than \"of\"");
    }
    ratio.min = item.number_within("min", 0, unlimited, "a ratio");
    ratio.max = item.number_within("max", 0, unlimited, "a ratio");
    ratio.source = item.string("source").value_or("job");
    if (!item.has("min") && !item.has("max")) {
        item.problem_found("neither \"min\" nor \"max\"", "at least one of them");
    }
    catalog::require_order(item, ratio.min, ratio.max);
    ratio.sure_percent = read_sure_percent_of(item, ratio.min, ratio.max);
    for (const RatioLimit& other : reading.job.ratios) {
        if (other.of == ratio.of && other.to == ratio.to) {
            item.problem_found(fmt::format("a second ratio {} : {}", ratio.of, ratio.to),
                               "one for each pair");
        }
    }
    if (!ratio.of.empty() && !ratio.to.empty()) reading.job.ratios.push_back(std::move(ratio));
}

void read_proportion(Reading& reading, const JsonView& item) {
    item.allow_only({"parts", "note"});
    const auto parts = item.required("parts");
    if (!parts) return;
    Proportion proportion;
    for (const auto& [id, view] : parts->members()) {
        require_choice(reading, view, id);
        const auto number = view.as_number();
        if (number && !(*number > 0)) view.problem("parts above zero");
        proportion.parts.emplace_back(id, number.value_or(1));
        for (const Proportion& other : reading.job.proportions) {
            for (const auto& part : other.parts) {
                if (part.first == id) {
                    view.problem_found(fmt::format("\"{}\" in a second proportion", id),
                                       "each ingredient in one", "Put all of them into one");
                }
            }
        }
    }
    if (proportion.parts.size() < 2 && parts->is_object()) {
        parts->problem_found("fewer than two ingredients", "two or more, with their parts");
    }
    std::sort(proportion.parts.begin(), proportion.parts.end());
    reading.job.proportions.push_back(std::move(proportion));
}

void read_replacement(Reading& reading, const JsonView& item) {
    item.allow_only({"ingredient", "of", "max", "note", "source"});
    ReplacementLimit replacement;
    if (const auto view = item.required("ingredient")) {
        replacement.ingredient = require_choice(reading, *view, view->as_string().value_or(""));
    }
    if (const auto view = item.required("of")) {
        const std::string reference =
            require_choice(reading, *view, view->as_string().value_or(""));
        replacement.references = {reference};
        if (reference == replacement.ingredient) {
            view->problem("another ingredient than the one that replaces it");
        }
    }
    item.required("max");
    replacement.max = item.number_within("max", 0, 100, "percent of the protein").value_or(0);
    replacement.source = item.string("source").value_or("job");
    replacement.note = item.string("note").value_or("");
    for (const ReplacementLimit& other : reading.job.replacements) {
        if (other.ingredient == replacement.ingredient &&
            other.references == replacement.references) {
            item.problem_found(
                fmt::format("a second replacement of {} by {}",
                            base::join_words(replacement.references), replacement.ingredient),
                "one for each pair", "Keep the one with the lower \"max\"");
        }
    }
    reading.job.replacements.push_back(std::move(replacement));
}

}  // namespace

void read_limits(Reading& reading, const JsonView& root) {
    for (const JsonView& item : root.array("limits"))
        read_limit(reading, item);
    for (const JsonView& item : root.array("groups"))
        read_group(reading, item);
    for (const JsonView& item : root.array("ratios"))
        read_ratio(reading, item);
    for (const JsonView& item : root.array("proportions"))
        read_proportion(reading, item);
    for (const JsonView& item : root.array("replacements"))
        read_replacement(reading, item);
}

}  // namespace feedwright::job
