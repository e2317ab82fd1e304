// SPDX-License-Identifier: GPL-3.0-or-later
// A bought feed of which only the label is known, as an ingredient. Expected numbers are worked out
// by hand from the needs of the library below.
#include "base/diagnostics.hpp"
#include "limits/check.hpp"
#include "limits/findings.hpp"
#include "search/cheapest.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "tasks/formulate.hpp"
#include "tasks/recipe.hpp"

#include <algorithm>
#include <string>

using namespace feedwright;
using catalog::Origin;
using limits::Finding;
using limits::Found;

namespace {

// Hens that need protein, lysine as a share of it, calcium on dry matter, and little fibre.
struct Henhouse {
    test::TempFolder folder;

    Henhouse() {
        folder.write("nutrients.json", R"({"format":"feedwright-nutrients/1","nutrients":[
          {"id":"dry_matter","name":"dry matter","unit":"%","group":"proximate"},
          {"id":"moisture","name":"moisture","unit":"%","group":"proximate"},
          {"id":"crude_protein","name":"crude protein","unit":"%","group":"proximate"},
          {"id":"crude_fibre","name":"crude fibre","unit":"%","group":"proximate"},
          {"id":"lysine","name":"lysine","unit":"%","group":"amino_acid"},
          {"id":"calcium","name":"calcium","unit":"%","group":"macro_mineral"},
          {"id":"phosphorus","name":"phosphorus","unit":"%","group":"macro_mineral"},
          {"id":"zinc","name":"zinc","unit":"mg/kg","group":"trace_mineral"}]})");
        folder.write("sources.json", R"({"format":"feedwright-sources/1","sources":[
          {"id":"a","citation":"A","how_known":"read"}]})");
        folder.write("caps.json", R"({"format":"feedwright-caps/1","groups":[],"caps":[]})");
        folder.write("cautions.json", R"({"format":"feedwright-cautions/1","cautions":[]})");
        folder.write("profiles/hen.json", R"({"format":"feedwright-profile/1","species":"hen",
          "name":"hen","group":"poultry","stages":[{"id":"lay","name":"in lay","limits":[
            {"nutrient":"crude_protein","min":15,"level":"practical","source":"a"},
            {"nutrient":"crude_fibre","max":7,"level":"practical","source":"a"},
            {"nutrient":"lysine","min":5,"basis":"of_protein","level":"practical","source":"a"},
            {"nutrient":"calcium","min":4,"basis":"dry_matter","level":"practical","source":"a"},
            {"nutrient":"zinc","min":60,"level":"practical","advisory":true,"source":"a"}],
            "ratios":[{"of":"calcium","to":"phosphorus","min":5,"max":12,"level":"practical",
              "source":"a"}]}]})");
        folder.write("ingredients/maize.json", R"({"format":"feedwright-ingredient/1",
          "id":"maize","name":"maize","category":"cereal","composition":[{"source":"a",
            "basis":"as_fed","nutrients":{"dry_matter":88,"crude_protein":8,"crude_fibre":2,
              "lysine":0.24,"calcium":0,"phosphorus":0.3,"zinc":20}}]})");
        folder.write("ingredients/larvae.json", R"({"format":"feedwright-ingredient/1",
          "id":"larvae","name":"larvae","category":"insect","composition":[{"source":"a",
            "basis":"as_fed","nutrients":{"dry_matter":92,"crude_protein":40,"crude_fibre":6,
              "lysine":2.4,"calcium":7,"phosphorus":0.9,"zinc":120}}]})");
    }

    catalog::Library library() const { return catalog::Library(folder.path().string()); }

    job::Job recipe(const std::string& label, const std::string& others, double bag = 70) const {
        catalog::Library all = library();
        return job::read_recipe(
            folder.write("recipe.json",
                         R"({"format":"feedwright-recipe/1","profile":"hen/lay","ingredients":[
                         {"id":"mash","name":"the mash","label":)" +
                             label + R"(,"price":"20 per 40 kg","amount":)" + std::to_string(bag) +
                             "}" + others + "]}"),
            all, {});
    }
};

const std::string only_protein = R"({"for":"hen/lay","crude_protein":16.5})";
const std::string and_maize = R"(,{"id":"maize","amount":30,"price":0.2})";

const catalog::Amount& amount(const job::Job& job, const std::string& nutrient) {
    const catalog::Amount* found = job.find("mash")->composition.find(nutrient);
    REQUIRE(found != nullptr);
    return *found;
}

std::size_t count(const limits::Judgement& judgement, Found found) {
    return static_cast<std::size_t>(
        std::count_if(judgement.findings.begin(), judgement.findings.end(),
                      [&](const Finding& one) { return one.found == found; }));
}

