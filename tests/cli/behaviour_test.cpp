// SPDX-License-Identifier: GPL-3.0-or-later
// How the program behaves towards shells, scripts and terminals: what goes where, what it exits
// with, when it uses colour, what happens when the result cannot be written, and whether every
// option is described.
#include "base/file.hpp"
#include "base/text.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "support/run_program.hpp"

#include <algorithm>
#include <csignal>
#include <filesystem>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

namespace fs = std::filesystem;
using namespace feedwright;
using test::ProgramResult;
using test::ProgramRun;

namespace {

using Words = std::vector<std::string>;

ProgramResult run(const Words& arguments,
                  ProgramRun::Output output = ProgramRun::Output::captured) {
    ProgramRun run;
    run.arguments = arguments;
    run.output = output;
    return run_program(run);
}

const Words solved{"formulate", "tests/bad/jobs/good.json"};
const Words short_recipe{"check", "tests/bad/recipes/good.csv", "--for", "nile-tilapia/grow-out"};

// Names of the commands in a help text, which stand below "Commands".
Words commands_in(const std::string& help) {
    Words commands;
    bool inside = false;
    for (const std::string& line : test::lines_of(help)) {
        if (line == "Commands") {
            inside = true;
        } else if (inside && line.starts_with("  ") && line.size() > 2 && line[2] != ' ') {
            commands.push_back(line.substr(2, line.find(' ', 2) - 2));
        } else if (inside && line.empty()) {
            break;
        }
    }
    return commands;
}

// Every command line that ends in --help, nested commands too, with what it prints.
std::map<std::string, std::string> all_help(const Words& command = {}) {
    Words arguments = command;
    arguments.emplace_back("--help");
    const ProgramResult result = run(arguments);
    std::string name = "feedwright";
    for (const std::string& word : command)
        name += ' ' + word;
    INFO(name);
    REQUIRE(result.exit_code == 0);
    CHECK(result.errors.empty());
    std::map<std::string, std::string> all{{name, result.output}};
    for (const std::string& inner : commands_in(result.output)) {
        Words longer = command;
        longer.push_back(inner);
        all.merge(all_help(longer));
    }
    return all;
}

std::set<std::string> long_options(const std::string& text) {
    static const std::regex option("--[a-z][a-z-]*");
    return {std::sregex_token_iterator(text.begin(), text.end(), option), {}};
}

std::string documentation() {
    std::string text;
    for (const auto& entry : fs::directory_iterator(test::source_folder() / "docs")) {
        if (entry.path().extension() == ".md") text += base::read_file(entry.path().string());
    }
    return text;
}

std::string without_colour(const std::string& text) {
    static const std::regex code("\x1b\\[[0-9;]*m");
    return std::regex_replace(text, code, "");
}

}  // namespace

TEST_CASE("an answer goes to standard output, and nothing else goes anywhere") {
    const std::map<int, Words> answers{
        {0, solved},
        {3,
         {"formulate", "--for", "nile-tilapia/grow-out", "--prices", "tests/bad/prices/good.csv"}},
        {4, short_recipe},
    };
    for (const auto& [code, arguments] : answers) {
        for (const char* form : {"text", "json", "csv", "markdown"}) {
            Words words = arguments;
            words.insert(words.end(), {"--as", form});
            INFO(words[0] << " --as " << form);
            const ProgramResult result = run(words);
            CHECK(result.exit_code == code);
            CHECK(result.errors.empty());
            CHECK_FALSE(result.output.empty());

            const test::TempFolder folder;
            const std::string file = folder.file("result");
            words.insert(words.end(), {"-o", file});
            const ProgramResult written = run(words);
            CHECK(written.exit_code == code);
            CHECK(written.output.empty());
            CHECK(written.errors.empty());
            CHECK(base::read_file(file) == result.output);
        }
    }
}

TEST_CASE("CSV is never empty, also where there is no mix and nothing to mend") {
    const Words no_mix{"formulate", "--for", "nile-tilapia/grow-out", "--prices",
                       "tests/bad/prices/good.csv"};
    Words curve = no_mix;
    curve.insert(curve.end(), {"--curve", "maize"});
    const test::TempFolder folder;
    const std::string passes = folder.write(
        "passes.json",
        R"({"format":"feedwright-recipe/1","ingredients":[{"id":"maize","amount":1,"price":0.2}],)"
        R"("limits":[{"nutrient":"crude_protein","min":1}]})");
    const std::string fails = folder.write(
        "fails.json",
        R"({"format":"feedwright-recipe/1","ingredients":[{"id":"maize","amount":1,"price":0.2}],)"
        R"("limits":[{"nutrient":"crude_protein","min":90}]})");
    const std::vector<std::pair<int, Words>> runs{
        {3, curve}, {0, {"mend", passes}}, {3, {"mend", fails}}};
    for (const auto& [code, arguments] : runs) {
        Words words = arguments;
        words.insert(words.end(), {"--as", "csv"});
        INFO(words[0] << ' ' << words[1]);
        const ProgramResult result = run(words);
        CHECK(result.exit_code == code);
        CHECK(result.output.starts_with("# "));
    }
}

