// SPDX-License-Identifier: GPL-3.0-or-later
// Names of ingredients in files and options, with the library as it is.
#include "job/meant.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "job/edit.hpp"
#include "job/save.hpp"
#include "report/notes.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <string>
#include <vector>

using namespace feedwright;
using Catch::Matchers::Contains;

namespace {

using test::library;

struct Case {
    test::TempFolder folder;

    job::ReadOptions with_list(const std::string& rows) const {
        job::ReadOptions options;
        options.profile = "nile-tilapia/grow-out";
        options.prices = job::read_price_list(folder.write("list.csv", rows));
        return options;
    }
    job::Job of_list(const std::string& rows) const {
        return job::job_from_prices(library(), with_list(rows));
    }
    job::Job of_job(const std::string& ingredients, const std::string& more = "",
                    const job::ReadOptions& options = {}) const {
        return job::read_job(folder.write("job.json", R"({"format":"feedwright-job/1",
            "profile":"nile-tilapia/grow-out","ingredients":[)" +
                                                          ingredients + "]" + more + "}"),
                             library(), options);
    }
    std::string refusal(const std::string& rows) const {
        try {
            of_list(rows);
        } catch (const base::DataError& error) {
            return error.what();
        }
        return "";
    }
};

std::vector<std::string> ids(const job::Job& job) {
    return job.ingredient_ids();
}

const std::string two = R"({"id":"corn","price":0.3},{"id":"Soya meal 44","price":0.6})";

}  // namespace

TEST_CASE("a price list may use the names of ingredients") {
    const job::Job job = Case().of_list(
        "ingredient,price\nCORN,0.3\nWheat Bran,0.2\nMustard oil cake,0.3\nomena,1.1\n");
    CHECK(ids(job) == std::vector<std::string>{"maize", "mustard-cake-expeller", "sardine-dried",
                                               "wheat-bran"});
    CHECK(job.find("maize")->price == 0.3);
    CHECK(job.find("sardine-dried")->price == 1.1);
    const auto told = report::sentences(job.notes);
    // The library's own name, in other letters, needs no note.
    REQUIRE(told.size() == 3);
    CHECK(told[0] == "\"CORN\" was read as maize grain.");
    CHECK(told[2] ==
          "The library does not have \"omena\"; sardine, dried in the sun, the nearest to it, was "
          "taken. Give an analysis of your own where they differ.");
}

TEST_CASE("what may be several ingredients is asked, all of it in one message") {
    const std::string message = Case().refusal(
        "ingredient,price\nrice bran,0.2\nFish meal,1.8\nokara,0.1\n"
        "vitamin premix,3\nmaize,0.3\n");
    CHECK_THAT(message, Contains("line 2") && Contains("rice-bran-full-fat"));
    CHECK_THAT(message, Contains("line 3") && Contains("fish-meal-65"));
    CHECK_THAT(message, Contains("line 4"));
    CHECK_THAT(message, Contains("Did you mean \"premix-tilapia\"?"));
    CHECK_THAT(message, !Contains("rice-bean"));
}

TEST_CASE("one ingredient by two names is refused with both places") {
    CHECK_THAT(Case().refusal("ingredient,price\nmaize,0.3\ncorn,0.3\n"),
               Contains("line 3, column ingredient: found \"corn\", which is maize again") &&
                   Contains("line 2, column ingredient"));
    const Case test;
    try {
        test.of_job(two, "", test.with_list("ingredient,price\ncorn,0.3\nyellow maize,0.3\n"));
        FAIL("taken");
    } catch (const base::DataError& error) {
        CHECK_THAT(error.what(),
                   Contains("\"yellow maize\", which is maize again") && Contains("line 2"));
    }
}

TEST_CASE("a job names ingredients in its entries, groups and replacements") {
    const job::Job job = Case().of_job(
        two, R"(,"groups":[{"name":"dear","ingredients":["corn","soybean meal 44"],"max":90}],
                "replacements":[{"ingredient":"corn","of":"soya meal 44","max":40}])");
    CHECK(ids(job) == std::vector<std::string>{"maize", "soybean-meal-44"});
    CHECK(job.groups[0].ingredients == std::vector<std::string>{"maize", "soybean-meal-44"});
    CHECK(job.replacements[0].ingredient == "maize");
}

