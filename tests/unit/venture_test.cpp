// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "economics/make_or_buy.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <cmath>
#include <string>
#include <vector>

using namespace feedwright::economics;
using feedwright::base::DataError;

namespace {

const OwnProduction& library() {
    static const OwnProduction data = load_own_production(
        *feedwright::catalog::files_in((feedwright::test::source_folder() / "data").string()));
    return data;
}

Venture read(const std::string& body) {
    return parse_venture(R"({ "format": "feedwright-venture/1", "currency": "USD", )" + body + " }",
                         "venture.json", library());
}

// A venture and what a hand calculation from the formulas gives: every expected number is
// arithmetic on the numbers in the text, never a call of the code under test.
struct Case {
    const char* name;
    const char* body;
    double make;        // cost per saleable kg
    double buy;         // cost per kg fed
    double difference;  // a year
};

const std::vector<Case>& cases() {
    static const std::vector<Case> list{
        {"everything at once",
         R"("make": { "materials_per_kg": 0.62, "loss_percent": 4, "batch_kg": 25, "hours_per_batch": 3,
            "value_of_hour": 8, "kwh_per_batch": 6, "price_per_kwh": 0.2, "other_per_batch": 1, "fcr": 1.9,
            "equipment": [ { "name": "mincer", "price": 180, "salvage": 30, "life_years": 5, "upkeep_per_year": 10 } ] },
            "buy": { "pack_price": 24.5, "pack_kg": 20, "delivery_per_pack": 0, "loss_percent": 1, "fcr": 1.6 },
            "gain_kg_per_year": 300)",
         0.62 / 0.96 + 24.0 / 24 + 1.2 / 24 + 1.0 / 24 + 40.0 / 570, 1.225 / 0.99,
         480 * 1.225 / 0.99 - 570 * (0.62 / 0.96 + 24.0 / 24 + 1.2 / 24 + 1.0 / 24 + 40.0 / 570)},
        {"materials alone",
         R"("make": { "materials_per_kg": 0.5, "batch_kg": 10, "fcr": 2 },
            "buy": { "pack_price": 30, "pack_kg": 25, "fcr": 1.5 }, "gain_kg_per_year": 100)",
         0.5, 1.2, 150 * 1.2 - 200 * 0.5},
        {"loss counts on materials",
         R"("make": { "materials_per_kg": 0.9, "loss_percent": 10, "batch_kg": 10, "fcr": 1.8 },
            "buy": { "pack_price": 1.1, "pack_kg": 1, "fcr": 1.8 }, "gain_kg_per_year": 50)",
         1.0, 1.1, 90 * 1.1 - 90 * 1.0},
        {"losses one after another",
         R"("make": { "materials_per_kg": 0.72, "losses": [ { "name": "fines", "percent": 20 },
            { "name": "crumbs", "percent": 10 } ], "batch_kg": 10, "hours_per_batch": 2, "value_of_hour": 3.6, "fcr": 2 },
            "buy": { "pack_price": 40, "pack_kg": 20, "fcr": 2 }, "gain_kg_per_year": 10)",
         0.72 / 0.72 + 7.2 / 7.2, 2.0, 20 * 2.0 - 20 * 2.0},
        {"spoilage in store",
         R"("make": { "materials_per_kg": 0.6, "loss_percent": 0, "spoilage_percent": 25, "batch_kg": 8,
            "hours_per_batch": 1, "value_of_hour": 6, "fcr": 1.5 },
            "buy": { "pack_price": 50, "pack_kg": 25, "fcr": 1.5 }, "gain_kg_per_year": 40)",
         0.6 / 0.75 + 6.0 / 6, 2.0, 60 * 2.0 - 60 * (0.8 + 1.0)},
        {"free labour",
         R"("make": { "materials_per_kg": 0.4, "loss_percent": 5, "batch_kg": 20, "hours_per_batch": 4,
            "value_of_hour": 0, "fcr": 2.2 },
            "buy": { "pack_price": 18, "pack_kg": 20, "fcr": 1.7 }, "gain_kg_per_year": 200)",
         0.4 / 0.95, 0.9, 340 * 0.9 - 440 * 0.4 / 0.95},
        {"delivery and a short pack in pounds",
         R"("make": { "materials_per_kg": "0.45359237 per lb", "batch_kg": "44 lb", "fcr": 2 },
            "buy": { "pack_price": 20, "pack_kg": "50 lb", "delivery_per_pack": 2.5, "loss_percent": 2, "fcr": 1.6 },
            "gain_kg_per_year": "220 lb")",
         1.0, 22.5 / (50 * 0.45359237) / 0.98,
         220 * 0.45359237 * (1.6 * 22.5 / (50 * 0.45359237) / 0.98 - 2 * 1.0)},
        {"drying a wet mix",
         R"("make": { "materials_per_kg": 0.5, "loss_percent": 2, "batch_kg": 50, "price_per_kwh": 0.25,
            "drying": { "wet_moisture": 40, "finished_moisture": 10, "kwh_per_kg_water": 1.2 }, "fcr": 1.9 },
            "buy": { "pack_price": 25, "pack_kg": 25, "fcr": 1.6 }, "gain_kg_per_year": 150)",
         0.5 / 0.98 + (30.0 / 60) * 1.2 * 0.25 / 0.98, 1.0, 240 * 1.0 - 285 * (0.5 + 0.15) / 0.98},
        {"premix and bags",
         R"("make": { "materials_per_kg": 0.5, "loss_percent": 20, "batch_kg": 50,
            "premix": { "percent": 2, "price_per_kg": 8 }, "packaging": { "price": 0.5, "pack_kg": 5 }, "fcr": 2 },
            "buy": { "pack_price": 25, "pack_kg": 25, "fcr": 2 }, "gain_kg_per_year": 100)",
         0.5 / 0.8 + 0.16 / 0.8 + 0.1, 1.0, 200 * (1.0 - 0.925)},
        {"a start to pay for",
         R"("make": { "materials_per_kg": 0.5, "batch_kg": 20, "hours_per_batch": 1, "value_of_hour": 10,
            "start_up": { "feed_kg": 40, "other": 20, "over_years": 3 }, "fcr": 2 },
            "buy": { "pack_price": 25, "pack_kg": 20, "fcr": 1.6 }, "gain_kg_per_year": 100)",
         1.0 + (40 * 1.0 + 20) / 3 / 200, 1.25, 160 * 1.25 - 200 * 1.0 - 20.0},
        {"two machines",
         R"("make": { "materials_per_kg": 0.3, "loss_percent": 6, "batch_kg": 100, "hours_per_batch": 5,
            "value_of_hour": 1.5, "kwh_per_batch": 12, "price_per_kwh": 0.18, "other_per_batch": 2, "fcr": 2.1,
            "equipment": [ { "name": "mill", "price": 900, "salvage": 100, "life_years": 8, "upkeep_per_year": 40 },
                           { "name": "mixer", "price": 400, "life_years": 10 } ] },
            "buy": { "pack_price": 17, "pack_kg": 25, "delivery_per_pack": 1, "fcr": 1.7 }, "gain_kg_per_year": 4000)",
         0.3 / 0.94 + 7.5 / 94 + 2.16 / 94 + 2.0 / 94 + (100 + 40 + 40) / 8400.0, 0.72,
         6800 * 0.72 -
             8400 * (0.3 / 0.94 + 7.5 / 94 + 2.16 / 94 + 2.0 / 94 + (100 + 40 + 40) / 8400.0)},
        {"a given amount of feed, no FCR",
         R"("make": { "materials_per_kg": 0.35, "loss_percent": 1, "batch_kg": 30, "hours_per_batch": 1.5,
            "value_of_hour": 5 }, "buy": { "pack_price": 16, "pack_kg": 20 }, "feed_kg_per_year": 1314)",
         0.35 / 0.99 + 7.5 / 29.7, 0.8, 1314 * (0.8 - 0.35 / 0.99 - 7.5 / 29.7)},
        {"a given amount of feed with FCRs",
         R"("make": { "materials_per_kg": 0.4, "batch_kg": 30, "fcr": 2.4,
            "equipment": [ { "price": 120, "life_years": 4 } ] },
            "buy": { "pack_price": 16, "pack_kg": 20, "fcr": 2.0 }, "feed_kg_per_year": 1200, "gain_of": "eggs")",
         0.4 + 30.0 / 1200, 0.8, 500 * 2.0 * 0.8 - 1200 * (0.4 + 0.025)},
        {"duckweed grown in a pond",
         R"("make": { "materials_per_kg": 0.40, "loss_percent": 0, "batch_kg": 20, "fcr": 2,
            "own_grown": [ { "ingredient": "duckweed-dried", "percent_of_mix": 15, "dry_matter": 92, "yield": 5,
              "yield_kind": "g_dry_matter_per_m2_day", "area_m2": 40, "days_per_year": 300, "hours_per_week": 1,
              "value_of_hour": 7, "inputs_per_year": 35, "equipment": [ { "price": 90, "life_years": 3 } ] } ] },
            "buy": { "pack_price": 30, "pack_kg": 20, "fcr": 1.6 }, "gain_kg_per_year": 100)",
         0.40 + 0.15 * 0.92 * (365 + 35 + 30) / 60.0, 1.5,
         160 * 1.5 - 200 * (0.40 + 0.15 * 0.92 * 430 / 60.0)},
        {"larvae on bought bran",
         R"("make": { "materials_per_kg": 0.30, "loss_percent": 5, "batch_kg": 20, "fcr": 1.8,
            "own_grown": [ { "ingredient": "bsf", "percent_of_mix": 20, "dry_matter": 95, "yield": 16,
              "yield_kind": "percent_of_substrate_dry_matter", "substrate_kg_per_week": 14,
              "substrate_dry_matter": 50, "substrate_price_per_kg": 0.1, "hours_per_week": 0, "value_of_hour": 0 } ] },
            "buy": { "pack_price": 30, "pack_kg": 20, "fcr": 1.6 }, "gain_kg_per_year": 100)",
         (0.30 + 0.20 * 0.95 * 1.4 / 1.12) / 0.95, 1.5,
         160 * 1.5 - 180 * (0.30 + 0.20 * 0.95 * 1.4 / 1.12) / 0.95},
        {"a materials cost that has risen",
         R"("make": { "materials_per_kg": 0.8, "materials_change_percent": 25, "loss_percent": 0, "batch_kg": 5,
            "fcr": 1.5 }, "buy": { "pack_price": 9, "pack_kg": 10, "fcr": 1.5 }, "gain_kg_per_year": 20)",
         1.0, 0.9, 30 * (0.9 - 1.0)},
        {"ounces and grams",
         R"("make": { "materials_per_kg": 2, "batch_kg": "500 g", "hours_per_batch": 0.25, "value_of_hour": 4,
            "fcr": 1.2 }, "buy": { "pack_price": 4, "pack_kg": "8 oz", "fcr": 1.2 }, "gain_kg_per_year": 2)",
         2 + 1 / 0.5, 4 / (0.5 * 0.45359237), 2.4 * (4 / (0.5 * 0.45359237) - 4)},
    };
    return list;
}

