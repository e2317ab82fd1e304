// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/table.hpp"

#include "support/catch.hpp"

#include <string>

using namespace feedwright::base;
using Row = std::vector<std::string>;

namespace {

const std::vector<WantedColumn>& columns() {
    static const std::vector<WantedColumn> list{
        {"ingredient", {"id", "ingredient", "name", "feed"}, true, false, Measure::none, true},
        {"price", {"cost"}, true, true, Measure::price, false},
        {"min", {"minimum"}, false, true, Measure::percent, false},
        {"note", {"notes"}, false, false, Measure::none, false}};
    return list;
}

Table read(std::string_view bytes) {
    Diagnostics diagnostics;
    Table table = read_table(bytes, "p.csv", columns(), diagnostics);
    diagnostics.throw_if_any();
    return table;
}

std::string problem(std::string_view bytes) {
    try {
        read(bytes);
    } catch (const DataError& error) {
        return error.what();
    }
    return "none";
}

std::vector<double> prices(std::string_view bytes) {
    const Table table = read(bytes);
    Diagnostics diagnostics;
    std::vector<double> list;
    for (const TableRow& row : table.rows)
        list.push_back(Cells(table, row, diagnostics).number("price").value_or(-1));
    diagnostics.throw_if_any();
    return list;
}

std::string utf16(std::string_view ascii, bool little) {
    std::string out = little ? "\xFF\xFE" : "\xFE\xFF";
    for (const char c : ascii) {
        if (!little) out += '\0';
        out += c;
        if (little) out += '\0';
    }
    return out;
}

const std::vector<double> two{0.28, 0.6};

}  // namespace

TEST_CASE("a plain table is read as it stands and nothing is told of it") {
    const Table table = read("ingredient,price,min\nmaize,0.28,\n\"meal, \"\"soy\"\"\",0.6,5\n");
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[0].cells == Row{"maize", "0.28", ""});
    CHECK(table.rows[1].cells == Row{"meal, \"soy\"", "0.6", "5"});
    CHECK(table.rows[1].line == 3);
    CHECK(table.reading.plain());
    CHECK(table.reading.rows == 2);
    CHECK(table.mark == DecimalMark::point);
}

TEST_CASE("commas, semicolons and tabs; decimal commas; encodings; line ends") {
    CHECK(prices("ingredient;price\nmaize;0,28\nsoy;0,6\n") == two);
    CHECK(prices("ingredient\tprice\nmaize\t0,28\nsoy\t0,6\n") == two);
    CHECK(prices("ingredient;price\nmaize;0.28\nsoy;0.6\n") == two);
    CHECK(prices("ingredient,price\nmaize,\"0,28\"\nsoy,\"0,6\"\n") == two);
    CHECK(prices("\xEF\xBB\xBFingredient,price\r\nmaize,0.28\r\nsoy,0.6\r\n") == two);
    CHECK(prices("ingredient,price\rmaize,0.28\rsoy,0.6\r") == two);
    CHECK(prices(utf16("ingredient\tprice\r\nmaize\t0,28\r\nsoy\t0,6", true)) == two);
    CHECK(prices(utf16("ingredient;price\nmaize;0,28\nsoy;0,6\n", false)) == two);
    CHECK(prices("sep=;\ningredient;price\nmaize;0,28\nsoy;0,6\n") == two);
    CHECK(prices("\"sep=,\"\r\ningredient,price\r\nmaize,0.28\r\nsoy,0.6\r\n") == two);
    const Table western = read("ingredient;price;note\nma\xEFs;0,28;\x80\n");
    CHECK(western.rows[0].cells == Row{"ma\xC3\xAFs", "0,28", "\xE2\x82\xAC"});
    CHECK(western.reading.encoding == Encoding::western);
    CHECK_FALSE(western.reading.plain());
}

TEST_CASE("titles, comments, empty rows, short rows and empty columns") {
    const Table table = read(
        "Prices of May\n\n,,,\n# from the market\n,Feed ,COST, ,Supplier\n,,,,\n"
        ",maize,0.28\n,soy,0.6,,Mills\n,,,,\n");
    CHECK(table.head_line == 5);
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[0].cells == Row{"maize", "0.28", ""});
    CHECK(table.rows[0].line == 7);
    CHECK(table.rows[1].cells == Row{"soy", "0.6", "Mills"});
    CHECK(table.reading.aside == std::vector<std::string>{"Supplier"});
    REQUIRE(table.reading.left_out.size() == 1);
    CHECK(table.reading.left_out[0].text == "Prices of May");
    REQUIRE(table.above.size() == 2);
    CHECK(table.above[1].cells == Row{"# from the market"});
}

