// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/units.hpp"

#include "support/catch.hpp"

using namespace feedwright::base;

TEST_CASE("parse_quantity splits number and unit") {
    const auto check = [](const char* text, double value, const char* unit) {
        INFO(text);
        const auto q = parse_quantity(text);
        REQUIRE(q);
        CHECK(q->value == value);
        CHECK(q->unit == unit);
    };
    check("32 %", 32, "%");
    check("32%", 32, "%");
    check(" 320  g/kg ", 320, "g/kg");
    check("5", 5, "");
    check("-1.5e-3 mg/kg", -0.0015, "mg/kg");
    check("18.50 per 40 kg", 18.5, "per 40 kg");
    check("1e3", 1000, "");
    check("12 e", 12, "e");
    check("5 g/100 g", 5, "g/100 g");
}

TEST_CASE("parse_quantity needs a finite number in front") {
    for (const char* text :
         {"", "%", "g/kg 32", "nan %", "inf kg", "1e999 %", "1.2.3 %", "- 5", "."}) {
        INFO(text);
        CHECK_FALSE(parse_quantity(text));
    }
    // A decimal comma stays visible in the unit, which no unit matches.
    const auto comma = parse_quantity("32,5 %");
    REQUIRE(comma);
    CHECK_FALSE(is_known_unit(comma->unit));
}

TEST_CASE("conversions of whole ratios are exact") {
    CHECK(convert(320, "g/kg", "%") == 32.0);
    CHECK(convert(32, "%", "g/kg") == 320.0);
    CHECK(convert(7, "g/kg", "%") == 0.7);
    CHECK(convert(150, "ppm", "mg/kg") == 150.0);
    CHECK(convert(3, "mg/kg", "%") == 0.0003);
    CHECK(convert(0.3, "mg/kg", "ug/kg") == 300.0);
    CHECK(convert(1, "g/g", "%") == 100.0);
    CHECK(convert(250, "mg/100g", "mg/kg") == 2500.0);
    CHECK(convert(12, "ug/100g", "mg/kg") == 0.12);
    CHECK(convert(2.5, "kIU/kg", "IU/kg") == 2500.0);
    CHECK(convert(3, "IU/g", "IU/kg") == 3000.0);
    CHECK(convert(3, "µg/kg", "ppb") == 3.0);
}

TEST_CASE("energy uses the thermochemical calorie") {
    CHECK(convert(1000, "kcal/kg", "MJ/kg") == 4.184);
    CHECK(convert(3200, "kcal/kg", "MJ/kg") == 13.3888);
    CHECK(*convert(4.184, "MJ/kg", "kcal/kg") == Approx(1000).epsilon(1e-15));
    CHECK(convert(3.2, "Mcal/kg", "kcal/kg") == 3200.0);
    CHECK(convert(13.4, "kJ/g", "MJ/kg") == 13.4);
    CHECK(convert(13400, "kJ/kg", "MJ/kg") == 13.4);
    // 1450 kcal per 0.45359237 kg
    CHECK(*convert(1450, "kcal/lb", "kcal/kg") == Approx(1450 / 0.45359237).epsilon(1e-15));
}

TEST_CASE("a conversion there and back is the identity to the last bits") {
    for (const char* unit :
         {"%", "g/kg", "mg/kg", "ug/kg", "mg/100g", "g/t", "mg/g", "ppb", "ug/100g"}) {
        INFO(unit);
        CHECK(*convert(*convert(0.37, unit, "%"), "%", unit) == Approx(0.37).epsilon(4e-16));
    }
}

TEST_CASE("a charge converts to no other kind") {
    CHECK(convert(25, "mEq/100g", "mEq/kg") == 250.0);
    CHECK_FALSE(convert(250, "mEq/kg", "mg/kg"));
    CHECK_FALSE(convert(1, "%", "mEq/kg"));
}

TEST_CASE("unknown units and other kinds do not convert") {
    CHECK_FALSE(convert(1, "%", "MJ/kg"));
    CHECK_FALSE(convert(1, "IU/kg", "mg/kg"));
    CHECK_FALSE(convert(1, "furlong", "%"));
    CHECK_FALSE(convert(1, "%", "furlong"));
    CHECK_FALSE(convert(1, "mg/KG", "mg/kg"));
    CHECK(convert(2, "my-unit/kg", "my-unit/kg") == 2.0);
    CHECK(is_known_unit("g/kg"));
    CHECK_FALSE(is_known_unit("my-unit/kg"));
    CHECK_FALSE(is_known_unit(""));
}