TEST_CASE("without a command the help goes to standard error") {
    const ProgramResult result = run({});
    CHECK(result.exit_code == 2);
    CHECK(result.output.empty());
    CHECK(result.errors == run({"--help"}).output);
}

TEST_CASE("a result that cannot be written whole is a failure") {
    for (const Words& words : {solved, short_recipe, Words{"list", "ingredients"}, Words{"--help"},
                               Words{"formulate", "--help"}, Words{"--version"}}) {
        INFO(words[0]);
        for (const auto output : {ProgramRun::Output::full_disk, ProgramRun::Output::closed}) {
            const ProgramResult result = run(words, output);
            CHECK(result.exit_code == 1);
            CHECK(result.errors == "feedwright: standard output: cannot write all of the result\n");
        }
        // A reader that went away, as in "… | head": ended by the signal as usual, or told if the
        // signal is ignored.
        const ProgramResult ended = run(words, ProgramRun::Output::broken_pipe);
        CHECK(ended.signal == SIGPIPE);
        CHECK(ended.errors.empty());
        ProgramRun ignoring;
        ignoring.arguments = words;
        ignoring.output = ProgramRun::Output::broken_pipe;
        ignoring.ignore_broken_pipe = true;
        CHECK(run_program(ignoring).exit_code == 1);
    }
    Words to_full = solved;
    to_full.insert(to_full.end(), {"-o", "/dev/full"});
    const ProgramResult result = run(to_full);
    CHECK(result.exit_code == 1);
    CHECK(result.errors == "feedwright: /dev/full: cannot write: No space left on device\n");
}

TEST_CASE("a result cannot be written to a folder, nor into one that is not there") {
    const test::TempFolder folder;
    for (const std::string& target : {folder.path().string(), folder.file("no/such/result")}) {
        Words words = solved;
        words.insert(words.end(), {"-o", target});
        const ProgramResult result = run(words);
        CHECK(result.exit_code == 1);
        CHECK(result.output.empty());
        CHECK_THAT(result.errors, Catch::StartsWith("feedwright: " + target + ": cannot write: "));
    }
    CHECK(fs::is_empty(folder.path()));
}

TEST_CASE("a file that somebody else wrote is kept, and the ending of -o says the form") {
    const test::TempFolder folder;
    const std::string list = folder.file("prices.csv");
    const std::string prices = "ingredient,price\nmaize,0.3\n";
    base::write_file(list, prices);
    Words words = solved;
    words.insert(words.end(), {"-o", list});
    CHECK(run(words).exit_code == 2);
    CHECK(base::read_file(list) == prices);
    words.emplace_back("--force");
    CHECK(run(words).exit_code == 0);
    CHECK_THAT(base::read_file(list), Catch::Contains("# mix"));
    // A result as JSON is known by its first lines, and written anew.
    Words again = solved;
    again.insert(again.end(), {"-o", folder.file("mix.json")});
    CHECK(run(again).exit_code == 0);
    CHECK(run(again).exit_code == 0);
    CHECK_THAT(base::read_file(folder.file("mix.json")),
               Catch::Contains("\"format\": \"feedwright-mix/1\""));
    Words to_output = solved;
    to_output.insert(to_output.end(), {"-o", "-"});
    CHECK(run(to_output).output == run(solved).output);
}

TEST_CASE("a saved job is the job that was asked") {
    const test::TempFolder folder;
    const std::string saved = folder.file("job.json");
    const Words options{"--max", "fish-meal-65=3", "--stock", "duckweed-dried=2 lb", "--as",
                        "json"};
    // What a result is of is the same; its inputs and settings are not.
    const auto mix_of = [](const ProgramResult& result) {
        return result.output.substr(0, result.output.find("\"cautions\""));
    };
    for (Words asked : {Words{"formulate", "examples/backyard-tilapia/job.json"},
                        Words{"formulate", "--for", "nile-tilapia/grow-out", "--prices",
                              "examples/mend-a-recipe/prices.csv", "--batch", "50 lb", "--max",
                              "soybean-meal-44=45"}}) {
        if (asked.size() == 2) asked.insert(asked.end(), options.begin(), options.end() - 2);
        asked.insert(asked.end(), {"--as", "json"});
        Words saving = asked;
        saving.insert(saving.end(), {"--save", saved, "--force"});
        const ProgramResult first = run(saving);
        INFO(first.errors);
        const ProgramResult again = run({"formulate", saved, "--as", "json"});
        CHECK(again.exit_code == first.exit_code);
        CHECK(mix_of(again) == mix_of(first));
    }
}

TEST_CASE("a plan and a venture in a line can be saved, and give the same again") {
    const test::TempFolder folder;
    const std::string saved = folder.file("saved.json");
    const std::vector<Words> questions{
        {"plan", "--for", "nile-tilapia", "--count", "120", "--start", "5g", "--target", "200g",
         "--temperature", "27C", "--tgc", "1.0", "--fcr", "1.7", "--survival", "90", "--date",
         "2026-05-01"},
        {"make-or-buy", "--materials", "0.62", "--weight", "25kg", "--hours", "3", "--hour-value",
         "2", "--bag", "24.5 per 20 kg", "--home-fcr", "1.6,1.9,2.4", "--bought-fcr", "1.6",
         "--gain", "300"}};
    for (Words asked : questions) {
        const std::string command = asked.front();
        asked.insert(asked.end(), {"--as", "json", "--save", saved, "--force"});
        const ProgramResult first = run(asked);
        INFO(first.errors);
        REQUIRE(first.exit_code == 0);
        const ProgramResult again = run({command, saved, "--as", "json"});
        const auto result_of = [](const ProgramResult& result) {
            return result.output.substr(0, result.output.find("\"inputs\""));
        };
        CHECK(result_of(again) == result_of(first));
        CHECK(run({command, saved, "--save", saved}).exit_code == 2);
    }
}

