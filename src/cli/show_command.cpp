// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "report/catalog/catalog_pages.hpp"

#include <algorithm>
#include <map>
#include <memory>
#include <set>

namespace feedwright::cli {

namespace {

using catalog::Library;

struct Request {
    std::string id;
    std::string animal;
};

bool names(const std::vector<std::string>& list, const std::string& word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

// The caps of an ingredient in force at the stages of a species; stages with the same cap share
// one.
std::vector<report::SpeciesCap> caps_for(const catalog::Ingredient& ingredient,
                                         const catalog::Profile& profile,
                                         const catalog::CapTable& table) {
    std::map<catalog::Cap::Basis, std::vector<const catalog::Cap*>> by_basis;
    for (const catalog::Cap& cap : table.caps) {
        if (cap.is_sum() || !table.covers(cap, ingredient.id, ingredient.category, ingredient.kin))
            continue;
        by_basis[cap.basis].push_back(&cap);
    }
    std::vector<report::SpeciesCap> found;
    for (const auto& [basis, caps] : by_basis) {
        const std::size_t first = found.size();
        for (const catalog::Stage& stage : profile.stages) {
            const catalog::Animal animal{profile.species, profile.group, profile.feeds_as,
                                         stage.id};
            const auto held = catalog::cap_in_force(caps, animal);
            if (!held) continue;
            const auto same = std::find_if(found.begin() + static_cast<long>(first), found.end(),
                                           [&](const report::SpeciesCap& other) {
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
std::vector<report::SpeciesCap> caps_at(const catalog::Profile& profile,
                                        const catalog::Stage& stage,
                                        const catalog::CapTable& table) {
    constexpr int of_class = 6;  // as closeness() counts with stages
    const catalog::Animal animal{profile.species, profile.group, profile.feeds_as, stage.id};
    std::vector<report::SpeciesCap> found;
    for (const catalog::Cap& cap : table.caps) {
        const int close = catalog::closeness(cap.animals, cap.stages, animal);
        if (close >= of_class || (close > 0 && cap.is_sum())) found.push_back({"", cap});
    }
    return found;
}

ExitStatus show_ingredient(const catalog::Ingredient& ingredient, const Request& request,
                           Context& context) {
    Library& library = context.library();
    catalog::Animal animal;
    std::vector<report::SpeciesCap> caps;
    for (const std::string& species : library.species()) {
        const catalog::Profile& profile = *library.profile(species);
        if (species == request.animal) {
            animal = {profile.species, profile.group, profile.feeds_as, ""};
        }
        for (report::SpeciesCap& cap : caps_for(ingredient, profile, library.caps())) {
            caps.push_back(std::move(cap));
        }
    }
    if (!request.animal.empty() && animal.species.empty()) {
        throw UsageError(base::Diagnostic{"", "--for", '"' + request.animal + '"', "a species",
                                          base::did_you_mean(request.animal, library.species())});
    }
    std::vector<catalog::Caution> cautions;
    for (const catalog::Caution& caution : library.cautions()) {
        const bool named = std::any_of(
            caution.ingredients.begin(), caution.ingredients.end(), [&](const std::string& id) {
                return catalog::is_or_extends(ingredient.id, ingredient.kin, id);
            });
        if (named || names(caution.categories, ingredient.category)) {
            cautions.push_back(caution);
        }
    }
    std::set<std::string> ids;
    for (const auto& value : ingredient.stated)
        ids.insert(value.source);
    for (const auto& item : ingredient.digestibility)
        ids.insert(item.source);
    if (!ingredient.zeros_source.empty()) ids.insert(ingredient.zeros_source);
    for (const auto& [species, cap] : caps)
        ids.insert(cap.source);
    const auto& dictionary = library.dictionary();
    const auto composition = catalog::compose(ingredient, dictionary, animal);
    for (const std::string& nutrient : composition.nutrients()) {
        const catalog::Amount& amount = *composition.find(nutrient);
        if (amount.origin == catalog::Origin::estimated) ids.insert(amount.source);
    }
    std::vector<catalog::Source> sources;
    for (const std::string& id : ids) {
        if (const catalog::Source* source = library.source(id)) sources.push_back(*source);
    }
    context.show(
        report::ingredient_page(ingredient, dictionary, composition, caps, cautions, sources), [&] {
            return report::ingredient_json(ingredient, dictionary, composition, caps, cautions);
        });
    return ExitStatus::success;
}

ExitStatus run(const Request& request, Context& context) {
    Library& library = context.library();
    const std::string& id = request.id;
    if (const catalog::Ingredient* ingredient = library.ingredient(id)) {
        return show_ingredient(*ingredient, request, context);
    }
    const auto [species, stage_id] = catalog::parse_profile_id(id);
    if (const catalog::Profile* profile = library.profile(species)) {
        if (id == species) {
            context.show(report::species_page(*profile, library.dictionary()),
                         [&] { return report::species_json(*profile); });
            return ExitStatus::success;
        }
        if (const catalog::Stage* stage = profile->stage(stage_id)) {
            const auto caps = caps_at(*profile, *stage, library.caps());
            context.show(report::profile_page(*profile, *stage, library.dictionary(), caps), [&] {
                return report::profile_json(*profile, *stage, library.dictionary(), caps);
            });
            return ExitStatus::success;
        }
    }
    if (const catalog::Nutrient* nutrient = library.dictionary().find(id)) {
        const document::Document page = report::nutrient_page(*nutrient);
        context.show(page, [&] {
            document::Table table;
            table.columns = {{"", {}, "id"}, {"", {}, "name"}, {"", {}, "unit"}, {"", {}, "group"}};
            table.rows = {{{nutrient->id, {}, {}},
                           {nutrient->name, {}, {}},
                           {nutrient->unit, {}, {}},
                           {nutrient->group, {}, {}}}};
            return report::table_json("nutrients", table);
        });
        return ExitStatus::success;
    }
    if (const catalog::Source* source = library.source(id)) {
        context.show(report::source_page(*source), [&] {
            document::Table table;
            table.columns = {
                {"", {}, "id"}, {"", {}, "how_known"}, {"", {}, "citation"}, {"", {}, "url"}};
            table.rows = {{{source->id, {}, {}},
                           {source->how_known, {}, {}},
                           {source->citation, {}, {}},
                           {source->url, {}, {}}}};
            return report::table_json("sources", table);
        });
        return ExitStatus::success;
    }
    std::vector<std::string> all = library.ingredient_ids();
    for (const auto& more :
         {library.species(), library.profile_ids(), library.dictionary().ids()}) {
        all.insert(all.end(), more.begin(), more.end());
    }
    for (const catalog::Source& source : library.sources())
        all.push_back(source.id);
    throw base::DataError(
        base::Diagnostic{"command line", "", '"' + id + '"',
                         "the id of an ingredient, species, profile, nutrient or source",
                         base::did_you_mean(id, all)});
}

}  // namespace

Command show_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{
        "show",
        "Show one ingredient, species, profile, nutrient or source with everything known of it"};
    command.add({
        required({"id", &request->id, "ID", "Its id, as \"feedwright list\" gives it"}),
        {"--for", &request->animal, "SPECIES", "Species whose digestibility to use"},
    });
    add_common_options(command, context);
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