double changed(Venture venture, double& (*at)(Venture&), double value) {
    at(venture) = value;
    return yearly_difference(venture);
}

bool says(const DataError& error, const std::string& words) {
    return std::string(error.what()).find(words) != std::string::npos;
}

void refuses(const std::string& body, const std::string& words) {
    INFO(body);
    try {
        read(body);
        FAIL("accepted");
    } catch (const DataError& error) {
        INFO(error.what());
        CHECK(says(error, words));
    }
}

// A good venture with one piece of "make" replaced or added.
std::string with(const std::string& make, const std::string& buy = "",
                 const std::string& scale = R"("gain_kg_per_year": 100)") {
    return R"("make": { "materials_per_kg": 0.5, "batch_kg": 20, "fcr": 2)" +
           (make.empty() ? "" : ", " + make) +
           R"( }, "buy": { "pack_price": 30, "pack_kg": 20, "fcr": 1.6)" +
           (buy.empty() ? "" : ", " + buy) + " }, " + scale;
}

}  // namespace

TEST_CASE("ventures agree with hand calculation") {
    for (const Case& c : cases()) {
        INFO(c.name);
        const Venture venture = read(c.body);
        CHECK(make_costs(venture).total == Approx(c.make).epsilon(1e-12));
        CHECK(bought_cost_per_kg(venture.buy) == Approx(c.buy).epsilon(1e-12));
        CHECK(yearly_difference(venture) == Approx(c.difference).epsilon(1e-10).margin(1e-9));
    }
}

