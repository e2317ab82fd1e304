// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "job/edit.hpp"
#include "search/cheapest.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <string>

using namespace feedwright;

namespace {

using test::library;

// Two meals and a cake, with a limit of every kind that can be set.
job::Job three_meals(const job::ReadOptions& options = {}) {
    const test::TempFolder folder;
    return job::read_job(folder.write("job.json", R"({"format":"feedwright-job/1","batch_kg":10,
      "ingredients":[
        {"id":"a","price":0.2,"nutrients":{"crude_protein":10,"calcium":1,"phosphorus":1}},
        {"id":"b","price":0.4,"nutrients":{"crude_protein":30,"calcium":2,"phosphorus":1}},
        {"id":"c","price":0.9,"max":40,"nutrients":{"crude_protein":50,"phosphorus":1}}],
      "limits":[{"nutrient":"crude_protein","min":20}],
      "groups":[{"name":"meals","ingredients":["a","b"],"max":100},
                {"name":"b alone","ingredients":["b"],"max":80}],
      "ratios":[{"of":"calcium","to":"phosphorus","max":2}],
      "replacements":[{"ingredient":"c","of":"b","max":60}]})"),
                         library(), options);
}

const job::Choice& choice(const job::Job& job, const std::string& id) {
    const job::Choice* found = job.find(id);
    REQUIRE(found != nullptr);
    return *found;
}

// The one line of complaint about what `change` does to a job, which it must leave alone.
template <class Change>
std::string complaint(Change change) {
    job::Job job = three_meals();
    const double cost = search::formulate(job).cost_per_kg;
    try {
        change(job);
    } catch (const base::DataError& error) {
        CHECK(job.ingredients.size() == 3);
        CHECK(job.limits.size() == 1);
        CHECK(search::formulate(job).cost_per_kg == cost);
        return error.what();
    }
    return "no complaint";
}

std::string complaint_of_set(const std::string& text) {
    return complaint([&](job::Job& job) { job::set(job, text); });
}

}  // namespace

TEST_CASE("a price, limits and a stock of an ingredient are set") {
    job::Job job = three_meals();
    job::set(job, "a.price=0.25");
    CHECK(choice(job, "a").price == 0.25);
    job::set(job, "b.price=8 per 20 kg");
    CHECK(choice(job, "b").price == Approx(0.4));
    job::set(job, "a.min=5");
    job::set(job, " a . max = 30 ");
    CHECK(choice(job, "a").min == 5.0);
    CHECK(choice(job, "a").max == 30.0);
    job::set(job, "a.min=none");
    CHECK_FALSE(choice(job, "a").min);
    job::set(job, "b.min_if_used=3");
    CHECK(choice(job, "b").min_if_used == 3.0);
    job::set(job, "b.stock_kg=4");
    CHECK(choice(job, "b").stock_kg == 4.0);
}

TEST_CASE("limits of nutrients, groups and ratios are set, and the answer follows") {
    job::Job job = three_meals();
    // Half a and half b: 20 % protein at 0.3.
    CHECK(search::formulate(job).cost_per_kg == Approx(0.3));
    job::set(job, "crude_protein.min=25");
    REQUIRE(job.limits.size() == 1);
    CHECK(job.limits[0].min == 25.0);
    CHECK(search::formulate(job).cost_per_kg == Approx(0.35));  // a quarter of a
    job::set(job, "meals.max=none");
    CHECK_FALSE(job.groups[0].max);
    job::set(job, "b alone.max=50");
    CHECK(job.groups[1].max == 50.0);
    job::set(job, "calcium/phosphorus.max=1.25");
    CHECK(job.ratios[0].max == 1.25);
}

