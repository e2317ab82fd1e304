// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/plan.hpp"

#include "base/diagnostics.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <string>

using namespace feedwright;
using namespace feedwright::economics;
using feedwright::base::DataError;

namespace {

Plan read(const std::string& body) {
    return parse_plan(R"({ "format": "feedwright-plan/1", )" + body + " }", "plan.json");
}

void refuses(const std::string& body, const std::string& words, const PlanContext& context = {}) {
    INFO(body);
    try {
        work_out(read(body), context);
        FAIL("accepted");
    } catch (const DataError& error) {
        INFO(error.what());
        CHECK(std::string(error.what()).find(words) != std::string::npos);
    }
}

// A species invented for the tests: two stages, rates at two temperatures, pellets.
const catalog::Profile& species() {
    static const catalog::Profile profile = [] {
        catalog::Profile p;
        p.species = "test-fish";
        p.name = "Test fish";
        p.group = "fish";
        p.temperature = catalog::TemperatureRange{18, 24, 28, 32, "temperature-source", {}};
        catalog::Stage young;
        young.id = "fingerling";
        young.name = "fingerling";
        young.weight_g = catalog::Range{1, 20};
        catalog::FeedingRate a;
        a.weight_g = {1, 20};
        a.temperature_c = catalog::Range{26, 26};
        a.ration_percent = catalog::Range{5, 7};
        a.pellet_mm = catalog::Range{1, 1.5};
        a.source = "rate-source";
        young.feeding = {a};
        a.temperature_c = catalog::Range{20, 20};
        a.ration_percent = catalog::Range{3, 3};
        a.pellet_mm.reset();
        young.feeding.push_back(a);
        catalog::Stage grown;
        grown.id = "grow-out";
        grown.name = "grow-out";
        grown.weight_g = catalog::Range{20, 500};
        catalog::FeedingRate b;
        b.weight_g = {20, 500};
        b.ration_percent = catalog::Range{2, 3};
        b.pellet_mm = catalog::Range{3, 3};
        b.expected_fcr = catalog::Range{1.4, 2.0};
        b.source = "fcr-source";
        grown.feeding = {b};
        p.stages = {young, grown};
        return p;
    }();
    return profile;
}

PlanContext with_species() {
    PlanContext context;
    context.profile = &species();
    return context;
}

Venture venture() {
    return parse_venture(
        R"({ "format": "feedwright-venture/1", "currency": "USD",
             "make": { "materials_per_kg": 0.5, "loss_percent": 20, "batch_kg": 10, "hours_per_batch": 1,
               "value_of_hour": 2, "fcr": 2, "premix": { "percent": 5, "price_per_kg": 4 },
               "own_grown": [ { "ingredient": "duckweed", "percent_of_mix": 25, "dry_matter": 90, "yield": 5,
                 "yield_kind": "g_dry_matter_per_m2_day", "area_m2": 10, "hours_per_week": 0, "value_of_hour": 0 } ] },
             "buy": { "pack_price": 30, "pack_kg": 20, "loss_percent": 0, "fcr": 1.5 }, "gain_kg_per_year": 100 })",
        "venture.json", {});
}

const char* const flock = R"("number": 30, "survival_percent": 100, "intake_g": 120, "days": 70)";

}  // namespace