TEST_CASE("the parts of the home feed's cost add up to it") {
    for (const Case& c : cases()) {
        INFO(c.name);
        const MakeCosts parts = make_costs(read(c.body));
        CHECK(parts.materials + parts.premix + parts.labour + parts.energy + parts.drying +
                  parts.other + parts.packaging + parts.equipment + parts.start_up ==
              Approx(parts.total).epsilon(1e-14));
    }
    const MakeCosts parts = make_costs(read(cases()[0].body));
    CHECK(parts.materials == Approx(0.62 / 0.96));
    CHECK(parts.labour == Approx(1.0));
    CHECK(parts.energy == Approx(0.05));
    CHECK(parts.other == Approx(1.0 / 24));
    CHECK(parts.equipment == Approx(40.0 / 570));
}

TEST_CASE("a break-even value put back makes the two feeds cost the same") {
    for (const Case& c : cases()) {
        INFO(c.name);
        const Venture venture = read(c.body);
        const BreakEven even = break_even(venture);
        const double scale =
            yearly_amounts(venture).bought_feed_kg * bought_cost_per_kg(venture.buy);
        const auto same = [&](const char* what, double difference) {
            INFO(what);
            CHECK(std::abs(difference) < 1e-9 * scale);
        };
        if (even.value_of_hour) {
            same("value of an hour",
                 changed(
                     venture, [](Venture& v) -> double& { return v.make.value_of_hour; },
                     *even.value_of_hour));
        }
        if (even.materials_per_kg) {
            same("materials",
                 changed(
                     venture, [](Venture& v) -> double& { return v.make.materials_per_kg; },
                     *even.materials_per_kg));
        }
        if (even.bought_price_per_kg) {
            same("bought price",
                 changed(
                     venture, [](Venture& v) -> double& { return v.buy.pack_price; },
                     *even.bought_price_per_kg* venture.buy.pack_kg));
        }
        if (even.batch_kg) {
            same("batch", changed(
                              venture, [](Venture& v) -> double& { return v.make.batch_kg; },
                              *even.batch_kg));
        }
        if (even.make_fcr) {
            same("FCR",
                 changed(
                     venture, [](Venture& v) -> double& { return *v.make.fcr; }, *even.make_fcr));
        }
        if (even.gain_kg_per_year) {
            same("gain", changed(
                             venture, [](Venture& v) -> double& { return *v.gain_kg_per_year; },
                             *even.gain_kg_per_year));
        }
        if (even.feed_kg_per_year) {
            same("feed", changed(
                             venture, [](Venture& v) -> double& { return *v.feed_kg_per_year; },
                             *even.feed_kg_per_year));
        }
        // A price and an FCR at which the answer flips exist for every one of these.
        CHECK(even.bought_price_per_kg);
        CHECK(even.make_fcr.has_value() == venture.make.fcr.has_value());
    }
}

