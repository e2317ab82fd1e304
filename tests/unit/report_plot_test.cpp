// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "document/plot.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <random>
#include <sstream>
#include <string>

using namespace feedwright::document;

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

std::size_t count(const std::string& text, char c) {
    return static_cast<std::size_t>(std::count(text.begin(), text.end(), c));
}

}  // namespace

TEST_CASE("bars from zero share one scale") {
    CHECK(
        bar_chart(
            {{"Materials", 0, 0.4, "0.40"}, {"Labour", 0, 0.2, "0.20"}, {"Énergie", 0, 0, "0.00"}},
            38) ==
        "Materials  |####################  0.40\n"
        "Labour     |##########            0.20\n"
        "Énergie    |                      0.00\n");
    CHECK(bar_chart({}).empty());
}

TEST_CASE("bars reach to both sides of the origin") {
    CHECK(bar_chart({{"a", 0, -1, ""}, {"b", 0, 1, ""}}, 24) ==
          "a  ##########|\n"
          "b            |##########\n");
    // A tornado table: low and high around the base result; the order of the two does not matter.
    CHECK(bar_chart(
              {{"FCR", 0.4, 0.6, "0.40 to 0.60"}, {"Value of an hour", 0.55, 0.5, "0.50 to 0.55"}},
              42, 0.5) ==
          "FCR             ######|#####  0.40 to 0.60\n"
          "Value of an           |##     0.50 to 0.55\n"
          "  hour\n");
}

TEST_CASE("bars that cannot be drawn to scale") {
    CHECK(bar_chart({{"a", 0, 0, "0"}}, 20) == "a  |               0\n");
    CHECK(bar_chart({{"a", 0, 1e-250, "0"}}, 20) == "a  |               0\n");
    CHECK_THROWS_AS(bar_chart({{"a", 0, infinity, ""}}), feedwright::Error);
    CHECK_THROWS_AS(bar_chart({{"a", 0, 1e300, ""}}), feedwright::Error);
    CHECK_THROWS_AS(bar_chart({}, 80, infinity), feedwright::Error);
}

TEST_CASE("a plot with marks, error bars and a joined curve") {
    const std::string plot = line_plot({{"measured", {{0, 20, 1.0}, {10, 24, {}}, {20, 22, 2.0}}},
                                        {"fitted", {{0, 20, {}}, {20, 23, {}}}, ' ', true}},
                                       {"Inclusion, %", "Gain, g", 40, 7});
    CHECK(plot ==
          "Gain, g\n"
          "25 +\n"
          "   |                 *        ........|\n"
          "   ||        .................        *\n"
          "20 +*........                         |\n"
          "   ||\n"
          "   |\n"
          "15 +\n"
          "   ++----------------+----------------+\n"
          "    0               10               20\n"
          "               Inclusion, %\n"
          "  * measured   . fitted\n");
}

TEST_CASE("a plot without points is empty, one point stands in the middle") {
    CHECK(line_plot({}).empty());
    CHECK(line_plot({{"none", {}}}).empty());
    const std::string plot = line_plot({{"", {{5, 100, {}}}}}, {"", "", 40, 5});
    CHECK(plot ==
          "110 +\n"
          "    |\n"
          "100 +                 *\n"
          "    |\n"
          " 90 +\n"
          "    ++----------------+---------------+\n"
          "    4.5              5.0             5.5\n");
    CHECK_THROWS_AS(line_plot({{"", {{infinity, 0, {}}}}}), feedwright::Error);
    CHECK_THROWS_AS(line_plot({{"", {{0, 0, infinity}}}}), feedwright::Error);
}

TEST_CASE("plots of any data keep to their size") {
    std::mt19937 random(3);
    std::uniform_real_distribution<double> power(-12, 12), sign(-1, 1);
    for (int i = 0; i < 500; ++i) {
        const double scale_x = std::pow(10, power(random)), scale_y = std::pow(10, power(random));
        const double shift = i % 3 == 0 ? scale_y * 1e6 : 0;
        Series series{"data", {}, '*', i % 2 == 0};
        for (int k = 0; k < 1 + i % 7; ++k) {
            series.points.push_back({scale_x * sign(random), shift + scale_y * sign(random),
                                     i % 5 == 0 ? std::optional<double>(scale_y) : std::nullopt});
        }
        const std::string plot = line_plot({series}, {"x", "y"});
        INFO(plot);
        REQUIRE(plot == line_plot({series}, {"x", "y"}));
        REQUIRE(count(plot, '\n') == 20 + 5);  // y label, grid, axis, tick labels, x label, legend
        REQUIRE(count(plot, '*') >= 2);        // at least one mark, and the legend's
        std::istringstream in(plot);
        for (std::string line; std::getline(in, line);) {
            REQUIRE(line.size() <= 80);
            REQUIRE((line.empty() || line.back() != ' '));
        }
    }
}
