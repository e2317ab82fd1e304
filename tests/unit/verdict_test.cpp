// SPDX-License-Identifier: GPL-3.0-or-later
// The verdict on a mix: complete, incomplete or unsafe, and every finding that it rests on.
#include "base/diagnostics.hpp"
#include "catalog/library.hpp"
#include "limits/check.hpp"
#include "limits/findings.hpp"
#include "search/cheapest.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <functional>
#include <string>
#include <utility>
#include <vector>

using namespace feedwright;
using namespace feedwright::limits;
using namespace feedwright::search;

namespace {

using test::library;

using Values = std::vector<std::pair<std::string, double>>;

job::Choice choice(const std::string& id, const Values& values,
                   const std::string& category = "oilcake") {
    job::Choice one;
    one.id = id;
    one.name = "the " + id;
    one.category = category;
    one.price = 1;
    for (const auto& [nutrient, amount] : values) {
        one.composition.set(nutrient, {amount, catalog::Origin::stated, "test"});
    }
    return one;
}

job::NutrientLimit need(const std::string& nutrient, double min) {
    job::NutrientLimit limit;
    limit.nutrient = nutrient;
    limit.min = min;
    limit.level = "requirement";
    limit.source = "test";
    return limit;
}

constexpr std::size_t meal = 0;
constexpr std::size_t premix = 1;

// A feed of a meal and a premix that is complete: everything is known, met, tried and safe.
job::Job complete() {
    job::Job job;
    job.profile = job::ProfileInUse{"nile-tilapia/grow-out", "Nile tilapia", "grow-out", "", {}};
    job.animal = {"nile-tilapia", "fish", "fish-omnivore", "grow-out"};
    job.dictionary = library().dictionary();
    job.ingredients = {choice("meal", {{"dry_matter", 90},
                                       {"crude_protein", 35},
                                       {"crude_fibre", 5},
                                       {"digestible_energy", 13},
                                       {"available_phosphorus", 0.6},
                                       {"lysine", 2},
                                       {"methionine", 0.7},
                                       {"threonine", 1.3},
                                       {"copper", 10},
                                       {"gossypol_free", 0}}),
                       choice("premix",
                              {{"dry_matter", 95},
                               {"crude_protein", 0},
                               {"digestible_energy", 0},
                               {"available_phosphorus", 0},
                               {"lysine", 0},
                               {"methionine", 0},
                               {"threonine", 0},
                               {"copper", 0}},
                              "premix")};
    job.ingredients[premix].role = "premix";
    job.ingredients[premix].rate_percent = 1;
    job.ingredients[premix].made_for_animal = true;
    job.limits = {need("crude_protein", 30),         need("digestible_energy", 12),
                  need("available_phosphorus", 0.5), need("lysine", 1.4),
                  need("methionine", 0.5),           need("threonine", 1)};
    job.tolerated = {{"meal", "", {"meal"}, 100, catalog::Cap::Kind::tried, "test", ""}};
    return job;
}

Judgement judged(const job::Job& job, const std::vector<double>& x = {0.99, 0.01}) {
    return judge(job, x, assess(job, limits_of(job), x));
}

std::string told(const Judgement& judgement) {
    std::string text;
    for (const Finding& one : judgement.findings) {
        text += std::to_string(static_cast<int>(one.found)) + ' ' + one.name + '\n';
    }
    return text;
}

// The one finding, where a complete feed was spoilt in one way.
Finding only(const Judgement& judgement, Verdict verdict, Severity severity, Found found) {
    INFO(told(judgement));
    REQUIRE(judgement.verdict);
    CHECK(*judgement.verdict == verdict);
    REQUIRE(judgement.findings.size() == 1);
    CHECK(judgement.findings[0].severity == severity);
    CHECK(judgement.findings[0].found == found);
    return judgement.findings[0];
}

job::SafeLimit safe(const std::string& substance, double max, bool verified) {
    catalog::SafeMaximum one;
    one.substance = substance;
    one.max = max;
    one.harms = "animal";
    one.source = "test";
    return {one, verified};
}

}  // namespace

TEST_CASE("a feed that has all that is known to be needed is complete, with nothing to tell") {
    const Judgement judgement = judged(complete());
    INFO(told(judgement));
    REQUIRE(judgement.verdict);
    CHECK(*judgement.verdict == Verdict::complete);
    CHECK(judgement.findings.empty());
}

