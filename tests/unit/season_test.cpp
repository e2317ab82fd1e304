// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/season.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "catalog/library.hpp"
#include "document/document.hpp"
#include "economics/plan.hpp"
#include "job/job.hpp"
#include "report/economics/season_report.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"
#include "tasks/formulate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <string>
#include <vector>

using namespace feedwright;

namespace {

std::string source(const std::string& name) {
    return (test::source_folder() / name).string();
}

using test::library;

tasks::SeasonOf season(const std::string& text) {
    return tasks::season({"", {}, text}, library());
}

// What is wrong with a season, or nothing.
std::string problem(const std::string& text) {
    try {
        season(text);
    } catch (const base::DataError& error) {
        return error.what();
    }
    return "";
}

// One feed of some animals, of which the file says the rest.
std::string text_of(const std::string& periods, const std::string& animals,
                    const std::string& ingredients, const std::string& more = "") {
    return R"({"format": "feedwright-season/1", "period_days": 30, "periods": )" + periods +
           R"(, "animals": [)" + animals + R"(], "ingredients": [)" + ingredients + "]" +
           (more.empty() ? "" : ", " + more) + "}";
}

const std::string hens = R"({"name": "hens", "feed_kg": 10,
    "limits": [{"nutrient": "crude_protein", "min": 16}]})";
const std::string grain =
    R"({"id": "aa", "price": 0.3, "dry_matter": 90, "nutrients": {"crude_protein": 10}})";
const std::string cake =
    R"({"id": "bb", "price": 0.6, "dry_matter": 90, "nutrients": {"crude_protein": 40}})";

}  // namespace

TEST_CASE("season: two ingredients by hand") {
    // 16 % protein from 10 % and 40 %: 0.8 and 0.2. 0.8 x 0.3 + 0.2 x 0.6 = 0.36 a kg.
    const auto result = season(text_of("2", hens, grain + "," + cake));
    REQUIRE(result.solved());
    CHECK(result.plan.cost.total() == Approx(2 * 10 * 0.36));
    REQUIRE(result.fed.size() == 2);
    REQUIRE(result.fed[0].mix);
    CHECK(result.fed[0].mix->mix.items[0].percent == Approx(80));
    CHECK_FALSE(result.verdict);
    CHECK_FALSE(result.plan.all_bought);
    CHECK(*result.plan.all_home == Approx(7.2));
}

TEST_CASE("season: a cheap month is stored from, as long as it keeps") {
    const auto with = [&](const std::string& keeps) {
        return season(text_of("3", R"({"name": "hens", "feed_kg": 10,
                                      "limits": [{"nutrient": "crude_protein", "min": 5}]})",
                              R"({"id": "aa", "price": [0.1, 0.5, 0.5], "loss_percent": 10, )" +
                                  keeps +
                                  R"("dry_matter": 90, "nutrients": {"crude_protein": 10}})"));
    };
    // For the second period 10 / 0.9 kg are bought in the first, for the third 10 / 0.81.
    CHECK(with("").plan.cost.total() == Approx(1 + 1 / 0.9 + 1 / 0.81));
    CHECK(with(R"("keeps_periods": 1, )").plan.cost.total() == Approx(1 + 1 / 0.9 + 5));
    CHECK(with(R"("keeps_periods": 0, )").plan.cost.total() == Approx(11));
    CHECK(with(R"("store_kg": 5, )").plan.cost.total() == Approx(1 + (0.5 + (10 - 4.5) * 0.5) + 5));
}