TEST_CASE("published rations and growth follow the water as far as a trial went") {
    catalog::WaterRules water;
    water.growth = {{{"test-fish"}, {1, 500}, {{20, 1.0}, {24, 1.5}, {28, 2.0}}, "trial", ""}};
    water.oxygen_kg_per_kg_feed = 1.25;
    water.oxygen_source = "oxygen-source";
    water.loads = {{{"test-fish"}, 20, "cages", "load-source"}};
    PlanContext context;
    context.profile = &species();
    context.water = &water;
    const auto at = [&](const std::string& celsius) {
        return work_out(read(R"("profile": "test-fish", "number": 100, "start_g": 5, "days": 7,
                                "survival_percent": 100, "tank": "1 m3", "growth": { "fcr": 1.5 },
                                "temperature": ")" +
                             celsius + "\""),
                        context);
    };
    // The table for 26 C has 5 to 7 %, and growth at 26 C is 1.75 % a day.
    const PlanResult same = at("26 C");
    CHECK(same.rows[0].ration_percent->low == 5);
    CHECK_FALSE(same.growth_caution.has_value());
    const PlanResult cooler = at("24 C");
    CHECK(cooler.rows[0].ration_percent->low == Approx(5 * 1.5 / 1.75));
    CHECK(cooler.end_g < same.end_g);
    CHECK_FALSE(cooler.growth_caution.has_value());
    CHECK(std::count_if(cooler.notes.begin(), cooler.notes.end(), [](const PlanNote& note) {
              return note.kind == PlanNote::Kind::follows_water && note.own == 24 &&
                     note.name == "trial";
          }) == 1);
    // Beyond what was tried nothing is counted to grow faster, and there is no forecast.
    const PlanResult hot = at("30 C");
    CHECK(hot.rows[0].ration_percent->low == 5);
    REQUIRE(hot.growth_caution.has_value());
    CHECK(hot.growth_caution->tried);
    CHECK(hot.growth_caution->best == catalog::Range{20, 28});

    // A table that names no temperature is not scaled, and the plan is no forecast off the best.
    catalog::Profile unnamed = species();
    for (catalog::Stage& stage : unnamed.stages) {
        for (catalog::FeedingRate& rate : stage.feeding)
            rate.temperature_c.reset();
    }
    context.profile = &unnamed;
    const PlanResult plain = at("22 C");
    CHECK(plain.rows[0].ration_percent->low == 5);
    REQUIRE(plain.growth_caution.has_value());
    CHECK_FALSE(plain.growth_caution->tried);

    // 100 fish of 5 g at 6 %: 30 g of feed in 1 m3, 37.5 g of oxygen.
    REQUIRE(same.load.has_value());
    CHECK(same.load->oxygen_g_per_m3_day == Approx(1000 * 1.25 * same.rows[0].feed_per_day_kg));
    CHECK(same.rows[0].feed_per_day_kg == Approx(0.03));
    CHECK(same.load->published->kg_per_m3 == 20);
}

TEST_CASE("nitrogen that is fed and not harvested goes into the water") {
    // 2 kg of feed with 31.25 % protein for 1 kg of gain: 100 g of nitrogen, 20 to 30 % harvested.
    const catalog::Range lost = nitrogen_lost(2 * 0.3125, 1, {20, 30});
    CHECK(lost.low == Approx(70));
    CHECK(lost.high == Approx(80));
}

TEST_CASE("water saturated with air holds as much oxygen as the standard tables print") {
    // APHA standard methods, fresh water at sea level, mg/L (values from memory).
    CHECK(saturated_oxygen(10) == Approx(11.29).margin(0.01));
    CHECK(saturated_oxygen(20) == Approx(9.09).margin(0.01));
    CHECK(saturated_oxygen(25) == Approx(8.26).margin(0.01));
    CHECK(saturated_oxygen(30) == Approx(7.56).margin(0.01));
}

TEST_CASE("growth formulas invert each other") {
    CHECK(grow_tgc(10, 2, 25) == Approx(std::pow(std::cbrt(10.0) + 0.05, 3)));
    CHECK(tgc_of(10, grow_tgc(10, 2, 25), 25) == Approx(2));
    CHECK(grow_tgc(10, 2, -1) == Approx(10));  // below freezing nothing grows
    CHECK(grow_sgr(10, 3) == Approx(10 * std::exp(0.03)));
    CHECK(sgr_of(10, grow_sgr(10, 3), 1) == Approx(3));
}

TEST_CASE("a plan without losses given takes all to live, and says so") {
    const PlanContext none;
    const std::string plan =
        R"("number": 30, "start_g": 10, "days": 28, "growth": { "sgr": 5 }, "fcr": 1.5)";
    const PlanResult silent = work_out(read(plan), none);
    const PlanResult stated = work_out(read(plan + R"(, "survival_percent": 100)"), none);
    CHECK(silent.feed_kg == stated.feed_kg);
    const auto says = [](const PlanResult& result) {
        return std::any_of(result.notes.begin(), result.notes.end(), [](const PlanNote& note) {
            return note.kind == PlanNote::Kind::all_survive;
        });
    };
    CHECK(says(silent));
    CHECK_FALSE(says(stated));
}

TEST_CASE("dates count real days") {
    REQUIRE(parse_date("2024-02-28"));
    CHECK(date_text(*parse_date("2024-02-28") + std::chrono::days(2)) == "2024-03-01");
    CHECK(date_text(*parse_date("2025-12-31") + std::chrono::days(1)) == "2026-01-01");
    for (const char* text :
         {"2025-02-29", "2025-13-01", "2025-1-1", "01-02-2025", "", "2025-04-0x"}) {
        INFO(text);
        CHECK_FALSE(parse_date(text));
    }
}