TEST_CASE("new asks, and writes a file that is solved") {
    const test::TempFolder folder;
    const auto answered = [&](const Words& words, const std::string& answers) {
        ProgramRun run;
        run.arguments = words;
        run.input = folder.file("answers.txt");
        base::write_file(run.input, answers);
        return run_program(run);
    };
    // Prices are invented.
    const std::string basket =
        "corn $0.28\nsoybean meal 44, 0.58\nwheat bran 9 per 40 kg\nfish-meal-65 1.40\nchalk "
        "0.05\ndicalcium-phosphate-dihydrate 0.9\nsoybean oil 1.2\nL-lysine 2.5\nDL-methionine "
        "4\nsalt 0.1\n\n3.2\n\n25 kg\n5 g\n";
    for (const std::string animal : {"tilapia\n3\n", "laying hen\n1\n", "trout\n3\n"}) {
        const std::string file = folder.file("my-feed.json");
        const ProgramResult asked =
            answered({"new", "feed", "-o", file, "--force"}, animal + basket);
        INFO(animal << asked.errors);
        REQUIRE(asked.exit_code == 0);
        CHECK(asked.output.empty());
        CHECK_THAT(asked.errors, Catch::Contains("feedwright formulate " + file));
        CHECK(run({"formulate", file}).exit_code == 0);
    }

    const std::string plan = folder.file("plan.json");
    const std::string of_plan = "tilapia\n3\n120\n15 g\n250 g\n\n28 C\n1.8\n2026-05-01\n";
    CHECK(answered({"new", "plan", "-o", plan}, of_plan).exit_code == 0);
    CHECK(run({"plan", plan}).exit_code == 0);

    const std::string venture = folder.file("venture.json");
    const ProgramResult written =
        answered({"new", "venture", "-o", venture},
                 "tilapia\n3\n" + folder.file("feed.json") + "\n" + basket +
                     "4\n25 kg\n2\n8\n\n\n\n\n24.5\n20 kg\n\n300\n");
    INFO(written.errors);
    CHECK(written.exit_code == 0);
    CHECK(run({"make-or-buy", venture}).exit_code == 0);

    const std::string season = folder.file("season.json");
    const ProgramResult months =
        answered({"new", "season", "-o", season},
                 "laying hen\n5\n3\nhens\n60 kg\nmaize 0.3\nsoybean meal 44, 0.55\nlimestone "
                 "0.1\nblack-soldier-fly-fresh 0\n\n5 kg\nlayer mash\n21\n50 lb\n\n\n20\n3\nUSD\n");
    INFO(months.errors);
    REQUIRE(months.exit_code == 0);
    CHECK(run({"season", season}).exit_code == 0);

    const std::string control = folder.file("control.json");
    const ProgramResult trial =
        answered({"new", "trial", "-o", control}, "tilapia\n3\n" + basket + "4\n2\n20\n\n");
    CHECK_THAT(trial.errors, Catch::Contains("feedwright trial design " + control +
                                             " --test fish-meal-65 --reference soybean-meal-44 "
                                             "--levels 20 --tanks 3"));
    CHECK(trial.exit_code == 0);

    const std::string cut = folder.file("cut.json");
    CHECK(answered({"new", "-o", cut}, "tilapia\n3\nmaize 0.3\n").exit_code == 1);
    CHECK_FALSE(fs::exists(cut));
}

TEST_CASE("colour is for a terminal whose user has not said no") {
    ProgramRun run;
    run.arguments = short_recipe;
    const std::string plain = run_program(run).output;
    CHECK(plain.find('\x1b') == std::string::npos);

    const auto on_terminal = [&](const std::map<std::string, std::string>& environment,
                                 Words more = {}) {
        ProgramRun other = run;
        other.output = ProgramRun::Output::terminal;
        other.environment = {{"TERM", "xterm"}, {"NO_COLOR", ""}};
        for (const auto& [name, value] : environment)
            other.environment[name] = value;
        other.arguments.insert(other.arguments.end(), more.begin(), more.end());
        const ProgramResult result = run_program(other);
        CHECK(result.exit_code == 4);
        return result.output;
    };
    const std::string coloured = on_terminal({});
    CHECK(coloured.find("\x1b[") != std::string::npos);
    CHECK(without_colour(coloured) == plain);
    CHECK(on_terminal({{"NO_COLOR", "1"}}) == plain);
    CHECK(on_terminal({{"TERM", "dumb"}}) == plain);
    CHECK(on_terminal({}, {"--no-colour"}) == plain);
    CHECK(on_terminal({}, {"--no-color"}) == plain);

    const test::TempFolder folder;
    CHECK(on_terminal({}, {"-o", folder.file("result")}).empty());
    CHECK(base::read_file(folder.file("result")) == plain);
}

