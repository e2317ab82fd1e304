// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "catalog/loading.hpp"
#include "job/reading.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <utility>
#include <vector>

namespace feedwright::job {

namespace {

using base::JsonView;

// Takes what was found, what was expected and a hint.
using Complain = std::function<void(std::string, std::string, std::string)>;

void read_system(Reading& reading, const JsonView& root) {
    const auto system = root.member("system");
    const auto density = root.number_within("fish_per_m2", 0, 1000, "animals per m2 of pond");
    if (!system) {
        if (density)
            root.member("fish_per_m2")
                ->problem_found("a density and no \"system\"", "\"system\": \"pond\" beside it");
        return;
    }
    const auto word = system->as_string();
    if (word && *word != "pond") system->problem("\"pond\", or no \"system\" at all");
    if (!reading.job.fish_per_m2) reading.job.fish_per_m2 = density.value_or(0);
}

void read_own_nutrient(Reading& reading, const JsonView& item) {
    auto nutrient = catalog::read_nutrient(item);
    if (!nutrient) return;
    const bool per_kg = nutrient->unit.size() > 3 && nutrient->unit.ends_with("/kg");
    if (!base::is_known_unit(nutrient->unit) && !per_kg) {
        item.member("unit")->problem("a unit such as %, g/kg or IU/kg, or any that ends in /kg");
    }
    if (!reading.job.dictionary.add(*nutrient)) {
        item.problem_found(fmt::format("the nutrient \"{}\", which is there already", nutrient->id),
                           "an id of its own");
    }
}

// Lists the stages of what was meant: every species whose id has the word, else the nearest.
void complain_of_species(Reading& reading, const std::string& id, const std::string& species,
                         const Complain& complain) {
    std::vector<std::string> meant;
    for (const std::string& known : reading.library.species()) {
        if (species.size() > 2 && known.find(species) != std::string::npos) meant.push_back(known);
    }
    const std::string near = base::nearest(species, reading.library.species());
    if (meant.empty() && !near.empty()) meant.push_back(near);
    std::vector<std::string> stages;
    for (const std::string& known : meant) {
        for (const auto& stage : reading.library.profile(known)->stages) {
            stages.push_back(known + '/' + stage.id);
        }
    }
    const std::string same_stage = near + id.substr(species.size());
    const bool exists = std::find(stages.begin(), stages.end(), same_stage) != stages.end();
    complain(fmt::format("the unknown profile \"{}\"", id),
             stages.empty() ? "a species/stage such as nile-tilapia/grow-out"
                            : "one of " + base::join_words(stages, " or "),
             exists           ? "Did you mean \"" + same_stage + "\"?"
             : stages.empty() ? "\"feedwright list profiles\" lists all"
                              : "");
}

void set_profile_id(Reading& reading, const std::string& id, const Complain& complain) {
    const auto [species, stage] = catalog::parse_profile_id(id);
    if (id.ends_with(".csv") || id.ends_with(".json")) {
        complain(fmt::format("\"{}\", which looks like the name of a file", id),
                 "a species/stage such as nile-tilapia/grow-out",
                 id.ends_with(".csv")
                     ? "Price lists go behind --prices"
                     : "Profiles of your own go behind --library, and are named here");
        return;
    }
    reading.profile = reading.library.profile(species);
    if (reading.profile == nullptr) {
        complain_of_species(reading, id, species, complain);
        return;
    }
    reading.stage = reading.profile->stage(stage);
    if (reading.stage == nullptr) {
        std::vector<std::string> stages;
        for (const auto& s : reading.profile->stages)
            stages.push_back(species + '/' + s.id);
        complain(fmt::format("\"{}\", which names no stage of {}", id, reading.profile->name),
                 "one of " + base::join_words(stages, " or "),
                 stage.empty() ? "" : base::did_you_mean(id, stages));
        return;
    }
    reading.job.profile =
        ProfileInUse{species + '/' + stage, reading.profile->name, reading.stage->name,
                     reading.stage->note, reading.profile->lacks};
    reading.job.animal = {reading.profile->species, reading.profile->group,
                          reading.profile->feeds_as, stage};
    reading.job.stage = stage;
}

// The animal without its needs: for digestibility and energy values that differ by species.
void set_species(Reading& reading, const JsonView& view) {
    const auto id = view.as_string();
    if (!id) return;
    const catalog::Profile* profile = reading.library.profile(*id);
    if (profile == nullptr) {
        view.problem("a species of the library",
                     base::did_you_mean(*id, reading.library.species()));
        return;
    }
    reading.job.animal = {profile->species, profile->group, profile->feeds_as, ""};
}

}  // namespace

std::optional<double> read_sure_percent(const JsonView& item) {
    const auto view = item.member("sure_percent");
    const auto percent = view ? view->as_number() : std::nullopt;
    if (percent && !(*percent > 50 && *percent < 100)) {
        view->problem("in how many of 100 lots it must hold, above 50 and below 100");
        return std::nullopt;
    }
    return percent;
}

void read_settings(Reading& reading, const JsonView& root) {
    root.allow_only(
        {"format",         "title",       "profile", "currency", "batch_kg",    "finished_moisture",
         "total",          "ingredients", "limits",  "groups",   "ratios",      "replacements",
         "nutrients",      "note",        "species", "system",   "fish_per_m2", "sure_percent",
         "dilute_percent", "proportions"});
    reading.job.title = root.string("title").value_or("");
    reading.job.note = root.string("note").value_or("");
    reading.job.currency = root.string("currency").value_or("");
    if (const auto batch = root.member("batch_kg")) {
        if (batch->is_string()) {
            reading.job.batch_kg = base::parse_mass_kg(batch->value().string);
        } else if (batch->is_number() && batch->value().number >= base::least_mass_kg) {
            reading.job.batch_kg = batch->value().number;
        }
        if (!reading.job.batch_kg) batch->problem("a weight above zero, in kg or as \"50 lb\"");
    }
    const auto sure = read_sure_percent(root);
    reading.job.sure_percent = reading.options.sure_percent ? reading.options.sure_percent : sure;
    if (const auto moisture = root.member("finished_moisture")) {
        if (const auto percent = moisture->as_number()) {
            if (*percent < 0 || *percent > 99) {
                moisture->problem("percent of water in the finished feed, from 0 to 99");
            } else if (!reading.job.finished_moisture) {
                reading.job.finished_moisture = *percent;
            }
        }
    }
    const auto dilute =
        root.number_within("dilute_percent", 0, 100, "percent below the bought feed");
    if (!reading.job.dilute_percent) reading.job.dilute_percent = dilute;
    read_system(reading, root);
    if (const auto total = root.member("total")) {
        const auto word = total->as_string();
        if (word && *word != "free") total->problem("\"free\", or no \"total\" at all");
        reading.job.free_total = true;
        if (reading.job.finished_moisture) {
            total->problem_found("a free total and a finished moisture", "one of the two",
                                 "A finished moisture is a share of one kg of feed");
        }
    }
}

void read_own_nutrients(Reading& reading, const JsonView& root) {
    const auto items = root.array("nutrients");
    for (const JsonView& item : items)
        read_own_nutrient(reading, item);
    for (const JsonView& item : items)
        catalog::require_terms(item, reading.job.dictionary);
}

void set_profile_of_options(Reading& reading) {
    if (!reading.options.profile) return;
    set_profile_id(reading, *reading.options.profile,
                   [&](std::string found, std::string expected, std::string hint) {
                       reading.diagnostics.add({"command line", "--for", std::move(found),
                                                std::move(expected), std::move(hint)});
                   });
}

void set_profile(Reading& reading, const JsonView& root) {
    const auto view = root.member("profile");
    const auto named = view ? view->as_string() : std::nullopt;
    if (reading.options.profile) {
        set_profile_of_options(reading);
    } else if (const auto species = root.member("species")) {
        if (named) {
            species->problem_found("a species beside a profile", "one of the two",
                                   "The profile names its species");
        } else {
            set_species(reading, *species);
        }
    } else if (named) {
        set_profile_id(
            reading, *named, [&](std::string found, std::string expected, std::string hint) {
                view->problem_found(std::move(found), std::move(expected), std::move(hint));
            });
    }
}

void set_pond(Reading& reading) {
    if (!reading.job.fish_per_m2) return;
    int best = 0;
    for (const catalog::Pond& pond : reading.library.ponds()) {
        const int close = catalog::closeness(pond.animals, reading.job.animal);
        if (close == 0 || pond.fish_per_m2_up_to < *reading.job.fish_per_m2) continue;
        const bool smaller = reading.job.pond && close == best &&
                             pond.fish_per_m2_up_to < reading.job.pond->fish_per_m2_up_to;
        if (close > best || smaller) reading.job.pond = pond;
        best = std::max(best, close);
    }
    if (reading.job.pond) return;
    double most = 0;
    for (const catalog::Pond& pond : reading.library.ponds()) {
        if (catalog::closeness(pond.animals, reading.job.animal) > 0) {
            most = std::max(most, pond.fish_per_m2_up_to);
        }
    }
    const bool asked = reading.options.fish_per_m2.has_value();
    reading.diagnostics.add(
        {asked ? "command line" : reading.job.file, asked ? "--system" : "/system",
         most > 0
             ? fmt::format("{} animals per m2 of pond", base::shortest(*reading.job.fish_per_m2))
             : "a fertilised pond",
         most > 0 ? fmt::format("at most {} for this animal", base::shortest(most))
                  : "an animal for which the library knows ponds",
         most > 0 ? "Where more live together, they live on the feed alone" : ""});
}

}  // namespace feedwright::job