TEST_CASE("season: equipment is bought where it pays and not else") {
    const auto with = [&](double cost) {
        return season(text_of("2", hens, grain + "," + cake,
                              R"("bought_feeds": [{"name": "bag", "price": "20 per 40 kg"}],
               "making": {"equipment": [{"name": "mincer", "cost_for_season": )" +
                                  fmt::format("{}", cost) + "}]}"));
    };
    // All bought: 20 kg at 0.5. Made at home: 7.2 and the mincer.
    const auto pays = with(2.7);
    CHECK(pays.plan.cost.total() == Approx(9.9));
    CHECK(pays.plan.cost.equipment == Approx(2.7));
    CHECK(*pays.plan.all_bought == Approx(10));
    const auto not_worth_it = with(2.9);
    CHECK(not_worth_it.plan.cost.total() == Approx(10));
    CHECK(not_worth_it.plan.cost.equipment == 0);
    CHECK(*not_worth_it.plan.all_home == Approx(10.1));
    CHECK(std::all_of(not_worth_it.fed.begin(), not_worth_it.fed.end(),
                      [](const auto& fed) { return fed.home_kg == 0; }));
}

TEST_CASE("season: hours that run out have a worth, and what they saved is bought") {
    const auto result = season(text_of("1", hens, grain + "," + cake,
                                       R"("bought_feeds": [{"name": "bag", "price": 0.5}],
                          "making": {"hours_per_kg": 0.5, "hours": 2})"));
    REQUIRE(result.solved());
    CHECK(result.fed[0].home_kg == Approx(4));
    REQUIRE(result.fed[0].bought.size() == 1);
    CHECK(result.fed[0].bought[0].kg == Approx(6));
    REQUIRE(result.plan.worth.size() == 1);
    CHECK(result.plan.worth[0].what == search::OneMore::What::hours);
    CHECK(result.plan.worth[0].saves == Approx(2 * (0.5 - 0.36)));
}

TEST_CASE("season: what cannot be fed is said with how much is missing") {
    const auto result =
        season(text_of("2", hens,
                       R"({"id": "aa", "supply_kg": [4, 10], "keeps_periods": 0, "dry_matter": 90,
            "nutrients": {"crude_protein": 16}})"));
    CHECK(result.plan.status == lp::Status::infeasible);
    CHECK(result.fed[0].missing_kg == Approx(6));
    CHECK(result.fed[1].missing_kg == 0);
    // One more kg of it is one kg less that is missing.
    REQUIRE_FALSE(result.plan.worth.empty());
    CHECK(result.plan.worth[0].period == 0);
    CHECK(result.plan.worth[0].saves == Approx(1));
    const report::Run run{"feedwright", {}, {}, false};
    const std::string text = document::render_text(report::season_document(result, run));
    CHECK_THAT(text, Catch::Contains("Not all animals can be fed"));
}

TEST_CASE("season: limits that clash are named") {
    const auto result = season(text_of(
        "1",
        R"({"name": "hens", "feed_kg": 10, "limits": [{"nutrient": "crude_protein", "min": 50}]})",
        grain + "," + cake));
    CHECK(result.plan.status == lp::Status::infeasible);
    CHECK(result.fed[0].no_mix);
    CHECK(std::find(result.fed[0].clash.begin(), result.fed[0].clash.end(), "crude protein") !=
          result.fed[0].clash.end());
}

TEST_CASE("season: fresh larvae are dried for the period in which there are none") {
    const auto result = season(text_of(
        "2",
        R"({"name": "hens", "feed_kg": 10, "limits": [{"nutrient": "crude_protein", "min": 5}]})",
        R"({"id": "fresh", "supply_kg": [100, 0], "keeps_periods": 0, "dry_matter": 30,
            "nutrients": {"crude_protein": 15}},
           {"id": "dry", "dry_matter": 90, "nutrients": {"crude_protein": 45}})",
        R"("dried": [{"from": "fresh", "to": "dry", "cost_per_kg_water": 0.1,
                      "hours_per_kg_water": 0.02}],
           "making": {"finished_moisture": 10, "value_of_hour": 5})"));
    REQUIRE(result.solved());
    // 10 kg of dry ones from 30 kg of fresh ones: 20 kg of water at 0.1 and 0.02 h at 5.
    CHECK(result.plan.dried_kg[0][0] == Approx(30));
    CHECK(result.plan.cost.total() == Approx(20 * (0.1 + 0.1)));
    CHECK(result.plan.stocks[1][0].stored_kg == Approx(10));
}

