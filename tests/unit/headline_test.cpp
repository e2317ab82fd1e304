// SPDX-License-Identifier: GPL-3.0-or-later
// The first sentence of an answer says no more than was found out.
#include "report/results.hpp"
#include "report/sections.hpp"
#include "search/cheapest.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <optional>
#include <string>
#include <variant>

using namespace feedwright;

namespace {

// Every paragraph of the answer to a job of three own ingredients.
std::string answer(const std::string& more, std::optional<int> at_most = {}) {
    const test::TempFolder folder;
    job::ReadOptions options;
    options.at_most = at_most;
    catalog::Library library((test::source_folder() / "data").string());
    const job::Job job = job::read_job(folder.write("job.json", R"({"format":"feedwright-job/1",
      "ingredients":[{"id":"a","price":1,"nutrients":{"crude_protein":10}},
                     {"id":"b","price":2,"nutrients":{"crude_protein":40}},
                     {"id":"c","price":3,"nutrients":{"crude_protein":60}}])" +
                                                                    more + "}"),
                                       library, options);
    std::string text;
    const auto document =
        report::mix_document(job, search::formulate(job), {}, {"feedwright", {}, {}, false});
    for (const document::Block& block : document.blocks) {
        if (const auto* paragraph = std::get_if<document::Paragraph>(&block))
            text += paragraph->text + '\n';
    }
    return text;
}

}  // namespace

TEST_CASE("a mix is cheapest among those of as many ingredients as may be used") {
    const std::string limit = R"(,"limits":[{"nutrient":"crude_protein","min":20}])";
    CHECK_THAT(answer(limit, 2),
               Catch::Contains("No cheaper mix of at most 2 of these 3 ingredients meets them"));
    CHECK_THAT(answer(limit), Catch::Contains("No cheaper mix of these 3 ingredients meets them"));
}

TEST_CASE("where nothing is asked nothing is said to work") {
    const std::string text = answer("");
    CHECK(text.find("It meets") == std::string::npos);
    CHECK_THAT(text, Catch::Contains("No limits were set, so nothing was checked"));
    CHECK_THAT(text, Catch::Contains("Name a profile (--for) or give limits"));
    // A limit on amounts is one that somebody asked for.
    CHECK_THAT(answer(R"(,"groups":[{"name":"g","ingredients":["b","c"],"min":10}])"),
               Catch::Contains("It meets the one limit that was set"));
}

TEST_CASE("without an animal nothing is said of whether one can live on a mix") {
    const std::string text = answer(R"(,"limits":[{"nutrient":"crude_protein","min":20}])");
    CHECK_THAT(text, Catch::Contains("No animal was named"));
    CHECK(text.find("omplete") == std::string::npos);
}

TEST_CASE("a small weight never reads as none, and a value differs from the limit it misses") {
    CHECK(report::weight(0.000025) == "0.025 g");
    CHECK(report::weight(0.0025) == "2.5 g");
    CHECK(report::weight(0.03) == "30 g");
    CHECK(report::weight(0) == "0.0 g");
    CHECK(report::digits_apart(12.1299, 12.13) != report::digits_apart(12.13, {}));
    CHECK(report::digits_apart(12.1299, 12.13) == "12.1299");
    CHECK(report::digits_apart(7.816, 5.54) == "7.82");
}