TEST_CASE("break-even values by hand") {
    const BreakEven even = break_even(read(cases()[0].body));
    const double target =
        1.6 * 1.225 / 0.99 / 1.9;  // home cost per kg at which a kg of gain costs the same
    const double rest = 0.62 / 0.96 + 0.05 + 1.0 / 24 + 40.0 / 570;
    REQUIRE(even.value_of_hour);
    CHECK(*even.value_of_hour == Approx((target - rest) * 24 / 3));
    REQUIRE(even.bought_price_per_kg);
    CHECK(*even.bought_price_per_kg == Approx((rest + 1) * 1.9 / 1.6 * 0.99));
    // Equipment per kg of gain does not change with the FCR: 40 a year over 300 kg.
    REQUIRE(even.make_fcr);
    CHECK(*even.make_fcr ==
          Approx((1.6 * 1.225 / 0.99 - 40.0 / 300) / (0.62 / 0.96 + 1 + 0.05 + 1.0 / 24)));
    // Labour alone costs more than the bought feed, so no price of materials helps.
    CHECK_FALSE(even.materials_per_kg);
    REQUIRE(even.batch_kg);
    CHECK(*even.batch_kg == Approx(26.2 / (target - 0.62 / 0.96 - 40.0 / 570) / 0.96));
    CHECK_FALSE(even.payback_years);
}

TEST_CASE("a break-even value that does not exist is left out") {
    const BreakEven even = break_even(read(cases()[1].body));
    CHECK_FALSE(even.value_of_hour);     // no hours are spent
    CHECK_FALSE(even.batch_kg);          // no cost of a batch
    CHECK_FALSE(even.gain_kg_per_year);  // nothing is fixed by the year
    CHECK_FALSE(even.payback_years);     // nothing was bought
    CHECK(*even.materials_per_kg == Approx(180.0 / 200));
}