TEST_CASE("every command and every option is described in its help and in docs") {
    const auto help = all_help();
    CHECK(help.size() >= 10);
    const std::string docs = documentation();
    const std::set<std::string> documented = long_options(docs);
    for (const auto& [name, text] : help) {
        INFO(name);
        if (commands_in(text).empty()) CHECK_THAT(docs, Catch::Contains('`' + name + '`'));
        for (const std::string& option : long_options(text)) {
            INFO("An option is to be told in docs/commands.md: " << option);
            CHECK(documented.contains(option));
        }
        // Names of options are followed by words, on their line or the next.
        const Words lines = test::lines_of(text);
        for (std::size_t i = 0; i < lines.size(); ++i) {
            if (!lines[i].starts_with("  -")) continue;
            const bool here = lines[i].find("  ", lines[i].find_first_of('-')) != std::string::npos;
            const bool below = i + 1 < lines.size() && lines[i + 1].starts_with("          ");
            INFO(lines[i]);
            CHECK((here || below));
        }
    }
}

TEST_CASE("every exit code is in the help and in docs, and means what they say") {
    const std::string text = run({"--help"}).output;
    const std::string docs = base::read_file((test::source_folder() / "docs/commands.md").string());
    for (int code = 0; code <= 5; ++code) {
        INFO(code);
        CHECK(std::regex_search(text, std::regex("\\b" + std::to_string(code) + " +[a-z]")));
        CHECK_THAT(docs, Catch::Contains("| " + std::to_string(code) + " | "));
    }
    const test::TempFolder folder;
    const std::string lists =
        folder.write("lists.csv", "list,soybean-meal-44,maize\ngood,0.5,0.3\n");
    const std::string hopeless = folder.write("job.json", R"({ "format": "feedwright-job/1",
                         "ingredients": [ { "id": "soybean-meal-44" }, { "id": "maize" } ],
                         "limits": [ { "nutrient": "crude_protein", "min": 80 } ] })");
    CHECK(run(solved).exit_code == 0);
    CHECK(run({"formulate", "tests/bad/jobs/nan.json"}).exit_code == 1);
    CHECK(run({"formulat"}).exit_code == 2);
    CHECK(run({"formulate", hopeless, "--prices", "tests/bad/prices/good.csv"}).exit_code == 3);
    CHECK(run(short_recipe).exit_code == 4);
    CHECK(run({"batch", hopeless, lists}).exit_code == 5);
}

TEST_CASE("each command has its own examples and exit codes, and nothing is wider than 80") {
    for (const auto& [name, text] : all_help()) {
        INFO(name);
        for (const std::string& line : test::lines_of(text)) {
            INFO(line);
            CHECK(base::display_width(line) <= 80);
        }
        if (!commands_in(text).empty()) continue;
        CHECK_THAT(text, Catch::Contains("\nExamples\n  " + name));
        const std::size_t codes = text.find("\nExit codes\n  0 ");
        REQUIRE(codes != std::string::npos);
        // What only other commands end with is not told.
        const bool fails = name == "feedwright check" || name == "feedwright batch";
        CHECK((text.find("\n  4 ", codes) != std::string::npos) == fails);
        CHECK((text.find("\n  5 ", codes) != std::string::npos) == (name == "feedwright batch"));
        CHECK(text.find("linear-programming") == std::string::npos);
    }
}

TEST_CASE("help and version are words too") {
    CHECK(run({"help"}).output == run({"--help"}).output);
    CHECK(run({"help", "formulate"}).output == run({"formulate", "--help"}).output);
    CHECK(run({"help", "trial", "design"}).output == run({"trial", "design", "--help"}).output);
    CHECK(run({"version"}).output == run({"--version"}).output);
    const ProgramResult wrong = run({"help", "formulat"});
    CHECK(wrong.exit_code == 2);
    CHECK_THAT(wrong.errors, Catch::Contains("Did you mean \"formulate\"?"));
}

TEST_CASE("a former name of an option is understood and not in the help") {
    Words heavy = solved;
    heavy.insert(heavy.end(), {"--batch", "25kg"});
    CHECK_THAT(run(heavy).output, Catch::Contains("for 25 kg"));
    CHECK(run({"help", "formulate"}).output.find("--batch") == std::string::npos);
    CHECK(run({"help", "import"}).output.find("--scale") == std::string::npos);
    CHECK_THAT(run({"help", "import"}).output, Catch::Contains("--keep"));
}