// The one way to make a limit's row: a season of one period costs what formulate finds, with the
// same mix and verdict, whatever the animal.
TEST_CASE("season: one period is what formulate finds") {
    const std::vector<std::string> common{"maize",
                                          "wheat-bran",
                                          "soybean-meal-44",
                                          "fish-meal-65",
                                          "soybean-oil",
                                          "fish-oil-menhaden",
                                          "oyster-shell",
                                          "salt",
                                          "dicalcium-phosphate-dihydrate",
                                          "dl-methionine",
                                          "l-lysine-hcl",
                                          "sunflower-meal-dehulled",
                                          "groundnut-cake-expeller"};
    const std::vector<double> prices{0.3, 0.25, 0.55, 1.6, 1.4,  2.4, 0.3,
                                     0.4, 1.2,  8,    4,   0.42, 0.5};
    std::size_t compared = 0;
    for (const auto& [profile, premix] :
         {std::pair("nile-tilapia/grow-out", "premix-tilapia"),
          std::pair("nile-tilapia/fry", "premix-tilapia"),
          std::pair("common-carp/grow-out", "premix-carp"),
          std::pair("rainbow-trout/grow-out", "premix-trout"),
          std::pair("african-catfish/grow-out", "premix-african-catfish"),
          std::pair("laying-hen/lay", "premix-layer"),
          std::pair("broiler/finisher", "premix-broiler"),
          std::pair("whiteleg-shrimp/grow-out", "premix-shrimp")}) {
        const auto [species, stage] = catalog::parse_profile_id(profile);
        const catalog::Profile* known = library().profile(species);
        if (known == nullptr || known->stage(stage) == nullptr) continue;
        INFO(profile);
        std::string list;
        for (std::size_t i = 0; i < common.size(); ++i)
            list += fmt::format("{{\"id\": \"{}\", \"price\": {}}}, ", common[i], prices[i]);
        list += fmt::format("{{\"id\": \"{}\", \"price\": 5}}", premix);
        test::TempFolder folder;
        const std::string job = folder.write(
            "job.json", fmt::format("{{\"format\": \"feedwright-job/1\", \"profile\": \"{}\", "
                                    "\"ingredients\": [{}]}}",
                                    profile, list));
        const tasks::Answer answer = tasks::formulate({{job, {}, false}, {}}, library());
        const tasks::SeasonOf result = season(text_of(
            "1",
            fmt::format("{{\"name\": \"them\", \"profile\": \"{}\", \"feed_kg\": 7}}", profile),
            list));
        REQUIRE(answer.has_mix() == result.solved());
        if (!answer.has_mix()) continue;
        ++compared;
        CHECK(result.plan.cost.total() == Approx(7 * answer.mix.cost_per_kg).epsilon(1e-7));
        REQUIRE(result.fed[0].mix);
        CHECK(result.verdict == answer.mix.judgement.verdict);
        // Every limit that formulate asks is asked, and met.
        const auto& limits = result.fed[0].mix->assessment.limits;
        REQUIRE(limits.size() == answer.mix.assessment.limits.size());
        for (std::size_t k = 0; k < limits.size(); ++k) {
            INFO(limits[k].limit.id);
            CHECK(limits[k].limit.id == answer.mix.assessment.limits[k].limit.id);
            CHECK(limits[k].limit.advisory == answer.mix.assessment.limits[k].limit.advisory);
            if (!limits[k].limit.advisory) CHECK(limits[k].met);
        }
    }
    CHECK(compared >= 5);
}

TEST_CASE("season: without a home feed nothing is said of making all") {
    const auto result = season(text_of("1", R"({"name": "a", "feed_kg": 3, "home_feed": false})",
                                       grain, R"("bought_feeds": [{"name": "b", "price": 1}])"));
    REQUIRE(result.solved());
    CHECK(*result.plan.all_bought == Approx(3));
    CHECK_FALSE(result.plan.all_home);
}

TEST_CASE("season: a premix goes into the feed of the animals it is made for alone") {
    const auto result = tasks::season({source("examples/tank-and-hens/season.json")}, library());
    REQUIRE(result.solved());
    for (const tasks::SeasonFed& fed : result.fed) {
        if (!fed.mix) continue;
        const bool tank = result.season.animals[fed.animals].name == "tank";
        CHECK(fed.mix->job->find(tank ? "premix-tilapia" : "premix-layer") != nullptr);
        CHECK(fed.mix->job->find(tank ? "premix-layer" : "premix-tilapia") == nullptr);
        for (const limits::LimitResult& limit : fed.mix->assessment.limits) {
            INFO(limit.limit.id);
            if (!limit.limit.advisory) CHECK(limit.met);
        }
    }
}

