// SPDX-License-Identifier: GPL-3.0-or-later
// Published comparisons of costs, growth examples and feeding tables, reproduced within the digits
// printed there.
#include "base/units.hpp"
#include "economics/plan.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <string>
#include <vector>

using namespace feedwright;
using namespace feedwright::economics;

namespace {

Venture two_feeds(double make_price, double make_fcr, double buy_price, double buy_fcr,
                  const std::string& scale) {
    const auto text = [](double x) { return std::to_string(x); };
    return parse_venture(R"({ "format": "feedwright-venture/1", "make": { "materials_per_kg": )" +
                             text(make_price) + R"(, "batch_kg": 1000, "fcr": )" + text(make_fcr) +
                             R"( }, "buy": { "pack_kg": 1, "pack_price": )" + text(buy_price) +
                             R"(, "fcr": )" + text(buy_fcr) + " }, " + scale + " }",
                         "published.json", {});
}

}  // namespace

// Journal of Animal Science 2022, 100(8): skac214 (doi 10.1093/jas/skac214), Table 3: feed at 1.382
// EUR/kg, 9,188,000 kg of fish, FCR 1.253 and 1.061; printed feed 11,516,239 and 9,748,468 kg, feed
// cost 1.732 and 1.466 EUR per kg of fish, and 2,443,060 EUR a year between the two. The FCRs are
// taken from the printed feed and fish, which carry more digits.
TEST_CASE("cost per kg of gain and the yearly difference of a published farm table") {
    const double fish = 9188000;
    const double better = 9748468 / fish;
    const double base = 11516239 / fish;
    CHECK(std::abs(better - 1.061) < 0.0005);
    CHECK(std::abs(base - 1.253) < 0.0005);
    const Venture venture = two_feeds(1.382, better, 1.382, base, R"("gain_kg_per_year": 9188000)");
    const VentureResult r = make_or_buy(venture);
    CHECK(std::abs(*r.buy_cost_per_kg_gain - 1.732) < 0.0005);
    CHECK(std::abs(*r.make_cost_per_kg_gain - 1.466) < 0.0005);
    CHECK(std::abs(*r.buy_cost_per_kg_gain - *r.make_cost_per_kg_gain - 0.266) < 0.0005);
    // std::to_string gives the FCR to six decimals, which is worth about 6 EUR here.
    CHECK(std::abs(r.yearly_difference - 2443060) < 10);
}

// Zeigler and Markey, Global Aquaculture Advocate, on feed cost per unit gain: FCR 1.42 and a feed
// at 1.04 give 1.48.
TEST_CASE("feed cost per unit of gain of a trade article") {
    const VentureResult r =
        make_or_buy(two_feeds(1.04, 1.42, 1.04, 1.42, R"("gain_kg_per_year": 1)"));
    CHECK(std::abs(*r.make_cost_per_kg_gain - 1.48) < 0.005);
    CHECK(r.yearly_difference == Approx(0).margin(1e-12));
}