TEST_CASE("a report shows the parts that are asked for, and says which it leaves out") {
    const ProgramResult brief = run(solved);
    CHECK_THAT(brief.output, Catch::Contains("More of this report: --show "));
    Words words = solved;
    words.insert(words.end(), {"--show", "analysis,prices"});
    const ProgramResult parts = run(words);
    CHECK_THAT(parts.output, Catch::Contains("Analysis, as fed"));
    CHECK(parts.output.find("--show analysis") == std::string::npos);
    words.back() = "price";
    const ProgramResult wrong = run(words);
    CHECK(wrong.exit_code == 2);
    CHECK_THAT(wrong.errors, Catch::Contains("expected one of findings, limits, prices"));
    words = solved;
    words.emplace_back("--detail");
    const ProgramResult all = run(words);
    CHECK(all.output.find("More of this report") == std::string::npos);
    CHECK_THAT(all.output, Catch::Contains("duality gap"));
    // CSV loses nothing by default.
    words.back() = "--as=csv";
    for (const char* table : {"# limits", "# analysis", "# price_ranges", "# mix"}) {
        INFO(table);
        CHECK_THAT(run(words).output, Catch::Contains(table));
    }
}

TEST_CASE("a search that ends without a mix says so in its result and exits with 1") {
    const ProgramResult result = run({"formulate", "examples/backyard-tilapia/job.json", "--scale",
                                      "1g", "--iteration-limit", "1"});
    CHECK(result.exit_code == 1);
    CHECK(result.errors.empty());
    CHECK_THAT(result.output, Catch::Contains("No answer: the iteration limit was reached."));
}

TEST_CASE("what a source says against another names the nutrient") {
    const std::string page = run({"show", "nile-tilapia", "--show", "conflicts"}).output;
    const std::size_t at = page.find("Where sources disagree");
    REQUIRE(at != std::string::npos);
    for (const std::string& line : test::lines_of(page.substr(at))) {
        if (!line.starts_with("  - ")) continue;
        INFO(line);
        CHECK(line.find(": ") != std::string::npos);
    }
}

TEST_CASE("no document is listed twice, and docs name all that list takes") {
    const std::string readme = base::read_file((test::source_folder() / "README.md").string());
    const std::regex link("\\]\\((docs/[a-z]+\\.md)\\)");
    std::map<std::string, int> times;
    const std::size_t documents = readme.find("## Documents");
    REQUIRE(documents != std::string::npos);
    for (std::sregex_iterator
             it(readme.begin() + static_cast<std::ptrdiff_t>(documents), readme.end(), link),
         end;
         it != end; ++it) {
        ++times[(*it)[1]];
    }
    CHECK(times.size() >= 8);
    for (const auto& [file, n] : times) {
        INFO(file);
        CHECK(n == 1);
        CHECK(fs::exists(test::source_folder() / file));
    }
    const std::string commands =
        base::read_file((test::source_folder() / "docs/commands.md").string());
    CHECK_THAT(commands, Catch::Contains("`sources` or `coverage`"));
    CHECK_THAT(commands, Catch::Contains("formulate, check, mend, batch, trial design"));
}

TEST_CASE("options of a plan fill the same plan as a file") {
    const test::TempFolder folder;
    const auto rows = [](const ProgramResult& result) {
        INFO(result.errors);
        REQUIRE(result.exit_code == 0);
        const std::size_t from = result.output.find("\"days\"");
        const std::size_t to = result.output.find("\"notes\"");
        REQUIRE(from < to);
        return result.output.substr(from, to - from);
    };
    struct Pair {
        const char* file;
        Words options;
    };
    const Pair pairs[] = {
        {R"("profile": "nile-tilapia", "number": 200, "survival_percent": 90, "start_g": 5, "target_g": 300,
            "temperature": "82 F", "growth": { "sgr": 2.1 }, "fcr": 1.6, "pack_kg": "40 lb", "start_date": "2025-04-14")",
         {"--for", "nile-tilapia", "--count", "200",           "--survival", "90",        "--start",
          "5g",    "--target",     "0.3kg",   "--temperature", "82F",        "--sgr",     "2.1",
          "--fcr", "1.6",          "--pack",  "40 lb",         "--date",     "2025-04-14"}},
        {R"("profile": "nile-tilapia", "number": 50, "survival_percent": 100, "start_g": 20, "days": 60,
            "temperature": 27, "growth": { "tgc": 1.1 })",
         {"--for", "nile-tilapia/grow-out", "--count", "50", "--start", "20", "--days", "60",
          "--temperature", "27", "--tgc", "1.1"}},
        // The middle of the published FCR of 1 to 2.4.
        {R"("profile": "nile-tilapia", "number": 50, "survival_percent": 100, "start_g": 40, "target_g": 200,
            "temperature": 27, "growth": { "fcr": 1.7 })",
         {"--for", "nile-tilapia", "--count", "50", "--start", "40", "--target", "200",
          "--temperature", "27C"}},
        {R"("number": 30, "survival_percent": 100, "intake_g": 115, "days": 28)",
         {"--count", "30", "--intake", "115g", "--days", "28"}},
    };
    for (const Pair& pair : pairs) {
        INFO(pair.file);
        const std::string file = folder.write(
            "plan.json", std::string(R"({ "format": "feedwright-plan/1", )") + pair.file + " }");
        Words options{"plan", "--as", "json"};
        options.insert(options.end(), pair.options.begin(), pair.options.end());
        CHECK(rows(run(options)) == rows(run({"plan", file, "--as", "json"})));
    }
}