TEST_CASE("season: a plan's animals are small and then large, and need what they gain") {
    const auto result = tasks::season({source("examples/tank-and-hens/season.json")}, library());
    REQUIRE(result.solved());
    double gain = 0;
    std::vector<std::string> stages;
    for (const tasks::SeasonFed& fed : result.fed) {
        if (result.season.animals[fed.animals].name != "tank") continue;
        CHECK(fed.is_gain);
        gain += fed.need_kg;
        if (fed.mix) stages.push_back(fed.mix->job->stage);
    }
    // Not fed at home below 30 g, then as fingerlings, then as large fish.
    CHECK_FALSE(result.fed[0].home_allowed);
    CHECK(stages.front() == "fingerling");
    CHECK(stages.back() == "grow-out");
    const economics::Plan plan = economics::load_plan(source("examples/tank-and-hens/tank.json"));
    const auto whole =
        economics::work_out(plan, {library().profile("nile-tilapia"), {}, {}, {}, {}});
    CHECK(gain == Approx(whole.gain_kg));
}

TEST_CASE("season: every problem of a file is told at once, with the nearest known word") {
    const std::string told = problem(R"({"format": "feedwright-season/1", "period": 2,
        "periods": 2, "period_days": 30, "currency": "USD",
        "animals": [{"name": "hens", "feed_kg": [1, 2, 3], "profil": "laying-hen/lay"}],
        "ingredients": [{"id": "maze", "price": "0.3 EUR"},
                        {"id": "bb", "price": -1, "dry_matter": 90, "nutrients": {"lysin": 2}}],
        "dried": [{"from": "maze", "to": "meize"}],
        "bought_feeds": [{"name": "bag", "for": ["hen"], "price": [1, null]}]})");
    for (const char* text :
         {"\"periods\"", "\"profile\"", "one value, or a list of 2",
          "no \"profile\" and no \"limits\"", "\"maize\"", "a price per kg, 0 or more", "lysine",
          "an id from \"ingredients\"", "Did you mean \"hens\"?"}) {
        INFO(told);
        CHECK_THAT(told, Catch::Contains(text));
    }
}

TEST_CASE("season: numbers that cannot be are refused") {
    CHECK_THAT(problem(text_of("0", hens, grain)), Catch::Contains("/periods"));
    CHECK_THAT(problem(text_of("2.5", hens, grain)), Catch::Contains("a whole number"));
    CHECK_THAT(problem(text_of("1", hens, grain, R"("making": {"loss_percent": 100})")),
               Catch::Contains("a loss from 0 to below 100 %"));
    CHECK_THAT(
        problem(text_of("1", R"({"name": "a", "gain_kg": 4, "profile": "laying-hen/lay"})", grain)),
        Catch::Contains("no \"fcr_home\""));
    CHECK_THAT(problem(text_of("1", R"({"name": "a", "feed_kg": 1, "home_feed": false})", grain,
                               R"("bought_feeds": [{"name": "b", "price": "24.5 per bag"}])")),
               Catch::Contains("24.5 per 20 kg"));
    CHECK_THAT(problem(text_of("1", hens, grain + "," + grain)), Catch::Contains("again"));
    CHECK_THAT(problem(text_of("1", hens, grain, R"("dried": [{"from": "aa", "to": "aa"}])")),
               Catch::Contains("another ingredient"));
    CHECK_THAT(problem(text_of("2", R"({"name": "a", "feed_kg": 0, "home_feed": false})", grain)),
               Catch::Contains("need nothing"));
    CHECK_THAT(problem(text_of("1", hens + "," + hens, grain)),
               Catch::Contains("a name of its own"));
}

