// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/loading.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "catalog/plausible.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>
#include <map>
#include <set>
#include <utility>

namespace feedwright::catalog {

namespace {

using base::JsonView;

const std::vector<std::string> categories{"fish-meal",
                                          "animal-meal",
                                          "insect",
                                          "worm",
                                          "oilcake",
                                          "protein-concentrate",
                                          "cereal",
                                          "cereal-by-product",
                                          "legume",
                                          "leaf-meal",
                                          "aquatic-plant",
                                          "root",
                                          "yeast-and-algae",
                                          "dairy-and-egg",
                                          "kitchen-garden",
                                          "oil",
                                          "mineral",
                                          "amino-acid",
                                          "premix",
                                          "binder",
                                          "acid",
                                          "water"};
const std::vector<std::string> groups{"proximate",   "energy",        "digestible",    "amino_acid",
                                      "fatty_acid",  "macro_mineral", "trace_mineral", "vitamin",
                                      "undesirable", "other"};
const std::vector<std::string> animal_groups{"fish", "crustacean", "poultry",
                                             "pig",  "rabbit",     "ruminant"};
const std::vector<std::string> processes{"heat", "soak", "dry", "grind", "ferment", "boil"};
const std::vector<std::string> roles{"premix", "vitamin_c", "binder", "carrier"};
const std::vector<std::string> feeding_classes{
    "fish-herbivore", "fish-omnivore", "fish-carnivore", "crustacean", "broiler", "layer",
    "duck",           "quail",         "turkey",         "goose",      "pig",     "rabbit"};
const std::vector<std::string> levels{"requirement", "practical", "target", "borrowed"};
const std::vector<std::string> spreads{"lots", "regions", "replicates", "samples", "assumed"};
const std::vector<std::string> ways_known{"read", "copy", "abstract", "unverified", "computed"};

constexpr double any = 1e9;  // an upper end that stands for none

// A text that must be one of a few words.
std::string read_word(const JsonView& parent, std::string_view key,
                      const std::vector<std::string>& words) {
    const auto view = parent.member(key);
    if (!view) return {};
    const auto text = view->as_string();
    if (!text) return {};
    if (std::find(words.begin(), words.end(), *text) == words.end()) {
        view->problem("one of " + base::join_words(words, " or "),
                      base::did_you_mean(*text, words));
    }
    return *text;
}

std::string required_string(const JsonView& parent, std::string_view key) {
    const auto view = parent.required(key);
    if (!view) return {};
    const auto text = view->as_string();
    if (text && text->empty()) view->problem("a text that is not empty");
    return text.value_or("");
}

std::string optional_string(const JsonView& parent, std::string_view key) {
    return parent.string(key).value_or("");
}

std::optional<Range> read_range(const JsonView& parent, std::string_view key, double low,
                                double high) {
    const auto view = parent.member(key);
    if (!view) return std::nullopt;
    Range range;
    if (view->is_array()) {
        const auto ends = view->elements();
        if (ends.size() != 2) {
            view->problem_found(fmt::format("a list of {}", ends.size()),
                                "a number or [low, high]");
            return std::nullopt;
        }
        const auto a = ends[0].as_number();
        const auto b = ends[1].as_number();
        if (!a || !b) return std::nullopt;
        range = {*a, *b};
    } else {
        const auto number = view->as_number();
        if (!number) return std::nullopt;
        range = {*number, *number};
    }
    if (range.low > range.high || range.low < low || range.high > high) {
        view->problem_found(
            fmt::format("{} to {}", base::shortest(range.low), base::shortest(range.high)),
            high >= any ? fmt::format("low before high, {} or more", base::shortest(low))
                        : fmt::format("low before high, from {} to {}", base::shortest(low),
                                      base::shortest(high)));
        return std::nullopt;
    }
    return range;
}

Derivation read_derivation(const JsonView& view) {
    Derivation derivation;
    view.allow_only({"terms", "constant", "kind", "digestible_of", "source", "for"});
    derivation.constant = view.number("constant").value_or(0);
    derivation.digestible_of = optional_string(view, "digestible_of");
    derivation.source = optional_string(view, "source");
    derivation.animals = view.strings("for");
    const std::string kind = read_word(view, "kind", {"sum", "difference", "balance", "estimate"});
    if (kind == "difference") derivation.kind = Derivation::Kind::difference;
    if (kind == "balance") derivation.kind = Derivation::Kind::balance;
    if (kind == "estimate") derivation.kind = Derivation::Kind::estimate;
    if (const auto terms = view.member("terms")) {
        for (const auto& [id, factor] : terms->members()) {
            if (const auto number = factor.as_number()) derivation.terms.emplace_back(id, *number);
        }
    }
    return derivation;
}

struct Block {
    std::string source;
    Basis basis = Basis::as_fed;
    std::string note;
    std::vector<std::string> animals;
};

void read_value(const JsonView& view, const std::string& id, const Block& block,
                const NutrientDictionary& dictionary, std::vector<StatedValue>& stated) {
    const Nutrient* nutrient = find_nutrient(view, id, dictionary);
    if (nutrient == nullptr) return;
    StatedValue value;
    value.nutrient = id;
    value.basis = id == "dry_matter" ? Basis::as_fed : block.basis;
    value.source = block.source;
    value.note = block.note;
    value.animals = block.animals;
    if (view.is_object()) {
        const auto read = read_spread_value(view, *nutrient, value.basis);
        if (!read) return;
        value.amount = read->amount;
        value.sd = read->sd;
        value.n = read->n;
        value.min = read->min;
        value.max = read->max;
        value.spread = read->spread;
        if (!read->note.empty()) value.note += (value.note.empty() ? "" : "; ") + read->note;
    } else {
        const auto amount = read_amount(view, *nutrient, value.basis);
        if (!amount) return;
        value.amount = *amount;
    }
    for (const StatedValue& other : stated) {
        if (other.nutrient == id && other.animals == value.animals) {
            view.problem_found(fmt::format("a second value of {}", id),
                               "each nutrient in one block only",
                               "Keep the better sourced one, and say so in the note");
            return;
        }
    }
    stated.push_back(std::move(value));
}

// A value on dry matter or of protein is of use only when the file says what those are.
void require_conversions(const JsonView& root, const Ingredient& ingredient) {
    const auto states = [&](std::string_view id) {
        return std::any_of(ingredient.stated.begin(), ingredient.stated.end(),
                           [&](const StatedValue& value) { return value.nutrient == id; });
    };
    const auto uses = [&](Basis basis) {
        return std::any_of(ingredient.stated.begin(), ingredient.stated.end(),
                           [&](const StatedValue& value) { return value.basis == basis; });
    };
    if (uses(Basis::dry_matter) && !states("dry_matter")) {
        root.problem_found("values on dry matter and no dry_matter", "the dry matter in percent",
                           "Add \"dry_matter\" to a composition block");
    }
    if (uses(Basis::of_protein) && !states("crude_protein")) {
        root.problem_found("values of protein and no crude_protein", "the crude protein",
                           "Add \"crude_protein\" to a composition block");
    }
    for (const StatedValue& value : ingredient.stated) {
        if (value.nutrient == "crude_protein" && value.basis == Basis::of_protein) {
            root.problem_found("crude_protein of protein", "crude_protein as fed or on dry matter");
        }
    }
}

RequirementLimit read_requirement(const JsonView& view, const NutrientDictionary& dictionary) {
    RequirementLimit limit;
    view.allow_only({"nutrient", "min", "max", "basis", "level", "advisory", "source", "note"});
    const auto id = view.required("nutrient");
    const Nutrient* nutrient = id ? read_nutrient_id(*id, dictionary) : nullptr;
    if (nutrient == nullptr) return limit;
    limit.nutrient = nutrient->id;
    limit.basis = read_basis(view);
    limit.min = read_limit(view, "min", *nutrient, limit.basis);
    limit.max = read_limit(view, "max", *nutrient, limit.basis);
    if (!view.has("min") && !view.has("max")) {
        view.problem_found("neither \"min\" nor \"max\"", "at least one of them");
    }
    require_order(view, limit.min, limit.max);
    limit.level = read_word(view, "level", levels);
    limit.advisory = view.flag("advisory").value_or(false);
    limit.source = required_string(view, "source");
    limit.note = optional_string(view, "note");
    return limit;
}

RequirementRatio read_ratio(const JsonView& view, const NutrientDictionary& dictionary) {
    RequirementRatio ratio;
    view.allow_only({"of", "to", "min", "max", "level", "advisory", "source", "note"});
    const auto of = view.required("of");
    const auto to = view.required("to");
    if (of && read_nutrient_id(*of, dictionary) != nullptr) ratio.of = *of->as_string();
    if (to && read_nutrient_id(*to, dictionary) != nullptr) ratio.to = *to->as_string();
    ratio.min = view.number_within("min", 0, any, "a ratio");
    ratio.max = view.number_within("max", 0, any, "a ratio");
    if (!view.has("min") && !view.has("max")) {
        view.problem_found("neither \"min\" nor \"max\"", "at least one of them");
    }
    require_order(view, ratio.min, ratio.max);
    ratio.level = read_word(view, "level", levels);
    ratio.advisory = view.flag("advisory").value_or(false);
    ratio.source = required_string(view, "source");
    ratio.note = optional_string(view, "note");
    return ratio;
}

FeedingRate read_feeding(const JsonView& view) {
    FeedingRate rate;
    view.allow_only({"weight_g", "temperature_c", "ration_percent", "meals_per_day", "pellet_mm",
                     "expected_fcr", "source", "note"});
    rate.weight_g = read_range(view, "weight_g", 0, any).value_or(Range{});
    rate.temperature_c = read_range(view, "temperature_c", -5, 60);
    rate.ration_percent = read_range(view, "ration_percent", 0, 200);
    rate.meals_per_day = read_range(view, "meals_per_day", 0, 100);
    rate.pellet_mm = read_range(view, "pellet_mm", 0, 100);
    rate.expected_fcr = read_range(view, "expected_fcr", 0, 50);
    rate.source = required_string(view, "source");
    rate.note = optional_string(view, "note");
    return rate;
}

Stage read_stage(const JsonView& view, const NutrientDictionary& dictionary) {
    Stage stage;
    view.allow_only({"id", "name", "weight_g", "note", "limits", "ratios", "feeding"});
    if (const auto id = view.required("id")) {
        stage.id = id->as_string().value_or("");
        require_id(*id, stage.id, '-');
    }
    stage.name = required_string(view, "name");
    stage.weight_g = read_range(view, "weight_g", 0, any);
    stage.note = optional_string(view, "note");
    std::set<std::string> seen;
    for (const JsonView& item : view.array("limits")) {
        RequirementLimit limit = read_requirement(item, dictionary);
        if (limit.nutrient.empty()) continue;
        if (!seen.insert(limit.nutrient + '@' + std::string(to_string(limit.basis))).second) {
            item.problem_found(fmt::format("a second limit on {}", limit.nutrient),
                               "one limit for each nutrient and basis");
        }
        stage.limits.push_back(std::move(limit));
    }
    for (const JsonView& item : view.array("ratios")) {
        stage.ratios.push_back(read_ratio(item, dictionary));
    }
    for (const JsonView& item : view.array("feeding"))
        stage.feeding.push_back(read_feeding(item));
    return stage;
}

// Keys of an ingredient and of a profile, but for "format".
const std::vector<std::string> ingredient_keys{
    "id",           "name",        "category",       "role",          "also_called",
    "note",         "composition", "zeros",          "digestibility", "processing",
    "rate_percent", "made_for",    "made_for_stages"};
const std::vector<std::string> profile_keys{
    "species", "name",  "scientific_name", "group",  "feeds_as",
    "note",    "lacks", "temperature_c",   "stages", "conflicts"};

// `whole`: it stands for itself, so that a name is needed.
Ingredient read_ingredient(const JsonView& root, const NutrientDictionary& dictionary, bool whole) {
    Ingredient ingredient;
    ingredient.file = root.file();
    if (const auto id = root.required("id")) {
        ingredient.id = id->as_string().value_or("");
        require_id(*id, ingredient.id, '-');
    }
    ingredient.name = whole ? required_string(root, "name") : optional_string(root, "name");
    ingredient.category = read_word(root, "category", categories);
    ingredient.role = read_word(root, "role", roles);
    ingredient.note = optional_string(root, "note");
    ingredient.also_called = root.strings("also_called");
    ingredient.rate_percent = root.number_within("rate_percent", 0, 100, "percent of the feed");
    ingredient.made_for = root.strings("made_for");
    ingredient.made_for_stages = root.strings("made_for_stages");
    for (const JsonView& item : root.array("processing")) {
        if (const auto word = item.as_string()) {
            if (std::find(processes.begin(), processes.end(), *word) == processes.end()) {
                item.problem("one of " + base::join_words(processes, " or "),
                             base::did_you_mean(*word, processes));
            }
            ingredient.processing.push_back(*word);
        }
    }
    for (const JsonView& item : root.array("composition")) {
        item.allow_only({"source", "basis", "note", "for", "nutrients"});
        Block block;
        block.source = required_string(item, "source");
        block.basis = read_basis(item);
        block.note = optional_string(item, "note");
        block.animals = item.strings("for");
        std::sort(block.animals.begin(), block.animals.end());
        if (const auto nutrients = item.required("nutrients")) {
            for (const auto& [id, value] : nutrients->members()) {
                read_value(value, id, block, dictionary, ingredient.stated);
            }
        }
    }
    if (const auto zeros = root.member("zeros")) {
        zeros->allow_only({"source", "nutrients"});
        ingredient.zeros_source = required_string(*zeros, "source");
        for (const JsonView& item : zeros->array("nutrients")) {
            const auto word = item.as_string();
            if (!word) continue;
            if (word->starts_with("group:")) {
                const auto ids = dictionary.in_group(word->substr(6));
                if (ids.empty()) {
                    item.problem("group:NAME with a group of the dictionary",
                                 base::did_you_mean(word->substr(6), groups));
                }
                ingredient.zeros.insert(ingredient.zeros.end(), ids.begin(), ids.end());
            } else if (find_nutrient(item, *word, dictionary) != nullptr) {
                if (std::any_of(
                        ingredient.stated.begin(), ingredient.stated.end(),
                        [&](const StatedValue& value) { return value.nutrient == *word; })) {
                    item.problem_found(*word + ", which a composition block has too",
                                       "a zero or a value");
                }
                ingredient.zeros.push_back(*word);
            }
        }
    }
    for (const JsonView& item : root.array("digestibility")) {
        item.allow_only({"nutrient", "percent", "for", "source", "note"});
        const auto id = item.required("nutrient");
        const Nutrient* nutrient = id ? read_nutrient_id(*id, dictionary) : nullptr;
        item.required("percent");
        const auto percent = item.number_within("percent", 0, 110, "a coefficient in percent");
        if (nutrient == nullptr || !percent) continue;
        ingredient.digestibility.push_back({nutrient->id, *percent, item.strings("for"),
                                            required_string(item, "source"),
                                            optional_string(item, "note")});
    }
    return ingredient;
}

Profile read_profile(const JsonView& root, const NutrientDictionary& dictionary) {
    Profile profile;
    profile.file = root.file();
    if (const auto species = root.required("species")) {
        profile.species = species->as_string().value_or("");
        require_id(*species, profile.species, '-');
    }
    profile.name = required_string(root, "name");
    profile.scientific_name = optional_string(root, "scientific_name");
    if (root.required("group")) profile.group = read_word(root, "group", animal_groups);
    profile.feeds_as = read_word(root, "feeds_as", feeding_classes);
    profile.note = optional_string(root, "note");
    profile.lacks = root.strings("lacks");
    if (const auto temperature = root.member("temperature_c")) {
        temperature->allow_only(
            {"low", "best_low", "best_high", "high", "source", "limits_sources", "note"});
        TemperatureRange range;
        range.low = temperature->number("low");
        range.best_low = temperature->number("best_low");
        range.best_high = temperature->number("best_high");
        range.high = temperature->number("high");
        range.source = required_string(*temperature, "source");
        range.limits_sources = temperature->strings("limits_sources");
        profile.temperature = range;
    }
    for (const JsonView& item : root.array("stages")) {
        Stage stage = read_stage(item, dictionary);
        if (profile.stage(stage.id) != nullptr)
            item.problem_found("a second stage of this id", "each once");
        profile.stages.push_back(std::move(stage));
    }
    if (profile.stages.empty()) root.problem_found("no stages", "at least one in \"stages\"");
    for (const JsonView& item : root.array("conflicts")) {
        item.allow_only({"nutrient", "text", "sources"});
        profile.conflicts.push_back({optional_string(item, "nutrient"),
                                     required_string(item, "text"), item.strings("sources")});
    }
    return profile;
}

// Where an ingredient states a nutrient: in its "nutrients", in a block of its composition, or
// beside them.
std::string place_of(const JsonView& item, const std::string& nutrient) {
    const auto within = [&](const JsonView& holder) -> std::optional<std::string> {
        const auto nutrients = holder.member(holder.has("label") ? "label" : "nutrients");
        const auto value = nutrients ? nutrients->member(nutrient) : std::nullopt;
        return value ? std::optional(value->place()) : std::nullopt;
    };
    if (const auto place = within(item)) return *place;
    if (const auto own = item.member(nutrient)) return own->place();
    if (const auto blocks = item.member("composition"); blocks && blocks->is_array()) {
        for (const JsonView& block : blocks->elements()) {
            if (const auto place = within(block)) return *place;
        }
    }
    return item.place();
}

// Whether following what a nutrient is worked out from leads back to it.
bool rests_on_itself(const std::string& id, const NutrientDictionary& dictionary) {
    std::set<std::string, std::less<>> seen;
    std::vector<std::string> next{id};
    while (!next.empty()) {
        const Nutrient* nutrient = dictionary.find(next.back());
        next.pop_back();
        if (nutrient == nullptr || !nutrient->derived) continue;
        std::vector<std::string> parts{nutrient->derived->digestible_of};
        for (const auto& term : nutrient->derived->terms)
            parts.push_back(term.first);
        for (std::string& part : parts) {
            if (part == id) return true;
            if (seen.insert(part).second) next.push_back(std::move(part));
        }
    }
    return false;
}

}  // namespace

void require_id(const JsonView& view, std::string_view id, char separator) {
    const bool good = !id.empty() && id.front() != separator && id.back() != separator &&
                      std::all_of(id.begin(), id.end(), [&](char c) {
                          return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == separator;
                      });
    if (!good) {
        view.problem(
            fmt::format("an id of lower-case letters and digits joined by \"{}\"", separator));
    }
}

// Pure amino acids and urea hold more nitrogen x 6.25 than their own weight.
double most_percent(const Nutrient& nutrient) {
    return nutrient.id == "crude_protein" || nutrient.id == "digestible_protein" ? 300 : 100;
}

std::optional<double> read_amount(const JsonView& view, const Nutrient& nutrient, Basis basis) {
    // Of protein, every amount is g per 100 g, whatever the nutrient's own unit.
    const std::string unit = basis == Basis::of_protein ? "%" : nutrient.unit;
    std::optional<double> amount;
    if (view.is_string()) {
        const std::string& text = view.value().string;
        const auto quantity = base::parse_quantity(text);
        if (!quantity) {
            const bool comma = text.find(',') != std::string::npos;
            view.problem(fmt::format("a number, or a text such as \"12.5 {}\"", unit),
                         comma ? "Write a decimal point, not a comma" : "");
            return std::nullopt;
        }
        amount = quantity->unit.empty() ? quantity->value
                                        : base::convert(quantity->value, quantity->unit, unit);
        if (!amount) {
            view.problem(fmt::format("an amount of {} in {} or a unit that converts to it",
                                     nutrient.name, unit),
                         quantity->unit.starts_with(',') ? "Write a decimal point, not a comma"
                         : base::is_known_unit(quantity->unit)
                             ? fmt::format("{} cannot be turned into {}", quantity->unit, unit)
                             : fmt::format("The unit \"{}\" is not known", quantity->unit));
            return std::nullopt;
        }
    } else if (view.is_number()) {
        amount = view.value().number;
    } else {
        view.problem(fmt::format("a number, or a text such as \"12.5 {}\"", unit));
        return std::nullopt;
    }
    if (*amount < 0) {
        view.problem("zero or more");
        return std::nullopt;
    }
    const double most = most_percent(nutrient);
    if (unit == "%" && *amount > most) {
        view.problem(fmt::format("at most {} %", base::shortest(most)));
        return std::nullopt;
    }
    return amount;
}

std::optional<StatedValue> read_spread_value(const JsonView& view, const Nutrient& nutrient,
                                             Basis basis) {
    view.allow_only({"value", "sd", "n", "min", "max", "spread", "note"});
    StatedValue value;
    value.nutrient = nutrient.id;
    value.basis = basis;
    std::optional<double> amount;
    if (const auto number = view.required("value")) amount = read_amount(*number, nutrient, basis);
    if (const auto sd = view.member("sd")) value.sd = read_amount(*sd, nutrient, basis);
    value.n = view.number_within("n", 0, 1e9, "a number of samples");
    const auto min = view.member("min");
    const auto max = view.member("max");
    if (min) value.min = read_amount(*min, nutrient, basis);
    if (max) value.max = read_amount(*max, nutrient, basis);
    if (amount && ((value.min && *value.min > *amount) || (value.max && *value.max < *amount))) {
        view.problem_found("a value outside \"min\" and \"max\"", "a value from min to max");
    }
    value.spread = spread_from(read_word(view, "spread", spreads)).value_or(Spread::unstated);
    if (value.spread != Spread::unstated && !value.sd && !value.min && !value.max && !value.n) {
        view.problem_found("a \"spread\" of nothing",
                           "\"sd\", \"min\", \"max\" or \"n\" beside it");
    }
    value.note = view.string("note").value_or("");
    if (!amount) return std::nullopt;
    value.amount = *amount;
    return value;
}

const Nutrient* find_nutrient(const JsonView& at, std::string_view id,
                              const NutrientDictionary& dictionary) {
    const Nutrient* nutrient = dictionary.find(id);
    if (nutrient == nullptr) {
        at.problem_found(fmt::format("the unknown nutrient \"{}\"", id),
                         "a nutrient of the dictionary or of the job",
                         base::did_you_mean(id, dictionary.ids()));
    }
    return nutrient;
}

const Nutrient* read_nutrient_id(const JsonView& view, const NutrientDictionary& dictionary) {
    const auto id = view.as_string();
    return id ? find_nutrient(view, *id, dictionary) : nullptr;
}

Basis read_basis(const JsonView& parent, Basis otherwise) {
    const std::string word = read_word(parent, "basis", {"as_fed", "dry_matter", "of_protein"});
    return basis_from(word).value_or(otherwise);
}

std::optional<double> read_limit(const JsonView& parent, std::string_view key,
                                 const Nutrient& nutrient, Basis basis) {
    const auto view = parent.member(key);
    const auto amount = view ? read_amount(*view, nutrient, basis) : std::nullopt;
    if (!amount) return std::nullopt;
    if (const auto problem = impossible_limit(nutrient, *amount, basis)) {
        view->problem_found(problem->found, problem->expected, problem->hint);
        return std::nullopt;
    }
    return amount;
}

void require_order(const JsonView& parent, const std::optional<double>& min,
                   const std::optional<double>& max) {
    if (min && max && *min > *max) {
        parent.problem_found(
            fmt::format("min {} above max {}", base::shortest(*min), base::shortest(*max)),
            "min at most max", "Exchange the two, or correct one");
    }
}

std::optional<Nutrient> read_nutrient(const JsonView& view) {
    view.allow_only({"id", "name", "unit", "group", "note", "derived", "also_called", "infoods"});
    Nutrient nutrient;
    nutrient.id = required_string(view, "id");
    nutrient.unit = required_string(view, "unit");
    nutrient.name = optional_string(view, "name");
    nutrient.group = read_word(view, "group", groups);
    nutrient.note = optional_string(view, "note");
    nutrient.also_called = view.strings("also_called");
    nutrient.infoods = view.strings("infoods");
    if (const auto derived = view.member("derived")) nutrient.derived = read_derivation(*derived);
    if (nutrient.name.empty()) nutrient.name = nutrient.id;
    if (nutrient.id.empty() || nutrient.unit.empty()) return std::nullopt;
    return nutrient;
}

void require_terms(const JsonView& nutrient, const NutrientDictionary& dictionary) {
    const auto derived = nutrient.member("derived");
    if (!derived || !derived->is_object()) return;
    if (const auto whole = derived->member("digestible_of")) read_nutrient_id(*whole, dictionary);
    if (const auto terms = derived->member("terms"); terms && terms->is_object()) {
        for (const auto& [id, factor] : terms->members())
            find_nutrient(factor, id, dictionary);
    }
    const auto id = nutrient.member("id");
    if (id && id->is_string() && rests_on_itself(id->value().string, dictionary)) {
        derived->problem_found(fmt::format("that {} is worked out from itself", id->value().string),
                               "terms that do not lead back to it");
    }
}

NutrientDictionary load_nutrients(const JsonView& root) {
    NutrientDictionary dictionary;
    if (!root.require_format("feedwright-nutrients/1")) return dictionary;
    root.allow_only({"format", "nutrients"});
    const auto items = root.array("nutrients");
    for (const JsonView& item : items) {
        auto nutrient = read_nutrient(item);
        if (!nutrient) continue;
        require_id(*item.member("id"), nutrient->id, '_');
        if (!base::is_known_unit(nutrient->unit)) {
            item.member("unit")->problem("a unit such as %, mg/kg, IU/kg or MJ/kg");
        }
        if (!dictionary.add(*nutrient)) {
            item.problem_found(fmt::format("the id \"{}\" again", nutrient->id), "each id once");
        }
    }
    for (const JsonView& item : items)
        require_terms(item, dictionary);
    return dictionary;
}

std::optional<Ingredient> load_ingredient(const JsonView& root,
                                          const NutrientDictionary& dictionary) {
    if (!root.require_format("feedwright-ingredient/1")) return std::nullopt;
    std::vector<std::string> keys = ingredient_keys;
    keys.emplace_back("format");
    root.allow_only(keys);
    root.required("category");
    Ingredient ingredient = read_ingredient(root, dictionary, true);
    require_conversions(root, ingredient);
    return ingredient;
}

std::optional<Ingredient> read_library_ingredient(const JsonView& item,
                                                  const NutrientDictionary& dictionary,
                                                  const IngredientLookup& lookup) {
    std::vector<std::string> keys = ingredient_keys;
    keys.insert(keys.end(), {"extend", "scale", "label"});
    item.allow_only(keys);
    Ingredient own = read_ingredient(item, dictionary, !item.has("extend"));
    if (const auto label = item.member("label")) {
        for (const char* beside : {"composition", "zeros", "digestibility", "extend", "scale"}) {
            if (!item.has(beside)) continue;
            item.member(beside)->problem_found(
                fmt::format("\"{}\" beside a label", beside), "one of the two",
                "A bought feed holds what its label says; put what else is known there");
        }
        read_label(*label, dictionary, own);
    }
    Ingredient ingredient = extend_as_asked(item, std::move(own), dictionary, lookup);
    require_conversions(item, ingredient);
    require_possible(item, ingredient, dictionary);
    return ingredient.id.empty() ? std::nullopt : std::optional(std::move(ingredient));
}

void require_possible(const JsonView& item, const Ingredient& ingredient,
                      const NutrientDictionary& dictionary) {
    for (ImpossibleValue& impossible : impossible_values(ingredient, dictionary)) {
        base::Diagnostic& problem = impossible.problem;
        problem.file = item.file();
        problem.place = place_of(item, impossible.nutrient);
        item.diagnostics().add(std::move(problem));
    }
}

Ingredient extend_as_asked(const JsonView& item, Ingredient own,
                           const NutrientDictionary& dictionary, const IngredientLookup& lookup) {
    const auto extend = item.member("extend");
    if (!extend) {
        if (const auto scale = item.member("scale")) {
            scale->problem_found("a scale and no \"extend\"", "the ingredient to scale from",
                                 "Add \"extend\": \"ID\" or leave out \"scale\"");
        }
        return own;
    }
    const std::string word = read_word(item, "scale", {"none", "dry_matter", "crude_protein"});
    const auto id = extend->as_string();
    if (!id) return own;
    const Ingredient* base = lookup.find(*id);
    if (base == nullptr) {
        extend->problem("an ingredient of the library, or one that stands before this one",
                        base::did_you_mean(*id, lookup.ids()));
        return own;
    }
    try {
        own = extended(*base, std::move(own), scale_from(word).value_or(Scale::dry_matter),
                       dictionary);
    } catch (const Error& error) {
        item.problem_found(error.what(), "both to have what \"scale\" goes by",
                           "\"scale\": \"none\" keeps the amounts as fed");
        return own;
    }
    for (const StatedValue& value : own.stated) {
        const Nutrient* nutrient = dictionary.find(value.nutrient);
        if (!value.scaled || value.basis != Basis::as_fed || nutrient->unit != "%") continue;
        if (value.amount > most_percent(*nutrient)) {
            item.problem_found(fmt::format("{} % {} after scaling",
                                           base::significant(value.amount, 4), nutrient->name),
                               fmt::format("at most {} %", base::shortest(most_percent(*nutrient))),
                               "Give it a value of its own, or scale by something else");
        }
    }
    return own;
}

std::optional<Profile> load_profile(const JsonView& root, const NutrientDictionary& dictionary) {
    if (!root.require_format("feedwright-profile/1")) return std::nullopt;
    std::vector<std::string> keys = profile_keys;
    keys.emplace_back("format");
    root.allow_only(keys);
    return read_profile(root, dictionary);
}

std::optional<Profile> read_library_profile(const JsonView& item,
                                            const NutrientDictionary& dictionary) {
    item.allow_only(profile_keys);
    Profile profile = read_profile(item, dictionary);
    return profile.species.empty() ? std::nullopt : std::optional(std::move(profile));
}

std::vector<Source> load_sources(const JsonView& root) {
    if (!root.require_format("feedwright-sources/1")) return {};
    root.allow_only({"format", "sources"});
    return read_sources(root);
}

std::vector<Source> read_sources(const JsonView& root) {
    std::vector<Source> sources;
    std::set<std::string> seen;
    for (const JsonView& item : root.array("sources")) {
        item.allow_only({"id", "citation", "url", "how_known", "note"});
        Source source;
        source.id = required_string(item, "id");
        source.citation = required_string(item, "citation");
        source.url = optional_string(item, "url");
        if (item.required("how_known")) source.how_known = read_word(item, "how_known", ways_known);
        if (!seen.insert(source.id).second) {
            item.problem_found(fmt::format("the id \"{}\" again", source.id), "each id once");
        }
        sources.push_back(std::move(source));
    }
    return sources;
}

std::vector<Caution> load_cautions(const JsonView& root, const NutrientDictionary& /*dictionary*/) {
    std::vector<Caution> cautions;
    if (!root.require_format("feedwright-cautions/1")) return cautions;
    root.allow_only({"format", "cautions"});
    for (const JsonView& item : root.array("cautions")) {
        item.allow_only({"id", "text", "ingredients", "categories", "species", "stages",
                         "above_percent", "forbids", "danger", "jurisdiction", "year", "source",
                         "note"});
        Caution caution;
        caution.id = required_string(item, "id");
        caution.text = required_string(item, "text");
        caution.ingredients = item.strings("ingredients");
        caution.categories = item.strings("categories");
        caution.species = item.strings("species");
        caution.stages = item.strings("stages");
        caution.above_percent = item.number_within("above_percent", 0, 100, "percent").value_or(0);
        caution.forbids = item.flag("forbids").value_or(false);
        if (const auto danger = item.number_within("danger", 1, 3, "1, 2 or 3")) {
            caution.danger = static_cast<int>(*danger);
        }
        caution.jurisdiction = optional_string(item, "jurisdiction");
        if (const auto year = item.number_within("year", 1900, 2100, "a year")) {
            caution.year = static_cast<int>(*year);
        }
        caution.source = required_string(item, "source");
        cautions.push_back(std::move(caution));
    }
    return cautions;
}

}  // namespace feedwright::catalog
