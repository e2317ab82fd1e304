// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/rule_loading.hpp"

#include "base/text.hpp"
#include "catalog/loading.hpp"

#include <algorithm>
#include <set>
#include <utility>

namespace feedwright::catalog {

namespace {

using base::JsonView;

constexpr double any = 1e9;  // an upper end that stands for none

std::string nutrient_of(const JsonView& item, std::string_view key,
                        const NutrientDictionary& dictionary) {
    const auto view = item.required(key);
    const Nutrient* nutrient = view ? read_nutrient_id(*view, dictionary) : nullptr;
    return nutrient == nullptr ? std::string{} : nutrient->id;
}

double amount_of(const JsonView& item, std::string_view key, const std::string& nutrient,
                 Basis basis, const NutrientDictionary& dictionary) {
    const auto view = item.required(key);
    const Nutrient* known = dictionary.find(nutrient);
    if (!view || known == nullptr) return 0;
    return read_amount(*view, *known, basis).value_or(0);
}

std::string source_of(const JsonView& item) {
    const auto view = item.required("source");
    return view ? view->as_string().value_or("") : "";
}

std::string note_of(const JsonView& item) {
    return item.string("note").value_or("");
}

template <class Kind, std::size_t N>
Kind word_of(const JsonView& item, std::string_view key, const Kind (&kinds)[N], Kind otherwise) {
    const auto view = item.member(key);
    const auto text = view ? view->as_string() : std::nullopt;
    if (!text) return otherwise;
    std::vector<std::string> words;
    for (const Kind kind : kinds) {
        if (*text == to_string(kind)) return kind;
        words.emplace_back(to_string(kind));
    }
    view->problem("one of " + base::join_words(words, " or "), base::did_you_mean(*text, words));
    return otherwise;
}

std::vector<Tolerance::Band> read_bands(const JsonView& item, std::string_view key) {
    std::vector<Tolerance::Band> bands;
    for (const JsonView& view : item.array(key)) {
        view.allow_only({"under", "points", "percent", "note"});
        Tolerance::Band band;
        band.under = view.number_within("under", 0, any, "a content");
        band.points = view.number_within("points", 0, any, "an amount");
        band.percent = view.number_within("percent", 0, any, "percent of the content");
        if (band.points.has_value() == band.percent.has_value()) {
            view.problem_found("both or neither of \"points\" and \"percent\"", "one of the two");
        }
        bands.push_back(band);
    }
    return bands;
}

}  // namespace

std::vector<Estimate> load_estimates(const JsonView& root, const NutrientDictionary& dictionary) {
    std::vector<Estimate> estimates;
    if (!root.require_format("feedwright-estimates/1")) return estimates;
    root.allow_only({"format", "note", "estimates"});
    for (const JsonView& item : root.array("estimates")) {
        item.allow_only({"nutrient", "animals", "categories", "ingredients", "constant", "terms",
                         "error_percent", "source", "note"});
        Estimate one;
        one.nutrient = nutrient_of(item, "nutrient", dictionary);
        one.animals = item.strings("animals");
        one.categories = item.strings("categories");
        one.ingredients = item.strings("ingredients");
        one.constant = item.number("constant").value_or(0);
        if (const auto terms = item.member("terms")) {
            for (const auto& [id, factor] : terms->members()) {
                const auto number = factor.as_number();
                if (number && find_nutrient(factor, id, dictionary) != nullptr) {
                    one.terms.emplace_back(id, *number);
                }
            }
        }
        one.error_percent = item.number_within("error_percent", 0, 100, "percent");
        one.source = source_of(item);
        one.note = note_of(item);
        estimates.push_back(std::move(one));
    }
    return estimates;
}

Undesirables load_undesirables(const JsonView& root, const NutrientDictionary& dictionary) {
    Undesirables all;
    if (!root.require_format("feedwright-undesirable/1")) return all;
    root.allow_only({"format", "note", "contents", "maxima"});
    for (const JsonView& item : root.array("contents")) {
        item.allow_only({"substance", "ingredients", "categories", "typical", "high", "basis",
                         "source", "note"});
        Content content;
        content.substance = nutrient_of(item, "substance", dictionary);
        content.ingredients = item.strings("ingredients");
        content.categories = item.strings("categories");
        content.basis = read_basis(item);
        content.high = amount_of(item, "high", content.substance, content.basis, dictionary);
        if (content.categories.empty() || item.has("typical")) {
            content.typical =
                amount_of(item, "typical", content.substance, content.basis, dictionary);
        }
        if (content.ingredients.empty() && content.categories.empty()) {
            item.problem_found("no \"ingredients\" and no \"categories\"", "one of the two");
        }
        if (content.typical > content.high) {
            item.problem_found("a typical content above the high one", "typical at most high");
        }
        content.source = source_of(item);
        content.note = note_of(item);
        all.contents.push_back(std::move(content));
    }
    for (const JsonView& item : root.array("maxima")) {
        item.allow_only(
            {"substance", "animals", "stages", "max", "basis", "harms", "source", "note"});
        SafeMaximum most;
        most.substance = nutrient_of(item, "substance", dictionary);
        most.animals = item.strings("animals");
        most.stages = item.strings("stages");
        most.basis = read_basis(item);
        most.max = amount_of(item, "max", most.substance, most.basis, dictionary);
        const auto harms = item.required("harms");
        most.harms = harms ? harms->as_string().value_or("") : "";
        if (harms && most.harms != "animal" && most.harms != "eater" && most.harms != "law") {
            harms->problem("\"animal\", \"eater\" or \"law\"");
        }
        most.source = source_of(item);
        most.note = note_of(item);
        all.maxima.push_back(std::move(most));
    }
    return all;
}

std::vector<Cap> read_caps(const JsonView& root) {
    std::vector<Cap> caps;
    for (const JsonView& item : root.array("caps")) {
        item.allow_only(
            {"ingredient", "animals", "stages", "max", "basis", "kind", "source", "note"});
        Cap cap;
        if (const auto subject = item.required("ingredient")) {
            cap.subject = subject->as_string().value_or("");
        }
        cap.animals = item.strings("animals");
        cap.stages = item.strings("stages");
        item.required("max");
        cap.max = item.number_within("max", 0, 100, "percent").value_or(100);
        cap.basis = word_of(item, "basis",
                            {Cap::Basis::diet, Cap::Basis::fish_meal, Cap::Basis::fish_meal_protein,
                             Cap::Basis::dietary_protein},
                            Cap::Basis::diet);
        item.required("kind");
        cap.kind = word_of(item, "kind",
                           {Cap::Kind::tried, Cap::Kind::first_loss, Cap::Kind::handbook,
                            Cap::Kind::rule_of_thumb, Cap::Kind::by_default},
                           Cap::Kind::by_default);
        cap.source = source_of(item);
        cap.note = note_of(item);
        caps.push_back(std::move(cap));
    }
    return caps;
}

CapTable load_caps(const JsonView& root, const NutrientDictionary& /*dictionary*/) {
    CapTable table;
    if (!root.require_format("feedwright-caps/1")) return table;
    root.allow_only({"format", "note", "groups", "caps"});
    for (const JsonView& item : root.array("groups")) {
        item.allow_only({"id", "name", "members", "categories", "except", "note"});
        CapGroup group;
        if (const auto id = item.required("id")) {
            group.id = id->as_string().value_or("");
            require_id(*id, group.id, '-');
        }
        group.name = item.string("name").value_or(group.id);
        group.members = item.strings("members");
        group.categories = item.strings("categories");
        group.except = item.strings("except");
        if (table.group(group.id) != nullptr)
            item.problem_found("a second group of this id", "each once");
        table.groups.push_back(std::move(group));
    }
    table.caps = read_caps(root);
    for (const Cap& cap : table.caps) {
        if (cap.subject.starts_with("group:") && table.group(cap.subject.substr(6)) == nullptr) {
            root.problem_found("a cap on \"" + cap.subject + "\", which is no group",
                               "a group of the list \"groups\"");
        }
    }
    return table;
}

std::vector<Tolerance> load_tolerances(const JsonView& root, const NutrientDictionary& dictionary) {
    std::vector<Tolerance> list;
    if (!root.require_format("feedwright-tolerances/1")) return list;
    root.allow_only({"format", "source", "note", "tolerances"});
    const std::string source = root.string("source").value_or("");
    for (const JsonView& item : root.array("tolerances")) {
        item.allow_only({"nutrient", "below", "above", "source", "note"});
        Tolerance one;
        one.nutrient = nutrient_of(item, "nutrient", dictionary);
        one.below = read_bands(item, "below");
        one.above = read_bands(item, "above");
        one.source = item.string("source").value_or(source);
        list.push_back(std::move(one));
    }
    return list;
}

namespace {

Variation read_variation(const JsonView& item, const NutrientDictionary& dictionary) {
    Variation one;
    const auto nutrient = item.required("nutrient");
    one.nutrient = nutrient ? nutrient->as_string().value_or("") : "";
    if (!one.nutrient.starts_with("group:")) {
        one.nutrient = nutrient_of(item, "nutrient", dictionary);
    } else if (dictionary.in_group(one.nutrient.substr(6)).empty()) {
        nutrient->problem("group:NAME with a group of the dictionary");
    }
    item.required("cv_percent");
    one.cv_percent = item.number_within("cv_percent", 0, 1000, "percent of the mean").value_or(0);
    item.required("spread");
    one.spread =
        word_of(item, "spread", {Spread::lots, Spread::regions, Spread::assumed}, Spread::assumed);
    one.n = item.number_within("n", 1, any, "a number of lots");
    one.source = source_of(item);
    one.note = note_of(item);
    return one;
}

}  // namespace

std::vector<Variation> load_variation(const JsonView& root, const NutrientDictionary& dictionary) {
    std::vector<Variation> list;
    if (!root.require_format("feedwright-variation/1")) return list;
    root.allow_only({"format", "note", "defaults", "ingredients"});
    std::set<std::string> seen;
    const auto add = [&](const JsonView& item, Variation one) {
        if (!seen.insert(one.ingredient + '/' + one.category + '/' + one.nutrient).second) {
            item.problem_found("a second spread of " + one.nutrient, "each once");
        }
        list.push_back(std::move(one));
    };
    for (const JsonView& item : root.array("ingredients")) {
        item.allow_only({"ingredient", "nutrient", "cv_percent", "n", "spread", "source", "note"});
        Variation one = read_variation(item, dictionary);
        if (const auto id = item.required("ingredient"))
            one.ingredient = id->as_string().value_or("");
        add(item, std::move(one));
    }
    for (const JsonView& item : root.array("defaults")) {
        item.allow_only({"category", "nutrient", "cv_percent", "n", "spread", "source", "note"});
        Variation one = read_variation(item, dictionary);
        one.category = item.string("category").value_or("");
        add(item, std::move(one));
    }
    return list;
}

std::vector<Pond> load_ponds(const JsonView& root, const NutrientDictionary& dictionary) {
    std::vector<Pond> list;
    if (!root.require_format("feedwright-ponds/1")) return list;
    root.allow_only({"format", "note", "ponds"});
    for (const JsonView& item : root.array("ponds")) {
        item.allow_only({"animals", "fish_per_m2_up_to", "supplies", "source", "note"});
        Pond pond;
        pond.animals = item.strings("animals");
        item.required("fish_per_m2_up_to");
        pond.fish_per_m2_up_to =
            item.number_within("fish_per_m2_up_to", 0, 1000, "animals per m2").value_or(0);
        for (const JsonView& view : item.array("supplies")) {
            view.allow_only({"kind", "nutrient", "percent_of_need", "source", "note"});
            Pond::Supply supply;
            supply.kind = view.string("kind").value_or("");
            if (view.has("nutrient")) supply.nutrient = nutrient_of(view, "nutrient", dictionary);
            if (supply.kind.empty() == supply.nutrient.empty()) {
                view.problem_found("both or neither of \"kind\" and \"nutrient\"",
                                   "one of the two");
            }
            supply.percent_of_need =
                view.number_within("percent_of_need", 0, 100, "percent of the need").value_or(100);
            pond.supplies.push_back(std::move(supply));
        }
        pond.source = source_of(item);
        pond.note = note_of(item);
        list.push_back(std::move(pond));
    }
    return list;
}

std::vector<BulkDensity> load_bulk_densities(const JsonView& root,
                                             const NutrientDictionary& /*dictionary*/) {
    std::vector<BulkDensity> list;
    if (!root.require_format("feedwright-bulk-densities/1")) return list;
    root.allow_only({"format", "note", "densities"});
    for (const JsonView& item : root.array("densities")) {
        item.allow_only({"ingredient", "material", "kg_per_l", "source", "note"});
        BulkDensity one;
        item.required("ingredient");
        one.ingredient = item.string("ingredient").value_or("");
        one.material = item.string("material").value_or("");
        std::vector<double> sides;
        for (const JsonView& view : item.array("kg_per_l")) {
            if (const auto value = view.as_number()) sides.push_back(*value);
        }
        if (sides.size() != 2 || !(sides[0] > 0) || sides[0] > sides[1]) {
            item.problem_found("no range of \"kg_per_l\"", "[lowest, highest], kg per litre");
            continue;
        }
        one.low = sides[0];
        one.high = sides[1];
        one.source = source_of(item);
        list.push_back(std::move(one));
    }
    return list;
}

}  // namespace feedwright::catalog