TEST_CASE("without an animal, or for a ration of any weight, nothing is claimed") {
    job::Job job = complete();
    job.profile.reset();
    CHECK_FALSE(judged(job).verdict);
    job = complete();
    job.free_total = true;
    CHECK_FALSE(judged(job).verdict);
}

TEST_CASE(
    "more of a substance than is safe stops, where the safe level was read and the content is "
    "known") {
    job::Job job = complete();
    job.safe = {safe("copper", 5, true)};
    Finding one = only(judged(job), Verdict::unsafe, Severity::stop, Found::above_safe);
    CHECK(one.kind == FindingKind::toxic);
    CHECK(one.value == Approx(9.9));
    CHECK(one.number == Approx(5));
    CHECK(one.ingredient == "meal");
    // A level from memory warns.
    job.safe = {safe("copper", 5, false)};
    only(judged(job), Verdict::incomplete, Severity::warn, Found::above_safe);
    // Below it nothing is told.
    job.safe = {safe("copper", 9.91, true)};
    CHECK(judged(job).findings.empty());
}

TEST_CASE("what its kind may hold of a substance warns, and is never taken as certain") {
    job::Job job = complete();
    job.ingredients[meal].assumed["selenium"] = {3, catalog::Origin::assumed, "oilcake"};
    job.safe = {safe("selenium", 2, true)};
    const Finding one =
        only(judged(job), Verdict::incomplete, Severity::warn, Found::may_be_above_safe);
    CHECK(one.value == Approx(2.97));
}

TEST_CASE("of several safe levels of a substance the gravest is told, once") {
    job::Job job = complete();
    job.safe = {safe("copper", 9, false), safe("copper", 8, true), safe("copper", 6, true)};
    const Finding one = only(judged(job), Verdict::unsafe, Severity::stop, Found::above_safe);
    CHECK(one.number == Approx(6));
}

TEST_CASE(
    "a premix far above its label rate is unsafe, and one below it, for others or absent "
    "incomplete") {
    job::Job job = complete();
    CHECK(judged(job, {0.985, 0.015}).findings.empty());
    only(judged(job, {0.98, 0.02}), Verdict::unsafe, Severity::stop, Found::premix_over_rate);
    only(judged(job, {0.995, 0.005}), Verdict::incomplete, Severity::warn,
         Found::premix_under_rate);
    only(judged(job, {1, 0}), Verdict::incomplete, Severity::warn, Found::no_premix);
    job.ingredients[premix].made_for_animal = false;
    only(judged(job), Verdict::incomplete, Severity::warn, Found::premix_for_others);
}

TEST_CASE("a need that is not met is short, or its supply unknown") {
    job::Job job = complete();
    job.limits[0].min = 36;
    Finding one = only(judged(job), Verdict::incomplete, Severity::warn, Found::short_of);
    CHECK(one.kind == FindingKind::amino_acids);
    CHECK(one.limit == "nutrient:crude_protein");
    job = complete();
    job.limits[1].min = 13;
    CHECK(only(judged(job), Verdict::incomplete, Severity::warn, Found::short_of).kind ==
          FindingKind::energy);
    job = complete();
    job.limits.push_back(need("niacin", 20));
    one = only(judged(job), Verdict::incomplete, Severity::warn, Found::unknown_supply);
    CHECK(one.kind == FindingKind::vitamins);
    // What the mix holds of an amino acid that nobody analysed is no zero.
    job = complete();
    job.limits.push_back(need("tryptophan", 0.3));
    one = only(judged(job), Verdict::incomplete, Severity::warn, Found::nothing_known);
    CHECK(one.kind == FindingKind::amino_acids);
    job = complete();
    job.limits.push_back(need("niacin", 20));
    // A need that only is shown counts in the verdict all the same.
    job.limits.back().advisory = true;
    only(judged(job), Verdict::incomplete, Severity::warn, Found::unknown_supply);
}

TEST_CASE("more than is good is told as such") {
    job::Job job = complete();
    job::NutrientLimit most;
    most.nutrient = "crude_fibre";
    most.max = 4;
    most.source = "test";
    job.limits.push_back(most);
    const Finding one = only(judged(job), Verdict::incomplete, Severity::warn, Found::too_much);
    CHECK(one.number == Approx(4));
}