// Isyagi, Veverica, Asiimwe and Daniels 2009, Manual for the Commercial Pond Production of the
// African Catfish in Uganda, Table 10.6: the same catfish on bought pellets, on feed made on the
// farm and on offal. Printed for the three: fish sold 8,135, 8,131 and 8,131 kg (sales of
// 24,405,797 and 24,393,600 UGX at 3,000 a kg carry more digits), FCR 2, 4 and 6 (14,643 kg of feed
// are 1.80 of the first), feed at 1,100, 950 and 500 UGX, ponds for 14,142,000, 25,335,000 and
// 50,535,000 UGX, because poorer feeds need more water. "Profit if amortize ponds over 10 years" is
// printed as what a fifth of the ponds' cost leaves, so five years are taken here.
TEST_CASE("a published budget of bought pellets, farm-made feed and offal") {
    struct Way {
        double feed_price, fcr, ponds, fingerlings, fed_kg, feed_cost, profit;
    };
    const Way pellets{1100, 1.8, 14142000, 2080040, 14643, 16107826, 3389531};
    for (const Way& way : {Way{950, 4, 25335000, 2079000, 32525, 30898560, -13650960},
                           Way{500, 6, 50535000, 2079000, 48787, 24393600, -12186000}}) {
        CAPTURE(way.feed_price);
        const double fish = 24393600 / 3000.0;
        const Venture venture = parse_venture(
            R"({ "format": "feedwright-venture/1", "currency": "UGX",
                 "make": { "materials_per_kg": )" +
                std::to_string(way.feed_price) + R"(, "batch_kg": 100, "fcr": )" +
                std::to_string(way.fcr) +
                R"(, "equipment": [ { "name": "more ponds", "life_years": 5, "price": )" +
                std::to_string(way.ponds - pellets.ponds) +
                R"( } ] }, "buy": { "pack_price": 1100, "pack_kg": 1, "fcr": 1.8 },
                 "gain_kg_per_year": )" +
                std::to_string(fish) + " }",
            "published.json", {});
        const VentureResult r = make_or_buy(venture);
        CHECK(std::abs(r.amounts.home_feed_kg - way.fed_kg) < 0.5);
        const double feed_cost = r.amounts.home_feed_kg * (r.make.total - r.make.equipment);
        CHECK(std::abs(feed_cost - way.feed_cost) < 0.5);
        CHECK(r.make.equipment * r.amounts.home_feed_kg == Approx((way.ponds - pellets.ponds) / 5));
        // Profit is sales less fingerlings, feed and ponds.
        CHECK(std::abs(24393600 - way.fingerlings - feed_cost - way.ponds / 5 - way.profit) < 0.5);
        // Both sides at the same fish: what the pellets' own budget sells more is worth its price
        // less its feed.
        const double more = 24405797 / 3000.0 - fish;
        const double printed = way.profit - pellets.profit;
        const double other = pellets.fingerlings - way.fingerlings - more * (3000 - 1.8 * 1100);
        CHECK(std::abs(r.yearly_difference + other - printed) < 2);
        CHECK(std::abs(*r.buy_cost_per_kg_gain * 24405797 / 3000 - pellets.feed_cost) < 0.5);
        CHECK(std::abs(24405797 / 3000.0 * 1.8 - pellets.fed_kg) < 0.5);
    }
}

// A machine builder's page on what a poultry pellet costs to make (Lark Engineering, India, "Feed
// Manufacturing Cost"), in INR. Raw material: 9.1 + 21 + 0.7 + 0.012 + 0.57 + 0.56 + 5, printed
// 36.94 a kg. Processing, a tonne: boiler fuel 200, electricity 25 units for 200, fixed charges and
// utilities 80, labour 180 to 200, overhead with depreciation and maintenance 150 to 200, interest
// 80; printed 900 to 950. Bags 0.5 a kg (15 to 20 a bag). Printed total 38.5, added up from the
// parts rounded to 37, 1 and 0.5; price 41, profit 2.5. 4,000 t a month.
TEST_CASE("a published breakdown of the cost of a pellet, with labour, energy and depreciation") {
    const double tonnes = 4000 * 12;
    const auto cost = [&](double labour, double overhead) {
        const auto text = [](double x) { return std::to_string(x); };
        return make_or_buy(parse_venture(R"({ "format": "feedwright-venture/1", "currency": "INR",
            "make": { "materials_per_kg": 36.942, "batch_kg": 1000, "hours_per_batch": 1,
              "value_of_hour": )" + text(labour) +
                                             R"(, "kwh_per_batch": 25, "price_per_kwh": 8,
              "other_per_batch": 360, "packaging": { "price": 20, "pack_kg": 40 },
              "equipment": [ { "name": "mill", "price": 0, "life_years": 10, "upkeep_per_year": )" +
                                             text(overhead * tonnes) + R"( } ] },
            "buy": { "pack_price": 41, "pack_kg": 1 }, "feed_kg_per_year": 48000000 })",
                                         "published.json", {}));
    };
    const auto processing = [](const MakeCosts& m) {
        return 1000 * (m.labour + m.energy + m.other + m.equipment);
    };
    const VentureResult low = cost(180, 150);
    const VentureResult high = cost(200, 200);
    CHECK(std::abs(low.make.materials - 36.94) < 0.005);
    CHECK(low.make.energy == Approx(0.2));
    CHECK(low.make.packaging == Approx(0.5));
    // "900 to 950" is printed for 890 to 960.
    CHECK(std::abs(processing(low.make) - 900) < 15);
    CHECK(std::abs(processing(high.make) - 950) < 15);
    for (const VentureResult* r : {&low, &high}) {
        const auto rounded = [](double x) { return std::round(x * 2) / 2; };
        CHECK(rounded(r->make.total) == 38.5);
        CHECK(rounded(r->yearly_difference / (1000 * tonnes)) == 2.5);
    }
}

