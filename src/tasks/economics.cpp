// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/economics.hpp"

#include "base/diagnostics.hpp"
#include "base/text.hpp"
#include "economics/growth.hpp"
#include "job/meant.hpp"
#include "tasks/venture_input.hpp"

#include <fmt/format.h>

#include <utility>

namespace feedwright::tasks {

namespace {

// Growth at the rations of the species, where none was given.
void fill_growth(const catalog::Profile* profile, economics::Plan& plan) {
    if (plan.growth != economics::Growth::fed || plan.rate > 0) return;
    const auto published = profile == nullptr
                               ? std::nullopt
                               : economics::published_fcr(*profile, plan.start_g,
                                                          plan.target_g.value_or(plan.start_g));
    if (!published) {
        std::string hint;
        if (profile != nullptr) {
            hint = "No FCR is published here for " + profile->name + " of this size";
            if (profile->group == "poultry") hint += "; laying birds are planned with --intake";
        }
        throw base::DataError(
            base::Diagnostic{"", "plan", "no growth", "--fcr, --sgr or --tgc", hint});
    }
    plan.rate = (published->range.low + published->range.high) / 2;
    plan.notes.push_back({.kind = economics::PlanNote::Kind::growth_from_rations,
                          .value = plan.rate,
                          .range = published->range});
}

}  // namespace

MakeOrBuy make_or_buy(const VentureSource& venture, catalog::Library& library) {
    PricedVenture priced = price_venture(venture, library);
    MakeOrBuy result{
        {}, std::move(priced.home), std::move(priced.inputs), std::move(priced.unsolved)};
    if (!result.unsolved) result.result = economics::make_or_buy(priced.venture, priced.context);
    return result;
}

const catalog::Profile* species_of_plan(const std::string& name, const std::string& file,
                                        const std::string& place, catalog::Library& library) {
    if (name.empty()) return nullptr;
    const std::string species = name.substr(0, name.find('/'));
    const catalog::Profile* profile = library.profile(species);
    if (profile == nullptr) {
        throw base::DataError(base::Diagnostic{file, place, fmt::format("\"{}\"", name),
                                               "a species of the library",
                                               base::did_you_mean(species, library.species())});
    }
    return profile;
}

namespace {

// Of the venture's own analysis, or of the mix where nearly all of it has a value.
std::optional<double> home_protein(const economics::Venture& venture,
                                   const economics::VentureContext& context) {
    constexpr double nearly_all = 95;
    for (const economics::LabelValue& line : venture.make.analysis) {
        if (line.nutrient == "crude_protein") return line.min;
    }
    for (const economics::HomeNutrient& known : context.home_analysis) {
        if (known.nutrient == "crude_protein" && known.known_percent >= nearly_all)
            return known.value;
    }
    return std::nullopt;
}

}  // namespace

Planned plan(const PlanRequest& request, catalog::Library& library) {
    const std::string& file = request.file;
    Planned result;
    economics::Plan plan = request.plan;
    economics::PlanContext known;
    known.water = &library.water();
    if (file.empty()) {
        known.profile = species_of_plan(plan.species, "", "--for", library);
        fill_growth(known.profile, plan);
    } else {
        plan = economics::load_plan(file);
        known.profile = species_of_plan(plan.species, file, "/profile", library);
        result.inputs.push_back(file);
    }
    if (!plan.venture_file.empty()) {
        PricedVenture priced = price_venture({plan.venture_file, {}}, library);
        result.inputs.insert(result.inputs.end(), priced.inputs.begin(), priced.inputs.end());
        if (priced.unsolved) {
            result.unsolved = std::move(priced.unsolved);
            return result;
        }
        result.home = std::move(priced.home);
        known.venture = std::move(priced.venture);
        known.mix = std::move(priced.mix);
        if (result.home) {
            for (auto& [id, kg] : plan.packs)
                id = job::named_in(result.home->job, library, id);
        }
        known.home_protein_percent = home_protein(*known.venture, priced.context);
        known.short_of = std::move(priced.context.short_of);
        known.keeping = std::move(priced.context.keeping);
    }
    result.result = economics::work_out(plan, known);
    return result;
}

}  // namespace feedwright::tasks