TEST_CASE("masses") {
    CHECK(parse_mass_kg("25") == 25.0);
    CHECK(parse_mass_kg("25 kg") == 25.0);
    CHECK(parse_mass_kg("25kg") == 25.0);
    CHECK(parse_mass_kg("5 g") == 0.005);
    CHECK(parse_mass_kg("300 mg") == Approx(0.0003).epsilon(1e-15));
    CHECK(parse_mass_kg("1 lb") == 0.45359237);
    CHECK(parse_mass_kg("16 oz") == 0.45359237);
    CHECK(parse_mass_kg("2 t") == 2000.0);
    CHECK(parse_mass_kg("1 short ton") == Approx(907.18474).epsilon(1e-15));
    CHECK(parse_mass_kg("1 cwt") == Approx(45.359237).epsilon(1e-15));
    for (const char* text : {"", "kg", "0 kg", "-5 kg", "5 stone", "5,5 kg", "nan kg", "1e308 t"}) {
        INFO(text);
        CHECK_FALSE(parse_mass_kg(text));
    }
    CHECK(kilograms_per("lb") == 0.45359237);
    CHECK_FALSE(kilograms_per("bag"));
}

TEST_CASE("prices come per kilogram, per pack or per unit of mass") {
    CHECK(parse_price_per_kg("0.52") == 0.52);
    CHECK(parse_price_per_kg("0") == 0.0);
    CHECK(parse_price_per_kg("0.52 per kg") == 0.52);
    CHECK(parse_price_per_kg("0.52/kg") == 0.52);
    CHECK(parse_price_per_kg("18.50 per 40 kg") == 0.4625);
    CHECK(parse_price_per_kg("18.50 / 40 kg") == 0.4625);
    CHECK(*parse_price_per_kg("0.31 per lb") == Approx(0.31 / 0.45359237).epsilon(1e-15));
    CHECK(parse_price_per_kg("0.31 per lb") == parse_price_per_kg("0.31/lb"));
    CHECK(*parse_price_per_kg("15.5 per 50lb") == Approx(0.31 / 0.45359237).epsilon(1e-15));
    CHECK(*parse_price_per_kg("480 per t") == Approx(0.48).epsilon(1e-15));
    CHECK(*parse_price_per_kg("2.40 per 500 g") == Approx(4.8).epsilon(1e-15));
    CHECK(*parse_price_per_kg("520 per short ton") == Approx(520 / 907.18474).epsilon(1e-15));
}

TEST_CASE("prices that mean nothing are refused") {
    for (const char* text :
         {"",           "free",           "-1",           "-1 per kg",    "nan",
          "inf",        "1e999",          "0,52",         "0.52 kg",      "0.52 per",
          "0.52 per ",  "0.52/",          "18 per 40",    "18 per 0 kg",  "18 per -5 kg",
          "18 per bag", "18 per 40 bags", "18 for 40 kg", "1e308 per mg", "$0.52"}) {
        INFO(text);
        CHECK_FALSE(parse_price_per_kg(text));
    }
}

TEST_CASE("volumes, areas and temperatures convert exactly") {
    CHECK(parse_volume_l("100 gal") == 378.5411784);
    CHECK(parse_volume_l("1 UK gal") == 4.54609);
    CHECK(parse_volume_l("2 m3") == 2000.0);
    CHECK(parse_volume_l("800") == 800.0);
    CHECK_FALSE(parse_volume_l("5 barrels"));
    CHECK_FALSE(parse_volume_l("0 l"));
    CHECK(parse_area_m2("100 ft2") == 100 * 0.09290304);
    CHECK(parse_area_m2("0.5 ha") == 5000.0);
    CHECK(parse_area_m2("1 acre") == 4046.8564224);
    CHECK_FALSE(parse_area_m2("-3 m2"));
    CHECK(parse_temperature_c("50 F") == 10.0);
    CHECK(parse_temperature_c("212 F") == 100.0);
    CHECK(parse_temperature_c("-40 F") == -40.0);
    CHECK(parse_temperature_c("27.5 C") == 27.5);
    CHECK(parse_temperature_c("28") == 28.0);
    CHECK_FALSE(parse_temperature_c("300 K"));
}