TEST_CASE("a species is shown with all of its stages, and a stage with its notes") {
    const ProgramResult species = run({"show", "nile-tilapia"});
    CHECK(species.exit_code == 0);
    for (const char* text :
         {"nile-tilapia/fry ", "nile-tilapia/fingerling ", "nile-tilapia/grow-out ",
          "min 40      min 33     min 30", "feedwright show nile-tilapia/grow-out"}) {
        INFO(text);
        CHECK(species.output.find(text) != std::string::npos);
    }
    CHECK(run({"show", "nile-tilapia", "--as", "json"})
              .output.find("\"feedwright-species-page/1\"") != std::string::npos);
    const ProgramResult stage = run({"show", "laying-hen/lay", "--show", "notes"});
    CHECK(stage.output.find("sodium: laying, intake, conversion") != std::string::npos);
    CHECK(run({"show", "nile-tilapia/adult"}).exit_code == 2);
}

TEST_CASE("a price far below the fourth decimal is not printed as nothing") {
    const test::TempFolder folder;
    const std::string job = folder.write(
        "job.json", R"({ "format": "feedwright-job/1", "currency": "XAU", "ingredients": [
        { "id": "maize", "price": 0.000042 }, { "id": "soybean-meal-44", "price": 0.00009 } ],
        "limits": [ { "nutrient": "crude_protein", "min": 20 } ] })");
    const ProgramResult mix = run({"formulate", job});
    CHECK(mix.exit_code == 0);
    CHECK(mix.output.find("0.0000420") != std::string::npos);
    CHECK(mix.output.find("0.0000 ") == std::string::npos);
}

TEST_CASE("a recipe held against nothing is not said to pass") {
    const ProgramResult text = run({"check", "tests/bad/recipes/good.csv"});
    CHECK(text.exit_code == 0);
    CHECK_THAT(text.output, Catch::Contains("so nothing was checked"));
    const ProgramResult json = run({"check", "tests/bad/recipes/good.csv", "--as", "json"});
    CHECK(json.output.find("\"passes\"") == std::string::npos);

    const test::TempFolder folder;
    const std::string recipe = folder.file("recipe.json");
    base::write_file(recipe,
                     "{\"format\": \"feedwright-recipe/1\", \"ingredients\": "
                     "[{\"id\": \"maize\", \"amount\": 1}]}");
    CHECK(run({"mend", recipe}).exit_code == 2);
    const ProgramResult batch = run({"batch", "--recipes", recipe});
    CHECK(batch.exit_code == 5);
    CHECK_THAT(batch.output, Catch::Contains("neither a profile nor a limit"));
}

TEST_CASE("sentences about a limit say of what it is a share") {
    const Words carp{"check", "tests/bad/recipes/good.csv", "--for", "common-carp/grow-out"};
    Words carp_in_full = carp;
    carp_in_full.emplace_back("--detail");
    const auto words_of = [](const std::string& output) {
        return std::regex_replace(output, std::regex("\\s+"), " ");
    };
    CHECK_THAT(words_of(run(carp_in_full).output),
               Catch::Contains("% of dry matter instead of at least 30 % of dry matter."));

    const test::TempFolder folder;
    const std::string job = folder.file("job.json");
    base::write_file(job, R"({"format": "feedwright-job/1", "ingredients": [
        {"id": "maize", "price": 1}, {"id": "soybean-meal-44", "price": 1}], "limits": [
        {"nutrient": "crude_protein", "min": 80, "basis": "dry_matter"},
        {"nutrient": "lysine", "min": 9, "basis": "of_protein"}]})");
    const std::string conflict = words_of(run({"formulate", job}).output);
    CHECK_THAT(conflict, Catch::Contains("crude protein, at least 80 % of dry matter"));
    CHECK_THAT(conflict, Catch::Contains("lysine, at least, % of protein"));
}

TEST_CASE("a limit of another basis than the profile's is told apart from it") {
    const test::TempFolder folder;
    const std::string recipe = folder.file("recipe.json");
    base::write_file(recipe, R"({"format": "feedwright-recipe/1", "profile": "common-carp/grow-out",
        "ingredients": [{"id": "maize", "amount": 1}],
        "limits": [{"nutrient": "crude_protein", "min": 2.5}]})");
    CHECK_THAT(run({"check", recipe}).output,
               Catch::Contains(
                   "Your limit on crude protein is of the feed; it replaces the profile's limit,"));
}

TEST_CASE("amounts of a recipe may be parts, percent or weights, under either name") {
    const test::TempFolder folder;
    const auto check = [&](const std::string& table) {
        const std::string file = folder.file("recipe.csv");
        base::write_file(file, table);
        const ProgramResult result = run({"check", file});
        CHECK(result.exit_code == 0);
        return result.output;
    };
    const std::string parts = check("ingredient,amount\nmaize,75\nsoybean-meal-44,25\n");
    CHECK(check("Ingredient,Amount\nmaize,75 %\nsoybean-meal-44,25%\n") == parts);
    CHECK(check("ingredient,Percent\nmaize,75\nsoybean-meal-44,25\n") == parts);
    CHECK(check("ingredient,amount\nmaize,1.5 kg\nsoybean-meal-44,500 g\n") == parts);

    CHECK(parts.find("add up to") == std::string::npos);
    const std::string told =
        "Your amounts add up to 110, not 100. Percentages below are of that total.";
    CHECK_THAT(check("ingredient,amount\nmaize,80\nsoybean-meal-44,30\n"), Catch::Contains(told));
    CHECK(check("ingredient,amount\nmaize,80 kg\nsoybean-meal-44,30 kg\n").find("add up to") ==
          std::string::npos);
}