TEST_CASE("payback counts what is saved before the equipment is written off") {
    const Venture venture = read(cases()[10].body);
    const double saved = yearly_difference(venture) + 800.0 / 8 + 400.0 / 10;
    CHECK(*break_even(venture).payback_years == Approx(1300 / saved));
    // Nothing saved, no payback.
    CHECK_FALSE(break_even(read(with(R"("hours_per_batch": 10, "value_of_hour": 50,
        "equipment": [ { "price": 100, "life_years": 5 } ])")))
                    .payback_years);
}

TEST_CASE("the result carries what a report needs") {
    const VentureResult result = make_or_buy(read(cases()[5].body));
    CHECK(result.labour_is_free);
    CHECK(result.saleable_kg_per_batch == Approx(19));
    CHECK(result.batches_per_year == Approx(440.0 / 19));
    CHECK(result.hours_per_year == Approx(440.0 / 19 * 4));
    CHECK(*result.make_cost_per_kg_gain == Approx(2.2 * 0.4 / 0.95));
    CHECK(*result.buy_cost_per_kg_gain == Approx(1.7 * 0.9));
    CHECK_FALSE(result.chance);
    CHECK(result.not_counted ==
          std::vector<std::string>{"spoilage in store", "energy", "equipment"});
}

TEST_CASE("water to dry off comes from the two moistures") {
    // 1 kg at 10 % moisture holds 0.9 kg dry matter: 1.5 kg of mix at 40 %.
    CHECK(water_per_kg({40, 10, 1}) == Approx(1.5 - 1));
    CHECK(make_or_buy(read(cases()[7].body)).water_kg_per_batch == Approx(25));
}

TEST_CASE("own-grown ingredients: amounts, area and price") {
    const VentureResult pond = make_or_buy(read(cases()[13].body));
    REQUIRE(pond.grown.size() == 1);
    CHECK(pond.grown[0].grown_kg_per_year == Approx(40 * 5 * 300 / 1000.0));
    CHECK(pond.grown[0].needed_kg_per_year == Approx(200 * 0.15 * 0.92));
    CHECK(pond.grown[0].needed_area_m2 == Approx(200 * 0.15 * 0.92 / (5 * 300 / 1000.0)));
    CHECK(pond.grown[0].cost_per_kg_dry_matter == Approx(430 / 60.0));
    CHECK(pond.grown[0].price_per_kg == Approx(0.92 * 430 / 60.0));
    const VentureResult larvae = make_or_buy(read(cases()[14].body));
    CHECK(larvae.grown[0].grown_kg_per_year == Approx(14 * 365 / 7.0 * 0.5 * 0.16));
    CHECK(larvae.grown[0].cost_per_kg_dry_matter == Approx(1.4 / 1.12));
    // 20 % of 180 / 0.95 kg of mix.
    CHECK(larvae.grown[0].needed_kg_per_year == Approx(180 / 0.95 * 0.2 * 0.95));
}

TEST_CASE("a yield comes from the library as a range unless the user has one") {
    const std::string pond =
        R"("own_grown": [ { "ingredient": "duckweed-dried", "organism": "duckweed",
        "percent_of_mix": 10, "dry_matter": 92, "area_m2": "400 ft2", "hours_per_week": 1, "value_of_hour": 5 )";
    const Venture published = read(with(pond + "} ]"));
    REQUIRE(published.uncertain.size() == 1);
    CHECK(published.uncertain[0].range.low == 2.7);
    CHECK(published.uncertain[0].range.high == 8.2);
    CHECK(published.make.own_grown[0].yield == 5.5);
    CHECK(published.make.own_grown[0].area_m2 == 400 * 0.09290304);
    CHECK_FALSE(published.make.own_grown[0].sources.empty());
    const Venture own = read(with(pond + R"(, "yield": 4 } ])"));
    CHECK(own.uncertain.empty());
    CHECK(own.make.own_grown[0].yield == 4);
    CHECK(own.make.own_grown[0].own_yield);
}

TEST_CASE("mealworms and small packs of dried plants") {
    const VentureResult result = make_or_buy(read(with(
        R"("own_grown": [ { "ingredient": "mealworm-dried", "organism": "mealworm", "percent_of_mix": 10,
           "dry_matter": 95, "substrate_kg_per_week": 10, "substrate_price_per_kg": 0.4, "hours_per_week": 2,
           "value_of_hour": 5, "small_packs": { "pack_price": 6, "pack_kg": "100 g", "delivery_per_pack": 1.6,
           "dry_matter": 95 } } ])")));
    // 10 kg of feed give 4.5 kg of live worms of 38.1 % dry matter.
    CHECK(result.grown[0].cost_per_kg_dry_matter == Approx((4 + 10) / (4.5 * 0.381)));
    CHECK(*result.grown[0].small_pack_cost_per_kg_dry_matter == Approx(7.6 / 0.095));
    CHECK(result.hours_per_year == Approx(2 * 365 / 7.0));
}

TEST_CASE("earthworms on manure") {
    const Venture venture = read(with(
        R"("own_grown": [ { "ingredient": "earthworm-meal", "organism": "earthworm", "percent_of_mix": 5,
           "dry_matter": 92, "substrate_kg_per_week": 20, "substrate_price_per_kg": 0.05, "hours_per_week": 1,
           "value_of_hour": 5 } ])"));
    REQUIRE(venture.uncertain.size() == 1);
    CHECK(venture.uncertain[0].range.low == 0.5);
    CHECK(venture.uncertain[0].range.high == 10);
    const VentureResult result = make_or_buy(venture);
    // 20 kg of manure give 1.05 kg of live worms of 16.4 % dry matter.
    CHECK(result.grown[0].cost_per_kg_dry_matter == Approx((1 + 5) / (1.05 * 0.164)));
    // 200 kg of mix hold 10 kg of meal at 92 %: 9.2 kg, of which 0.1722 kg a week are grown.
    CHECK(result.grown[0].needed_substrate_kg_per_week ==
          Approx(20 * 9.2 / (1.05 * 0.164 * 365 / 7)));
}

