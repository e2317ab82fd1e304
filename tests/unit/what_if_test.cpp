// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/mix/what_if.hpp"

#include "job/edit.hpp"
#include "search/cheapest.hpp"
#include "search/conflict.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <stdexcept>
#include <string>
#include <variant>
#include <vector>

using namespace feedwright;

namespace {

using test::library;

// Half a and half b meet 15 % protein at 0.3 a kg.
job::Job two_meals() {
    const test::TempFolder folder;
    return job::read_job(folder.write("job.json", R"({"format":"feedwright-job/1","currency":"USD",
      "ingredients":[{"id":"a","price":0.2,"nutrients":{"crude_protein":10}},
                     {"id":"b","price":0.4,"nutrients":{"crude_protein":20}}],
      "limits":[{"nutrient":"crude_protein","min":15}]})"),
                         library(), {});
}

const report::Run run{"feedwright", {}, {}, false};

struct Answer {
    job::Job job;
    search::Formulation result;
};

Answer answer(job::Job job) {
    search::Formulation result = search::formulate(job);
    if (result.status == lp::Status::infeasible) {
        result.conflict = search::explain_conflict(job);
    }
    return {std::move(job), std::move(result)};
}

Answer changed(const std::string& setting) {
    job::Job job = two_meals();
    job::set(job, setting);
    return answer(std::move(job));
}

document::Document compared(const Answer& before, const Answer& after) {
    return report::what_if_document(
        {{"set something"}, before.job, before.result, after.job, after.result}, run);
}

std::string text_of(const document::Document& document) {
    std::string text = document::render_text(document);
    std::replace(text.begin(), text.end(), '\n', ' ');
    return text;
}

const document::Table& table(const document::Document& document, const std::string& key) {
    for (const document::Block& block : document.blocks) {
        const auto* found = std::get_if<document::Table>(&block);
        if (found != nullptr && found->key == key) return *found;
    }
    throw std::runtime_error("no table " + key);
}

using Texts = std::vector<std::string>;

Texts texts(const std::vector<document::Cell>& row) {
    Texts list;
    for (const document::Cell& cell : row)
        list.push_back(cell.text);
    return list;
}

}  // namespace

TEST_CASE("a dearer ingredient: cost, mix and margins before and after") {
    const document::Document document = compared(answer(two_meals()), changed("b.price=0.5"));
    CHECK_THAT(
        text_of(document),
        Catch::Contains("With these changes one kg of feed costs 0.3500 USD instead of 0.3000 "
                        "USD: 0.0500 USD more (16.7 %)."));
    const document::Table& mixes = table(document, "mixes");
    REQUIRE(mixes.rows.size() == 2);
    CHECK(texts(mixes.rows[0]) == Texts{"a", "50.00", "50.00", "0.00"});
    const document::Table& limits = table(document, "limits");
    REQUIRE(limits.rows.size() == 1);
    CHECK(texts(limits.rows[0]) ==
          Texts{"crude protein, %: at least 15", "15.00", "0", "15.00", "0"});
}

TEST_CASE("another limit: what it asked and asks, and what the mix has to spare") {
    const document::Document document =
        compared(answer(two_meals()), changed("crude_protein.min=18"));
    CHECK_THAT(text_of(document), Catch::Contains("0.0600 USD more (20.0 %)"));
    const document::Table& mixes = table(document, "mixes");
    CHECK(texts(mixes.rows[0]) == Texts{"b", "50.00", "80.00", "+30.00"});
    CHECK(texts(mixes.rows[1]) == Texts{"a", "50.00", "20.00", "-30.00"});
    CHECK(table(document, "limits").rows[0][0].text ==
          "crude protein, %: at least 15, then at least 18");

    const document::Document eased = compared(answer(two_meals()), changed("crude_protein.min=5"));
    CHECK_THAT(text_of(eased), Catch::Contains("0.1000 USD less (33.3 %)"));
    CHECK(table(eased, "limits").rows[0][4].text == "5.000");
}

TEST_CASE("changes that leave no mix are told with the reason, and those that make one possible") {
    const Answer before = answer(two_meals());
    const Answer after = changed("crude_protein.min=30");
    const document::Document document = compared(before, after);
    CHECK(texts(table(document, "mixes").rows[0]) == Texts{"a", "50.00"});
    CHECK(texts(table(document, "limits").rows[0]) ==
          Texts{"crude protein, %: at least 15", "15.00", "0"});
    const std::string text = text_of(document);
    CHECK_THAT(text, Catch::Contains("With these changes no mix meets all limits. "
                                     "Without them one kg of feed costs 0.3000 USD."));
    CHECK_THAT(text,
               Catch::Contains("crude protein, at least 30 %: the highest possible with these"));
    CHECK_THAT(text_of(compared(after, before)),
               Catch::Contains("With these changes there is a mix, and one kg of feed costs 0.3000 "
                               "USD. Without them no mix meets all limits."));
    CHECK_THAT(text_of(compared(after, after)), Catch::Contains("as without them."));
}

TEST_CASE("a change that does not matter is called the same") {
    CHECK_THAT(text_of(compared(answer(two_meals()), changed("a.max=80"))),
               Catch::Contains("instead of 0.3000 USD: the same."));
}

TEST_CASE("traces are shown with digits enough") {
    Answer after = answer(two_meals());
    after.result.items.push_back(after.result.items[0]);
    after.result.items.back().id = after.result.items.back().name = "trace";
    after.result.items.back().percent = 0.0123;
    const document::Document document = compared(answer(two_meals()), after);
    CHECK(texts(table(document, "mixes").rows[2]) == Texts{"trace", "-", "0.0123", "+0.0123"});
}

TEST_CASE("before and after as JSON") {
    const Answer before = answer(two_meals());
    const Answer after = changed("crude_protein.min=30");
    const std::string json = report::what_if_json(
        {{"set crude_protein.min=30"}, before.job, before.result, after.job, after.result}, run);
    CHECK_THAT(json, Catch::Contains("feedwright-what-if/1"));
    CHECK_THAT(json, Catch::Contains("set crude_protein.min=30"));
    CHECK(json.find("\"cost_per_kg\": 0.3") < json.find("\"after\""));
    CHECK(json.find("\"conflict\"") > json.find("\"after\""));
}

TEST_CASE("what each ingredient is worth, the dearest to lose first") {
    const Answer all = answer(two_meals());
    const tasks::WorthOfEach worth{
        {}, all.job, all.result, {{"a", "a", 50, 0.4}, {"b", "b", 50, {}}}};
    const document::Document document = report::worth_document(worth);
    const document::Table& rows = table(document, "without_each");
    REQUIRE(rows.rows.size() == 2);
    CHECK(texts(rows.rows[0]) == Texts{"b", "50.00", "no mix", ""});
    CHECK(texts(rows.rows[1]) == Texts{"a", "50.00", "0.4000", "0.1000 more (33.3 %)"});
    CHECK_THAT(report::worth_json(worth, run), Catch::Contains("feedwright-without-each/1"));
}
