// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/csv.hpp"
#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "document/csv_table.hpp"
#include "document/document.hpp"
#include "support/catch.hpp"

#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>
#include <string>
#include <vector>

using namespace feedwright::document;
using feedwright::base::parse_csv;

namespace {

std::string render(std::vector<Block> blocks) {
    return render_csv({"Title", std::move(blocks)});
}

Table one_column(std::vector<std::string> texts) {
    Table table{"t", {{"A", Align::left, "a"}}, {}};
    for (std::string& text : texts)
        table.rows.push_back({{std::move(text)}});
    return table;
}

}  // namespace

TEST_CASE("CSV: one block a table or fact list, prose and plots left out") {
    CHECK(render({Heading{"Mix"}, Paragraph{"It works."},
                  Table{"mix",
                        {{"Ingredient", Align::left, "id"}, {"%", Align::right, "percent"}},
                        {{{"Soy, \"44\""}, {"60.5", 60.512345678901234}}, {{"Maize"}, {"none"}}}},
                  BarPlot{"", {{"a", 0, 1, ""}}, 0}, Bullets{{{"mind"}}},
                  Facts{"costs", {{"Per kg", {"0.45 USD", 0.45}}, {"Currency", {"USD"}}}},
                  Table{"unused", {{"Ingredient", Align::left, "id"}}, {}}}) ==
          "# mix\n"
          "id,percent\n"
          "\"Soy, \"\"44\"\"\",60.512345678901234\n"
          "Maize,none\n"
          "\n"
          "# costs\n"
          "item,number,text\n"
          "Per kg,0.45,0.45 USD\n"
          "Currency,,USD\n"
          "\n"
          "# unused\n"
          "id\n");
    // A report without a table is no empty output.
    CHECK(render({Heading{"Mix"}, Paragraph{"only, prose"}, Bullets{{{"=1"}, {""}}}}) ==
          "# status\nstatus\n\"only, prose\"\n'=1\n");
    CHECK(render({Table{}, Facts{}}).empty());
}

TEST_CASE("CSV: a spreadsheet finds no formula in a text") {
    CHECK(render({one_column(
              {"=1+1", "+A1", "-A1", "@SUM(A1)", "\t=1", "-", "-4.5", "a=1", "-4,5"})}) ==
          "# t\n"
          "a\n"
          "'=1+1\n"
          "'+A1\n"
          "'-A1\n"
          "'@SUM(A1)\n"
          "\" =1\"\n"
          "-\n"
          "-4.5\n"
          "a=1\n"
          "\"'-4,5\"\n");
    // A number is a number, whatever its sign.
    CHECK(render({Table{"t", {{"A", Align::right, "a"}}, {{{"-1.0", -1.0}}}}}) == "# t\na\n-1\n");
    CHECK(render({Facts{"f", {{"=x", {"=y", -2.0}}}}}) == "# f\nitem,number,text\n'=x,-2,'=y\n");
}

TEST_CASE("CSV: rows that would read as nothing or as a comment are quoted") {
    const std::string text = render({one_column({"", "# x", "a\nb"})});
    CHECK(text == "# t\na\n\"\"\n\"# x\"\na b\n");
    const auto table = parse_csv(text, "t.csv");
    REQUIRE(table.rows.size() == 3);
    CHECK(table.rows[0].cells[0].empty());
    CHECK(table.rows[1].cells[0] == "# x");
}

TEST_CASE("CSV: what cannot be written is refused") {
    CHECK_THROWS_AS(render({Table{"", {{"A", Align::left, "a"}}, {}}}), feedwright::Error);
    CHECK_THROWS_AS(render({Table{"t", {{"A", Align::left, ""}}, {}}}), feedwright::Error);
    CHECK_THROWS_AS(render({Facts{"", {{"a", {"b"}}}}}), feedwright::Error);
    CHECK_THROWS_AS(render({Table{"t", {{"A", Align::left, "a"}}, {{}}}}), feedwright::Error);
    CHECK_THROWS_AS(
        render({Table{
            "t", {{"A", Align::left, "a"}}, {{{"x", std::numeric_limits<double>::infinity()}}}}}),
        feedwright::Error);
}

TEST_CASE("CSV: numbers read back to the same bits") {
    std::mt19937_64 random(7);
    Table table{"t", {{"A", Align::right, "a"}, {"B", Align::right, "b"}}, {}};
    std::vector<double> values{5e-324, -std::numeric_limits<double>::max(), 0.1, 1.0 / 3, 1e22};
    while (values.size() < 4000) {
        const auto value = std::bit_cast<double>(std::uint64_t{random()});
        if (std::isfinite(value)) values.push_back(value);
    }
    for (std::size_t i = 0; i + 1 < values.size(); i += 2) {
        table.rows.push_back({{"shown", values[i]}, {"shown", values[i + 1]}});
    }
    const auto read = parse_csv(render({table}), "t.csv");
    REQUIRE(read.rows.size() == table.rows.size());
    for (std::size_t i = 0; i < read.rows.size(); ++i) {
        for (std::size_t k = 0; k < 2; ++k) {
            const auto back = feedwright::base::parse_finite(read.rows[i].cells[k]);
            REQUIRE(back);
            REQUIRE(std::bit_cast<std::uint64_t>(*back) ==
                    std::bit_cast<std::uint64_t>(*table.rows[i][k].number));
        }
    }
}

TEST_CASE("CSV: one table alone") {
    const Document document{
        "Title",
        {Table{"mix", {{"A", Align::left, "a"}}, {{{"1"}}}}, Facts{"cost", {{"x", {"1", 1.0}}}},
         Table{"mix", {{"A", Align::left, "a"}}, {{{"2"}}}},
         Table{"hidden", {{"A", Align::left, "a"}}, {{{"3"}}}, false, true}}};
    CHECK(csv_tables(document) == std::vector<std::string>{"mix", "cost"});
    CHECK(render_csv_table(document, "mix") == "a\n1\n2\n");
    CHECK(render_csv_table(document, "cost") == "item,number,text\nx,1,1\n");
    CHECK_FALSE(render_csv_table(document, "hidden").has_value());
}