TEST_CASE("a plan by SGR and rations: every number of the first rows by hand") {
    const PlanResult r = work_out(
        read(
            R"("profile": "test-fish", "number": 1000, "survival_percent": 81, "start_g": 10, "days": 28,
                "temperature": "77 F", "growth": { "sgr": 5 }, "start_date": "2025-04-01", "tank": "2 m3")"),
        with_species());
    REQUIRE(r.rows.size() == 4);
    CHECK(r.days == 28);
    CHECK(r.end_g == Approx(10 * std::exp(0.05 * 28)));
    const PlanRow& first = r.rows[0];
    CHECK(first.weight_g == 10);
    CHECK(first.animals == 1000);
    CHECK(first.biomass_kg == Approx(10));
    // 25 C is nearest to the table for 26 C: 5 to 7 %, 6 in the middle.
    CHECK(first.feed_per_day_kg == Approx(0.6));
    CHECK(first.feed_kg == Approx(4.2));
    CHECK(first.pellet_mm->high == 1.5);
    CHECK(first.stage == "fingerling");
    CHECK(first.date == "2025-04-01");
    const PlanRow& third = r.rows[2];
    CHECK(third.first_day == 14);
    CHECK(third.date == "2025-04-15");
    CHECK(third.weight_g == Approx(10 * std::exp(0.7)));
    CHECK(third.animals == Approx(1000 * std::sqrt(0.81)));
    CHECK(third.stage == "grow-out");
    CHECK(third.feed_per_day_kg == Approx(0.9 * 10 * std::exp(0.7) * 0.025));
    CHECK(third.pellet_mm->low == 3);
    const double sum =
        r.rows[0].feed_kg + r.rows[1].feed_kg + r.rows[2].feed_kg + r.rows[3].feed_kg;
    CHECK(r.feed_kg == Approx(sum));
    CHECK(r.rows[3].cumulative_feed_kg == Approx(sum));
    REQUIRE(r.stages.size() == 2);
    CHECK(r.stages[0].feed_kg == Approx(r.rows[0].feed_kg + r.rows[1].feed_kg));
    CHECK(r.stages[1].days == 14);
    CHECK(r.harvested == Approx(810));
    CHECK(r.end_biomass_kg == Approx(0.81 * 10 * std::exp(1.4)));
    CHECK(*r.fcr == Approx(sum / (r.end_biomass_kg - 10)));
    CHECK(*r.feed_low_kg == Approx((r.rows[0].feed_kg + r.rows[1].feed_kg) * 5 / 6 +
                                   (r.rows[2].feed_kg + r.rows[3].feed_kg) * 2 / 2.5));
    CHECK(r.expected_fcr->low == 1.4);
    CHECK(r.expected_fcr->high == 2.0);
    CHECK(r.harvest_date == "2025-04-29");
    CHECK(r.load->kg_per_m3 == Approx(r.end_biomass_kg / 2));
    CHECK(r.sources == std::vector<std::string>{"rate-source", "fcr-source"});
}

