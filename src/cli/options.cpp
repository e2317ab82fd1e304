// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/options.hpp"

#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"

#include <algorithm>
#include <set>

namespace feedwright::cli {

void add_common_options(Command& command, Context& context, const std::vector<std::string>& parts) {
    command.add({
        {"-o,--output", &context.output, "FILE",
         "Write the result to FILE; the ending .json, .csv, .md, .html or .txt chooses the form "
         "(default: "
         "standard output)",
         "Result"},
        {"--force", &context.force, "", "Overwrite a file that exists", "Result"},
    });
    add_form_options(command, context);
    command.add({{"--table", &context.table, "NAME",
                  "One table of the result alone, as CSV, such as mix; another name lists them",
                  "Result"}});
    if (!parts.empty()) {
        command.add({listed(one_of(
            parts, {"--show", &context.parts, "LIST",
                    "Parts of the report to show in full, with commas: " + base::join_words(parts),
                    "Result"}))});
    }
    add_library_options(command, context);
}

void add_form_options(Command& command, Context& context) {
    command.add({
        one_of({"text", "json", "csv", "markdown", "html"},
               {"--as", &context.as, "FORM",
                "Form of the result: text, json, csv, markdown or html (default: text)", "Result"}),
        {"--detail", &context.detail, "", "Show the whole report", "Result"},
        {"--no-colour,--no-color", &context.no_colour, "", "Use no colour on a terminal", "Result"},
    });
}

void add_library_options(Command& command, Context& context) {
    command.add({
        {"--data", &context.data, "DIR",
         "Folder of an ingredient library (default: the one in the program)", "Library"},
        repeated({"--library", &context.libraries, "FILE",
                  "Ingredients and profiles of your own, used before the library's (JSON); may be "
                  "repeated",
                  "Library"}),
    });
}

Option recipe_word(std::string& recipe) {
    return required({"recipe", &recipe, "RECIPE",
                     "Recipe: JSON, or CSV with the columns ingredient,amount[,price]"});
}

void JobOptions::add_to(Command& command) {
    const char* group = "What to meet";
    command.add({
        {"--for", &profile, "PROFILE", "Requirements of an animal, such as nile-tilapia/grow-out",
         group},
        {"--prices", &prices, "FILE",
         "Price list: CSV with the columns ingredient,price[,unit][,min][,max]", group},
        one_of({"usual", "none"},
               {"--caps", &caps, "WHICH",
                "Library limits on ingredients: usual or none (default: usual)", group}),
        {"--enforce", &enforce, "KIND,KIND",
         "Advisory limits to enforce: energy, amino-acids, fatty-acids, phosphorus, minerals, "
         "vitamins, all or none (default: the first four where the ingredients can meet them)",
         group},
        {"--finished-moisture", &moisture, "PERCENT",
         "Water in the finished feed, percent; the mix is dried to it", group},
        {"--dilute", &dilute, "PERCENT",
         "How far the mix may fall below the bought feed in it, percent (default: not at all)",
         group},
        {"--system", &system, "SYSTEM",
         "pond, or pond:N for N animals per m2: the feed is a supplement to the natural food of a "
         "fertilised pond (default: no natural food)",
         group},
        {"--sure", &sure, "PERCENT",
         "Each limit on contents must hold in so many of 100 lots of the ingredients, such as 90",
         group},
        {"--strict", &strict, "", "Refuse ingredients without a value for a limited nutrient",
         group},
        formerly("--batch", {"--weight", &batch, "WEIGHT",
                             "Weight of one batch: 25 (kg), 25kg or \"50 lb\"", group}),
        repeated({"--min", &min, "ID=PERCENT",
                  "Minimum of an ingredient, percent of what is weighed in; may be repeated",
                  group}),
        repeated({"--max", &max, "ID=PERCENT", "Maximum of an ingredient, likewise", group}),
        repeated({"--stock", &stock, "ID=WEIGHT",
                  "Amount in stock of an ingredient for one batch: duckweed-dried=\"6 lb\"",
                  group}),
    });
}

void Lacking::unless(bool there, const std::string& option, const std::string& what) {
    if (there) return;
    options_.push_back("no " + option);
    uses_.push_back(option + ": " + what);
}

void Lacking::tell() const {
    if (options_.empty()) return;
    std::string uses;
    for (const std::string& use : uses_)
        uses += (uses.empty() ? "" : "; ") + use;
    throw UsageError(command_, base::join_words(options_), uses);
}

std::vector<std::string> words_in(std::string_view text, const std::string& option,
                                  const std::vector<std::string>& known) {
    std::vector<std::string> words;
    while (true) {
        const std::size_t comma = std::min(text.find(','), text.size());
        const std::string word(base::trim(text.substr(0, comma)));
        if (std::find(known.begin(), known.end(), word) == known.end()) {
            throw UsageError(option, '"' + word + '"', "some of " + base::join_words(known),
                             base::did_you_mean(word, known));
        }
        words.push_back(word);
        if (comma == text.size()) return words;
        text.remove_prefix(comma + 1);
    }
}

namespace {

std::set<job::Need> read_enforce(const std::string& text) {
    std::vector<std::string> known;
    for (const job::Need need : job::named_needs())
        known.emplace_back(job::to_string(need));
    known.insert(known.end(), {"all", "none"});
    std::set<job::Need> needs;
    const std::vector<std::string> words = words_in(text, "--enforce", known);
    for (const std::string& word : words) {
        if (word == "none" && words.size() > 1) {
            throw UsageError("--enforce", '"' + text + '"',
                             "none alone, or kinds of limits without none");
        }
        for (const job::Need need : job::named_needs()) {
            if (word == "all" || word == job::to_string(need)) needs.insert(need);
        }
        if (word == "all") needs.insert(job::Need::other);
    }
    return needs;
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

namespace {

void read_amounts(const std::vector<std::string>& texts, const std::string& option,
                  job::AskedAmount::What what, job::ReadOptions& options) {
    const bool is_weight = what == job::AskedAmount::What::stock_kg;
    for (const std::string& text : texts) {
        const std::size_t equals = text.rfind('=');
        std::optional<double> number;
        if (equals != std::string::npos && equals > 0) {
            const std::string value(base::trim(std::string_view(text).substr(equals + 1)));
            if (is_weight) {
                number = base::parse_mass_kg(value);
            } else {
                number = base::parse_finite(value.ends_with('%') ? value.substr(0, value.size() - 1)
                                                                 : value);
            }
        }
        if (!number || *number < 0 || (!is_weight && *number > 100)) {
            throw UsageError(option, '"' + text + '"',
                             is_weight ? "an ingredient and a weight, such as maize=20kg"
                                       : "an ingredient and a percent from 0 to 100, such as "
                                         "maize=20");
        }
        options.amounts.push_back(
            {std::string(base::trim(std::string_view(text).substr(0, equals))), what, *number,
             option + ' ' + text});
    }
}

}  // namespace

tasks::JobSource JobOptions::source(const std::string& file) const {
    tasks::JobSource source{file, {}, strict};
    job::ReadOptions& options = source.options;
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
    if (!dilute.empty()) {
        options.dilute_percent = base::parse_finite(dilute);
        if (!options.dilute_percent || !(*options.dilute_percent >= 0) ||
            *options.dilute_percent > 100) {
            throw UsageError("--dilute", '"' + dilute + '"',
                             "percent below the bought feed, from 0 to 100, such as 5");
        }
    }
    if (!system.empty()) options.fish_per_m2 = read_system(system);
    if (!sure.empty()) {
        options.sure_percent = base::parse_finite(sure);
        if (!options.sure_percent || !(*options.sure_percent > 50 && *options.sure_percent < 100)) {
            throw UsageError("--sure", '"' + sure + '"',
                             "in how many of 100 lots each limit must hold, above 50 and below "
                             "100, such as 90");
        }
    }
    if (!batch.empty()) {
        options.batch_kg = base::parse_mass_kg(batch);
        if (!options.batch_kg) {
            throw UsageError(base::Diagnostic{"", "--weight", '"' + batch + '"',
                                              "a weight above zero such as 25 or \"50 lb\"", ""});
        }
    }
    read_amounts(min, "--min", job::AskedAmount::What::min, options);
    read_amounts(max, "--max", job::AskedAmount::What::max, options);
    read_amounts(stock, "--stock", job::AskedAmount::What::stock_kg, options);
    return source;
}

Settings JobOptions::settings() const {
    Settings list{{"caps", caps}};
    if (!profile.empty()) list.emplace_back("for", profile);
    if (!prices.empty()) list.emplace_back("prices", prices);
    if (!batch.empty()) list.emplace_back("batch", batch);
    if (!enforce.empty()) list.emplace_back("enforce", enforce);
    if (!moisture.empty()) list.emplace_back("finished_moisture", moisture);
    if (!dilute.empty()) list.emplace_back("dilute", dilute);
    if (!system.empty()) list.emplace_back("system", system);
    if (!min.empty()) list.emplace_back("min", base::join_words(min));
    if (!max.empty()) list.emplace_back("max", base::join_words(max));
    if (!stock.empty()) list.emplace_back("stock", base::join_words(stock));
    if (!sure.empty()) list.emplace_back("sure_percent", sure);
    if (strict) list.emplace_back("strict", "yes");
    return list;
}

Settings JobOptions::settings(const job::Job& job) const {
    auto list = settings();
    if (job.sure_percent && sure.empty())
        list.emplace_back("sure_percent", base::shortest(*job.sure_percent));
    if (job.moisture_assumed) {
        list.emplace_back("finished_moisture", base::shortest(*job.finished_moisture));
    }
    return list;
}

}  // namespace feedwright::cli