TEST_CASE("season: a price may be for a pack, and none in some periods") {
    const auto result = season(text_of(
        "2", hens,
        R"({"id": "aa", "price": ["12 per 40 kg", null], "dry_matter": 90, "nutrients": {"crude_protein": 16}})",
        R"("bought_feeds": [{"name": "bag", "price": [null, "24.5 per 20 kg"]}])"));
    REQUIRE(result.solved());
    CHECK(*result.season.ingredients[0].pack_kg == Approx(40));
    CHECK(*result.season.bought_feeds[0].pack_kg == Approx(20));
    CHECK(result.plan.cost.total() == Approx(20 * 0.3));
    CHECK(result.plan.stocks[0][0].stored_kg == Approx(10));
}

TEST_CASE("season: with a range on the harvest, bags fill what is missing") {
    // 10 kg a period of what costs nothing, at 50 to 150 %; a kg from the bag costs 1.
    const auto result = season(text_of(
        "1",
        R"({"name": "hens", "feed_kg": 10, "limits": [{"nutrient": "crude_protein", "min": 5}]})",
        R"({"id": "aa", "supply_kg": 10, "supply_percent": [50, 100, 150], "dry_matter": 90,
            "nutrients": {"crude_protein": 10}})",
        R"("bought_feeds": [{"name": "bag", "price": 1}])"));
    REQUIRE(result.cases);
    CHECK(result.cases->cases == 1000);
    CHECK(*result.cases->pays_percent == 100);
    CHECK(result.cases->short_percent == 0);
    CHECK(result.cases->low == Approx(0).margin(1e-6));
    // 5 of 100 harvests are below 50 + sqrt(0.05 x 100 x 50) = 65.8 %; of 1,000 cases that is known
    // to 2 %.
    CHECK(result.cases->high == Approx(3.42).margin(0.2));
    // Recipes follow the harvest, so nothing could have been done better.
    CHECK(result.cases->value_of_knowing == Approx(0).margin(1e-6));
}

TEST_CASE("season: the chance that making pays is that of the FCR below where it does") {
    // 2 kg of home feed at 0.36 for 1 kg of gain, or 1.5 kg from the bag at 0.5. What was bought
    // for the home feed is paid; where its FCR is f, it makes 2 / f of the gain and the bag the
    // rest. 0.72 + (1 - 2 / f) 0.75 < 0.75 for f < 2.0833: 38.8 of 100 cases of [1, 2, 4].
    const auto result = season(
        text_of("1", R"({"name": "fish", "gain_kg": 1, "fcr_home": [1, 2, 4], "fcr_bought": 1.5,
                 "limits": [{"nutrient": "crude_protein", "min": 16}]})",
                grain + "," + cake, R"("bought_feeds": [{"name": "bag", "price": 0.5}])"));
    REQUIRE(result.cases);
    CHECK(result.plan.cost.total() == Approx(0.72));
    // Four times the standard error of 1,000 cases.
    CHECK(*result.cases->pays_percent == Approx(38.77).margin(6.2));
    CHECK(result.cases->value_of_knowing > 0);
}

TEST_CASE("season: without ranges there are no cases, and ranges are of what is written") {
    CHECK_FALSE(season(text_of("1", hens, grain + "," + cake)).cases);
    CHECK_THAT(problem(text_of("1", hens,
                               R"({"id": "maize", "price": 1, "price_percent": [50, 90, 120]})")),
               Catch::Contains("[low, 100, high]"));
    CHECK_THAT(problem(text_of("1", hens,
                               R"({"id": "maize", "price": 1, "supply_percent": [50, 100, 120]})")),
               Catch::Contains("a range and no \"supply_kg\""));
}

TEST_CASE("season: a plan in water that is too cold for its growth is said first") {
    test::TempFolder folder;
    const std::string plan = folder.write(
        "plan.json", R"({"format": "feedwright-plan/1", "profile": "nile-tilapia", "number": 100,
            "start_g": 40, "days": 60, "survival_percent": 95, "temperature": 19,
            "growth": {"sgr": 1}, "fcr": 1.6})");
    const auto result =
        season(text_of("2", R"({"name": "tank", "plan": ")" + plan + R"(", "home_feed": false})",
                       grain, R"("bought_feeds": [{"name": "bag", "price": 1}])"));
    REQUIRE(result.growth_cautions.size() == 1);
    CHECK(result.growth_cautions[0].animals == "tank");
    const report::Run run{"feedwright", {}, {}, false};
    const std::string text = document::render_text(report::season_document(result, run));
    CHECK(text.find("Tank: No forecast") < text.find("Buy all feed"));
}

