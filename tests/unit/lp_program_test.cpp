// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "lp/linear_program.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <limits>

using namespace feedwright;
using namespace feedwright::lp;

namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();

LinearProgram two_columns() {
    LinearProgram program;
    program.add_column({"a", 1, 0.0, std::nullopt, false});
    program.add_column({"b", 2, 0.0, 5.0, false});
    program.add_row({"sum", 1.0, 1.0, {{0, 1}, {1, 1}}});
    return program;
}

}  // namespace

TEST_CASE("a program returns what was put in") {
    LinearProgram program = two_columns();
    CHECK(program.add_column({"c", -3, std::nullopt, std::nullopt, true}) == 2);
    CHECK(program.add_row({"empty", std::nullopt, 4.0, {}}) == 1);
    CHECK(program.columns().size() == 3);
    CHECK(program.columns()[2].cost == -3);
    CHECK(program.rows()[0].entries.size() == 2);
    CHECK(program.has_integers());
    program.set_integer(2, false);
    CHECK_FALSE(program.has_integers());
    program.set_cost(0, 7);
    CHECK(program.columns()[0].cost == 7);
    program.set_column_limits(1, 2.0, 2.0);
    CHECK(program.columns()[1].lower == 2.0);
    program.set_row_limits(0, std::nullopt, std::nullopt);
    CHECK_FALSE(program.rows()[0].lower);
}

TEST_CASE("a row and a column may share an id, two of a kind may not") {
    LinearProgram program = two_columns();
    CHECK_NOTHROW(program.add_row({"a", 0.0, std::nullopt, {}}));
    CHECK_THROWS_WITH(program.add_column({"a", 0, 0.0, std::nullopt, false}),
                      Catch::Contains("column a twice"));
    CHECK_THROWS_WITH(program.add_row({"sum", 0.0, std::nullopt, {}}),
                      Catch::Contains("row sum twice"));
    CHECK_THROWS_AS(program.add_column({"", 0, 0.0, std::nullopt, false}), Error);
    CHECK_THROWS_AS(program.add_row({"", 0.0, std::nullopt, {}}), Error);
}

TEST_CASE("numbers that are not finite never get in") {
    for (const double bad : {not_a_number, infinity, -infinity}) {
        LinearProgram program = two_columns();
        CHECK_THROWS_AS(program.add_column({"x", bad, 0.0, std::nullopt, false}), Error);
        CHECK_THROWS_AS(program.add_column({"x", 0, bad, std::nullopt, false}), Error);
        CHECK_THROWS_AS(program.add_column({"x", 0, 0.0, bad, false}), Error);
        CHECK_THROWS_AS(program.add_row({"x", bad, std::nullopt, {}}), Error);
        CHECK_THROWS_AS(program.add_row({"x", std::nullopt, bad, {}}), Error);
        CHECK_THROWS_AS(program.add_row({"x", 0.0, std::nullopt, {{0, bad}}}), Error);
        CHECK_THROWS_AS(program.set_cost(0, bad), Error);
        CHECK_THROWS_AS(program.set_column_limits(0, bad, std::nullopt), Error);
        CHECK_THROWS_AS(program.set_column_limits(0, std::nullopt, bad), Error);
        CHECK_THROWS_AS(program.set_row_limits(0, bad, std::nullopt), Error);
        CHECK_THROWS_AS(program.set_row_limits(0, std::nullopt, bad), Error);
        // Nothing has changed, and the ids are still free.
        CHECK(program.columns().size() == 2);
        CHECK(program.rows().size() == 1);
        CHECK(program.columns()[0].cost == 1);
        CHECK(program.rows()[0].lower == 1.0);
        CHECK_NOTHROW(program.add_column({"x", 0, 0.0, std::nullopt, false}));
        CHECK_NOTHROW(program.add_row({"x", 0.0, std::nullopt, {}}));
    }
}

TEST_CASE("limits must be in order") {
    LinearProgram program = two_columns();
    CHECK_THROWS_WITH(program.add_column({"x", 0, 2.0, 1.0, false}), Catch::Contains("of x"));
    CHECK_THROWS_AS(program.add_row({"x", 2.0, 1.0, {}}), Error);
    CHECK_THROWS_AS(program.set_column_limits(0, 2.0, 1.0), Error);
    CHECK_THROWS_AS(program.set_row_limits(0, 2.0, 1.0), Error);
    CHECK_NOTHROW(program.set_row_limits(0, 2.0, 2.0));
}

TEST_CASE("entries must name columns, in order, each once") {
    LinearProgram program = two_columns();
    CHECK_THROWS_AS(program.add_row({"x", 0.0, std::nullopt, {{2, 1}}}), Error);
    CHECK_THROWS_AS(program.add_row({"x", 0.0, std::nullopt, {{0, 1}, {0, 2}}}), Error);
    CHECK_THROWS_AS(program.add_row({"x", 0.0, std::nullopt, {{1, 1}, {0, 2}}}), Error);
    CHECK(program.rows().size() == 1);
}

TEST_CASE("indices that do not exist are refused") {
    LinearProgram program = two_columns();
    CHECK_THROWS_AS(program.set_cost(2, 1), Error);
    CHECK_THROWS_AS(program.set_integer(2, true), Error);
    CHECK_THROWS_AS(program.set_column_limits(2, 0.0, 1.0), Error);
    CHECK_THROWS_AS(program.set_row_limits(1, 0.0, 1.0), Error);
}