TEST_CASE("a nutrient without a limit gets one as fed, and an advisory one counts from then on") {
    job::Job job = three_meals();
    job::set(job, "calcium.min=1.4");
    REQUIRE(job.limits.size() == 2);
    CHECK(job.limits[1].nutrient == "calcium");
    CHECK(job.limits[1].basis == catalog::Basis::as_fed);
    CHECK(job.limits[1].min == 1.4);
    CHECK(job.limits[1].source == "job");

    job.limits[0].advisory = true;
    job.limits[0].source = "a profile";
    job::set(job, "crude_protein.min=22");
    CHECK_FALSE(job.limits[0].advisory);
    CHECK(job.limits[0].source == "job");
}

TEST_CASE("a nutrient limited on two bases is named with one") {
    job::Job job = three_meals();
    job::NutrientLimit dry = job.limits[0];
    dry.basis = catalog::Basis::dry_matter;
    dry.min = 22;
    job.limits.push_back(dry);
    job::set(job, "crude_protein@dry_matter.min=24");
    CHECK(job.limits[0].min == 20.0);
    CHECK(job.limits[1].min == 24.0);
    CHECK_THROWS_WITH(job::set(job, "crude_protein.min=24"),
                      Catch::Contains("crude_protein@as_fed or crude_protein@dry_matter"));
}

TEST_CASE("a maximum of its own takes the place of a library cap, other keys do not") {
    job::Job job = three_meals();
    job::CapLimit cap;
    cap.subject = "a";
    cap.ingredients = {"a"};
    cap.max = 15;
    job.caps.push_back(cap);
    job::set(job, "a.price=0.3");
    CHECK(job.caps.size() == 1);
    job::set(job, "b.max=40");
    CHECK(job.caps.size() == 1);
    job::set(job, "a.max=30");
    CHECK(job.caps.empty());
}

TEST_CASE("with a free total amounts of ingredients are kg") {
    job::Job job = three_meals();
    job.free_total = true;
    job::set(job, "a.max=250");
    CHECK(choice(job, "a").max == 250.0);
}

TEST_CASE("what cannot be set is refused in one line, and the job stays as it was") {
    CHECK_THAT(
        complaint_of_set("a.price"),
        Catch::Contains("command line: --set: found \"a.price\"; expected something such as"));
    CHECK_THAT(complaint_of_set("=3"), Catch::Contains("--set: found \"=3\""));
    CHECK_THAT(complaint_of_set("a.=3"), Catch::Contains("--set: found \"a.=3\""));
    CHECK_THAT(complaint_of_set("a.price="), Catch::Contains("found \"a.price=\""));
    CHECK_THAT(complaint_of_set("a.price=low"),
               Catch::Contains("--set a.price=low: found \"low\"; expected a price per kg"));
    CHECK_THAT(complaint_of_set("a.price=0,25"), Catch::Contains("decimal point"));
    CHECK_THAT(
        complaint_of_set("a.max=120"),
        Catch::Contains("found \"120\"; expected percent of the mix, from 0 to 100, or none"));
    CHECK_THAT(complaint_of_set("c.min=50"),
               Catch::Contains("found min 50 above max 40; expected min at most max"));
    CHECK_THAT(complaint_of_set("c.min_if_used=50"), Catch::Contains("found min 50 above max 40"));
    CHECK_THAT(complaint_of_set("crude_protein.price=3"),
               Catch::Contains("found \"price\"; expected min or max of crude_protein"));
    CHECK_THAT(complaint_of_set("crude_protien.min=3"),
               Catch::Contains("Did you mean \"crude_protein\"?"));
    CHECK_THAT(complaint_of_set("calcium@dry_matter.min=3"),
               Catch::Contains("expected calcium, which has no limit yet"));
    CHECK_THAT(complaint_of_set("meals.max=101"),
               Catch::Contains("found \"101\"; expected a number, zero or more, or none"));
    CHECK_THAT(complaint_of_set("crude_protein.min=1e30"), Catch::Contains("found \"1e30\""));
}