TEST_CASE("season: what is sold less the cost is the margin over feed") {
    const auto result = season(text_of(
        "2",
        R"({"name": "hens", "feed_kg": 10, "limits": [{"nutrient": "crude_protein", "min": 16}],
            "sells": [{"name": "eggs", "amount": [50, 60], "price": 0.2}]},
           {"name": "fish", "gain_kg": 3, "fcr_home": 2, "limits": [{"nutrient": "crude_protein", "min": 16}],
            "sells": [{"name": "fish", "price": 2}]})",
        grain + "," + cake));
    REQUIRE(result.income.size() == 2);
    CHECK(result.income[0].money == Approx(22));
    CHECK(result.income[1].amount == Approx(6));
    CHECK(result.income[1].money == Approx(12));
    const report::Run run{"feedwright", {}, {}, false};
    CHECK_THAT(report::season_json(result, run), Catch::Contains("\"margin_over_feed\""));
    const std::string text = document::render_text(report::season_document(result, run));
    CHECK_THAT(text, Catch::Contains("Margin over feed: 22.48"));
    CHECK_THAT(problem(text_of("1", R"({"name": "a", "feed_kg": 1, "home_feed": false,
                                        "sells": [{"name": "eggs", "price": 1}]})",
                               grain)),
               Catch::Contains("no \"amount\""));
}

TEST_CASE("season: what is in store may cost something, and is then no more than is wanted") {
    const auto result = season(text_of(
        "3",
        R"({"name": "hens", "feed_kg": [2, 2, 0], "limits": [{"nutrient": "crude_protein", "min": 5}]})",
        R"({"id": "aa", "stock_kg": 10, "store_cost_per_kg": 0.1, "dry_matter": 90,
            "nutrients": {"crude_protein": 10}})"));
    REQUIRE(result.solved());
    CHECK(result.plan.cost.total() == Approx(0.2));
    CHECK(result.plan.stocks[0][0].stored_kg == Approx(2));
    CHECK(result.plan.stocks[0][0].lost_kg == Approx(6));
    CHECK(result.plan.stocks[0][1].stored_kg == 0);
}

// H. P. Williams, Model Building in Mathematical Programming, "Food Manufacture 1", as printed in
// SAS/OR User's Guide: Mathematical Programming Examples, example 1
// (support.sas.com/documentation/cdl/en/ormpex/66104/HTML/default/ormpex_ex1_sect001.htm). Its
// profit, 107842.59259, is printed in the documentation of Model.solve of sasoptpy, the same
// publisher's package. Tons are kg here, pounds the currency. 200 t of vegetable oils and 250 t of
// others are all that can be refined in a month: 450 t are sold, at most 200/450 of them vegetable
// and 250/450 others. The final stock of 500 t of each oil is a need of June, and its storage in
// June, 5 a ton, is added.
TEST_CASE("season: a published plan of buying, storing and blending over six months") {
    const std::vector<std::string> oils{"veg1", "veg2", "oil1", "oil2", "oil3"};
    const std::vector<double> hardness{8.8, 6.1, 2.0, 4.2, 5.0};
    const std::vector<std::string> prices{
        "110, 130, 110, 120, 100, 90", "120, 130, 140, 110, 120, 100",
        "130, 110, 130, 120, 150, 140", "110, 90, 100, 120, 110, 80",
        "115, 115, 95, 125, 105, 135"};
    std::string animals = fmt::format(
        R"({{"name": "product", "feed_kg": 450, "limits": [{{"nutrient": "hardness", "min": 3, "max": 6}},
            {{"nutrient": "vegetable", "max": {}}}, {{"nutrient": "other", "max": {}}}]}})",
        100 * 200 / 450.0, 100 * 250 / 450.0);
    std::string ingredients;
    for (std::size_t i = 0; i < oils.size(); ++i) {
        animals += fmt::format(
            R"(, {{"name": "final {0}", "feed_kg": [0, 0, 0, 0, 0, 500],
                  "limits": [{{"nutrient": "hardness", "min": 0}}]}})",
            oils[i]);
        ingredients += fmt::format(
            R"({0}{{"id": "{1}", "dry_matter": 100, "price": [{2}], "stock_kg": 500, "store_kg": 1000,
                    "store_cost_per_kg": 5, "for": ["product", "final {1}"],
                    "nutrients": {{"hardness": {3}, "vegetable": {4}, "other": {5}}}}})",
            i > 0 ? ", " : "", oils[i], prices[i], hardness[i], i < 2 ? 100 : 0, i < 2 ? 0 : 100);
    }
    const auto result =
        season(text_of("6", animals, ingredients,
                       R"("nutrients": [{"id": "hardness", "name": "hardness", "unit": "%"},
                         {"id": "vegetable", "name": "vegetable oils", "unit": "%"},
                         {"id": "other", "name": "other oils", "unit": "%"}])"));
    REQUIRE(result.solved());
    const double profit = 150 * 6 * 450 - result.plan.cost.total() - 5 * 5 * 500;
    CHECK(profit == Approx(107842.59259).margin(0.000005));
}