TEST_CASE("feed by FCR is growth times FCR") {
    const PlanResult r = work_out(read(
        R"("number": 100, "survival_percent": 100, "start_g": 50, "target_g": 200, "temperature": 25,
                "growth": { "tgc": 1 }, "fcr": 1.6, "feed_by": "fcr")"));
    // (200^(1/3) - 50^(1/3)) / 0.025 = 86.6 days, so the target is passed on day 87.
    CHECK(r.days == static_cast<int>(std::ceil((std::cbrt(200.0) - std::cbrt(50.0)) / 0.025)));
    CHECK(r.rows.size() == 13);
    CHECK(r.rows.back().days == 87 - 12 * 7);
    CHECK(r.feed_kg == Approx(1.6 * 100 * (r.end_g - 50) / 1000));
    CHECK(*r.fcr == Approx(1.6));
    CHECK(r.end_g >= 200);
}

TEST_CASE("growth by ration and FCR") {
    const PlanResult r = work_out(read(
        R"("number": 10, "survival_percent": 100, "start_g": 20, "days": 20, "adjust_every_days": 10,
                "growth": { "fcr": 1.5 }, "rations": [ { "weight_g": [10, 100], "ration_percent": 3 } ])"));
    REQUIRE(r.rows.size() == 2);
    // 0.6 g a day each for ten days at FCR 1.5: 4 g; then 0.72 g a day: 4.8 g.
    CHECK(r.rows[1].weight_g == Approx(24));
    CHECK(r.end_g == Approx(28.8));
    CHECK(r.feed_kg == Approx(10 * (6 + 7.2) / 1000));
    CHECK(*r.fcr == Approx(1.5));
}

TEST_CASE("a flock on a fixed daily feed") {
    const PlanResult r = work_out(read(flock));
    CHECK(r.rows.size() == 10);
    CHECK(r.feed_kg == Approx(30 * 0.120 * 70));
    CHECK_FALSE(r.fcr);
    CHECK(r.all_bought.at(0).kg == Approx(252));
    CHECK_FALSE(r.all_bought.at(0).packs);
}

TEST_CASE("own rations win over the profile's, and steps of temperature are followed") {
    PlanContext context = with_species();
    const PlanResult r = work_out(
        read(
            R"("profile": "test-fish", "number": 100, "survival_percent": 100, "start_g": 5, "days": 14,
                "temperature": [ { "from_day": 0, "value": 20 }, { "from_day": 7, "value": 26 } ],
                "growth": { "sgr": 2 })"),
        context);
    CHECK(r.rows[0].ration_percent->high == 3);
    CHECK(r.rows[1].ration_percent->high == 7);
    const PlanResult own = work_out(
        read(
            R"("profile": "test-fish", "number": 100, "survival_percent": 100, "start_g": 5, "days": 14,
                "temperature": 26, "growth": { "sgr": 2 }, "rations": [ { "weight_g": [5, 500], "ration_percent": 4 } ])"),
        context);
    CHECK(own.rows[0].ration_percent->high == 4);
    CHECK(own.rows[0].pellet_mm->high == 1.5);  // the pellet still comes from the profile
}

TEST_CASE("batches, shopping, area and cost follow from the feed") {
    PlanContext context;
    context.venture = venture();
    context.mix = {{"bran", "rice bran", 70, 0.3}, {"duckweed", "duckweed", 25, 0.0}};
    context.keeping = {
        {"finished_feed_months", 3, "months", "keep feed no longer than 3 months", "store"}};
    const PlanResult r = work_out(
        read(std::string(flock) + R"(, "start_date": "2025-01-01", "packs": { "bran": "50 lb" })"),
        context);
    // 252 kg fed from 315 kg mixed: 32 batches of 10 kg, 8 kg of feed each.
    CHECK(r.mixed_kg == Approx(315));
    REQUIRE(r.batches.size() == 32);
    CHECK(r.batches[0].day == 0);
    CHECK(r.batches[0].date == "2025-01-01");
    // 3.6 kg a day: 8 kg do not last through the third day (10.8), 16 kg not through the fifth
    // (18).
    CHECK(r.batches[1].day == 2);
    CHECK(r.batches[2].day == 4);
    CHECK(r.batches.back().mixed_kg == Approx(5));
    REQUIRE(r.ingredients.size() == 3);
    CHECK(r.ingredients[0].kg == Approx(220.5));
    CHECK(*r.ingredients[0].packs == 10);  // 220.5 / 22.68 = 9.7
    CHECK(*r.ingredients[0].cost == Approx(10 * 50 * 0.45359237 * 0.3));
    CHECK(r.ingredients[2].id == "premix");
    CHECK(*r.ingredients[2].cost == Approx(315 * 0.05 * 4));
    CHECK(r.growing.at(0).peak_kg_per_day == Approx(3.6 / 0.8 * 0.25 * 0.9));
    CHECK(r.growing.at(0).peak_area_m2 == Approx(3.6 / 0.8 * 0.25 * 0.9 * 1000 / 5));
    CHECK(r.growing.at(0).have == 10);
    const double make = 0.5 / 0.8 + 0.2 / 0.8 + 2.0 / 8;
    CHECK(r.home_cost->cost == Approx(252 * make));
    CHECK(r.bought_cost->feed_kg == Approx(252 * 0.75));
    CHECK(r.bought_cost->cost == Approx(189 * 1.5));
    CHECK(*r.all_bought.at(0).packs == 10);  // 189 / 20
    CHECK(*r.all_bought.at(0).cost == Approx(300));
    CHECK(r.bought.empty());
}

TEST_CASE("small animals may be left on bought feed") {
    PlanContext context;
    context.venture = venture();
    const PlanResult r = work_out(
        read(
            R"("number": 100, "survival_percent": 100, "start_g": 10, "days": 28, "growth": { "sgr": 5 },
                "rations": [ { "weight_g": [1, 100], "ration_percent": 4 } ], "home_feed_from_g": 15)"),
        context);
    CHECK_FALSE(r.rows[0].home);
    CHECK_FALSE(r.rows[1].home);  // 14.2 g
    CHECK(r.rows[2].home);
    const double small = r.rows[0].feed_kg + r.rows[1].feed_kg;
    CHECK(r.home_feed_kg == Approx(r.feed_kg - small));
    CHECK(r.bought.at(0).kg == Approx(small));
    CHECK(r.batches.at(0).day == 14);
    CHECK(r.bought_cost->feed_kg == Approx(small + 0.75 * r.home_feed_kg));
}

TEST_CASE("a batch that outlasts its keeping is said") {
    PlanContext context;
    context.venture = venture();
    context.venture->make.batch_kg = 600;
    context.keeping = {
        {"finished_feed_months", 3, "months", "keep feed no longer than 3 months", "store"}};
    const PlanResult r = work_out(
        read(R"("number": 30, "survival_percent": 100, "intake_g": 120, "days": 120)"), context);
    REQUIRE(r.batches.size() == 1);
    REQUIRE(r.notes.size() == 1);
    CHECK(r.notes[0].kind == PlanNote::Kind::batch_lasts);
    CHECK(r.notes[0].value == 120);
    CHECK(r.sources == std::vector<std::string>{"store"});
}

TEST_CASE("nonsense in a plan is refused with the reason") {
    const std::string stock = R"("number": 100, "survival_percent": 90, "start_g": 20, )";
    const std::string grow = R"("growth": { "sgr": 2 }, "fcr": 1.5)";
    CHECK_NOTHROW(work_out(read(stock + R"("target_g": 100, )" + grow)));
    refuses(stock + R"("target_g": 10, )" + grow, "a target above the start weight of 20 g");
    refuses(stock + R"("target_g": 20, )" + grow, "a target above the start weight of 20 g");
    refuses(stock + grow, "no end of the plan");
    refuses(stock + R"("target_g": 100, "days": 10, )" + grow, "both a target and days");
    refuses(stock + R"("days": 0, )" + grow, "a whole number");
    refuses(stock + R"("days": 10.5, )" + grow, "a whole number");
    refuses(R"("number": 0, "survival_percent": 90, "start_g": 20, "days": 10, )" + grow,
            "a number of animals above 0");
    refuses(R"("number": 10, "survival_percent": 0, "start_g": 20, "days": 10, )" + grow,
            "percent alive at the end");
    refuses(R"("number": 10, "survival_percent": 101, "start_g": 20, "days": 10, )" + grow,
            "percent alive at the end");
    refuses(stock + R"("days": 10, "growth": { "sgr": -2 }, "fcr": 1.5)", "percent a day above 0");
    refuses(stock + R"("days": 10, "growth": { "sgr": 2 }, "fcr": -1.5)",
            "conversion ratio above 0");
    refuses(stock + R"("days": 10, "growth": { "tgc": 1 }, "fcr": 1.5)", "growth by TGC needs it");
    refuses(stock + R"("days": 10, "growth": { "tgc": 1, "sgr": 1 }, "fcr": 1.5)",
            "one of \"tgc\"");
    refuses(stock + R"("days": 10, "growth": { "sgr": 2 })", "an \"fcr\", or \"rations\"");
    refuses(stock + R"("days": 10, "fcr": 1.5)", "no \"growth\"");
    refuses(stock + R"("days": 10, "feed_by": "eye", )" + grow, "\"ration\" or \"fcr\"");
    refuses(stock + R"("days": 10, "start_date": "2025-02-30", )" + grow, "a date as");
    refuses(stock + R"("days": 10, "tank": "5 barrels", )" + grow, "litres above 0");
    refuses(stock + R"("days": 10, "temprature": 25, )" + grow, "temperature");
    refuses(stock + R"("target_g": 100000, "temperature": 0.1, "growth": { "tgc": 0.1 }, "fcr": 1)",
            "within ten years");
    refuses(R"("number": 10, "survival_percent": 90, "intake_g": 100)", "no \"days\"");
    refuses(
        R"("growth": { "weights": [ { "day": 3, "weight_g": 5 } ] }, "number": 5, "survival_percent": 90,
               "days": 10, "fcr": 1)",
        "the first weighing on day 0");
    // Against the species: it lives from 18 to 32 C.
    refuses(stock + R"("days": 10, "temperature": 35, )" + grow, "18 to 32", with_species());
    refuses(stock + R"("days": 10, "temperature": "50 F", )" + grow, "Test fish lives at",
            with_species());
}

TEST_CASE("a temperature off the best range is remarked on, not refused") {
    const PlanResult r = work_out(
        read(R"("number": 100, "survival_percent": 90, "start_g": 20, "days": 10, "temperature": 20,
                "growth": { "sgr": 2 })"),
        with_species());
    // Growth by SGR is the same in any water, so it is said with the outcome.
    REQUIRE(r.growth_caution);
    CHECK(r.growth_caution->water == catalog::Range{20, 20});
    CHECK(r.growth_caution->best == catalog::Range{24, 28});
    CHECK(r.growth_caution->own_growth);
    const PlanResult fed = work_out(
        read(
            R"("number": 100, "survival_percent": 90, "start_g": 20, "days": 10, "growth": { "fcr": 2 },
                "temperature": [ { "from_day": 0, "value": 20 }, { "from_day": 5, "value": 22 }, { "from_day": 30, "value": 18 } ])"),
        with_species());
    REQUIRE(fed.growth_caution);
    CHECK(fed.growth_caution->animal == "Test fish");
    CHECK(fed.growth_caution->water == catalog::Range{20, 22});
    CHECK_FALSE(fed.growth_caution->own_growth);
    // Growth by TGC follows the water.
    const PlanResult tgc = work_out(
        read(R"("number": 100, "survival_percent": 90, "start_g": 20, "days": 10, "temperature": 20,
                "growth": { "tgc": 1 })"),
        with_species());
    CHECK_FALSE(tgc.growth_caution);
    REQUIRE_FALSE(tgc.notes.empty());
    CHECK(tgc.notes[0].kind == PlanNote::Kind::slower_growth);
    CHECK(tgc.notes[0].range == catalog::Range{24, 28});
    CHECK(tgc.notes[0].value == 20);
    const PlanResult good = work_out(
        read(R"("number": 100, "survival_percent": 90, "start_g": 20, "days": 10, "temperature": 25,
                "growth": { "sgr": 2 })"),
        with_species());
    CHECK_FALSE(good.growth_caution);
}

TEST_CASE("an FCR given beside a growth rate is what feed is worked out by") {
    const std::string grow = R"("profile": "test-fish", "number": 100, "survival_percent": 100,
        "start_g": 30, "days": 14, "temperature": 26, "growth": { "sgr": 1.5 })";
    const PlanResult r = work_out(read(grow + R"(, "fcr": 1.2)"), with_species());
    CHECK(*r.fcr == Approx(1.2));
    CHECK(r.rows[0].feed_per_day_kg == Approx(1.2 * 3 * (std::exp(0.105) - 1) / 7));
    CHECK(r.rows[0].feed_from == FeedFrom::fcr);
    const PlanResult ration =
        work_out(read(grow + R"(, "fcr": 1.2, "feed_by": "ration")"), with_species());
    CHECK(ration.rows[0].feed_per_day_kg == Approx(3 * 0.025));
    const PlanResult own = work_out(
        read(grow +
             R"(, "fcr": 1.2, "rations": [ { "weight_g": [10, 100], "ration_percent": 4 } ])"),
        with_species());
    CHECK(own.rows[0].feed_per_day_kg == Approx(3 * 0.04));
}

TEST_CASE("more than one hen are hens, and fish keep their name") {
    catalog::Profile hens;
    hens.group = "poultry";
    PlanContext context;
    context.profile = &hens;
    hens.name = "laying hen";
    CHECK(work_out(read(flock), context).species_name == "laying hens");
    hens.name = "duck (white Pekin)";
    CHECK(work_out(read(flock), context).species_name == "ducks (white Pekin)");
    hens.group = "fish";
    CHECK(work_out(read(flock), context).species_name == "duck (white Pekin)");
    hens.group = "poultry";
    CHECK(work_out(read(R"("number": 1, "survival_percent": 100, "intake_g": 120, "days": 7)"),
                   context)
              .species_name == "duck (white Pekin)");
}

TEST_CASE("rations that depend on temperature ask for it") {
    refuses(
        R"("number": 100, "survival_percent": 90, "start_g": 5, "days": 10, "growth": { "sgr": 2 })",
        "depend on it", with_species());
}