TEST_CASE("the words of a search are one search") {
    const ProgramResult one = run({"list", "ingredients", "fish meal"});
    CHECK(one.exit_code == 0);
    CHECK(run({"list", "ingredients", "fish", "meal"}).output == one.output);
}

TEST_CASE("strict asks in one line an ingredient, and of premixes only what premixes state") {
    const test::TempFolder folder;
    const std::string recipe = folder.file("recipe.csv");
    std::string premix;
    for (const std::string& line : test::lines_of(run({"list", "ingredients", "premix"}).output)) {
        const std::string word = line.substr(0, line.find(' '));
        if (premix.empty() && word.find("premix") != std::string::npos) premix = word;
    }
    REQUIRE_FALSE(premix.empty());
    base::write_file(recipe, "ingredient,amount\nmaize,60\nsoybean-meal-44,38\n" + premix + ",2\n");
    const ProgramResult result =
        run({"check", recipe, "--for", "nile-tilapia/grow-out", "--strict"});
    std::set<std::string> seen;
    for (const std::string& line : test::lines_of(result.errors)) {
        const auto at = line.find("ingredient ");
        REQUIRE(at != std::string::npos);
        CHECK(seen.insert(line.substr(at, line.find(':', at) - at)).second);
    }
    CHECK(result.errors.find("ingredient " + premix + ": found no value for crude protein") ==
          std::string::npos);
}

TEST_CASE("a mended recipe tells which advisory needs it gave up") {
    const test::TempFolder folder;
    const std::string recipe = folder.file("recipe.json");
    base::write_file(recipe,
                     R"({"format": "feedwright-recipe/1", "profile": "nile-tilapia/grow-out",
        "ingredients": [{"id": "fish-meal-63", "amount": 30}, {"id": "maize", "amount": 38},
        {"id": "soybean-meal-44", "amount": 30},
        {"id": "premix-bass", "amount": 2, "max": 0}]})");
    const ProgramResult result =
        run({"mend", recipe, "--with", "soybean-oil,monosodium-phosphate"});
    CHECK(result.exit_code == 0);
    CHECK_THAT(result.output,
               Catch::Contains("- vitamin C: 0 mg/kg of dry matter, below the minimum of"));
}

TEST_CASE("a job without a mix is explained whatever the library lacks") {
    const test::TempFolder folder;
    const std::string job = folder.file("job.json");
    // Two ingredients of the job's own, of which no mix has 40 % protein.
    const auto write = [&](const std::string& more, const std::string& nutrients,
                           const std::string& limits) {
        base::write_file(job, "{\"format\": \"feedwright-job/1\", " + more + R"("ingredients": [
            {"id": "a", "price": 1, "dry_matter": 90, "nutrients": {"crude_protein": 10)" +
                                  nutrients + R"(}},
            {"id": "b", "price": 2, "dry_matter": 90, "nutrients": {"crude_protein": 20)" +
                                  nutrients + R"(}}],
            "limits": [{"nutrient": "crude_protein", "min": 40})" +
                                  limits + "]}");
    };
    const auto explained = [&](const Words& options) {
        Words words{"formulate", job};
        words.insert(words.end(), options.begin(), options.end());
        const ProgramResult result = run(words);
        CHECK(result.exit_code == 3);
        CHECK(result.errors.empty());
        CHECK_THAT(result.output, Catch::Contains("this limit cannot be met"));
        return result.output;
    };
    SECTION("a finished moisture asks the dry matter of every ingredient") {
        write(R"("finished_moisture": 10, )", "", "");
        CHECK_THAT(explained({}), Catch::Contains("adding one of these ingredients"));
    }
    SECTION("strict asks a value for every limit") {
        write("", "", "");
        CHECK_THAT(explained({"--strict"}), Catch::Contains("adding one of these ingredients"));
    }
    SECTION(
        "strict, with a nutrient that only the job knows: no ingredient of the library will do") {
        write(R"("nutrients": [{"id": "own", "name": "own", "unit": "%"}], )", R"(, "own": 3)",
              R"(, {"nutrient": "own", "min": 1})");
        const std::string output = explained({"--strict"});
        CHECK(output.find("adding") == std::string::npos);
    }
    SECTION("strict still refuses what the job itself names, changed or not") {
        write("", "", R"(, {"nutrient": "lysine", "min": 0.1})");
        const ProgramResult refused = run({"formulate", job, "--strict"});
        CHECK(refused.exit_code == 1);
        CHECK_THAT(refused.errors, Catch::Contains("ingredient a: found no value for lysine"));
        CHECK(run({"formulate", job, "--strict", "--set", "a.price=2"}).exit_code == 1);
    }
}

TEST_CASE("a recipe without what a limit is a share of does not meet that limit") {
    const test::TempFolder folder;
    const std::string recipe = folder.file("recipe.json");
    base::write_file(recipe, R"({"format": "feedwright-recipe/1", "ingredients": [
        {"id": "a", "price": 3, "dry_matter": 84, "amount": 60,
         "nutrients": {"crude_protein": 0, "crude_fibre": 2}},
        {"id": "b", "price": 1, "dry_matter": 82, "amount": 0,
         "nutrients": {"crude_protein": 10, "crude_fibre": 2}}],
        "limits": [{"nutrient": "crude_fibre", "basis": "of_protein", "max": 100}]})");
    const ProgramResult check = run({"check", recipe});
    CHECK(check.exit_code == 4);
    CHECK_THAT(check.output, Catch::Contains("no amount to compare"));
    CHECK_THAT(check.output,
               Catch::Contains("The recipe fails 1 of 1 limit: 1 cannot be worked out."));
    CHECK_THAT(check.output,
               Catch::Contains("crude fibre: the recipe has nothing to work this share out of"));
    const ProgramResult json = run({"check", recipe, "--as", "json"});
    CHECK_THAT(json.output, Catch::Contains("\"passes\": false"));
    // mend knows the way out: some of b.
    const ProgramResult mend = run({"mend", recipe});
    CHECK(mend.exit_code == 0);
    CHECK(mend.output.find("no base") == std::string::npos);
}