TEST_CASE("what no figure is known for cannot be shown to be met") {
    const auto without = [](const std::string& nutrient) {
        job::Job job = complete();
        std::erase_if(job.limits,
                      [&](const job::NutrientLimit& limit) { return limit.nutrient == nutrient; });
        return judged(job);
    };
    CHECK(only(without("crude_protein"), Verdict::incomplete, Severity::warn, Found::no_need_known)
              .name == "protein");
    CHECK(only(without("digestible_energy"), Verdict::incomplete, Severity::warn,
               Found::no_need_known)
              .name == "energy");
    CHECK(only(without("available_phosphorus"), Verdict::incomplete, Severity::warn,
               Found::no_need_known)
              .name == "phosphorus");
    job::Job hens = complete();
    hens.animal = {"laying-hen", "poultry", "layer", "lay"};
    CHECK(only(judged(hens), Verdict::incomplete, Severity::warn, Found::no_need_known).name ==
          "calcium");
}

TEST_CASE(
    "with few amino acids known a feed is not called complete, nor on those of a relative alone") {
    job::Job job = complete();
    job.limits.pop_back();  // threonine
    only(judged(job), Verdict::incomplete, Severity::warn, Found::few_amino_acids);
    job = complete();
    job.limits.back().level = "borrowed";
    only(judged(job), Verdict::incomplete, Severity::warn, Found::borrowed_needs);
    // Beside enough of its own a borrowed figure is only told.
    job = complete();
    job.limits.push_back(need("tryptophan", 0.1));
    job.limits.back().level = "borrowed";
    job.ingredients[meal].composition.set("tryptophan", {0.4, catalog::Origin::stated, "test"});
    job.ingredients[premix].composition.set("tryptophan", {0, catalog::Origin::stated, "test"});
    only(judged(job), Verdict::complete, Severity::note, Found::borrowed_needs);
}

TEST_CASE("more of an ingredient than was tried, or one that nothing is known of, is untested") {
    job::Job job = complete();
    job.tolerated[0].max = 60;
    const Finding one = only(judged(job), Verdict::incomplete, Severity::warn, Found::past_cap);
    CHECK(one.kind == FindingKind::untested);
    CHECK(one.value == Approx(99));
    CHECK(one.number == Approx(60));
    CHECK(one.detail == "tried");
    job.tolerated.clear();
    only(judged(job), Verdict::incomplete, Severity::warn, Found::no_cap);
}

TEST_CASE("a wet mix is not called complete as it is") {
    job::Job job = complete();
    job.ingredients[meal].composition.set("dry_matter", {79, catalog::Origin::stated, "test"});
    only(judged(job), Verdict::incomplete, Severity::warn, Found::too_wet);
    const std::vector<double> x{0.99, 0.01};
    const auto dried = at_common_moisture(job, assess(job, limits_of(job), x));
    REQUIRE(dried);
    CHECK(dried->finished_moisture == Approx(10));
    CHECK(dried->moisture_assumed);
    REQUIRE(dried->notes.size() == 1);
    CHECK(dried->notes[0].kind == job::Note::Kind::dried);
    CHECK(dried->notes[0].value.value_or(0) == Approx(20.84));
    CHECK(dried->notes[0].number == 10);
    // A mix that is dry enough, or has a moisture of its own, is compared as it is.
    job = complete();
    CHECK_FALSE(at_common_moisture(job, assess(job, limits_of(job), x)));
    job.ingredients[meal].composition.set("dry_matter", {50, catalog::Origin::stated, "test"});
    job.finished_moisture = 60;
    CHECK_FALSE(at_common_moisture(job, assess(job, limits_of(job), x)));
}

TEST_CASE("findings come worst first") {
    job::Job job = complete();
    job.limits[0].min = 36;
    job.safe = {safe("copper", 5, true)};
    job.tolerated[0].max = 60;
    const Judgement judgement = judged(job, {0.985, 0.015});
    REQUIRE(judgement.findings.size() == 3);
    CHECK(judgement.verdict == Verdict::unsafe);
    CHECK(judgement.findings[0].found == Found::above_safe);
    CHECK(judgement.findings[1].found == Found::short_of);
    CHECK(judgement.findings[2].found == Found::past_cap);
}