TEST_CASE("a column headed # is no comment") {
    const Table table = read("#,ingredient,price\n1,maize,0.28\n");
    CHECK(table.rows.at(0).cells == Row{"1", "maize", "0.28"});
    CHECK(table.reading.aside == std::vector<std::string>{"#"});
}

TEST_CASE("quotes hold separators, quotes and line ends") {
    const Table table =
        read("ingredient,price,note\n\"two\nlines\",1,\"# not \"\n \"meal\" , 2 ,y\n");
    CHECK(table.rows[0].cells == Row{"two\nlines", "1", "# not "});
    CHECK(table.rows[1].cells == Row{"meal", "2", "y"});
    CHECK(table.rows[1].line == 4);
}

TEST_CASE("an id names a row before its name does") {
    const Table table = read("name,id,price\nMaize,maize,0.28\n");
    CHECK(table.columns.at("ingredient") == 1);
    CHECK(table.reading.aside == std::vector<std::string>{"name"});
}

TEST_CASE("a unit stands in the head") {
    const Table table = read("ingredient,PRICE ($/lb),Min (%)\nmaize,.28,5 %\n");
    REQUIRE(table.head("price") != nullptr);
    CHECK(table.head("price")->per == "lb");
    CHECK(table.head("price")->currency == "$");
    CHECK(table.columns.at("min") == 2);
}

TEST_CASE("a total is left out when it is the sum") {
    const Table table = read("ingredient,price\nmaize,0.28\nsoy,0.6\nTotal:,0.88\n");
    CHECK(table.rows.size() == 2);
    REQUIRE(table.reading.left_out.size() == 1);
    CHECK(table.reading.left_out[0].why == LeftOut::Why::total);
    CHECK(read("ingredient,price\nmaize,0.28\nTOTAL,\n").rows.size() == 1);
    CHECK(problem("ingredient,price\nmaize,0.28\nsoy,0.6\ntotal,0.9\n") ==
          "p.csv: line 4: found a row \"total\" whose numbers are not the sums of the rows above; "
          "expected an ingredient, or the sum of the rows above. Take the row out, or correct it.");
}

TEST_CASE("numbers that can be read in two ways are refused with both readings") {
    CHECK(problem("ingredient;price\nmaize;1,234\n") ==
          "p.csv: line 2: found \"1,234\", which may be 1.234 or 1234; expected numbers that can "
          "be read in one way. Write 1234 without a mark, or 1.2340 with one more decimal.");
    CHECK(problem("ingredient;price\nmaize;1.234\n").find("1.234 or 1234") != std::string::npos);
    CHECK(problem("ingredient,price\nmaize,\"1,234\"\n").find("1.234 or 1234") !=
          std::string::npos);
    CHECK(problem("ingredient;price\nmaize;0,28\nsoy;1.234\n").find("1.234 or 1234") !=
          std::string::npos);
    CHECK(prices("ingredient,price\nmaize,1.234\n") == std::vector<double>{1.234});
    CHECK(problem("ingredient;price\nmaize;0,28\nsoy;0.6\n") ==
          "p.csv: line 3: found \"0.6\" on line 3 and \"0,28\" on line 2; expected one decimal "
          "mark in the whole file. Write a point in every number, or a comma in every number.");
    CHECK(prices("ingredient;price\nmaize;1.234,5\nsoy;1.234\n") ==
          std::vector<double>{1234.5, 1234});
}

