// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/plan_options.hpp"

#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/units.hpp"
#include "cli/context.hpp"
#include "cli/options.hpp"
#include "cli/search_options.hpp"

#include <fmt/format.h>

#include <optional>

namespace feedwright::cli {

namespace {

struct Word {
    const char* name;
    std::string PlanOptions::*value;
    const char* type;
    const char* what;
};

constexpr Word options[] = {
    {"--for", &PlanOptions::species, "SPECIES", "A species of the library, such as nile-tilapia"},
    {"--count", &PlanOptions::count, "N", "Number of animals at the start"},
    {"--start", &PlanOptions::start, "WEIGHT",
     "Weight of one animal at the start: 5 (g), 5g or 0.2oz"},
    {"--target", &PlanOptions::target, "WEIGHT", "Weight of one animal at the end"},
    {"--days", &PlanOptions::days, "N", "Number of days, in place of --target"},
    {"--temperature", &PlanOptions::temperature, "T", "Temperature of the water: 27C or 82F"},
    {"--survival", &PlanOptions::survival, "PERCENT",
     "Animals alive at the end, percent (default: 100)"},
    {"--fcr", &PlanOptions::fcr, "X",
     "FCR, kg feed per kg gain. With --sgr or --tgc it sets the feed; alone it sets the growth"},
    {"--sgr", &PlanOptions::sgr, "X", "Specific growth rate, % per day"},
    {"--tgc", &PlanOptions::tgc, "X", "Thermal growth coefficient (with the factor 1000)"},
    {"--intake", &PlanOptions::intake, "WEIGHT",
     "For adult animals: feed per animal and day, such as 115g"},
    {"--pack", &PlanOptions::pack, "WEIGHT", "Weight of a bag of bought feed: 20kg or \"40 lb\""},
    {"--date", &PlanOptions::date, "DATE", "Date of the first day: 2025-04-14"},
    {"--venture", &PlanOptions::venture, "FILE", "Venture file with the mix, batches and costs"},
};

double number(const char* option, const std::string& text, double high, const char* expected) {
    const auto value = base::parse_finite(text);
    if (!value || !(*value > 0) || *value > high)
        throw UsageError(option, '"' + text + '"', expected);
    return *value;
}

double grams(const char* option, const std::string& text) {
    const auto quantity = base::parse_quantity(text);
    const auto kilograms = quantity && !quantity->unit.empty() ? base::kilograms_per(quantity->unit)
                                                               : std::optional<double>(1e-3);
    const double value = quantity && kilograms ? quantity->value * *kilograms * 1000 : 0;
    if (!(value > 0) || value > 1e6)
        throw UsageError(option, '"' + text + '"', "a weight such as 5g, \"0.2 oz\" or 1.2kg");
    return value;
}

bool has_rations(const catalog::Profile& profile) {
    for (const auto& stage : profile.stages) {
        for (const auto& rate : stage.feeding) {
            if (rate.ration_percent) return true;
        }
    }
    return false;
}

}  // namespace

void PlanOptions::add_to(Command& command) {
    for (const Word& option : options) {
        command.add({{option.name, &(this->*option.value), option.type, option.what,
                      "In place of a file"}});
    }
}

bool PlanOptions::given() const {
    for (const Word& option : options) {
        if (!(this->*option.value).empty()) return true;
    }
    return false;
}

bool PlanOptions::describes_growth() const {
    for (const auto* text : {&start, &target, &sgr, &tgc, &fcr}) {
        if (!text->empty()) return true;
    }
    return false;
}

Settings PlanOptions::settings() const {
    Settings list;
    for (const Word& option : options) {
        const std::string& value = this->*option.value;
        if (!value.empty()) list.emplace_back(option.name + 2, value);
    }
    return list;
}

economics::Plan PlanOptions::plan(const catalog::Profile* profile) const {
    economics::Plan plan;
    plan.species = species;
    plan.venture_file = venture;
    const bool by_intake =
        !intake.empty() || (profile != nullptr && !has_rations(*profile) && !describes_growth());
    Lacking lacking("plan");
    lacking.unless(!count.empty(), "--count", "how many animals go in");
    if (by_intake) {
        lacking.unless(!intake.empty(), "--intake",
                       "what one of them eats a day, such as 115g, because no ration is known here "
                       "for " +
                           (profile != nullptr ? profile->name : species) +
                           " (growing ones need --start, --target, --sgr and --fcr)");
        lacking.unless(!days.empty(), "--days", "for how long, since nothing grows");
    } else {
        lacking.unless(!start.empty(), "--start", "what one animal weighs now");
        lacking.unless(!target.empty() || !days.empty(), "--target or --days",
                       "what one animal weighs at the end, or how many days there are");
    }
    lacking.unless(tgc.empty() || !sgr.empty() || !temperature.empty(), "--temperature",
                   "the water's, because growth by --tgc needs it");
    lacking.tell();
    plan.number = number("--count", count, 1e9, "a number of animals above 0");
    plan.survival_percent = survival.empty() ? 100
                                             : number("--survival", survival, 100,
                                                      "percent alive at the end, above 0, to 100");
    if (survival.empty()) {
        plan.notes.push_back({.kind = economics::PlanNote::Kind::all_survive});
    }
    if (!temperature.empty()) {
        const auto celsius = base::parse_temperature_c(temperature);
        if (!celsius || *celsius < -2 || *celsius > 45)
            throw UsageError("--temperature", '"' + temperature + '"',
                             "27C, 82F or the like, from -2 to 45 C");
        plan.temperature = {{0, *celsius}};
    }
    if (!days.empty()) plan.days = whole_number(days, 1, "--days");
    if (plan.days && *plan.days > economics::longest_plan_days)
        throw UsageError("--days", days, fmt::format("at most {}", economics::longest_plan_days));
    if (!intake.empty()) {
        plan.intake_g = grams("--intake", intake);
        for (const auto* text : {&target, &sgr, &tgc, &fcr}) {
            if (!text->empty())
                throw UsageError("--intake", "it together with growth",
                                 "one of them: it is for grown animals");
        }
    } else {
        read_growth(plan);
    }
    if (!pack.empty()) {
        plan.pack_kg = base::parse_mass_kg(pack);
        if (!plan.pack_kg)
            throw UsageError("--pack", '"' + pack + '"', "a weight such as 20kg or \"40 lb\"");
    }
    if (!date.empty()) {
        plan.start = economics::parse_date(date);
        if (!plan.start) throw UsageError("--date", '"' + date + '"', "a date as 2025-04-14");
    }
    return plan;
}

std::string PlanOptions::file(const economics::Plan& plan) const {
    using economics::Growth;
    if (plan.growth == Growth::fed && !(plan.rate > 0)) {
        throw UsageError("--save", "no growth of your own", "--fcr, --sgr or --tgc",
                         "A plan file says how the animals grow");
    }
    base::JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-plan/1");
    if (!species.empty()) json.member("profile", species);
    json.member("number", plan.number);
    if (plan.intake_g) {
        json.member("intake_g", *plan.intake_g);
    } else {
        json.member("start_g", plan.start_g);
        json.member("target_g", plan.target_g);
        json.key("growth").begin_object();
        json.member(plan.growth == Growth::sgr   ? "sgr"
                    : plan.growth == Growth::tgc ? "tgc"
                                                 : "fcr",
                    plan.rate);
        json.end_object();
    }
    if (plan.days) json.member("days", *plan.days);
    json.member("fcr", plan.fcr);
    if (plan.feed_by_fcr) json.member("feed_by", "fcr");
    if (!plan.temperature.empty()) json.member("temperature", plan.temperature.front().value);
    json.member("survival_percent", plan.survival_percent);
    json.member("pack_kg", plan.pack_kg);
    if (!date.empty()) json.member("start_date", date);
    if (!venture.empty()) json.member("venture", venture);
    json.end_object();
    return json.take();
}

void PlanOptions::read_growth(economics::Plan& plan) const {
    using economics::Growth;
    plan.start_g = grams("--start", start);
    if (!target.empty()) plan.target_g = grams("--target", target);
    if (plan.target_g.has_value() == plan.days.has_value()) {
        throw UsageError("plan", "both --target and --days", "one of --target WEIGHT or --days N");
    }
    if (plan.target_g && *plan.target_g <= plan.start_g) {
        throw UsageError(
            "--target", target,
            fmt::format("a weight above the {} g at the start", base::shortest(plan.start_g)));
    }
    if (!sgr.empty() && !tgc.empty())
        throw UsageError("--tgc", "it together with --sgr", "one of them");
    if (!fcr.empty())
        plan.fcr = number("--fcr", fcr, 100, "a feed conversion ratio above 0, to 100");
    plan.feed_by_fcr = plan.fcr && (!sgr.empty() || !tgc.empty());
    if (!sgr.empty()) {
        plan.growth = Growth::sgr;
        plan.rate = number("--sgr", sgr, 50, "percent a day above 0, to 50");
        return;
    }
    if (!tgc.empty()) {
        plan.growth = Growth::tgc;
        plan.rate = number("--tgc", tgc, 10, "a thermal growth coefficient above 0, to 10");
        return;
    }
    // Growth at the rations of the species: what is fed over the FCR.
    plan.growth = Growth::fed;
    plan.rate = plan.fcr.value_or(0);
    plan.fcr.reset();
}

}  // namespace feedwright::cli