TEST_CASE("a recipe that misses by less than feed law tolerates passes, and is told so") {
    job::Job recipe = complete();
    recipe.tolerances = library().tolerances();
    recipe.ingredients[meal].amount = 99;
    recipe.ingredients[premix].amount = 1;
    recipe.limits[0].min = 37;  // it has 34.65; three points are allowed
    const limits::Check within = limits::check(recipe);
    CHECK(within.passes);
    only(within.judgement, Verdict::complete, Severity::note, Found::within_tolerance);
    recipe.limits[0].min = 37.7;
    const limits::Check beyond = limits::check(recipe);
    CHECK_FALSE(beyond.passes);
    only(beyond.judgement, Verdict::incomplete, Severity::warn, Found::short_of);
    // A share of protein is compared as what it is of this feed: 2 % of 34.65 % is 0.693, and a
    // tenth may be missing.
    recipe.limits[0].min = 30;
    recipe.limits[4].basis = catalog::Basis::of_protein;  // methionine: 0.693 % of the feed
    recipe.limits[4].min = 2.2;
    only(limits::check(recipe).judgement, Verdict::complete, Severity::note,
         Found::within_tolerance);
    recipe.limits[4].min = 2.25;
    only(limits::check(recipe).judgement, Verdict::incomplete, Severity::warn, Found::short_of);
    recipe.limits[4].min = 1;
    // The job's own limit has no tolerance.
    recipe.limits[0].min = 37;
    recipe.limits[0].source = "job";
    CHECK_FALSE(limits::check(recipe).passes);
}

TEST_CASE("the tolerances are those of Annex IV of Regulation 767/2009") {
    const auto& table = library().tolerances();
    const auto tolerated = [&](const char* nutrient, double asked, double value) {
        return limits::is_tolerated(table, nutrient, asked, value);
    };
    // Crude protein: 1 point below 8 %, 12.5 % of the content below 24 %, 3 points from there.
    CHECK(tolerated("crude_protein", 7, 6.01));
    CHECK_FALSE(tolerated("crude_protein", 7, 5.99));
    CHECK(tolerated("crude_protein", 16, 14.01));
    CHECK_FALSE(tolerated("crude_protein", 16, 13.99));
    CHECK(tolerated("crude_protein", 24, 21.01));
    CHECK_FALSE(tolerated("crude_protein", 24, 20.99));
    // Crude fat: above the label twice as much.
    CHECK(tolerated("crude_lipid", 8, 9.99));
    CHECK_FALSE(tolerated("crude_lipid", 8, 10.01));
    CHECK(tolerated("crude_lipid", 8, 7.01));
    CHECK_FALSE(tolerated("crude_lipid", 8, 6.99));
    // Crude fibre: 1.75 points below 10 %.
    CHECK(tolerated("crude_fibre", 9, 10.74));
    CHECK_FALSE(tolerated("crude_fibre", 9, 10.76));
    // Calcium: 0.3 points below 1 %, and above the label 0.6.
    CHECK(tolerated("calcium", 0.9, 0.61));
    CHECK_FALSE(tolerated("calcium", 0.9, 0.59));
    CHECK(tolerated("calcium", 0.9, 1.49));
    CHECK_FALSE(tolerated("calcium", 0.9, 1.51));
    // Energy: 5 % below.
    CHECK(tolerated("digestible_energy", 12, 11.41));
    CHECK_FALSE(tolerated("digestible_energy", 12, 11.39));
    // Nothing is said of moisture below the label, nor of what the law does not name.
    CHECK_FALSE(tolerated("moisture", 10, 9.9));
    CHECK_FALSE(tolerated("gossypol_free", 100, 99.9));
}