const Finding& thinned_in(const limits::Judgement& judgement, const std::string& limit) {
    const auto at = std::find_if(
        judgement.findings.begin(), judgement.findings.end(),
        [&](const Finding& one) { return one.found == Found::thinned && one.limit == limit; });
    REQUIRE(at != judgement.findings.end());
    return *at;
}

}  // namespace

TEST_CASE("a bag holds what its label says, and what its animal needs where that is silent") {
    const job::Job job = Henhouse().recipe(only_protein, "");
    CHECK(amount(job, "crude_protein").value == 16.5);
    CHECK(amount(job, "crude_protein").origin == Origin::stated);
    // 5 % of 16.5 % protein; 4 % of the 90 % dry matter of a dry feed; calcium 3.6 over 5.
    CHECK(amount(job, "lysine").value == Approx(0.825));
    CHECK(amount(job, "lysine").origin == Origin::assumed);
    CHECK(amount(job, "dry_matter").value == 90);
    CHECK(amount(job, "calcium").value == Approx(3.6));
    CHECK(amount(job, "phosphorus").value == Approx(0.72));
    CHECK(amount(job, "zinc").value == Approx(60));
    // Of fibre no least amount is known: it counts under the maximum alone.
    CHECK(job.find("mash")->composition.find("crude_fibre") == nullptr);
    CHECK(job.find("mash")->assumed.at("crude_fibre").value == 7);
    CHECK(job.find("mash")->price == Approx(0.5));
}

TEST_CASE("what a label promises at least and at most is what the bag holds") {
    const job::Job job = Henhouse().recipe(
        R"({"for":"hen/lay","crude_protein":{"min":"160 g/kg"},"crude_fibre":{"max":6},
            "calcium":{"min":3.5,"max":4.5},"moisture":{"max":12},"reserve_percent":10})",
        "");
    CHECK(amount(job, "crude_protein").value == Approx(16));
    CHECK(amount(job, "crude_fibre").value == 6);
    CHECK(amount(job, "dry_matter").value == 88);
    CHECK(amount(job, "calcium").value == 3.5);
    CHECK(job.find("mash")->assumed.at("calcium").value == 4.5);
    CHECK(amount(job, "lysine").value == Approx(0.05 * 16 * 1.1));
    CHECK(amount(job, "zinc").value == Approx(66));
}

TEST_CASE("a bag alone passes, as far as its label says") {
    const limits::Check check = limits::check(Henhouse().recipe(only_protein, ""));
    CHECK(check.passes);
    CHECK(count(check.judgement, Found::short_of) == 0);
    CHECK(count(check.judgement, Found::unknown_supply) == 0);
    CHECK(count(check.judgement, Found::no_premix) == 0);
    CHECK(count(check.judgement, Found::no_cap) == 0);
    REQUIRE(count(check.judgement, Found::rests_on_label) == 1);
}

TEST_CASE("a bag and maize are told by how much the maize thins the bag") {
    const limits::Check check = limits::check(Henhouse().recipe(only_protein, and_maize));
    CHECK(count(check.judgement, Found::short_of) == 0);
    CHECK(count(check.judgement, Found::unknown_supply) == 0);
    const Finding& protein = thinned_in(check.judgement, "nutrient:crude_protein");
    CHECK(protein.ingredient == "mash");
    CHECK(*protein.value == Approx(0.7 * 16.5 + 0.3 * 8));
    CHECK(protein.number == 15);
    CHECK(*thinned_in(check.judgement, "nutrient:zinc").value == Approx(0.7 * 60 + 0.3 * 20));
    CHECK(*thinned_in(check.judgement, "nutrient:calcium").value ==
          Approx(100 * 0.7 * 3.6 / (0.7 * 90 + 0.3 * 88)));
    CHECK(check.judgement.verdict == limits::Verdict::incomplete);
}

TEST_CASE("a bag whose label promises less than the animal needs is short by itself") {
    const limits::Check check =
        limits::check(Henhouse().recipe(R"({"for":"hen/lay","crude_protein":14})", "", 100));
    CHECK(count(check.judgement, Found::thinned) == 0);
    CHECK(count(check.judgement, Found::short_of) == 1);
    CHECK_FALSE(check.passes);
}