TEST_CASE("a label is compared nutrient by nutrient and per kg of protein") {
    VentureContext context;
    context.home_analysis = {{"crude_protein", 27.0, 99}, {"ash", 12.0}};
    const VentureResult result =
        make_or_buy(read(with(R"("analysis": { "crude_fibre": 6 })",
                              R"("label": { "crude_protein": { "min": 30 }, "ash": { "max": 10 },
                     "crude_fibre": { "max": 7 }, "moisture": { "max": 10 } })")),
                    context);
    REQUIRE(result.nutrients.size() == 4);
    CHECK(result.nutrients[0].home_below);
    CHECK(result.nutrients[1].home_above);
    CHECK_FALSE(result.nutrients[2].home_above);
    CHECK(*result.nutrients[2].home == 6);
    CHECK_FALSE(result.nutrients[3].home);
    CHECK(*result.buy_cost_per_kg_protein == Approx(1.5 / 0.30));
    CHECK(*result.make_cost_per_kg_protein == Approx(0.5 / 0.27));
}

TEST_CASE("long storage and damp feed are cautioned with a source") {
    VentureContext context;
    context.keeping = library().keeping;
    const auto damp = make_or_buy(
        read(with(R"("storage_months": 5, "price_per_kwh": 0, "drying": { "wet_moisture": 35,
            "finished_moisture": 14, "kwh_per_kg_water": 1 })")),
        context);
    REQUIRE(damp.cautions.size() == 2);
    CHECK(damp.cautions[0].kind == KeepingCaution::Kind::kept_long);
    CHECK(damp.cautions[0].value == 5);
    CHECK(damp.cautions[1].kind == KeepingCaution::Kind::damp);
    CHECK(damp.cautions[1].value == 14);
    CHECK(damp.sources == std::vector<std::string>{"cmfri-storage", "affris-barramundi-6"});
    // 200 kg a year out of batches of 20 kg: each lasts 1.2 months.
    CHECK(make_or_buy(read(with("")), context).cautions.empty());
    const auto slow = make_or_buy(read(with("", "", R"("gain_kg_per_year": 20)")), context);
    REQUIRE(slow.cautions.size() == 1);
    CHECK(slow.cautions[0].kind == KeepingCaution::Kind::batch_lasts);
}

