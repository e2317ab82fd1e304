// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"

#include "support/catch.hpp"

using namespace feedwright;
using namespace feedwright::base;

TEST_CASE("a diagnostic names file, place, found and expected") {
    const Diagnostic full{"job.json", "line 4, /limits/0/min", "120", "0 to 100 %",
                          "Did you mean 12?"};
    CHECK(full.text() ==
          "job.json: line 4, /limits/0/min: found 120; expected 0 to 100 %. Did you mean 12?");
    CHECK(Diagnostic{"job.json", "", "no rows", "a row", ""}.text() ==
          "job.json: found no rows; expected a row.");
    CHECK(Diagnostic{"job.json", "line 1", "a", "", "Remove it"}.text() ==
          "job.json: line 1: found a. Remove it.");
    CHECK(Diagnostic{"", "", "a", "b", ""}.text() == "found a; expected b.");
}

TEST_CASE("problems are gathered and thrown together") {
    Diagnostics list;
    CHECK(list.empty());
    CHECK_NOTHROW(list.throw_if_any());
    list.add({"a.csv", "line 2", "x", "a number", ""});
    list.add({"a.csv", "line 3", "y", "a number", ""});
    try {
        list.throw_if_any();
        FAIL("nothing thrown");
    } catch (const DataError& error) {
        CHECK(error.list().size() == 2);
        CHECK(std::string(error.what()) ==
              "a.csv: line 2: found x; expected a number.\n"
              "a.csv: line 3: found y; expected a number.");
    }
    CHECK_THROWS_AS(list.throw_if_any(), Error);
}

TEST_CASE("what a file holds cannot play with the terminal or flood it") {
    const std::string text =
        Diagnostic{"a.csv", "line 1", "\"\x1b[31m\n" + std::string(500, 'x') + '"', "b", ""}.text();
    CHECK_THAT(text, Catch::StartsWith("a.csv: line 1: found \"\\x1b[31m\\nxxx"));
    CHECK_THAT(text, Catch::EndsWith("xxx\"; expected b."));
    CHECK(text.size() < 200);
}