TEST_CASE("free amino acids and urea count as at most one percent of protein") {
    job::Job job = complete();
    job.ingredients.push_back(
        choice("lysine-hcl", {{"dry_matter", 99}, {"crude_protein", 95}}, "amino-acid"));
    job.ingredients[2].amount = 3;  // of a recipe: no cap keeps it down
    const auto counted = [&] {
        for (const Limit& limit : limits_of(job)) {
            if (limit.id == "nutrient:crude_protein@counted") return true;
        }
        return false;
    };
    CHECK(counted());
    const auto value = [&](const std::vector<double>& x) {
        for (const Limit& limit : limits_of(job)) {
            if (limit.id == "nutrient:crude_protein@counted") return value_of(limit, x).value();
        }
        return -1.0;
    };
    // What 0.8 kg of meal at 35 % bring has to be all but one point of the 30 %; lysine counts for
    // that point.
    CHECK(value({0.8, 0, 0.2}) == Approx(0.8 * 35));
    for (const Limit& limit : limits_of(job)) {
        if (limit.id == "nutrient:crude_protein@counted") CHECK(limit.min == Approx(29));
    }
    // Enough nitrogen, too little protein.
    job.limits[0].min = 34;
    job.tolerated.push_back(
        {"lysine-hcl", "", {"lysine-hcl"}, 100, catalog::Cap::Kind::tried, "test", ""});
    const Finding one = only(judged(job, {0.94, 0.01, 0.05}), Verdict::incomplete, Severity::warn,
                             Found::free_protein);
    CHECK(one.number == Approx(33));
    CHECK(one.value == Approx(32.9));
    // Where protein in all is short that says it.
    job.limits[0].min = 38;
    only(judged(job, {0.94, 0.01, 0.05}), Verdict::incomplete, Severity::warn, Found::short_of);
    job.limits[0].min = 30;
    // Where the caps allow no more than that anyway there is no such limit.
    job.ingredients[2].amount.reset();
    job.caps.push_back(
        {"lysine-hcl", "", {"lysine-hcl"}, 1, catalog::Cap::Kind::rule_of_thumb, "test", ""});
    CHECK_FALSE(counted());
    job.caps.back().max = 2;
    CHECK(counted());
}

TEST_CASE("limits that yield are held where they can be, the more dangerous to miss first") {
    const auto yielding = [](const std::string& nutrient, double min) {
        job::NutrientLimit limit = need(nutrient, min);
        limit.yields = true;
        return limit;
    };
    const auto held = [](const job::Job& job) {
        std::vector<std::string> ids;
        for (const job::NutrientLimit& limit : job.limits) {
            if (!limit.advisory) ids.push_back(limit.nutrient);
        }
        std::sort(ids.begin(), ids.end());
        return ids;
    };
    using Ids = std::vector<std::string>;
    job::Job job;
    job.dictionary = library().dictionary();
    job.ingredients = {choice("rich", {{"digestible_energy", 14}, {"lysine", 0}, {"niacin", 0}}),
                       choice("good", {{"digestible_energy", 10}, {"lysine", 2}, {"niacin", 10}})};
    SECTION("all of them, where one mix meets all") {
        job.limits = {yielding("digestible_energy", 11), yielding("lysine", 1)};
        CHECK(held(settle(job)) == Ids{"digestible_energy", "lysine"});
    }
    SECTION(
        "energy before an amino acid, an amino acid before a vitamin, in whatever order they "
        "stand") {
        job.limits = {yielding("niacin", 9), yielding("lysine", 1.5),
                      yielding("digestible_energy", 13)};
        CHECK(held(settle(job)) == Ids{"digestible_energy"});
        job.limits = {yielding("niacin", 9), yielding("lysine", 0.9),
                      yielding("digestible_energy", 11)};
        CHECK(held(settle(job)) == Ids{"digestible_energy", "lysine"});
    }
    SECTION("what harms before everything") {
        job::NutrientLimit harm;
        harm.nutrient = "copper";
        harm.max = 5;
        harm.yields = true;
        harm.harms = "animal";
        job.ingredients[0].composition.set("copper", {20, catalog::Origin::stated, "test"});
        job.ingredients[1].composition.set("copper", {0, catalog::Origin::stated, "test"});
        job.limits = {yielding("digestible_energy", 13), harm};
        CHECK(held(settle(job)) == Ids{"copper"});
    }
    SECTION(
        "where even what must hold leaves no mix all yield, so that the explanation names what "
        "must") {
        job.limits = {need("lysine", 3), yielding("digestible_energy", 11)};
        CHECK(held(settle(job)) == Ids{"lysine"});
    }
    SECTION("prices are left as they were") {
        job.ingredients[0].price.reset();
        job.limits = {yielding("lysine", 1)};
        CHECK_FALSE(settle(job).ingredients[0].price);
    }
}

namespace {

job::Job read(const std::string& inside, job::ReadOptions options = {}) {
    const test::TempFolder folder;
    return job::read_job(
        folder.write("job.json", R"({"format":"feedwright-job/1",)" + inside + "}"), library(),
        options);
}

const std::string tilapia = R"("profile":"nile-tilapia/grow-out","ingredients":[
    {"id":"fish-meal-65","price":1.65},{"id":"soybean-meal-44","price":0.58},{"id":"maize","price":0.28},
    {"id":"cottonseed-cake-expeller","price":0.1},{"id":"premix-tilapia","price":3}])";

