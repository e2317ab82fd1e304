// SPDX-License-Identifier: GPL-3.0-or-later
// The same recipe by every door of the program gives the same result, and one line does what a file
// does.
#include "base/file.hpp"
#include "base/json.hpp"
#include "base/number.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "support/run_program.hpp"

#include <map>
#include <regex>
#include <string>
#include <vector>

using namespace feedwright;
using test::ProgramResult;
using test::ProgramRun;

namespace {

using Words = std::vector<std::string>;

ProgramResult run(const Words& arguments, const std::string& input = "") {
    ProgramRun run;
    run.arguments = arguments;
    run.input = input;
    return run_program(run);
}

std::string printed(const Words& arguments, const std::string& input = "") {
    const ProgramResult result = run(arguments, input);
    INFO(result.errors);
    REQUIRE(result.exit_code == 0);
    return result.output;
}

// A result without the files that were read for it.
std::string without_inputs(const std::string& json) {
    static const std::regex inputs("\"inputs\": \\[[^\\]]*\\]");
    REQUIRE(std::regex_search(json, inputs));
    return std::regex_replace(json, inputs, "");
}

const base::JsonValue& member(const base::JsonValue& object, const std::string& key) {
    for (std::size_t i = 0; i < object.keys.size(); ++i) {
        if (object.keys[i] == key) return object.items[i];
    }
    FAIL("no " + key);
    return object;
}

const std::string job = "examples/backyard-tilapia/job.json";
const std::string animal = "nile-tilapia/grow-out";

}  // namespace

TEST_CASE("cli: the same recipe by every door gives the same bytes") {
    const test::TempFolder folder;
    const std::string mix_json = folder.file("mix.json");
    const std::string mix_csv = folder.file("mix.csv");
    const std::string table = folder.file("table.csv");
    printed({"formulate", job, "-o", mix_json});
    printed({"formulate", job, "-o", mix_csv});
    printed({"formulate", job, "--table", "mix", "-o", table});
    // The same by hand: a table, and a recipe and a result as JSON.
    const auto document = base::parse_json(base::read_file(mix_json), mix_json);
    std::string csv = "ingredient,amount,price\n";
    std::string items;
    for (const base::JsonValue& item : member(document->root, "mix").items) {
        const std::string id = member(item, "id").string;
        const std::string percent = base::shortest(member(item, "percent").number);
        const std::string price = base::shortest(member(item, "price").number);
        csv += id + ',' + percent + ',' + price + '\n';
        items += std::string(items.empty() ? "" : ",") + "{\"id\":\"" + id +
                 "\",\"amount\":" + percent + ",\"price\":" + price + "}";
    }
    const std::string recipe_csv = folder.write("recipe.csv", csv);
    const std::string recipe_json = folder.write(
        "recipe.json", R"({"format":"feedwright-recipe/1","ingredients":[)" + items + "]}");
    const Words asked{"--for", animal, "--as", "json"};
    const auto check = [&](const std::string& file, const std::string& input = "") {
        Words words{"check", file};
        words.insert(words.end(), asked.begin(), asked.end());
        std::string result = without_inputs(printed(words, input));
        // What only a job says: its title and its currency.
        for (const char* own : {"title", "currency"}) {
            result = std::regex_replace(
                result, std::regex(std::string("  \"") + own + "\": \"[^\"]*\",\n"), "");
        }
        return result;
    };
    const std::string first = check(recipe_csv);
    CHECK(first.find("\"passes\": true") != std::string::npos);
    for (const std::string& file : {recipe_json, mix_json, mix_csv, table}) {
        INFO(file);
        CHECK(check(file) == first);
        CHECK(check("-", file) == first);
    }
    CHECK(check("-", recipe_csv) == first);
}

