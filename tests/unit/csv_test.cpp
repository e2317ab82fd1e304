// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/csv.hpp"

#include "base/diagnostics.hpp"
#include "support/catch.hpp"

#include <sstream>

using namespace feedwright::base;
using Cells = std::vector<std::string>;

TEST_CASE("a plain table") {
    const CsvTable table = parse_csv("ingredient,price\nmaize,0.3\nrice-bran,0.21\n", "p.csv");
    CHECK(table.file == "p.csv");
    CHECK(table.header == Cells{"ingredient", "price"});
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[0].cells == Cells{"maize", "0.3"});
    CHECK(table.rows[1].cells == Cells{"rice-bran", "0.21"});
    CHECK(table.rows[1].line == 3);
}

TEST_CASE("byte order mark, CRLF, comments, empty lines, no newline at the end") {
    const CsvTable table =
        parse_csv("\xEF\xBB\xBF# prices of May\r\n\r\na,b\r\n  \r\n# more\r\n1,2\r\n3,4", "p.csv");
    CHECK(table.header == Cells{"a", "b"});
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[0].cells == Cells{"1", "2"});
    CHECK(table.rows[0].line == 6);
    CHECK(table.rows[1].cells == Cells{"3", "4"});
}

TEST_CASE("cells are trimmed unless quoted") {
    const CsvTable table = parse_csv("a,b,c\n  x  , \" y \" ,\tz\n", "t");
    CHECK(table.rows.at(0).cells == Cells{"x", " y ", "z"});
}

TEST_CASE("quotes hold commas, quotes and line ends") {
    const CsvTable table =
        parse_csv("a,b\n\"meal, fish\",\"say \"\"x\"\"\"\n\"two\nlines\",1\nlast,2\n", "t");
    REQUIRE(table.rows.size() == 3);
    CHECK(table.rows[0].cells == Cells{"meal, fish", "say \"x\""});
    CHECK(table.rows[1].cells == Cells{"two\nlines", "1"});
    CHECK(table.rows[1].line == 3);
    CHECK(table.rows[2].line == 5);
}

TEST_CASE("a quoted cell keeps its text to the byte") {
    const CsvTable table = parse_csv(
        "a,b\n\"# not a comment\",\"\"\n\"ends with space \",\"x\"\n"
        "\"first \r\n second\",y\n",
        "t");
    REQUIRE(table.rows.size() == 3);
    CHECK(table.rows[0].cells == Cells{"# not a comment", ""});
    CHECK(table.rows[1].cells == Cells{"ends with space ", "x"});
    CHECK(table.rows[2].cells == Cells{"first \r\n second", "y"});
}

TEST_CASE("empty cells stay") {
    const CsvTable table = parse_csv("a,b,c\n,,\n1,,\n", "t");
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[0].cells == Cells{"", "", ""});
    CHECK(table.rows[1].cells == Cells{"1", "", ""});
}

TEST_CASE("broken tables are refused with file, line and reason") {
    const auto refused = [](std::string_view text, const char* place, const char* part) {
        INFO(text);
        try {
            parse_csv(text, "p.csv");
            FAIL_CHECK("accepted");
        } catch (const DataError& error) {
            REQUIRE(error.list().size() == 1);
            CHECK(error.list()[0].file == "p.csv");
            CHECK(error.list()[0].place == place);
            CHECK_THAT(error.what(), Catch::Contains(part));
        }
    };
    refused("", "line 1", "no rows");
    refused("# only a comment\n", "line 1", "no rows");
    refused("a,b\n1,2,3\n", "line 2", "3 cells");
    refused("a,b\n\n1\n", "line 3", "1 cell;");
    refused("a,b\n0,52,1\n", "line 2", "decimal comma");
    refused("a,,c\n1,2,3\n", "line 1", "column 2");
    refused("a,b,a\n1,2,3\n", "line 1", "\"a\" twice");
    refused("a;b\n1;2\n", "line 1", "semicolons");
    refused("a\tb\n1\t2\n", "line 1", "tabs");
    refused("{\n\"a\": 1,\n}", "line 1", "found JSON");
    refused("a,b\n1,\"two\n3,4\n", "line 2", "never closed");
    refused("a,b\n1,caf\xE9\n", "line 2", "UTF-8");
}

TEST_CASE("a quote left open early in a long file is found at once") {
    std::string text = "a,b\n1,\"open\n";
    for (int i = 0; i < 200000; ++i)
        text += "maize,0.31\n";
    CHECK_THROWS_WITH(parse_csv(text, "t"),
                      Catch::Contains("line 2") && Catch::Contains("never closed"));
}

TEST_CASE("CsvReader streams rows of any width") {
    std::istringstream in("\xEF\xBB\xBFlist,maize\r\nmonday,0.3\r\n#x\r\ntuesday\r\n");
    CsvReader reader(in, "stream");
    CHECK(reader.file() == "stream");
    CsvRow row;
    REQUIRE(reader.next(row));
    CHECK(row.cells == Cells{"list", "maize"});
    REQUIRE(reader.next(row));
    CHECK(row.cells == Cells{"monday", "0.3"});
    CHECK(row.line == 2);
    REQUIRE(reader.next(row));
    CHECK(row.cells == Cells{"tuesday"});
    CHECK(row.line == 4);
    CHECK_FALSE(reader.next(row));
    CHECK_FALSE(reader.next(row));
}

TEST_CASE("csv_cell quotes only what must be, and reads back") {
    CHECK(csv_cell("maize") == "maize");
    CHECK(csv_cell("") == "");
    CHECK(csv_cell("a,b") == "\"a,b\"");
    CHECK(csv_cell("say \"x\"") == "\"say \"\"x\"\"\"");
    CHECK(csv_cell(" a") == "\" a\"");
    CHECK(csv_cell("#a") == "\"#a\"");  // else the line would be a comment
    for (const char* text : {"plain", "a,b", "q\"q", " lead", "trail ", "two\nlines", "#hash", "\"",
                             "cr\r\nlf", "tab\t"}) {
        INFO(text);
        const CsvTable table = parse_csv("a,b\n" + csv_cell(text) + ",x\n", "t");
        REQUIRE(table.rows.size() == 1);
        CHECK(table.rows[0].cells[0] == text);
    }
}