TEST_CASE("too much premix makes a recipe unsafe, and a wet one is compared dried") {
    const test::TempFolder folder;
    const std::string recipe = folder.file("recipe.csv");
    base::write_file(recipe, "ingredient,amount\nsoybean-meal-44,60\nmaize,36\npremix-tilapia,4\n");
    const ProgramResult over = run({"check", recipe, "--for", "nile-tilapia/grow-out"});
    CHECK(over.exit_code == 4);
    CHECK_THAT(over.output, Catch::Contains("Unsafe. Do not feed this recipe."));
    CHECK_THAT(over.output, Catch::Contains("4.0 times"));
    const ProgramResult json =
        run({"check", recipe, "--for", "nile-tilapia/grow-out", "--as", "json"});
    CHECK_THAT(json.output, Catch::Contains("\"verdict\": \"unsafe\""));
    CHECK_THAT(json.output, Catch::Contains("\"severity\": \"stop\""));
    const ProgramResult csv =
        run({"check", recipe, "--for", "nile-tilapia/grow-out", "--as", "csv"});
    CHECK_THAT(csv.output, Catch::Contains("# verdict\nverdict\nunsafe\n"));
    CHECK_THAT(csv.output, Catch::Contains("\nstop,premix,"));
    const ProgramResult markdown =
        run({"check", recipe, "--for", "nile-tilapia/grow-out", "--as", "markdown"});
    CHECK_THAT(markdown.output, Catch::Contains("Unsafe. Do not feed this recipe."));
    // One percent of what is weighed in is more than two of the dried feed.
    base::write_file(
        recipe,
        "ingredient,amount\nduckweed-fresh,60\nsoybean-meal-44,20\nmaize,19\npremix-tilapia,1\n");
    const ProgramResult wet = run({"check", recipe, "--for", "nile-tilapia/grow-out"});
    CHECK(wet.exit_code == 4);
    CHECK_THAT(std::regex_replace(wet.output, std::regex("\\s+"), " "),
               Catch::Contains("as if dried to 10 % moisture"));
    CHECK_THAT(wet.output, Catch::Contains("2.2 times"));
}

TEST_CASE("each diet of a trial carries a verdict") {
    const Words design{"trial",           "design",         "examples/demo-design/job.json",
                       "--test",          "duckweed-dried", "--reference",
                       "soybean-meal-44", "--levels",       "10"};
    const ProgramResult text = run(design);
    CHECK(text.exit_code == 0);
    CHECK_THAT(text.output, Catch::Contains("Each diet is a complete feed on paper"));
    Words as_json = design;
    as_json.insert(as_json.end(), {"--as", "json"});
    const ProgramResult json = run(as_json);
    CHECK_THAT(json.output, Catch::Contains("\"verdict\": \"complete\""));
}

TEST_CASE("a folder that is named is read, whatever the sizes and times of its files") {
    const test::TempFolder copy;
    const fs::path data = test::source_folder() / "data";
    fs::copy(data, copy.path(), fs::copy_options::recursive);
    const fs::path maize = data / "ingredients/maize.json";
    std::string text = base::read_file(maize.string());
    const std::string protein = "\"crude_protein\": 8.75";
    const auto at = text.find(protein);
    REQUIRE(at != std::string::npos);
    text.replace(at, protein.size(), "\"crude_protein\": 2.75");
    const std::string changed = copy.write("ingredients/maize.json", text);
    REQUIRE(fs::file_size(changed) == fs::file_size(maize));
    fs::last_write_time(changed, fs::last_write_time(maize));

    const Words show{"show", "maize"};
    CHECK_THAT(run(show).output, Catch::Contains("8.750") && !Catch::Contains("2.750"));
    Words named = show;
    named.insert(named.end(), {"--data", copy.path().string()});
    CHECK_THAT(run(named).output, Catch::Contains("2.750") && !Catch::Contains("8.750"));
    ProgramRun environment;
    environment.arguments = show;
    environment.environment["FEEDWRIGHT_DATA"] = copy.path().string();
    CHECK(run_program(environment).output == run(named).output);
}