TEST_CASE("nonsense in a venture is refused with the reason") {
    CHECK_NOTHROW(read(with("")));
    refuses(with(R"("loss_percent": 100)"), "a loss from 0 to below 100 %");
    refuses(with(R"("loss_percent": -1)"), "a loss from 0 to below 100 %");
    refuses(with("", R"("loss_percent": 100)"), "a loss from 0 to below 100 %");
    refuses(with(R"("spoilage_percent": 100)"), "a loss from 0 to below 100 %");
    refuses(R"("make": { "materials_per_kg": 0.5, "batch_kg": 0, "fcr": 2 },
        "buy": { "pack_price": 30, "pack_kg": 20, "fcr": 1.6 }, "gain_kg_per_year": 100)",
            "/make/batch_kg");
    refuses(R"("make": { "materials_per_kg": 0.5, "batch_kg": 10, "fcr": -2 },
        "buy": { "pack_price": 30, "pack_kg": 20, "fcr": 1.6 }, "gain_kg_per_year": 100)",
            "feed conversion ratio above 0");
    refuses(R"("make": { "materials_per_kg": 0.5, "batch_kg": 10 },
        "buy": { "pack_price": 30, "pack_kg": 20, "fcr": 1.6 }, "gain_kg_per_year": 100)",
            "no \"fcr\"");
    refuses(R"("make": { "batch_kg": 10, "fcr": 2 },
        "buy": { "pack_price": 30, "pack_kg": 20, "fcr": 1.6 }, "gain_kg_per_year": 100)",
            "no cost of materials");
    refuses(with(R"("job": "job.json")"), "more than one cost of materials");
    refuses(with("", "", R"("gain_kg_per_year": 0)"), "kilograms above 0");
    refuses(with("", "", R"("title": "x")"), "no amount a year");
    refuses(with(R"("hours_per_batch": 2)"), "0 is allowed");
    refuses(with(R"("kwh_per_batch": 2)"), "energy without a price");
    refuses(with(R"("equipment": [ { "price": 100, "life_years": 0 } ])"), "years above 0");
    refuses(with(R"("equipment": [ { "price": 100, "life_years": 5, "salvage": 200 } ])"),
            "no more than the price");
    refuses(
        with(
            R"("price_per_kwh": 1, "drying": { "wet_moisture": 10, "finished_moisture": 12, "kwh_per_kg_water": 1 })"),
        "a finished moisture below that of the wet mix");
    refuses(with(R"("hours_per_bach": 2)"), "hours_per_batch");
    refuses(with(R"("loss_percent": [4, 2, 6])"), "rising order");
    refuses(with(R"("loss_percent": [4, 6])"), "[low, likely, high]");
    refuses(with(R"("loss_percent": [4, 6, 100])"), "/make/loss_percent/2");
    refuses(with(R"("own_grown": [ { "ingredient": "x", "organism": "duckwed" } ])"), "duckweed");
    refuses(with("", R"("label": { "crude_protien": 30 })"), "crude_protein");
    refuses(with("", R"("label": { "ash": { "min": 12, "max": 10 } })"), "not above its max");
}

TEST_CASE("a yield that nobody has published is asked for") {
    OwnProduction unknown;
    unknown.organisms.push_back(
        {"water-flea", "water fleas", YieldKind::substrate_weight, {}, {}, {}, ""});
    const std::string body = with(R"("own_grown": [ { "ingredient": "w", "organism": "water-flea",
        "percent_of_mix": 5, "dry_matter": 90, "substrate_kg_per_week": 5, "hours_per_week": 0,
        "value_of_hour": 0 } ])");
    try {
        parse_venture(R"({ "format": "feedwright-venture/1", )" + body + " }", "venture.json",
                      unknown);
        FAIL("accepted");
    } catch (const DataError& error) {
        INFO(error.what());
        CHECK(says(error, "no yield for w"));
    }
}

TEST_CASE("every problem of a venture is reported at once, with its place") {
    try {
        read(with(R"("loss_percent": 100, "value_of_hour": "a lot")", R"("loss_percent": -3)"));
        FAIL("accepted");
    } catch (const DataError& error) {
        CHECK(error.list().size() == 3);
        CHECK(says(error, "venture.json: line 1, /make/loss_percent"));
        CHECK(says(error, "/buy/loss_percent"));
    }
}

TEST_CASE("a job or recipe is found beside the venture") {
    const Venture venture = parse_venture(
        R"({ "format": "feedwright-venture/1", "make": { "job": "job.json", "batch_kg": 5, "fcr": 2 },
             "buy": { "pack_price": 1, "pack_kg": 1, "fcr": 2 }, "gain_kg_per_year": 1 })",
        "somewhere/venture.json", library());
    CHECK(venture.make.materials_from == MaterialsFrom::job);
    CHECK(venture.make.materials_file == "somewhere/job.json");
}