TEST_CASE("a price list over a job means what the job has") {
    const Case test;
    const job::Job job = test.of_job(
        R"({"id":"fish-meal-63","price":1},{"id":"mine","name":"my larvae","price":9,
            "nutrients":{"crude_protein":40}},{"id":"maize","price":1})",
        "", test.with_list("ingredient,price\nfish meal,2\nMy larvae,3\nwheat bran,0.1\n"));
    CHECK(job.find("fish-meal-63")->price == 2);
    CHECK(job.find("mine")->price == 3);
    CHECK(job.ingredients.size() == 3);
}

TEST_CASE("options name ingredients") {
    job::ReadOptions options;
    options.with.push_back({"yellow maize", 0.25});
    options.restated.push_back({"soya meal 44", "crude_protein", 40});
    options.amounts.push_back({"fish meal", job::AskedAmount::What::max, 10, "--max fish meal=10"});
    job::Job job = Case().of_job(
        R"({"id":"soybean-meal-44","price":0.6},{"id":"fish-meal-65","price":2})", "", options);
    CHECK(job.find("maize")->price == 0.25);
    CHECK(job.find("soybean-meal-44")->composition.find("crude_protein")->value == 40);
    CHECK(job.find("fish-meal-65")->max == 10.0);
    job::set(job, job::with_id(job, library(), "corn.max=20"));
    CHECK(job.find("maize")->max == 20.0);
    CHECK(job::with_id(job, library(), "lysine.min=1") == "lysine.min=1");
    job::remove(job, job::named_in(job, library(), "fish meal"));
    CHECK(job.find("fish-meal-65") == nullptr);
    CHECK(job::named_in(job, library(), "fish meal") == "fish meal");
}

TEST_CASE("a job is saved by the ids of what was meant") {
    const Case test;
    job::ReadOptions options = test.with_list("ingredient,price\nyellow maize,0.9\n");
    const job::Job job = test.of_job(two, "", options);
    const std::string saved = job::as_file(job, options, library());
    CHECK_THAT(saved, Contains("0.9") && !Contains("yellow"));
    CHECK(
        job::read_job(test.folder.write("saved.json", saved), library(), {}).find("maize")->price ==
        0.9);
}

TEST_CASE("a recipe may be in buckets and scoops whose size is said") {
    const Case test;
    const auto read = [&](const std::string& rows) {
        job::ReadOptions options;
        options.profile = "nile-tilapia/grow-out";
        return job::read_recipe(test.folder.write("recipe.csv", rows), library(), options);
    };
    // 0.17 to 0.25 kg a litre of wheat bran, 0.60 to 0.64 of ground maize (New 1987, Appendix XI).
    const job::Job recipe = read(
        "ingredient,amount\nwheat bran,2 buckets of 10 l\n"
        "corn,500 ml\nsalt,0.1 kg\nsoya meal 44,2 lb\n");
    CHECK(recipe.find("wheat-bran")->amount == Approx(20 * 0.21));
    CHECK(recipe.find("maize")->amount == Approx(0.5 * 0.62));
    CHECK(recipe.find("salt")->amount == Approx(0.1));
    CHECK(recipe.find("soybean-meal-44")->amount == Approx(2 * 0.45359237));
    const auto told = report::sentences(recipe.notes);
    REQUIRE_FALSE(told.empty());
    CHECK(told[0] ==
          "wheat bran is given by volume: a litre was taken for 0.21 kg (0.17 to 0.25 "
          "kg). Volumes are rough: weigh a measure of yours once, and write the weight.");
    try {
        read("ingredient,amount\nwheat bran,2 buckets\npremix-tilapia,1 scoop of 50 ml\n");
        FAIL("taken");
    } catch (const base::DataError& error) {
        CHECK_THAT(error.what(), Contains("\"2 buckets\" of unknown size") &&
                                     Contains("2 buckets of 10 l") &&
                                     Contains("by volume; expected a weight"));
    }
}

TEST_CASE("a price may be for a bucket whose size is said") {
    const job::Job job = Case().of_list(
        "ingredient,price,unit\nwheat bran,4.20,20 l bucket\nmaize,0.31,l\nsalt,0.2,kg\n");
    CHECK(job.find("wheat-bran")->price == Approx(1));
    CHECK(job.find("maize")->price == Approx(0.5));
    CHECK(job.find("salt")->price == Approx(0.2));
    CHECK_THAT(Case().refusal("ingredient,price\nwheat bran,4 per bucket\n"),
               Contains("of unknown size"));
}
