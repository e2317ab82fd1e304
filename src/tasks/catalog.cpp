// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/catalog.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "base/head.hpp"
#include "base/text.hpp"
#include "job/meant.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <map>
#include <set>
#include <string_view>

namespace feedwright::tasks {

namespace {

bool matches(const std::string& match, std::initializer_list<std::string_view> fields) {
    const std::string wanted = base::lower(match);
    return std::any_of(fields.begin(), fields.end(), [&](std::string_view field) {
        return base::lower(field).find(wanted) != std::string::npos;
    });
}

// The same, or every word begins one of the text, in any order.
bool matches_words(const std::string& match, const std::string& text) {
    if (matches(match, {text})) return true;
    const std::string all = ' ' + base::plain_words(text);
    const std::string wanted = base::plain_words(match);
    std::string_view rest = wanted;
    for (auto word = base::take_word(rest); !word.empty(); word = base::take_word(rest)) {
        if (all.find(' ' + std::string(word)) == std::string::npos) return false;
    }
    return !wanted.empty();
}

bool names(const std::vector<std::string>& list, const std::string& word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

// The caps of an ingredient in force at the stages of a species; stages with the same cap share
// one.
std::vector<SpeciesCap> caps_for(const catalog::Ingredient& ingredient,
                                 const catalog::Profile& profile, const catalog::CapTable& table) {
    std::map<catalog::Cap::Basis, std::vector<const catalog::Cap*>> by_basis;
    for (const catalog::Cap& cap : table.caps) {
        if (cap.is_sum() || !table.covers(cap, ingredient.id, ingredient.category, ingredient.kin))
            continue;
        by_basis[cap.basis].push_back(&cap);
    }
    std::vector<SpeciesCap> found;
    for (const auto& [basis, caps] : by_basis) {
        const std::size_t first = found.size();
        for (const catalog::Stage& stage : profile.stages) {
            const catalog::Animal animal{profile.species, profile.group, profile.feeds_as,
                                         stage.id};
            const auto held = catalog::cap_in_force(caps, animal);
            if (!held) continue;
            const auto same = std::find_if(found.begin() + static_cast<long>(first), found.end(),
                                           [&](const SpeciesCap& other) {
                                               return other.cap.max == held->cap.max &&
                                                      other.cap.source == held->cap.source;
                                           });
            if (same != found.end()) {
                same->cap.stages.push_back(stage.id);
                continue;
            }
            found.push_back({profile.name, held->cap});
            found.back().cap.stages = {stage.id};
        }
        for (std::size_t k = first; k < found.size(); ++k) {
            if (found[k].cap.stages.size() == profile.stages.size()) found[k].cap.stages.clear();
        }
    }
    return found;
}

// What is meant for the animal itself, or for its class, and every sum.
std::vector<SpeciesCap> caps_at(const catalog::Profile& profile, const catalog::Stage& stage,
                                const catalog::CapTable& table) {
    constexpr int of_class = 6;  // as closeness() counts with stages
    const catalog::Animal animal{profile.species, profile.group, profile.feeds_as, stage.id};
    std::vector<SpeciesCap> found;
    for (const catalog::Cap& cap : table.caps) {
        const int close = catalog::closeness(cap.animals, cap.stages, animal);
        if (close >= of_class || (close > 0 && cap.is_sum())) found.push_back({"", cap});
    }
    return found;
}

// The animal of a species, to whose digestibility an ingredient is shown; none for an empty name.
catalog::Animal animal_of(const std::string& species, catalog::Library& library) {
    if (species.empty()) return {};
    const auto known = library.species();
    if (std::find(known.begin(), known.end(), species) == known.end()) {
        throw base::DataError(base::Diagnostic{"", "--for", '"' + species + '"', "a species",
                                               base::did_you_mean(species, known)});
    }
    const catalog::Profile& profile = *library.profile(species);
    return {profile.species, profile.group, profile.feeds_as, ""};
}

std::vector<catalog::Caution> cautions_on(const catalog::Ingredient& ingredient,
                                          catalog::Library& library) {
    std::vector<catalog::Caution> cautions;
    for (const catalog::Caution& caution : library.cautions()) {
        const bool named = std::any_of(
            caution.ingredients.begin(), caution.ingredients.end(), [&](const std::string& id) {
                return catalog::is_or_extends(ingredient.id, ingredient.kin, id);
            });
        if (named || names(caution.categories, ingredient.category)) cautions.push_back(caution);
    }
    return cautions;
}

std::vector<catalog::Source> sources_of(const IngredientFacts& facts, catalog::Library& library) {
    const catalog::Ingredient& ingredient = *facts.ingredient;
    std::set<std::string> ids;
    for (const auto& value : ingredient.stated)
        ids.insert(value.source);
    for (const auto& item : ingredient.digestibility)
        ids.insert(item.source);
    if (!ingredient.zeros_source.empty()) ids.insert(ingredient.zeros_source);
    for (const auto& [species, cap] : facts.caps)
        ids.insert(cap.source);
    for (const std::string& nutrient : facts.composition.nutrients()) {
        const catalog::Amount& amount = *facts.composition.find(nutrient);
        if (amount.origin == catalog::Origin::estimated) ids.insert(amount.source);
    }
    std::vector<catalog::Source> sources;
    for (const std::string& id : ids) {
        if (const catalog::Source* source = library.source(id)) sources.push_back(*source);
    }
    return sources;
}

IngredientFacts facts_of(const catalog::Ingredient& ingredient, const std::string& species,
                         catalog::Library& library) {
    IngredientFacts facts;
    facts.ingredient = &ingredient;
    for (const std::string& one : library.species()) {
        for (SpeciesCap& cap : caps_for(ingredient, *library.profile(one), library.caps()))
            facts.caps.push_back(std::move(cap));
    }
    const catalog::Animal animal = animal_of(species, library);
    facts.composition = catalog::compose(ingredient, library.dictionary(), animal);
    facts.cautions = cautions_on(ingredient, library);
    facts.sources = sources_of(facts, library);
    return facts;
}

// The ingredient that a name stands for; one message for a name of several.
const catalog::Ingredient* named(const std::string& written, catalog::Library& library) {
    using Kind = catalog::Meaning::Kind;
    const catalog::Meaning meaning = library.meaning_of(written);
    if (meaning.kind == Kind::name || meaning.kind == Kind::closest)
        return library.ingredient(meaning.ingredients.front());
    if (meaning.kind == Kind::unknown) return nullptr;
    job::NotMeant why = job::not_meant({}, library, written, meaning);
    throw base::DataError(base::Diagnostic{"command line", "", std::move(why.found),
                                           std::move(why.expected), std::move(why.hint)});
}

[[noreturn]] void refuse_unknown(const std::string& id, catalog::Library& library) {
    std::vector<std::string> all = library.ingredient_ids();
    for (const auto& more :
         {library.species(), library.profile_ids(), library.dictionary().ids()}) {
        all.insert(all.end(), more.begin(), more.end());
    }
    for (const catalog::Source& source : library.sources())
        all.push_back(source.id);
    std::string near = base::nearest(id, all);
    if (near.empty()) near = library.nearest_name(id);
    throw base::DataError(base::Diagnostic{"command line", "", '"' + id + '"',
                                           "an ingredient, species, profile, nutrient or source",
                                           near.empty() ? "" : "Did you mean \"" + near + "\"?"});
}

}  // namespace

namespace {

std::vector<ImportedSpread> spreads_of(const catalog::Import& import, catalog::Library& library) {
    std::vector<ImportedSpread> list;
    for (const catalog::ImportedIngredient& item : import.ingredients) {
        catalog::Ingredient kind;
        if (const catalog::Ingredient* base = library.ingredient(item.extend)) kind = *base;
        if (!item.extend.empty()) kind.kin.insert(kind.kin.begin(), item.extend);
        kind.id = item.id;
        if (!item.category.empty()) kind.category = item.category;
        const auto near = catalog::variations_near(library.variation(), kind);
        for (const catalog::StatedValue& value : item.values) {
            if (!value.sd) continue;
            const catalog::Nutrient& nutrient = *library.dictionary().find(value.nutrient);
            ImportedSpread spread{item.id,      value.nutrient, nutrient.unit, value.basis,
                                  value.amount, *value.sd,      value.n,       {},
                                  {},           false};
            if (const auto* entry = catalog::variation_of(near, kind, nutrient)) {
                spread.assumed_sd = std::abs(value.amount) * entry->cv_percent / 100;
                spread.assumed_source = entry->source;
            }
            spread.counts =
                value.spread == catalog::Spread::lots || value.spread == catalog::Spread::regions;
            list.push_back(std::move(spread));
        }
    }
    return list;
}

}  // namespace

Imported import_table(const ImportRequest& request, catalog::Library& library) {
    const catalog::LaboratoryTable table =
        catalog::read_laboratory_table(base::read_file(request.file), request.file);
    Imported result{catalog::read_import(table, library.dictionary(), request.options), {}, {}};
    result.library_file = catalog::library_json(result.import);
    catalog::require_loadable(result.library_file, request.file, library);
    result.spreads = spreads_of(result.import, library);
    return result;
}

std::vector<const catalog::Ingredient*> list_ingredients(const std::string& match,
                                                         catalog::Library& library) {
    std::map<std::string, std::vector<std::string>> local;
    for (const catalog::LocalName& name : library.local_names()) {
        for (const std::string& id : name.ingredients)
            local[id].push_back(name.name);
    }
    std::vector<const catalog::Ingredient*> found;
    for (const std::string& id : library.ingredient_ids()) {
        const catalog::Ingredient& item = *library.ingredient(id);
        std::vector<std::string> words = item.also_called;
        words.insert(words.end(), local[id].begin(), local[id].end());
        words.insert(words.end(), {id, item.name});
        const bool named = std::any_of(words.begin(), words.end(), [&](const std::string& word) {
            return matches_words(match, word);
        });
        if (named || matches(match, {item.category})) found.push_back(&item);
    }
    return found;
}

std::vector<StageOf> list_stages(const std::string& match, catalog::Library& library) {
    std::vector<StageOf> found;
    for (const std::string& species : library.species()) {
        const catalog::Profile& profile = *library.profile(species);
        for (const catalog::Stage& stage : profile.stages) {
            const std::string id = species + '/' + stage.id;
            if (matches(match, {id, profile.name, profile.scientific_name}))
                found.emplace_back(&profile, &stage);
        }
    }
    return found;
}

std::vector<const catalog::Nutrient*> list_nutrients(const std::string& match,
                                                     const catalog::Library& library) {
    std::vector<const catalog::Nutrient*> found;
    for (const catalog::Nutrient& nutrient : library.dictionary().all()) {
        if (matches(match, {nutrient.id, nutrient.name, nutrient.group}))
            found.push_back(&nutrient);
    }
    return found;
}

std::vector<const catalog::Source*> list_sources(const std::string& match,
                                                 catalog::Library& library) {
    std::vector<const catalog::Source*> found;
    for (const catalog::Source& source : library.sources()) {
        if (matches(match, {source.id, source.citation, source.how_known}))
            found.push_back(&source);
    }
    return found;
}

catalog::Coverage coverage(catalog::Library& library) {
    return catalog::coverage_of(library);
}

Shown show(const ShowRequest& request, catalog::Library& library) {
    const std::string& id = request.id;
    if (const catalog::Ingredient* ingredient = library.ingredient(id))
        return facts_of(*ingredient, request.species, library);
    const std::size_t slash = id.find('/');
    if (const catalog::Profile* profile = library.profile(id.substr(0, slash))) {
        if (slash == std::string::npos) return profile;
        if (const catalog::Stage* stage = profile->stage(id.substr(slash + 1)))
            return StageFacts{{profile, stage}, caps_at(*profile, *stage, library.caps())};
    }
    if (const catalog::Nutrient* nutrient = library.dictionary().find(id)) return nutrient;
    if (const catalog::Source* source = library.source(id)) return source;
    const std::string plain = base::plain_words(id);
    for (const catalog::Nutrient& nutrient : library.dictionary().all()) {
        if (base::plain_words(nutrient.name) == plain || base::plain_words(nutrient.id) == plain)
            return &nutrient;
    }
    if (const catalog::Ingredient* ingredient = named(id, library))
        return facts_of(*ingredient, request.species, library);
    refuse_unknown(id, library);
}

std::string premix_lacking(const job::Job& job, catalog::Library& library) {
    for (const job::Choice& choice : job.ingredients) {
        if (choice.role == "premix" && choice.made_for_animal) return "";
    }
    return job::premix_for(job.animal, library);
}

}  // namespace feedwright::tasks