TEST_CASE("season: twelve periods, three kinds of animals and 25 ingredients are fast") {
    std::string list;
    const std::vector<std::string> ids{"maize",
                                       "wheat-bran",
                                       "rice-bran-full-fat",
                                       "soybean-meal-44",
                                       "sunflower-meal-dehulled",
                                       "groundnut-cake-expeller",
                                       "fish-meal-65",
                                       "fish-meal-anchovy",
                                       "cassava-meal",
                                       "copra-cake-expeller",
                                       "soybean-oil",
                                       "fish-oil-menhaden",
                                       "oyster-shell",
                                       "limestone",
                                       "dicalcium-phosphate-dihydrate",
                                       "monocalcium-phosphate",
                                       "salt",
                                       "dl-methionine",
                                       "premix-tilapia",
                                       "premix-layer",
                                       "premix-carp"};
    for (std::size_t i = 0; i < ids.size(); ++i) {
        list += fmt::format(
            "{{\"id\": \"{}\", \"keeps_periods\": 4, \"loss_percent\": 1, \"price\": [", ids[i]);
        for (std::size_t t = 0; t < 12; ++t)
            list += fmt::format(
                "{}{:.3f}", t > 0 ? ", " : "",
                0.2 + 0.05 * static_cast<double>(i) + 0.05 * std::sin(static_cast<double>(t + i)));
        list += "]}, ";
    }
    list +=
        R"({"id": "duckweed-fresh", "supply_kg": 30, "keeps_periods": 0}, {"id": "duckweed-dried", "store_kg": 10},
               {"id": "black-soldier-fly-fresh", "supply_kg": 10, "keeps_periods": 0},
               {"id": "black-soldier-fly-full-fat", "store_kg": 10})";
    const std::string text = text_of(
        "12",
        R"({"name": "tank", "profile": "nile-tilapia/grow-out", "gain_kg": 8, "fcr_home": 1.8, "fcr_bought": 1.5},
           {"name": "hens", "profile": "laying-hen/lay", "feed_kg": 86},
           {"name": "pond", "profile": "common-carp/grow-out", "gain_kg": 12, "fcr_home": 2, "fcr_bought": 1.7})",
        list,
        R"("dried": [{"from": "duckweed-fresh", "to": "duckweed-dried"},
                     {"from": "black-soldier-fly-fresh", "to": "black-soldier-fly-full-fat", "cost_per_kg_water": 0.1}],
           "bought_feeds": [{"name": "bag", "price": 1.4}],
           "making": {"hours_per_kg": 0.08, "hours": 10, "value_of_hour": 3,
                      "equipment": [{"name": "mincer", "cost_for_season": 20}]})");
    const auto begin = std::chrono::steady_clock::now();
    const auto result = season(text);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begin;
    CHECK(result.solved());
    CHECK(result.plan.proof.holds());
    // A third of the time that is promised would do on the machine that this was written on; the
    // rest is for slower ones and for programs built to find faults.
    CHECK(took.count() < 20);
}