// FAO AFFRIS, grass carp, Table 7 (Lu and Deng 2003), one cage: 16,700 kg of grass cost 208 USD,
// 1,550 kg of pellets 342 USD; the cage on both took 8,350 kg of grass and 1,480 kg of pellets,
// printed as 104 + 326 USD. Fish stocked 500 x 0.43 kg; harvests 623, 861 and 1271 kg.
TEST_CASE("feed costs of a cage trial on grass, pellets and both") {
    const double grass = 208.0 / 16700;
    const double pellet = 342.0 / 1550;
    // "Making" is cut grass, "buying" is pellets; each at the FCR of its own cage.
    const double stocked = 500 * 0.43;
    const Venture venture = two_feeds(grass, 16700 / (623 - stocked), pellet,
                                      1550 / (861 - stocked), R"("gain_kg_per_year": 408)");
    const VentureResult r = make_or_buy(venture);
    // 623 - 215 kg is the gain of the grass cage, so a year of it costs what was printed for that
    // cage.
    CHECK(std::abs(r.amounts.home_feed_kg - 16700) < 0.5);
    CHECK(std::abs(r.amounts.home_feed_kg * r.make.total - 208) < 0.5);
    // The mixed cage, at the prices that the other two cages imply.
    CHECK(std::abs(8350 * r.make.total - 104) < 0.5);
    CHECK(std::abs(1480 * r.bought_cost_per_kg - 326) < 1);
}

// World Aquaculture, March 2009, pages 10-11, "Pond feeding budget": percent of body weight a day
// by weight and temperature (Table 3) and sixteen fortnights of weight, number and temperature
// (Table 4). Weights there are in pounds (0.01 lb is its 4.54 g), feed at 0.50 USD a pound;
// printed: 1.45 kg a day and 44.8 lb in the first fortnight, 22.40 USD, and 3,377.02 USD in all.
TEST_CASE("a published feeding budget of 32 weeks") {
    struct Fortnight {
        double celsius;
        double pounds;
        double number;
    };
    // The last temperature is printed as 45, which only fits as 45 F: 7.2 C.
    const std::vector<Fortnight> table{
        {4.4, 0.01, 10000}, {4.4, 0.0125, 9500}, {5.0, 0.018, 9400}, {5.6, 0.025, 9400},
        {5.6, 0.025, 9350}, {6.1, 0.03, 9200},   {6.7, 0.05, 9150},  {6.7, 0.07, 9100},
        {7.2, 0.1, 9050},   {7.2, 0.15, 9000},   {7.8, 0.15, 8800},  {8.3, 0.2, 8800},
        {8.9, 0.2, 8700},   {8.9, 0.4, 8600},    {8.3, 0.7, 8600},   {7.2, 1.0, 8400}};
    // Rows of Table 3 that the budget uses; the three columns are 4.4-5.6, 6.1-7.2 and 7.8-8.9 C.
    struct Rate {
        double grams;
        double percent[3];
    };
    const std::vector<Rate> rates{
        {4.5, {3.2, 4.5, 5.7}},  {5.6, {2.9, 4.3, 5.4}},   {8.2, {2.7, 4, 5}},
        {11.3, {2.5, 3.8, 4.6}}, {13.6, {2.2, 3.5, 4.3}},  {22.7, {1.9, 3.1, 4}},
        {31.8, {1.6, 2.7, 3.7}}, {38.6, {1.4, 2.4, 3.2}},  {45.4, {1.3, 2, 2.9}},
        {68.0, {1.2, 1.8, 2.5}}, {79.4, {1.1, 1.6, 2.3}},  {90.7, {1, 1.5, 2.1}},
        {181.4, {0.9, 1.3, 2}},  {317.5, {0.8, 1.2, 1.8}}, {454.0, {0.7, 1.1, 1.7}}};
    const double columns[3][2] = {{4.4, 5.6}, {6.1, 7.2}, {7.8, 8.9}};
    const double pound = *base::kilograms_per("lb");

    Plan plan;
    plan.file = "published";
    plan.growth = Growth::weighed;
    plan.adjust_every_days = 14;
    plan.days = 14 * static_cast<int>(table.size());
    for (std::size_t i = 0; i < table.size(); ++i) {
        const double day = 14.0 * static_cast<double>(i);
        plan.weighings.push_back({day, table[i].pounds * pound * 1000, table[i].number});
        plan.temperature.push_back({day, table[i].celsius});
    }
    plan.start_g = plan.weighings.front().weight_g;
    plan.number = table.front().number;
    for (std::size_t i = 0; i < rates.size(); ++i) {
        // A class reaches from halfway to the row before to halfway to the row after.
        const double low = i == 0 ? 0 : (rates[i - 1].grams + rates[i].grams) / 2;
        const double high =
            i + 1 == rates.size() ? 1000 : (rates[i].grams + rates[i + 1].grams) / 2;
        for (int column = 0; column < 3; ++column) {
            catalog::FeedingRate rate;
            rate.weight_g = {low, high};
            rate.temperature_c = catalog::Range{columns[column][0], columns[column][1]};
            rate.ration_percent =
                catalog::Range{rates[i].percent[column], rates[i].percent[column]};
            plan.rations.push_back(rate);
        }
    }
    const PlanResult r = work_out(plan);
    REQUIRE(r.rows.size() == 16);
    CHECK(std::abs(r.rows[0].feed_per_day_kg - 1.45) < 0.005);
    CHECK(std::abs(r.rows[0].feed_kg / pound - 44.8) < 0.05);
    CHECK(std::abs(r.rows[0].feed_kg / pound * 0.5 - 22.40) < 0.005);
    // Printed 3,377.02 is the sum of sixteen rows rounded to cents.
    CHECK(std::abs(r.feed_kg / pound * 0.5 - 3377.02) < 0.01);
}

