// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/options.hpp"

#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "catalog/ingredient.hpp"
#include "limits/limit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

namespace feedwright::cli {

void add_common_options(Command& command, Context& context) {
    command.add({
        one_of({"text", "json", "csv", "markdown"},
               {"--as", &context.as, "FORM", "Form of the result: text, json, csv or markdown",
                "Result"}),
        {"-o,--output", &context.output, "FILE", "Write the result to FILE", "Result"},
        {"--detail", &context.detail, "",
         "Every nutrient, and the proof in linear-programming terms", "Result"},
        {"--no-colour,--no-color", &context.no_colour, "", "No colour on a terminal", "Result"},
    });
    add_library_options(command, context);
}

void add_library_options(Command& command, Context& context) {
    command.add({
        {"--data", &context.data, "DIR", "Folder of the ingredient library", "Library"},
        repeated({"--library", &context.libraries, "FILE",
                  "Ingredients and profiles of your own over the library's (JSON); may be repeated",
                  "Library"}),
    });
}

Option recipe_word(std::string& recipe) {
    return required(
        {"recipe", &recipe, "RECIPE", "Recipe: JSON, or CSV ingredient,amount[,price] with --for"});
}

void JobOptions::add_to(Command& command) {
    const char* group = "What to meet";
    command.add({
        {"--for", &profile, "PROFILE", "What the animal needs, such as nile-tilapia/grow-out",
         group},
        {"--prices", &prices, "FILE", "Price list: CSV ingredient,price[,unit][,min][,max]", group},
        one_of({"usual", "none"},
               {"--caps", &caps, "WHICH",
                "Library limits on ingredients: usual, or none (for who knows why)", group}),
        {"--enforce", &enforce, "KIND,KIND",
         "Advisory limits that must hold: some of energy,amino-acids,fatty-acids,"
         "phosphorus,minerals,vitamins, or all, or none. Without it the first four hold "
         "where the ingredients can meet them",
         group},
        {"--finished-moisture", &moisture, "PERCENT",
         "Water in the finished feed, percent: the mix is dried to it", group},
        {"--system", &system, "SYSTEM",
         "pond, or pond:N for N animals per m2: a supplement to the natural food of a "
         "fertilised pond",
         group},
        {"--strict", &strict, "", "Refuse ingredients without a value for a limited nutrient",
         group},
        {"--batch", &batch, "WEIGHT", "Weight of one batch: 25, 25kg or \"50 lb\"", group},
    });
}

namespace {

std::set<job::Need> read_enforce(const std::string& text) {
    std::vector<std::string> words;
    for (const job::Need need : job::named_needs())
        words.emplace_back(job::to_string(need));
    words.insert(words.end(), {"all", "none"});
    std::set<job::Need> needs;
    std::string_view rest = text;
    while (true) {
        const std::size_t comma = std::min(rest.find(','), rest.size());
        const std::string word(base::trim(rest.substr(0, comma)));
        if (std::find(words.begin(), words.end(), word) == words.end()) {
            throw UsageError("--enforce", '"' + word + '"', "some of " + base::join_words(words),
                             base::did_you_mean(word, words));
        }
        for (const job::Need need : job::named_needs()) {
            if (word == "all" || word == job::to_string(need)) needs.insert(need);
        }
        if (word == "all") needs.insert(job::Need::other);
        if (comma == rest.size()) return needs;
        rest.remove_prefix(comma + 1);
    }
}

double read_system(const std::string& text) {
    if (text == "pond") return 0;
    constexpr std::string_view pond = "pond:";
    const auto density =
        text.starts_with(pond) ? base::parse_finite(text.substr(pond.size())) : std::nullopt;
    if (!density || !(*density >= 0)) {
        throw UsageError("--system", '"' + text + '"',
                         "pond, or pond:N with N animals per m2, such as pond:2");
    }
    return *density;
}

}  // namespace

job::ReadOptions JobOptions::read() const {
    job::ReadOptions options;
    if (!profile.empty()) options.profile = profile;
    if (!prices.empty()) options.prices = job::read_price_list(prices);
    if (caps == "none") options.caps = job::CapsInUse::none;
    if (!enforce.empty()) options.enforce = read_enforce(enforce);
    if (!moisture.empty()) {
        const auto percent = base::parse_finite(moisture);
        if (!percent || *percent < 0 || *percent > 99) {
            throw UsageError(base::Diagnostic{"", "--finished-moisture", '"' + moisture + '"',
                                              "percent of water, from 0 to 99, such as 10", ""});
        }
        options.finished_moisture = percent;
    }
    if (!system.empty()) options.fish_per_m2 = read_system(system);
    if (!batch.empty()) {
        options.batch_kg = base::parse_mass_kg(batch);
        if (!options.batch_kg) {
            throw UsageError(base::Diagnostic{"", "--batch", '"' + batch + '"',
                                              "a weight above zero such as 25 or \"50 lb\"", ""});
        }
    }
    return options;
}

std::vector<std::pair<std::string, std::string>> JobOptions::settings() const {
    std::vector<std::pair<std::string, std::string>> list{{"caps", caps}};
    if (!profile.empty()) list.emplace_back("for", profile);
    if (!prices.empty()) list.emplace_back("prices", prices);
    if (!batch.empty()) list.emplace_back("batch", batch);
    if (!enforce.empty()) list.emplace_back("enforce", enforce);
    if (!moisture.empty()) list.emplace_back("finished_moisture", moisture);
    if (!system.empty()) list.emplace_back("system", system);
    if (strict) list.emplace_back("strict", "yes");
    return list;
}

std::vector<std::pair<std::string, std::string>> JobOptions::settings(const job::Job& job) const {
    auto list = settings();
    if (job.moisture_assumed) {
        list.emplace_back("finished_moisture", base::shortest(*job.finished_moisture));
    }
    return list;
}

namespace {

// Ids of the nutrients that some premix of the library has a value for.
std::set<std::string> stated_by_premixes(const job::Job& job, catalog::Library& library) {
    std::set<std::string> stated;
    for (const std::string& id : library.ingredient_ids()) {
        const catalog::Ingredient& ingredient = *library.ingredient(id);
        if (ingredient.role != "premix") continue;
        const auto composition = catalog::compose(ingredient, job.dictionary, job.animal);
        for (const std::string& nutrient : job.dictionary.ids()) {
            if (composition.find(nutrient) != nullptr) stated.insert(nutrient);
        }
    }
    return stated;
}

// The nutrients of "nutrient:lysine@of_protein" or "ratio:calcium/phosphorus".
std::vector<std::string> nutrients_of(const limits::Limit& limit) {
    if (limit.kind == limits::LimitKind::replacement) return {"crude_protein"};
    std::string id = limit.id.substr(limit.id.find(':') + 1);
    id = id.substr(0, id.find('@'));
    const std::size_t slash = id.find('/');
    if (slash == std::string::npos) return {id};
    return {id.substr(0, slash), id.substr(slash + 1)};
}

}  // namespace

std::map<std::size_t, std::vector<std::string>> unknown_contents(const job::Job& job,
                                                                 catalog::Library& library) {
    std::map<std::size_t, std::vector<std::string>> lacking;
    std::optional<std::set<std::string>> stated;
    for (const limits::Limit& limit : limits::limits_of(job)) {
        if (limit.advisory) continue;
        for (const std::size_t i : limit.unknown) {
            if (job.ingredients[i].role == "premix") {
                if (!stated) stated = stated_by_premixes(job, library);
                const auto names = nutrients_of(limit);
                if (std::none_of(names.begin(), names.end(),
                                 [&](const auto& name) { return stated->contains(name); })) {
                    continue;
                }
            }
            auto& names = lacking[i];
            if (std::find(names.begin(), names.end(), limit.name) == names.end()) {
                names.push_back(limit.name);
            }
        }
    }
    return lacking;
}

void require_known(const job::Job& job, catalog::Library& library) {
    base::Diagnostics diagnostics;
    for (const auto& [i, names] : unknown_contents(job, library)) {
        diagnostics.add({job.file, "ingredient " + job.ingredients[i].id,
                         "no value for " + base::join_words(names),
                         "one, because --strict is given",
                         "Give the ingredient a value of your own, or leave out --strict"});
    }
    diagnostics.throw_if_any();
}

}  // namespace feedwright::cli