std::optional<double> minimum(const job::Job& job, const std::string& nutrient) {
    for (const job::NutrientLimit& limit : job.limits) {
        if (limit.nutrient == nutrient && limit.harms.empty()) return limit.min;
    }
    return std::nullopt;
}

}  // namespace

TEST_CASE(
    "a premix that is made for the animal goes in at its label rate, unless the job says "
    "otherwise") {
    const job::Job job = read(tilapia);
    const job::Choice& own = *job.find("premix-tilapia");
    CHECK(own.made_for_animal);
    CHECK(own.at_label_rate);
    CHECK(own.rate_percent == Approx(1));
    const Formulation mix = search::formulate(settle(job));
    REQUIRE(mix.status == lp::Status::optimal);
    for (const MixItem& item : mix.items) {
        if (item.id == "premix-tilapia") CHECK(item.percent == Approx(1));
    }
    std::string set = tilapia;
    set.insert(set.rfind("\"price\":3"), "\"max\":2,");
    CHECK_FALSE(read(set).find("premix-tilapia")->at_label_rate);
}

TEST_CASE(
    "the safe level of a poison shapes the mix beside the cap of the ingredient that holds it") {
    const job::Job job = read(tilapia);
    const bool limited =
        std::any_of(job.limits.begin(), job.limits.end(), [](const job::NutrientLimit& limit) {
            return limit.nutrient == "gossypol_free" && limit.max && !limit.harms.empty();
        });
    CHECK(limited);
    CHECK(std::any_of(job.caps.begin(), job.caps.end(), [](const job::CapLimit& cap) {
        return cap.subject == "cottonseed-cake-expeller";
    }));
    job::ReadOptions none;
    none.caps = job::CapsInUse::none;
    const job::Job free = read(tilapia, none);
    CHECK(free.caps.empty());
    // The verdict still knows them.
    CHECK_FALSE(free.tolerated.empty());
}

TEST_CASE("kinds of needs are held as asked for") {
    const auto shapes = [](const job::Job& job, const std::string& nutrient) {
        return std::any_of(
            job.limits.begin(), job.limits.end(), [&](const job::NutrientLimit& limit) {
                return limit.nutrient == nutrient && limit.harms.empty() && !limit.advisory;
            });
    };
    job::ReadOptions options;
    CHECK_FALSE(shapes(read(tilapia), "niacin"));
    options.enforce = std::set<job::Need>{job::Need::vitamins};
    CHECK(shapes(read(tilapia, options), "niacin"));
    CHECK_FALSE(shapes(read(tilapia, options), "zinc"));
    // What is asked for does not yield.
    const job::Job asked = read(tilapia, options);
    CHECK(std::none_of(
        asked.limits.begin(), asked.limits.end(),
        [](const job::NutrientLimit& limit) { return limit.yields && limit.harms.empty(); }));
}

TEST_CASE("a fertilised pond gives part of what fish need") {
    job::ReadOptions options;
    options.fish_per_m2 = 1;
    const job::Job pond = read(tilapia, options);
    REQUIRE(pond.pond);
    const job::Job tank = read(tilapia);
    CHECK_FALSE(tank.pond);
    const auto protein = minimum(pond, "crude_protein");
    const auto alone = minimum(tank, "crude_protein");
    REQUIRE(alone);
    double given = 0;
    for (const catalog::Pond::Supply& supply : pond.pond->supplies) {
        if (supply.nutrient == "crude_protein") given = supply.percent_of_need;
    }
    REQUIRE(given > 0);
    REQUIRE(protein);
    CHECK(*protein == Approx(*alone * (1 - given / 100)));
    // More fish than the source knew live on the feed alone: that is refused with a word.
    options.fish_per_m2 = 900;
    CHECK_THROWS_AS(read(tilapia, options), base::DataError);
}

TEST_CASE("a price that looks wrong is asked about and leaves the verdict") {
    job::Job job = complete();
    job.currency = "USD";
    job.notes.push_back({.kind = job::Note::Kind::dear_price,
                         .name = "the meal",
                         .value = 60,
                         .number = 0.6,
                         .category = ""});
    const Finding one = only(judged(job), Verdict::complete, Severity::warn, Found::odd_price);
    CHECK(one.kind == FindingKind::input);
    CHECK(one.value == 60.0);
    CHECK(one.number == 0.6);
    CHECK(one.unit == "USD a kg");
}