TEST_CASE("a decimal comma that cut its number in two is seen") {
    const std::string said = "which may be the number 0.32 or two cells";
    CHECK(problem("ingredient,price,note\nmaize,0,32\n").find(said) != std::string::npos);
    CHECK(problem("ingredient,price,min\nmaize,0,32\n").find("may be") == std::string::npos);
    CHECK(problem("ingredient,price,min,note\nmaize,0,32\n").find(said) != std::string::npos);
    CHECK(problem("ingredient,price,min,note\nmaize,0,32,\nsoy,0,60,\n").find(said) !=
          std::string::npos);
    CHECK(problem("ingredient,price,stock\nmaize,0,32\nsoy,0,60\n").find(said) !=
          std::string::npos);
    CHECK(problem("ingredient,price\nmaize,0,32\n") ==
          "p.csv: line 2: found 3 cells; expected 2, as in the header. A decimal comma, or a comma "
          "in a text without quotes, also makes cells.");
    CHECK(prices("ingredient,price,stock\nmaize,300,5000\nsoy,600,\n") ==
          std::vector<double>{300, 600});
    CHECK(prices("ingredient,price,min\nmaize,300,5\nsoy,600,10\n") ==
          std::vector<double>{300, 600});
}

TEST_CASE("columns that are missing, mistyped or there twice") {
    CHECK(problem("ingredient,prize\nmaize,1\n") ==
          "p.csv: line 1, column prize: found an unknown column; expected one of ingredient, "
          "price, min or note. Did you mean \"price\"?");
    CHECK(problem("ingredient,colour\nmaize,1\n").find("no column \"price\"") != std::string::npos);
    CHECK(problem("ingredient,price,price\nmaize,1,2\n") ==
          "p.csv: line 1: found column \"price\" twice; expected each column name once.");
    CHECK(problem("ingredient,price per kg,price per bag\nmaize,1,2\n")
              .find("may both be the price") != std::string::npos);
    CHECK(problem("maize,0.28\nsoy,0.6\n") ==
          "p.csv: line 1: found \"maize,0.28\"; expected the names of the columns: ingredient, "
          "price, min and note.");
    CHECK(problem("ingredient,price,minn\nmaize,1,2\n").find("Did you mean \"min\"?") !=
          std::string::npos);
}

TEST_CASE("all problems of a file come together") {
    Diagnostics diagnostics;
    const Table table = read_table("ingredient,price,minn\nmaize,cheap,1\nsoy,1,2,3\n", "p.csv",
                                   columns(), diagnostics);
    for (const TableRow& row : table.rows)
        Cells(table, row, diagnostics).number("price");
    CHECK(diagnostics.list().size() == 3);
}

TEST_CASE("what is no table is refused, and how to save one is said") {
    CHECK(problem(std::string("PK\x03\x04rest", 8)).find("Save as") != std::string::npos);
    CHECK(problem("\xD0\xCF\x11\xE0rest").find("a workbook (.xls)") != std::string::npos);
    CHECK(problem("{ \"format\": 1 }") ==
          "p.csv: line 1: found JSON; expected a table with a header row and commas (CSV).");
    CHECK(problem(utf16("ingredient,price\n", true).substr(2)).find("UTF-16 without") !=
          std::string::npos);
    CHECK(problem("") ==
          "p.csv: line 1: found no rows; expected a header row and at least one more.");
    CHECK(problem("ingredient,price\n\"maize,1\n").find("never closed") != std::string::npos);
    CHECK(problem("ma\xC3\xAFs,price\nna\xEFve,1\n").find("not UTF-8, below lines") !=
          std::string::npos);
    CHECK(problem("ingredient,price\nma\x81s,1\n").find("nor Western European") !=
          std::string::npos);
}

TEST_CASE("cells of numbers") {
    const Table table = read("ingredient,price,min\nmaize,0.28,5 %\nsoy,cheap,120\nrye,2-Jan,\n");
    Diagnostics diagnostics;
    const Cells maize(table, table.rows[0], diagnostics);
    CHECK(maize.text("ingredient") == "maize");
    CHECK(maize.number("price") == 0.28);
    CHECK(maize.percent("min") == 5.0);
    CHECK_FALSE(maize.number("note"));
    CHECK(diagnostics.empty());
    const Cells soy(table, table.rows[1], diagnostics);
    CHECK_FALSE(soy.number("price"));
    CHECK_FALSE(soy.percent("min"));
    const Cells rye(table, table.rows[2], diagnostics);
    CHECK_FALSE(rye.number("price"));
    REQUIRE(diagnostics.list().size() == 3);
    CHECK(diagnostics.list()[0].text() ==
          "p.csv: line 3, column price: found \"cheap\"; expected a number.");
    CHECK(diagnostics.list()[2].hint == "A spreadsheet may have made a date of it");
}
