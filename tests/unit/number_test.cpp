// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"

#include "base/diagnostics.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <limits>
#include <random>

using namespace feedwright;
using namespace feedwright::base;

TEST_CASE("a price is printed with its decimals, or with digits enough to tell it from nothing") {
    CHECK(base::price(0.25, 4) == "0.2500");
    CHECK(base::price(12, 4) == "12.0000");
    CHECK(base::price(0.001, 4) == "0.0010");
    CHECK(base::price(0.00042, 4) == "0.000420");
    CHECK(base::price(0.00004, 4) == "0.0000400");
    CHECK(base::price(-0.00042, 4) == "-0.000420");
    CHECK(base::price(4.2e-11, 4) == "4.20e-11");
    CHECK(base::price(0, 4) == "0.0000");
    CHECK_THROWS(base::price(std::numeric_limits<double>::quiet_NaN(), 4));
}

TEST_CASE("parse_finite reads plain decimal numbers") {
    CHECK(parse_finite("0") == 0.0);
    CHECK(parse_finite("12") == 12.0);
    CHECK(parse_finite("-0.5") == -0.5);
    CHECK(parse_finite("1e-3") == 0.001);
    CHECK(parse_finite("1E+3") == 1000.0);
    CHECK(parse_finite(".5") == 0.5);
    CHECK(parse_finite("5.") == 5.0);
    CHECK(parse_finite("0.1") == 0.1);
    CHECK(parse_finite("1.7976931348623157e308") == std::numeric_limits<double>::max());
}

TEST_CASE("parse_finite refuses all that is not one finite number") {
    for (const char* text : {"",
                             " ",
                             " 1",
                             "1 ",
                             "+1",
                             "1,5",
                             "1,000",
                             "1.2.3",
                             "--1",
                             "nan",
                             "NaN",
                             "-nan",
                             "inf",
                             "-inf",
                             "Infinity",
                             "1e999",
                             "-1e999",
                             "1e400",
                             "0x10",
                             "1f",
                             "12kg",
                             "e5",
                             ".",
                             "-",
                             "1e",
                             "1e+",
                             "1_000",
                             "\xC2\xA0"
                             "1",
                             "\xD9\xA1"}) {
        INFO('"' << text << '"');
        CHECK_FALSE(parse_finite(text));
    }
    CHECK_FALSE(parse_finite(std::string_view("1\0", 2)));
}

TEST_CASE("parse_finite reads only what it is given") {
    const std::string text = "12345";
    CHECK(parse_finite(std::string_view(text).substr(1, 2)) == 23.0);
}

TEST_CASE("shortest reads back to the same double") {
    std::mt19937_64 random(20240601);
    for (int i = 0; i < 20000; ++i) {
        const double value =
            std::ldexp(static_cast<double>(random()), static_cast<int>(random() % 200) - 164);
        REQUIRE(parse_finite(shortest(value)) == value);
        REQUIRE(parse_finite(shortest(-value)) == -value);
    }
    for (const double value :
         {std::numeric_limits<double>::max(), std::numeric_limits<double>::min(),
          std::numeric_limits<double>::denorm_min(), 0.1, 1.0 / 3.0, 1e22, 1e23}) {
        CHECK(parse_finite(shortest(value)) == value);
    }
}

TEST_CASE("shortest is as short as can be and knows no minus zero") {
    CHECK(shortest(0.1) == "0.1");
    CHECK(shortest(25) == "25");
    CHECK(shortest(-2.5) == "-2.5");
    CHECK(shortest(-0.0) == "0");
}

TEST_CASE("numbers that are not finite are never written") {
    for (const double value :
         {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity(),
          -std::numeric_limits<double>::infinity()}) {
        CHECK_THROWS_AS(shortest(value), Error);
        CHECK_THROWS_AS(fixed(value, 2), Error);
        CHECK_THROWS_AS(significant(value, 3), Error);
        CHECK_THROWS_AS(require_finite(value, "cost"), Error);
    }
    CHECK_THROWS_WITH(require_finite(std::nan(""), "the cost"), Catch::Contains("the cost"));
    CHECK(require_finite(1.5, "cost") == 1.5);
}

TEST_CASE("fixed writes the decimals asked for and never a negative zero") {
    CHECK(fixed(1.005, 2) == "1.00");  // the double lies just below 1.005
    CHECK(fixed(2.5, 1) == "2.5");
    CHECK(fixed(1234567.891, 1) == "1234567.9");
    CHECK(fixed(3.7, 0) == "4");
    CHECK(fixed(-0.004, 2) == "0.00");
    CHECK(fixed(-0.0, 0) == "0");
    CHECK(fixed(-0.006, 2) == "-0.01");
}

TEST_CASE("compact drops zeros that say nothing") {
    CHECK(compact(20, 4) == "20");
    CHECK(compact(31.5, 4) == "31.5");
    CHECK(compact(0.05, 2) == "0.05");
    CHECK(compact(1200, 2) == "1200");
    CHECK(compact(-0.10, 3) == "-0.1");
}

TEST_CASE("significant keeps digits across sizes") {
    CHECK(significant(0.0012, 3) == "0.00120");
    CHECK(significant(31.5, 3) == "31.5");
    CHECK(significant(1240, 3) == "1240");
    CHECK(significant(0, 3) == "0");
    CHECK(significant(-0.5, 2) == "-0.50");
    CHECK(significant(123456, 3) == "123456");
}

TEST_CASE("significant is not misled when rounding adds a digit") {
    CHECK(significant(9.999, 3) == "10.0");
    CHECK(significant(0.09999, 2) == "0.10");
    CHECK(significant(999.9, 3) == "1000");
}

TEST_CASE("the median is the middle value, or the mean of the middle two") {
    CHECK(base::median({3, 1, 2}) == 2);
    CHECK(base::median({4, 1, 3, 2}) == 2.5);
    CHECK(base::median({7}) == 7);
}