TEST_CASE("cli: one table a file, with ids in it") {
    const std::string mix = printed({"formulate", job, "--table", "mix"});
    CHECK(mix.starts_with("id,ingredient,percent,"));
    CHECK(mix.find("\nsoybean-meal-44,\"soybean meal, ") != std::string::npos);
    CHECK(mix.find('#') == std::string::npos);
    CHECK(
        printed({"formulate", job, "--table", "limits"}).find("\nnutrient:lysine,\"lysine, %\"") !=
        std::string::npos);
    const ProgramResult none = run({"formulate", job, "--table", "mixes"});
    CHECK(none.exit_code == 2);
    CHECK(none.errors.find("Did you mean \"mix\"") != std::string::npos);
    const ProgramResult other = run({"formulate", job, "--table", "mix", "--as", "json"});
    CHECK(other.exit_code == 2);
    CHECK(other.output.empty());
}

TEST_CASE("cli: the square is explained in numbers") {
    const Words asked{"formulate", "--protein", "32", "maize", "soybean-meal-44"};
    const std::string text = printed(asked);
    CHECK(text.find("How the shares are found (the square)") != std::string::npos);
    CHECK(text.find("Check: ") != std::string::npos);
    Words json = asked;
    json.insert(json.end(), {"--as", "json"});
    CHECK(printed(json).find("feedwright-square/1") != std::string::npos);
    for (const Words& wrong : {Words{"formulate", "--protein", "60", "maize", "soybean-meal-44"},
                               Words{"formulate", "--protein", "32", "maize"},
                               Words{"formulate", "--protein", "32", "maize", "l-lysine-hcl"},
                               Words{"formulate", "maize", "soybean-meal-44"}}) {
        const ProgramResult result = run(wrong);
        INFO(result.errors);
        CHECK(result.exit_code == 2);
        CHECK(result.output.empty());
    }
}

TEST_CASE("cli: make-or-buy in one line is the venture of a file") {
    const test::TempFolder folder;
    const std::string venture = folder.write("venture.json", R"({"format":"feedwright-venture/1",
        "currency":"USD","make":{"materials_per_kg":0.62,"batch_kg":25,"hours_per_batch":3,
        "value_of_hour":2,"loss_percent":4,"fcr":[1.6,1.9,2.4],
        "equipment":[{"price":180,"life_years":5}]},
        "buy":{"pack_price":24.5,"pack_kg":20,"fcr":1.6},"gain_kg_per_year":300})");
    const Words line{"make-or-buy",
                     "--materials",
                     "0.62",
                     "--weight",
                     "25kg",
                     "--hours",
                     "3",
                     "--hour-value",
                     "2",
                     "--loss",
                     "4",
                     "--home-fcr",
                     "1.6,1.9,2.4",
                     "--equipment",
                     "180/5",
                     "--bag",
                     "24.5 per 20 kg",
                     "--bought-fcr",
                     "1.6",
                     "--gain",
                     "300",
                     "--currency",
                     "USD"};
    const std::string by_line = printed(line);
    CHECK(by_line == printed({"make-or-buy", venture}));
    // What is left out is told, as of a file.
    CHECK(by_line.find("energy") != std::string::npos);
    for (const Words& wrong :
         {Words{"make-or-buy"}, Words{"make-or-buy", venture, "--hours", "3"},
          Words{"make-or-buy", "--materials", "0.6", "--weight", "25", "--bag", "24.5", "--gain",
                "300", "--home-fcr", "2", "--bought-fcr", "2"},
          Words{"make-or-buy", "--materials", "0.6", "--weight", "25", "--bag", "24 per 20 kg",
                "--gain", "300", "--home-fcr", "2,1,3", "--bought-fcr", "2"},
          Words{"make-or-buy", "--materials", "0.6", "--weight", "25", "--bag", "24 per 20 kg",
                "--gain", "300"}}) {
        const ProgramResult result = run(wrong);
        INFO(result.errors);
        CHECK(result.exit_code == 2);
        CHECK(result.output.empty());
    }
}