// A worked example on a growers' forum (aquaponicsnation.com, topic 10150): 100 tilapia of 35 g
// at 5.5 % get 192.5 g a day, 1347.5 g in a week; 75 % of it is the gain, 1010.6 g.
TEST_CASE("a growers' worked example of a week") {
    Plan plan;
    plan.file = "published";
    plan.growth = Growth::fed;
    plan.rate = 1 / 0.75;
    plan.number = 100;
    plan.survival_percent = 100;
    plan.start_g = 35;
    plan.days = 7;
    catalog::FeedingRate rate;
    rate.weight_g = {10, 100};
    rate.ration_percent = catalog::Range{4, 7};
    plan.rations.push_back(rate);
    const PlanResult r = work_out(plan);
    CHECK(r.rows.at(0).feed_per_day_kg * 1000 == Approx(192.5));
    CHECK(r.feed_kg * 1000 == Approx(1347.5));
    CHECK(std::abs(r.gain_kg * 1000 - 1010.6) < 0.05);
}

// Aquasearch, calculations page: 10 g to 350 g in 200 days at 11 C is a TGC of 0.222 with the
// factor 100; here the factor is 1000.
TEST_CASE("a published thermal growth coefficient") {
    const double tgc = tgc_of(10, 350, 11 * 200);
    CHECK(std::abs(tgc / 10 - 0.222) < 0.0005);
    Plan plan;
    plan.file = "published";
    plan.growth = Growth::tgc;
    plan.rate = tgc;
    plan.number = 1;
    plan.survival_percent = 100;
    plan.start_g = 10;
    plan.target_g = 350;
    plan.temperature = {{0, 11}};
    plan.fcr = 1;
    const PlanResult r = work_out(plan);
    CHECK(r.days == 200);
    CHECK(r.end_g == Approx(350));
}

// PLoS ONE 2017, 12(1): e0169985, Table 5, large yellow croaker: gains in percent of 13.77-13.82 g
// and SGR 1.97, 2.00, 1.92, 1.92, 1.99; 54 days follow from the figures themselves.
TEST_CASE("published specific growth rates give the published gains") {
    const double gains[] = {189.95, 193.97, 181.6, 181.46, 192.91};
    const double printed[] = {1.97, 2.0, 1.92, 1.92, 1.99};
    for (int i = 0; i < 5; ++i) {
        const double end = 13.78 * (1 + gains[i] / 100);
        const double sgr = sgr_of(13.78, end, 54);
        CHECK(std::abs(sgr - printed[i]) < 0.005);
        Plan plan;
        plan.file = "published";
        plan.growth = Growth::sgr;
        plan.rate = sgr;
        plan.number = 30;
        plan.survival_percent = 100;
        plan.start_g = 13.78;
        plan.days = 54;
        plan.fcr = 1.5;
        CHECK(work_out(plan).end_g == Approx(end));
    }
}

// Fisheries and Aquatic Sciences 2016, doi 10.1186/s41240-016-0041-9, Table 4: sea bass over 60
// days, 508.2 to 546.8, 502.6 to 535.2 and 528.0 to 641.2 g; printed SGR 0.12, 0.11 and 0.32, means
// of tanks, hence the wider bound.
TEST_CASE("published specific growth rates of sea bass") {
    CHECK(std::abs(sgr_of(508.2, 546.8, 60) - 0.12) < 0.006);
    CHECK(std::abs(sgr_of(502.6, 535.2, 60) - 0.11) < 0.006);
    CHECK(std::abs(sgr_of(528.0, 641.2, 60) - 0.32) < 0.006);
}
