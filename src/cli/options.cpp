// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/options.hpp"

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "feedwright/base/diagnostics.hpp"
#include "feedwright/base/units.hpp"

namespace feedwright::cli {

void add_common_options(CLI::App& command, Context& context) {
    command.add_option("--as", context.as, "Form of the result: text, json, csv or markdown")
        ->check(CLI::IsMember({"text", "json", "csv", "markdown"}))
        ->type_name("FORM")
        ->group("Result");
    command.add_option("-o,--output", context.output, "Write the result to FILE")
        ->type_name("FILE")
        ->group("Result");
    command.add_flag("--detail", context.detail,
                     "Every nutrient, and the proof in linear-programming terms")
        ->group("Result");
    command.add_flag("--no-colour,--no-color", context.no_colour, "No colour on a terminal")
        ->group("Result");
    add_library_options(command, context);
}

void add_library_options(CLI::App& command, Context& context) {
    command.add_option("--data", context.data, "Folder of the ingredient library")
        ->type_name("DIR")
        ->group("Library");
    command
        .add_option("--library", context.libraries,
                    "Ingredients and profiles of your own over the library's (JSON); may be repeated")
        ->type_name("FILE")
        ->expected(1)
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll)
        ->group("Library");
}

void JobOptions::add_to(CLI::App& command) {
    command.add_option("--for", profile, "What the animal needs, such as nile-tilapia/grow-out")
        ->type_name("PROFILE")
        ->group("What to meet");
    command.add_option("--prices", prices, "Price list: CSV ingredient,price[,unit][,min][,max]")
        ->type_name("FILE")
        ->group("What to meet");
    command
        .add_option("--caps", caps,
                    "Library limits on ingredients: usual, none, or strict (also the highest "
                    "levels tried without loss)")
        ->check(CLI::IsMember({"usual", "none", "strict"}))
        ->type_name("WHICH")
        ->group("What to meet");
    command.add_flag("--enforce-advisory", enforce_advisory,
                     "Let the profile's advisory limits shape the mix too")
        ->group("What to meet");
    command.add_flag("--strict", strict, "Refuse ingredients without a value for a limited nutrient")
        ->group("What to meet");
    command.add_option("--batch", batch, "Weight of one batch: 25, 25kg or \"50 lb\"")
        ->type_name("WEIGHT")
        ->group("What to meet");
}

job::ReadOptions JobOptions::read() const {
    job::ReadOptions options;
    if (!profile.empty()) options.profile = profile;
    if (!prices.empty()) options.prices = job::read_price_list(prices);
    if (caps == "none") options.caps = job::CapsInUse::none;
    if (caps == "strict") options.caps = job::CapsInUse::strict;
    options.enforce_advisory = enforce_advisory;
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
    if (enforce_advisory) list.emplace_back("enforce_advisory", "yes");
    if (strict) list.emplace_back("strict", "yes");
    return list;
}

void require_known(const job::Job& job, const std::vector<formulate::Limit>& limits) {
    base::Diagnostics diagnostics;
    for (const formulate::Limit& limit : limits) {
        if (limit.advisory) continue;
        for (const std::size_t i : limit.unknown) {
            diagnostics.add({job.file, "ingredient " + job.ingredients[i].id,
                             "no value for " + limit.name, "one, because --strict is given",
                             "Give the ingredient a value of your own, or leave out --strict"});
        }
    }
    diagnostics.throw_if_any();
}

}  // namespace feedwright::cli