TEST_CASE("cli: a season in one line is the season of a file") {
    const test::TempFolder folder;
    const std::string prices =
        folder.write("prices.csv",
                     "ingredient,price\nmaize,0.3\nsoybean-meal-44,0.6\n"
                     "oyster-shell,0.3\ndicalcium-phosphate-dihydrate,1.2\n"
                     "soybean-oil,1.4\nsalt,0.4\ndl-methionine,8\npremix-layer,5\n");
    const std::string file = folder.file("season.json");
    const Words line{"season",
                     "--for",
                     "laying-hen/lay",
                     "--feed",
                     "80,90",
                     "--periods",
                     "2",
                     "--prices",
                     prices,
                     "--harvest",
                     "black-soldier-fly-fresh=10,0",
                     "--bag",
                     "21 per 50 lb",
                     "--hours",
                     "5",
                     "--hours-per-kg",
                     "0.1",
                     "--hour-value",
                     "2",
                     "--equipment",
                     "5",
                     "--currency",
                     "USD"};
    Words saving = line;
    saving.insert(saving.end(), {"--save", file});
    const ProgramResult saved = run(saving);
    INFO(saved.errors);
    REQUIRE(saved.exit_code == 0);
    CHECK(saved.output == printed({"season", file}));
    CHECK(saved.output.find("work") != std::string::npos);
    for (const Words& wrong : {Words{"season"}, Words{"season", file, "--hours", "3"},
                               Words{"season", "--for", "laying-hen/lay", "--feed", "80", "--gain",
                                     "3", "--periods", "2", "--prices", prices},
                               Words{"season", "--for", "laying-hen/lay", "--feed", "nan",
                                     "--periods", "2", "--prices", prices},
                               Words{"season", "--for", "laying-hen/lay", "--gain", "8",
                                     "--periods", "2", "--prices", prices}}) {
        const ProgramResult result = run(wrong);
        INFO(result.errors);
        CHECK(result.exit_code == 2);
        CHECK(result.output.empty());
    }
}

TEST_CASE("cli: a trial is designed in one line, with prices of a list or beside the names") {
    const test::TempFolder folder;
    std::string prices = "ingredient,price\n";
    Words with;
    for (const auto& [id, price] :
         std::map<std::string, std::string>{{"soybean-meal-44", "0.58"},
                                            {"maize", "0.28"},
                                            {"fish-meal-63", "1.4"},
                                            {"wheat-bran", "0.22"},
                                            {"rice-bran-full-fat", "0.24"},
                                            {"groundnut-cake-expeller", "0.45"},
                                            {"dl-methionine", "4.5"},
                                            {"dicalcium-phosphate-dihydrate", "0.8"},
                                            {"premix-tilapia", "3.2"},
                                            {"duckweed-dried", "0.3"}}) {
        prices += id + ',' + price + '\n';
        with.insert(with.end(), {"--with", id + '@' + price});
    }
    Words asked{"trial",       "design",          "--for",    animal, "--test", "duckweed-dried",
                "--reference", "soybean-meal-44", "--levels", "10",   "--as",   "json"};
    Words by_list = asked;
    by_list.insert(by_list.end(), {"--prices", folder.write("prices.csv", prices)});
    Words by_words = asked;
    by_words.insert(by_words.end(), with.begin(), with.end());
    const ProgramResult one = run(by_list);
    const ProgramResult other = run(by_words);
    INFO(one.errors << other.errors);
    CHECK(one.exit_code == other.exit_code);
    const auto result_of = [](const std::string& json) {
        return json.substr(0, json.find("\"inputs\""));
    };
    CHECK(result_of(one.output) == result_of(other.output));
    CHECK_FALSE(one.output.empty());
    CHECK(run({"trial", "design", "--for", animal, "--test", "duckweed-dried", "--reference",
               "soybean-meal-44", "--levels", "10"})
              .exit_code == 2);
}
