// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/currency.hpp"
#include "base/file.hpp"
#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/overwrite.hpp"
#include "tasks/catalog.hpp"
#include "tasks/reading.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iostream>
#include <memory>
#include <optional>
#include <utility>

// Asks for what a file needs and writes it. Questions go to standard error and answers come from
// standard input, so that a person and a pipe are served alike.
namespace feedwright::cli {

namespace {

struct Request {
    std::string kind = "feed";
    std::string output;
    bool force = false;
};

// In lines that fit a terminal of 80 columns, all indented as the text is.
void say(const std::string& text) {
    constexpr std::size_t width = 78;
    const std::size_t indent = std::min(text.find_first_not_of(' '), text.size());
    for (const std::string& line : base::wrap(text.substr(indent), width - indent))
        std::cerr << std::string(indent, ' ') << line << '\n';
}

// A command to type, or an example: never broken.
void show(const std::string& line) {
    std::cerr << line << '\n';
}

// The answer, trimmed. `usual` stands for an empty one. Throws where the answers end.
std::string ask(const std::string& question, const std::string& usual = {}) {
    const std::string whole = question + (usual.empty() ? "" : " [" + usual + "]") + ": ";
    // Room for a short answer beside it.
    constexpr std::size_t width = 78;
    if (whole.size() > width) {
        const std::size_t last_space = whole.rfind(' ', width);
        say(whole.substr(0, last_space));
        std::cerr << whole.substr(last_space + 1);
    } else {
        std::cerr << whole;
    }
    std::cerr << std::flush;
    std::string answer;
    if (!std::getline(std::cin, answer)) {
        std::cerr << '\n';
        throw IoError("standard input: the answers end here, and nothing is written");
    }
    answer = std::string(base::trim(answer));
    return answer.empty() ? usual : answer;
}

// Asks until `read` gives a value; `expected` says what is wanted.
template <class Read>
auto ask_until(const std::string& question, const std::string& usual, const std::string& expected,
               const Read& read) {
    while (true) {
        const std::string answer = ask(question, usual);
        if (auto value = read(answer)) return *value;
        say("  Found \"" + base::printable(answer, 60) + "\"; expected " + expected + '.');
    }
}

double ask_weight(const std::string& question, const std::string& usual) {
    return ask_until(question, usual, "a weight above zero such as 25 kg, 5 g or 50 lb",
                     [](const std::string& text) { return base::parse_mass_kg(text); });
}

double ask_number(const std::string& question, const std::string& usual, double least,
                  double most) {
    return ask_until(
        question, usual,
        fmt::format("a number from {} to {}", base::shortest(least), base::shortest(most)),
        [&](const std::string& text) {
            auto number = base::parse_finite(text);
            if (number && (*number < least || *number > most)) number.reset();
            return number;
        });
}

std::optional<std::size_t> ask_which(const std::vector<std::string>& list) {
    for (std::size_t i = 0; i < list.size(); ++i)
        say(fmt::format("  {:>2}  {}", i + 1, list[i]));
    const std::string answer = ask("  Which number? Empty for none of them");
    const auto number = base::parse_finite(answer);
    for (std::size_t i = 0; number && i < list.size(); ++i) {
        if (*number == static_cast<double>(i + 1)) return i;
    }
    return std::nullopt;
}

std::string ask_profile(catalog::Library& library) {
    while (true) {
        const std::string word =
            base::lower(ask("Which animal? A word such as tilapia, hen or trout"));
        std::vector<std::string> ids;
        std::vector<std::string> list;
        for (const std::string& id : library.profile_ids()) {
            const auto [species, stage_id] = catalog::parse_profile_id(id);
            const catalog::Profile& profile = *library.profile(species);
            const std::string names = base::lower(species + ' ' + profile.name + ' ' + id);
            if (word.empty() || names.find(word) == std::string::npos) continue;
            const catalog::Stage& stage = *profile.stage(stage_id);
            std::string line = profile.name + ", " + stage.name;
            if (stage.weight_g) {
                line += fmt::format(" ({} g to {} g)", base::shortest(stage.weight_g->low),
                                    base::shortest(stage.weight_g->high));
            }
            ids.push_back(id);
            list.push_back(std::move(line));
        }
        if (ids.empty()) {
            std::vector<std::string> names;
            for (const std::string& species : library.species())
                names.push_back(library.profile(species)->name);
            say("  There is no such animal here. There are: " + base::join_words(names) + '.');
            continue;
        }
        if (const auto which = ask_which(list)) return ids[*which];
    }
}

// The ingredient that a person means, or "" after a word that leads to none.
std::string ask_ingredient(const std::string& written, catalog::Library& library) {
    using Kind = catalog::Meaning::Kind;
    const catalog::Meaning meaning = library.meaning_of(written);
    if (meaning.kind != Kind::id && meaning.kind != Kind::name && !meaning.note.empty()) {
        say("  Note: " + meaning.note + '.');
    }
    const auto named = [&](const std::string& id) {
        return library.ingredient(id)->name + " (" + id + ')';
    };
    switch (meaning.kind) {
        case Kind::id:
            return meaning.ingredients[0];
        case Kind::name:
            say("  Taken as " + named(meaning.ingredients[0]) + '.');
            return meaning.ingredients[0];
        case Kind::closest:
            say("  The library does not have it. The nearest is " + named(meaning.ingredients[0]) +
                ", which is taken.");
            return meaning.ingredients[0];
        case Kind::several: {
            say("  This may be several:");
            std::vector<std::string> list;
            for (const std::string& id : meaning.ingredients)
                list.push_back(named(id));
            const auto which = ask_which(list);
            return which ? meaning.ingredients[*which] : "";
        }
        case Kind::absent:
        case Kind::unknown:
            break;
    }
    const std::string nearest = library.nearest_name(written);
    say("  The library does not have \"" + base::printable(written, 60) + "\"." +
        (nearest.empty() ? "" : " The nearest name is " + nearest + '.') +
        " To search: feedwright list ingredients WORD.");
    return "";
}

std::optional<double> price_in(const std::string& text) {
    return base::parse_price_per_kg(base::trim(base::without_currency(text).text));
}

struct Offer {
    std::string name;
    std::optional<double> price;
    std::string currency;
};

// "soybean meal 44, 0.58", "maize 18.50 per 40 kg": the price is the longest end that reads as one.
Offer read_offer(const std::string& line) {
    for (std::size_t at = line.find(' '); at != std::string::npos; at = line.find(' ', at + 1)) {
        const auto money = base::without_currency(line.substr(at + 1));
        const auto price = base::parse_price_per_kg(base::trim(money.text));
        if (!price) continue;
        std::string name(base::trim(std::string_view(line).substr(0, at)));
        while (!name.empty() && (name.back() == ',' || name.back() == ';' || name.back() == ':'))
            name.pop_back();
        return {name, price, money.currency};
    }
    return {line, {}, {}};
}

// A premix made for the animal keeps it alive, so it is asked for where none was named.
void ask_premix(job::PriceList& list, const tasks::JobSource& source, catalog::Library& library) {
    tasks::JobSource asked = source;
    asked.options.prices = list;
    const std::string premix = tasks::premix_lacking(tasks::read_job(asked, library), library);
    if (premix.empty()) return;
    say("No vitamin and mineral premix for this animal is among them. Without one, animals that "
        "live on this feed alone fall ill.");
    const auto price =
        ask_until("Price of " + library.ingredient(premix)->name + " per kg; empty to leave it out",
                  "", "a price such as 3.20, or nothing", [](const std::string& text) {
                      std::optional<std::optional<double>> answer;
                      const auto read = price_in(text);
                      if (read || text.empty()) answer.emplace(read);
                      return answer;
                  });
    if (price) list.rows.push_back({premix, *price, {}, {}, "your answers"});
}

job::PriceList ask_ingredients(catalog::Library& library, std::string& currency) {
    say("What can you get, and what does it cost? One ingredient a line, with its price per kg or "
        "per pack:");
    show("  maize 0.28      wheat bran, 9 per 40 kg      soybean meal 0.26 per lb");
    say("An empty line ends the list.");
    job::PriceList list;
    while (true) {
        const std::string line = ask(fmt::format("Ingredient {}", list.rows.size() + 1));
        if (line.empty()) {
            if (!list.rows.empty()) return list;
            say("  At least one ingredient is needed.");
            continue;
        }
        Offer offer = read_offer(line);
        const std::string id = ask_ingredient(offer.name, library);
        if (id.empty()) continue;
        if (list.find(id) != nullptr) {
            say("  It is on the list already.");
            continue;
        }
        if (!offer.price) {
            offer.price =
                ask_until("  Price per kg (0 where it costs nothing)", "",
                          "a price such as 0.28, or 18.50 per 40 kg", [](const std::string& text) {
                              return base::parse_price_per_kg(base::without_currency(text).text);
                          });
        }
        if (currency.empty()) currency = offer.currency;
        list.rows.push_back({id, *offer.price, {}, {}, "your answers"});
    }
}

std::string file_name(const Request& request, const std::string& usual) {
    if (!request.output.empty()) return request.output;
    return ask_until("File to write", usual, "a name that ends in .json",
                     [](const std::string& text) {
                         return text.ends_with(".json") ? std::optional(text) : std::nullopt;
                     });
}

void write(const Request& request, const std::string& file, const std::string& text) {
    if (!request.force) refuse_to_replace("the file", file);
    base::write_file(file, text);
    say(file + " is written.");
}

std::string ask_currency(const std::string& known) {
    return ask_until("Currency, such as USD, EUR or KES; empty to name none", known,
                     "a word without digits, such as USD", [](const std::string& text) {
                         constexpr std::size_t longest = 12;
                         const bool digits = text.find_first_of("0123456789") != std::string::npos;
                         return digits || text.size() > longest ? std::nullopt
                                                                : std::optional(text);
                     });
}

// What became of the questions about a feed.
struct NewFeed {
    std::string file;  ///< the job that was written
    std::string currency;
    std::vector<std::string> ingredients;
};

NewFeed new_feed(const Request& request, const std::string& profile, catalog::Library& library) {
    NewFeed made;
    std::string& currency = made.currency;
    job::PriceList list = ask_ingredients(library, currency);
    tasks::JobSource source;
    source.options.profile = profile;
    ask_premix(list, source, library);
    currency = ask_currency(currency);
    source.options.batch_kg = ask_weight("Weight of one batch", "25 kg");
    list.reading.currency = currency;
    for (const auto& row : list.rows)
        made.ingredients.push_back(row.ingredient);
    source.options.prices = std::move(list);
    const std::string scale = ask("Step of your scale, such as 5 g; empty for the exact mix");
    const std::string file = file_name(request, "my-feed.json");
    made.file = file;
    write(request, file, tasks::job_file_of(source, library));
    say("Change prices, \"max\", \"min\" and \"stock_kg\" of an ingredient there. The mix:");
    show("  feedwright formulate " + file);
    if (!scale.empty())
        show("  feedwright formulate " + file + " --scale \"" + scale + "\" --sheet");
    return made;
}

void begin(base::JsonWriter& json, const std::string& format, const std::string& note) {
    json.begin_object();
    json.member("format", format);
    json.member("note", note);
}

void new_plan(const Request& request, const std::string& profile) {
    const std::string species = catalog::parse_profile_id(profile).species;
    base::JsonWriter json;
    begin(
        json, "feedwright-plan/1",
        "Other keys that a plan may have are in docs/formats.md, \"Plan\": packs, tank, home feed "
        "from a weight on, a venture with prices.");
    json.member("profile", species);
    json.member("number", ask_number("How many animals are stocked?", "", 1, 1e7));
    json.member("start_g", 1000 * ask_weight("Weight of one at the start, such as 5 g", ""));
    json.member("target_g", 1000 * ask_weight("Weight of one at the end, such as 250 g", ""));
    json.member("survival_percent",
                ask_number("How many of 100 will be alive at the end?", "90", 1, 100));
    const std::string temperature =
        ask_until("Water or air temperature, such as 28 C or 82 F", "", "a temperature",
                  [](const std::string& text) {
                      return base::parse_temperature_c(text) ? std::optional(text) : std::nullopt;
                  });
    json.member("temperature", temperature);
    json.key("growth").begin_object();
    json.member("fcr", ask_number("Feed conversion ratio: kg of feed for one kg of growth", "1.8",
                                  0.3, 20));
    json.end_object();
    const std::string date = ask("Day of stocking, such as 2026-05-01; empty for day 0");
    if (!date.empty()) json.member("start_date", date);
    json.end_object();
    const std::string file = file_name(request, "my-plan.json");
    write(request, file, json.take());
    show("  feedwright plan " + file);
}

// Which of a job's ingredients is meant.
std::string ask_one_of(const std::string& question, const std::vector<std::string>& ids,
                       catalog::Library& library) {
    while (true) {
        say(question);
        std::vector<std::string> list;
        for (const std::string& id : ids)
            list.push_back(library.ingredient(id)->name + " (" + id + ')');
        if (const auto which = ask_which(list)) return ids[*which];
    }
}

// A trial is designed from a job: the file is that, and the rest is the command to type.
void new_trial(const Request& request, const std::string& profile, catalog::Library& library) {
    say("First the control feed: what it is made of. Name the ingredient on trial too.");
    const NewFeed feed = new_feed(request, profile, library);
    const std::string test = ask_one_of("Which one is on trial?", feed.ingredients, library);
    std::vector<std::string> others = feed.ingredients;
    std::erase(others, test);
    if (others.empty()) {
        say("A trial needs an ingredient whose protein it replaces. Add one to " + feed.file + '.');
        return;
    }
    const std::string reference = ask_one_of("Whose protein does it replace?", others, library);
    const std::string levels = ask("Percent of that protein to replace, a diet each", "20,40");
    const double tanks = ask_number("Tanks, or pens, for each diet", "3", 2, 100);
    say("The diets, and how large a difference so many tanks can show:");
    show(fmt::format("  feedwright trial design {} --test {} --reference {} --levels {} --tanks {}",
                     feed.file, test, reference, levels, base::shortest(std::floor(tanks))));
}

void new_venture(const Request& request, const std::string& profile, catalog::Library& library) {
    say("First the feed that you would make.");
    Request feed = request;
    feed.output = ask("File for the feed", "my-feed.json");
    const NewFeed made = new_feed(feed, profile, library);
    say("Now what making it takes. Every number may later be [low, likely, high] in the file.");
    base::JsonWriter json;
    begin(json, "feedwright-venture/1",
          "Any number may be [low, likely, high]. Equipment, drying, losses by step and what is "
          "grown are in docs/formats.md, \"Venture\".");
    json.member("currency", made.currency);
    json.key("make").begin_object();
    json.member("job", made.file);
    json.member("loss_percent", ask_number("Lost in making, percent", "4", 0, 99));
    json.member("batch_kg", ask_weight("Weight of one batch", "25 kg"));
    json.member("hours_per_batch", ask_number("Hours of work for one batch", "", 0, 1000));
    json.member("value_of_hour", ask_number("What an hour of yours is worth", "", 0, 1e6));
    json.member("kwh_per_batch", ask_number("Electricity for one batch, kWh", "0", 0, 1e6));
    json.member("price_per_kwh", ask_number("Price of one kWh", "0", 0, 1e6));
    json.member(
        "fcr", ask_number("Feed conversion ratio on your feed (measure it first)", "1.8", 0.3, 20));
    json.end_object();
    json.key("buy").begin_object();
    json.member("name", ask("Name of the feed that you can buy", "bought feed"));
    json.member("pack_price", ask_number("Price of a pack of it", "", 0, 1e9));
    json.member("pack_kg", ask_weight("Weight of that pack", "20 kg"));
    json.member("fcr", ask_number("Feed conversion ratio on it", "1.6", 0.3, 20));
    json.end_object();
    json.member("gain_kg_per_year", ask_number("Growth in a year, kg", "", 0.001, 1e9));
    json.end_object();
    const std::string file = file_name(request, "my-venture.json");
    write(request, file, json.take());
    show("  feedwright make-or-buy " + file);
}

// One kind of animals over months. A harvest is asked for where the price is 0.
void new_season(const Request& request, const std::string& profile, catalog::Library& library) {
    base::JsonWriter json;
    begin(json, "feedwright-season/1",
          "Any number of a month may be a list with one for each. More animals, drying, stocks and "
          "how long things keep are in docs/formats.md, \"Season\".");
    json.member("periods", std::floor(ask_number("How many months?", "6", 1, 60)));
    json.member("period_days", 30);
    json.key("animals").begin_array().begin_object();
    json.member("name", ask("A name for the animals, such as tank or hens", "animals"));
    json.member("profile", profile);
    json.member("feed_kg", ask_weight("Feed they eat in a month, such as 80 kg", ""));
    json.end_object().end_array();
    std::string currency;
    const job::PriceList list = ask_ingredients(library, currency);
    json.key("ingredients").begin_array();
    for (const job::PricedIngredient& row : list.rows) {
        json.begin_object().member("id", row.ingredient);
        if (row.price > 0) {
            json.member("price", row.price);
        } else {
            const std::string name = library.ingredient(row.ingredient)->name;
            json.member("supply_kg",
                        ask_weight("Weight of " + name + " that you can harvest in a month", ""));
            json.member("keeps_periods", 0);
        }
        json.end_object();
    }
    json.end_array();
    json.key("bought_feeds").begin_array().begin_object();
    json.member("name", ask("Name of the feed that you can buy", "bought feed"));
    const double price = ask_number("Price of a pack of it", "", 0, 1e9);
    json.member("price", price / ask_weight("Weight of that pack", "20 kg"));
    json.end_object().end_array();
    json.key("making").begin_object();
    json.member("loss_percent", ask_number("Lost in making, percent", "4", 0, 99));
    json.member("hours_per_kg", ask_number("Hours of work for one kg of feed", "0.1", 0, 1000));
    json.member("hours", ask_number("Hours that you have in a month", "", 0, 1e6));
    json.member("value_of_hour", ask_number("What an hour of yours is worth", "0", 0, 1e6));
    json.end_object();
    json.member("currency", ask_currency(currency));
    json.end_object();
    const std::string file = file_name(request, "my-season.json");
    write(request, file, json.take());
    show("  feedwright season " + file);
}

ExitStatus run(const Request& request, Context& context) {
    if (!request.output.empty() && !request.output.ends_with(".json")) {
        throw UsageError("-o " + request.output, "another ending", "a name that ends in .json");
    }
    if (!request.output.empty() && !request.force) refuse_to_replace("-o", request.output);
    catalog::Library& library = context.library();
    const std::string profile = ask_profile(library);
    if (request.kind == "plan") {
        new_plan(request, profile);
    } else if (request.kind == "venture") {
        new_venture(request, profile, library);
    } else if (request.kind == "season") {
        new_season(request, profile, library);
    } else if (request.kind == "trial") {
        new_trial(request, profile, library);
    } else {
        new_feed(request, profile, library);
    }
    return ExitStatus::success;
}

}  // namespace

Command new_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"new",
                    "Ask some questions and write a first job, plan, venture, season or trial"};
    command.add({
        one_of({"feed", "plan", "venture", "season", "trial"},
               {"kind", &request->kind, "KIND",
                "feed: a job for formulate; plan: from stocking to harvest; venture: making or "
                "buying; season: what to make, grow and buy month by month; trial: a job, and "
                "the command that designs its diets (default: feed)"}),
        {"-o,--output", &request->output, "FILE", "The file to write, in place of asking",
         "Result"},
        {"--force", &request->force, "", "Overwrite a file that exists", "Result"},
    });
    add_library_options(command, context);
    command.examples = {"feedwright new", "feedwright new plan -o plan.json"};
    command.exits = {{0, "the file was written"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