TEST_CASE("dilution lowers what is asked to so much below the bag") {
    const Henhouse house;
    catalog::Library library = house.library();
    const std::string file = house.folder.write(
        "job.json", R"({"format":"feedwright-job/1","profile":"hen/lay","ingredients":[
          {"id":"mash","label":{"for":"hen/lay","crude_protein":16.5,"crude_fibre":5},"price":0.5},
          {"id":"maize","price":0.2}]})");
    const auto cost = [&](std::optional<double> dilute) {
        tasks::FormulateRequest request;
        request.job.file = file;
        request.job.options.dilute_percent = dilute;
        return tasks::formulate(request, library);
    };
    // Only the bag has enough zinc and calcium, of which it is taken to have no more than needed.
    const tasks::Answer whole = cost({});
    REQUIRE(whole.has_mix());
    const tasks::Answer thin = cost(5);
    REQUIRE(thin.has_mix());
    CHECK(thin.mix.cost_per_kg < whole.mix.cost_per_kg);
    const auto asked = [&](const std::string& id) {
        for (const limits::LimitResult& limit : thin.mix.assessment.limits) {
            if (limit.limit.id == id) return limit.limit;
        }
        return limits::Limit{};
    };
    // The label promises 10 % more protein than is needed: 5 % below that is enough, and is asked.
    CHECK(asked("nutrient:crude_protein").min == 15);
    CHECK_FALSE(asked("nutrient:crude_protein").undiluted_min);
    CHECK(*asked("nutrient:calcium").min == Approx(3.8));
    CHECK(asked("nutrient:calcium").undiluted_min == 4);
    // x maize: calcium 3.6 (1 - x) of 90 - 2 x dry matter is 3.8 %.
    const double maize = (3.6 - 0.038 * 90) / (3.6 - 0.038 * 2);
    CHECK(thin.mix.amounts[0] == Approx(maize));
    CHECK(count(thin.mix.judgement, Found::thinned) > 0);
    CHECK(thin.mix.judgement.verdict == limits::Verdict::incomplete);
}

TEST_CASE("a concentrate meets the needs at the share of its label and goes in at that") {
    const Henhouse house;
    catalog::Library library = house.library();
    const std::string concentrate =
        R"({"for":"hen/lay","crude_protein":36,"crude_fibre":8,"use_percent":40})";
    const std::string file = house.folder.write(
        "job.json", R"({"format":"feedwright-job/1","profile":"hen/lay","ingredients":[
          {"id":"mash","label":)" +
                        concentrate + R"(,"price":0.9},{"id":"maize","price":0.2}]})");
    const job::Job job = job::read_job(file, library, {});
    CHECK(amount(job, "zinc").value == Approx(150));
    CHECK(amount(job, "lysine").value == Approx(0.05 * 36 / 0.4));
    const tasks::Answer answer = tasks::formulate({{file, {}, false}, {}}, library);
    REQUIRE(answer.has_mix());
    CHECK(answer.mix.amounts[0] == Approx(0.6));
    CHECK(answer.mix.amounts[1] == Approx(0.4));
    CHECK(count(answer.mix.judgement, Found::feed_off_share) == 0);
    const limits::Check less =
        limits::check(house.recipe(concentrate, R"(,{"id":"maize","amount":70})", 30));
    CHECK(count(less.judgement, Found::feed_off_share) == 1);
}

TEST_CASE("a bag of a library is one like a bag of the job, in a price list too") {
    const Henhouse house;
    const std::string own =
        house.folder.write("own.json", R"({"format":"feedwright-library/1","ingredients":[
          {"id":"my-bag","name":"my bag","label":)" +
                                           only_protein + "}]}");
    catalog::Library library(house.folder.path().string(), {own});
    job::ReadOptions options;
    options.profile = "hen/lay";
    options.prices = job::read_price_list(
        house.folder.write("prices.csv", "ingredient,price\nmy-bag,20 per 40 kg\nmaize,0.2\n"));
    const job::Job job = job::job_from_prices(library, options);
    REQUIRE(job.find("my-bag") != nullptr);
    CHECK(job.find("my-bag")->label.has_value());
    CHECK(job.find("my-bag")->composition.find("zinc")->value == Approx(60));
}

TEST_CASE("a label that names no animal of the library is told with the nearest") {
    try {
        Henhouse().recipe(R"({"for":"hen/lays","crude_protein":16})", "");
        FAIL("it was read");
    } catch (const base::DataError& error) {
        const std::string said = error.what();
        CHECK(said.find("hen/lays") != std::string::npos);
        CHECK(said.find("Did you mean \"hen/lay\"") != std::string::npos);
    }
    CHECK_THROWS_AS(Henhouse().recipe(R"({"crude_protein":16})", ""), base::DataError);
    CHECK_THROWS_AS(Henhouse().recipe(R"({"for":"hen/lay","lysin":1})", ""), base::DataError);
}