TEST_CASE("an ingredient goes out of every limit that names it") {
    job::Job job = three_meals();
    job::remove(job, "b");
    CHECK(job.find("b") == nullptr);
    CHECK(job.ingredients.size() == 2);
    CHECK(job.groups[0].ingredients == std::vector<std::string>{"a"});
    CHECK(job.groups[1].ingredients.empty());
    CHECK(job.replacements.empty());  // nothing is left for c to replace
    // A quarter of c, which a fills up: 0.25 x 50 + 0.75 x 10 = 20 % protein.
    CHECK(search::formulate(job).cost_per_kg == Approx(0.25 * 0.9 + 0.75 * 0.2));
    CHECK_THAT(complaint([](job::Job& j) { job::remove(j, "bb"); }),
               Catch::Contains("--without: found \"bb\"; expected an ingredient of the job"));
}

TEST_CASE("a limit on all protein outlives the removal of one ingredient") {
    job::Job job = three_meals();
    job.replacements[0].references.clear();
    job::remove(job, "b");
    CHECK(job.replacements.size() == 1);
}

TEST_CASE("a further ingredient is named with its price") {
    const job::Extra extra = job::parse_extra("maize@0.28");
    CHECK(extra.ingredient == "maize");
    CHECK(extra.price == Approx(0.28));
    CHECK(job::parse_extra("maize@14 per 50 kg").price == Approx(0.28));
    CHECK_THROWS_WITH(
        job::parse_extra("maize"),
        Catch::Contains("--with: found \"maize\"; expected an ingredient and its price"));
    CHECK_THROWS_WITH(job::parse_extra("@3"), Catch::Contains("found \"@3\""));
    CHECK_THROWS_WITH(
        job::parse_extra("maize@cheap"),
        Catch::Contains("--with maize@cheap: found \"cheap\"; expected a price per kg"));

    job::ReadOptions options;
    options.with = {{"maize", 0.28}};
    const job::Job job = three_meals(options);
    REQUIRE(job.ingredients.size() == 4);
    CHECK(choice(job, "maize").price == 0.28);
}

TEST_CASE("another content is stated in the nutrient's unit or one like it") {
    const catalog::NutrientDictionary& dictionary = library().dictionary();
    const job::Restated plain = job::parse_restated("fish-meal-65.crude_protein=55", dictionary);
    CHECK(plain.ingredient == "fish-meal-65");
    CHECK(plain.nutrient == "crude_protein");
    CHECK(plain.amount == 55);
    CHECK(job::parse_restated("fish-meal-65.crude_protein=550 g/kg", dictionary).amount ==
          Approx(55));
    CHECK_THROWS_WITH(job::parse_restated("fish-meal-65=55", dictionary),
                      Catch::Contains("--weaken: found \"fish-meal-65=55\""));
    CHECK_THROWS_WITH(job::parse_restated("fish-meal-65.crude_protein=-5", dictionary),
                      Catch::Contains("found \"-5\"; expected an amount, zero or more"));
    CHECK_THROWS_WITH(job::parse_restated("fish-meal-65.crude_protein=5 MJ/kg", dictionary),
                      Catch::Contains("expected an amount of crude protein in %"));
}

TEST_CASE("amino acids of a weaker meal follow its protein, what else it holds does not") {
    job::ReadOptions options;
    options.with = {{"fish-meal-65", 1.5}};
    const job::Job before = three_meals(options);
    const double stated = choice(before, "fish-meal-65").composition.find("crude_protein")->value;
    options.restated = {{"fish-meal-65", "crude_protein", 0.8 * stated}};
    const job::Job after = three_meals(options);
    const auto amount = [](const job::Job& job, const char* nutrient) {
        return choice(job, "fish-meal-65").composition.find(nutrient)->value;
    };
    CHECK(amount(after, "crude_protein") == Approx(0.8 * stated));
    CHECK(amount(after, "lysine") == Approx(0.8 * amount(before, "lysine")));
    CHECK(amount(after, "calcium") == amount(before, "calcium"));
}
