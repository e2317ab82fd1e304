// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "batch/lists.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <fmt/format.h>

#include <string>
#include <vector>

using namespace feedwright::batch;
using feedwright::test::TempFolder;

namespace {

std::shared_ptr<const IngredientSet> ingredients() {
    return std::make_shared<const IngredientSet>(std::vector<std::string>{"wheat", "maize"},
                                                 std::vector<std::string>{"maize", "salt"});
}

struct Seen {
    std::string name;
    double maize = 0;
    double wheat = 0;
    std::string problem;
    bool operator==(const Seen&) const = default;
};

std::vector<Seen> read_all(Lists& lists) {
    std::vector<Seen> all;
    std::size_t next = 0;
    bool any = false;
    for (Piece piece; lists.next(piece);) {
        // Pieces follow one another without a gap.
        if (any) CHECK(piece.first == next);
        any = true;
        std::size_t count = 0;
        lists.read(piece, [&](const Quotes& quotes) {
            REQUIRE(quotes.prices.size() == 2);
            all.push_back({quotes.name, quotes.prices[0], quotes.prices[1], quotes.problem});
            ++count;
        });
        CHECK(count == piece.count);
        next = piece.first + piece.count;
    }
    return all;
}

std::vector<Seen> read_table(const TempFolder& folder, std::string_view text,
                             ListRange range = {}) {
    const auto lists = open_table(folder.write("prices.csv", text), ingredients(), range);
    return read_all(*lists);
}

// The message that a table is refused with.
std::string refusal(const TempFolder& folder, std::string_view text) {
    try {
        const auto all = read_table(folder, text);
    } catch (const feedwright::base::DataError& error) {
        return error.what();
    }
    return "";
}

bool says(const std::string& text, std::string_view part) {
    INFO(text);
    return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("a wide table: a list a row") {
    const TempFolder folder;
    const auto all = read_table(folder,
                                "\xEF\xBB\xBFweek,wheat,salt,maize\r\n"
                                "# a remark\r\n"
                                "1, 0.25 ,0.1,0.5\r\n"
                                "\r\n"
                                "\"a, b\",\"0.31 per lb\",,\r\n"
                                "3,0,0.1,18.50 per 40 kg");
    REQUIRE(all.size() == 3);
    CHECK(all[0] == Seen{"1", 0.5, 0.25, ""});
    CHECK(all[1].name == "a, b");
    CHECK(all[1].maize == no_price);
    CHECK(all[1].wheat == Approx(0.31 / 0.45359237));
    CHECK(all[2].maize == Approx(0.4625));
    CHECK(all[2].wheat == 0);
}

TEST_CASE("a batch's table is read as spreadsheets write it") {
    const TempFolder folder;
    const std::vector<Seen> plain = read_table(folder, "week,maize,wheat\n1,0.5,0.25\n2,,0.3\n");
    REQUIRE(plain.size() == 2);
    CHECK(read_table(folder, "week;maize;wheat\r\n1;0,5;0,25\r\n;;\r\n2;;0,3\r\n") == plain);
    CHECK(read_table(folder, "week\tmaize\twheat\n1\t0.5\t0.25\n2\t\t0.3\n") == plain);
    CHECK(read_table(folder, "sep=;\nweek;maize;wheat\n1;0.5;0.25\n2;;0.3\n") == plain);
    CHECK(read_table(folder,
                     "Prices of our market\n\nweek,maize (USD),wheat (USD)\n1,$0.50,0.25\n"
                     "2,,$0.3\n") == plain);
    CHECK(read_table(folder, "week,maize (USD/t),wheat\n1,500,0.25\n2,,0.3\n") == plain);
    std::string utf16 = "\xFF\xFE";
    for (const char c : std::string("week;maize;wheat\r\n1;0,5;0,25\r\n2;;0,3\r\n")) {
        utf16 += c;
        utf16 += '\0';
    }
    CHECK(read_table(folder, utf16) == plain);
    const auto keyed = read_table(folder, "week,region,maize\n1,north,0.5\n1,south,0.6\n");
    REQUIRE(keyed.size() == 2);
    CHECK(keyed[0].name == "1 north");
    CHECK(keyed[1].maize == 0.6);
    const auto rows =
        read_table(folder, "week;ingredient;price (EUR/t)\n1;maize;500\n1;wheat;250\n");
    REQUIRE(rows.size() == 1);
    CHECK(rows[0] == Seen{"1", 0.5, 0.25, ""});
}

TEST_CASE("what can be read in two ways in a batch's table is not read") {
    const TempFolder folder;
    CHECK(says(refusal(folder, "week;maize\n1;1.234\n"), "which may be 1.234 or 1234"));
    CHECK(says(refusal(folder, "week,maize (USD),wheat (EUR)\n1,1,1\n"), "EUR beside USD"));
    CHECK(says(refusal(folder, "prices per lb\nweek,maize\n1,1\n"), "above the table"));
    CHECK(says(refusal(folder, "week,maize (USD/bag)\n1,1\n"), "prices per bag"));
    const auto mixed =
        read_table(folder, "week;maize\n1;0,5\n2;0,6\n3;\"KES 4,5\"\n4;4 per 40 kg\n");
    REQUIRE(mixed.size() == 4);
    CHECK(mixed[2].maize == 4.5);
    CHECK(mixed[3].maize == Approx(0.1));
    // Below zero: one is paid to take it.
    const auto paid = read_table(folder, "week,maize,wheat\n1,-0.5,-4 per 40 kg\n");
    REQUIRE(paid.size() == 1);
    CHECK(paid[0].maize == -0.5);
    CHECK(paid[0].wheat == Approx(-0.1));
    const auto pack = read_table(folder, "week,maize (USD/t)\n1,500\n2,20 per 40 kg\n");
    CHECK(says(pack[1].problem, "line 3, column maize (USD/t)"));
}

TEST_CASE("what is wrong with a list is told of that list alone") {
    const TempFolder folder;
    const auto all = read_table(folder,
                                "list,maize,wheat\n"
                                "a,0.5,0.4\n"
                                "b,abc,0.4\n"
                                "c,0,5,0.4\n"
                                "d,-,0.4\n"
                                "e,\"0.5,0.4\n"
                                ",0.5,0.4\n"
                                "g,1e999,0.4\n"
                                "h,nan,0.4\n"
                                "i\xFF,0.5,0.4\n"
                                "j,\"0,5\",0.4\n"
                                "k,0.5,0.4\n");
    REQUIRE(all.size() == 11);
    CHECK(all[0].problem.empty());
    CHECK(says(all[1].problem, "prices.csv: line 3, column maize: found \"abc\""));
    CHECK(says(all[2].problem, "line 4: found 4 cells; expected 3"));
    CHECK(says(all[3].problem, "line 5, column maize: found \"-\""));
    CHECK(says(all[4].problem, "line 6: found a quote that is not closed on its line"));
    CHECK(all[4].name == "line 6");
    CHECK(says(all[5].problem, "line 7, column list: found an empty cell"));
    CHECK(says(all[6].problem, "found \"1e999\""));
    CHECK(says(all[7].problem, "found \"nan\""));
    CHECK(all[8] == Seen{"i\xC3\xBF", 0.5, 0.4, ""});  // Western letters in the whole file
    CHECK(says(all[9].problem, "Write a decimal point"));
    CHECK(all[10] == Seen{"k", 0.5, 0.4, ""});
}

TEST_CASE("a wide table with a wrong header is refused whole") {
    const TempFolder folder;
    CHECK(says(refusal(folder, ""), "no rows"));
    CHECK(says(refusal(folder, "list,maise\na,1\n"), "Did you mean \"maize\"?"));
    CHECK(says(refusal(folder, "list,maize,maize\na,1,1\n"), "column \"maize\" twice"));
    CHECK(says(refusal(folder, "list,,maize\na,1,1\n"), "an empty name for column 2"));
    CHECK(says(refusal(folder, "list,salt\na,1\n"), "no ingredient of the job"));
    CHECK(says(refusal(folder, "list\na\n"), "no ingredient of the job"));
    CHECK(says(refusal(folder, "ingredient,price\nmaize,1\n"), "a single price list"));
    CHECK(says(refusal(folder, "list,\xFFmaize\na,1\n"), "maize"));
    CHECK(says(refusal(folder, "list,\"maize\na,1\n"), "a quote that is never closed"));
    CHECK(says(refusal(folder, "list,maize\n" + std::string(3 << 20, 'x')), "a megabyte"));
    CHECK_THROWS_AS(open_table(folder.file("none.csv"), ingredients()), feedwright::IoError);
}

TEST_CASE("a long table: a price a row, lists one after another") {
    const TempFolder folder;
    const auto all = read_table(folder,
                                "week,ingredient,price,unit\n"
                                "1,maize,0.5,\n"
                                "1,salt,9,\n"
                                "1,wheat,18.50,40 kg\n"
                                "# a remark\n"
                                "\"2, late\",maize,0.6,\n"
                                "3,wheat,0.7,per kg\n"
                                "3,maize,0.8,/kg\n");
    REQUIRE(all.size() == 3);
    CHECK(all[0].maize == 0.5);
    CHECK(all[0].wheat == Approx(0.4625));
    CHECK(all[1] == Seen{"2, late", 0.6, no_price, ""});
    CHECK(all[2] == Seen{"3", 0.8, 0.7, ""});

    const auto wrong = read_table(folder,
                                  "list,ingredient,price\n"
                                  "a,maise,1\n"
                                  "b,maize,x\n"
                                  "c,maize,1\nc,maize,2\n"
                                  "d,maize\n"
                                  "e,maize,\n"
                                  "f,maize,1\n");
    REQUIRE(wrong.size() == 6);
    CHECK(says(wrong[0].problem, "Did you mean \"maize\"?"));
    CHECK(says(wrong[1].problem, "line 3, column price: found \"x\""));
    CHECK(says(wrong[2].problem, "line 5, column ingredient: found \"maize\" again"));
    CHECK(says(wrong[3].problem, "2 cells"));
    CHECK(says(wrong[4].problem, "an empty cell"));
    CHECK(wrong[5].problem.empty());

    CHECK(says(refusal(folder, "list,ingredient,price\na,maize,1\nb,maize,1\na,wheat,1\n"),
               "rows of the list \"a\" apart"));
    CHECK(says(refusal(folder, "list,ingredient,price,prise\na,maize,1,2\n"),
               "the unknown column \"prise\""));
}

TEST_CASE("any part of a table is the same part of the whole") {
    const TempFolder folder;
    // Enough for many pieces and several blocks of reading.
    std::string wide = "list,maize,wheat\n";
    std::string lengthy = "list,ingredient,price\n";
    constexpr int lists = 40'000;
    for (int i = 0; i < lists; ++i) {
        wide += fmt::format("w{},0.{},0.5\n", i, 1000 + i);
        lengthy += fmt::format("w{0},maize,0.{1}\nw{0},wheat,0.5\n", i, 1000 + i);
        if (i % 7 == 0) wide += "\n# remark\n";
    }
    for (const std::string& text : {wide, lengthy}) {
        const auto all = read_table(folder, text);
        REQUIRE(all.size() == lists);
        CHECK(all[12345].name == "w12345");
        CHECK(all[12345].maize == 0.13345);
        const auto lists_again = open_table(folder.file("prices.csv"), ingredients());
        CHECK(count_lists(*lists_again) == lists);
        std::vector<Seen> joined;
        for (std::size_t part = 1; part <= 7; ++part) {
            const auto some = read_table(folder, text, shard(lists, part, 7));
            joined.insert(joined.end(), some.begin(), some.end());
        }
        CHECK(joined == all);
        CHECK(read_table(folder, text, {lists, lists + 5}).empty());
        CHECK(read_table(folder, text, {lists - 1, lists + 5}).size() == 1);
    }
}

TEST_CASE("line numbers are right beyond the first piece") {
    const TempFolder folder;
    std::string text = "list,maize,wheat\n";
    for (int i = 2; i < 20'000; ++i)
        text += i % 3 == 0 ? "#\n" : "x,0.5,0.5\n";
    text += "bad,?,0.5\n";
    const auto all = read_table(folder, text);
    CHECK(says(all.back().problem, "line 20000, column maize"));
    const auto last = read_table(folder, text, {all.size() - 1, all.size()});
    REQUIRE(last.size() == 1);
    CHECK(last[0] == all.back());
}

TEST_CASE("shards are in order, leave nothing out and differ by one list at most") {
    for (const std::size_t count : {0U, 1U, 5U, 100U, 101U}) {
        for (const std::size_t parts : {1U, 2U, 3U, 7U, 200U}) {
            std::size_t at = 0;
            for (std::size_t part = 1; part <= parts; ++part) {
                const ListRange range = shard(count, part, parts);
                CHECK(range.begin == at);
                CHECK(range.end - range.begin >= count / parts);
                CHECK(range.end - range.begin <= count / parts + 1);
                at = range.end;
            }
            CHECK(at == count);
        }
    }
}

TEST_CASE("price files: a list a file") {
    const TempFolder folder;
    const std::vector<std::string> files{
        folder.write("may.csv", "ingredient,price,unit\nmaize,0.5,\nwheat,18.50,40 kg\n"),
        folder.write("june.csv", "ingredient,price\nmaize,x\n"),
        folder.write("july.csv", "ingredient,price,max\nmaize,0.5,30\n"),
        folder.write("august.csv", "ingredient,price\nmaise,0.5\n"),
        folder.file("none.csv"),
        folder.write("september.csv", "ingredient,price\nsalt,0.5\n")};
    const auto lists = price_files(files, ingredients());
    const auto all = read_all(*lists);
    REQUIRE(all.size() == 6);
    CHECK(all[0].name == "may");
    CHECK(all[0].maize == 0.5);
    CHECK(all[0].wheat == Approx(0.4625));
    CHECK(says(all[1].problem, "found \"x\""));
    CHECK(says(all[2].problem, "Limits belong in the job"));
    CHECK(says(all[3].problem, "Did you mean \"maize\"?"));
    CHECK(says(all[4].problem, "cannot open"));
    CHECK(all[5] == Seen{"september", no_price, no_price, ""});
    const auto some = price_files(files, ingredients(), {5, 6});
    CHECK(read_all(*some).at(0).name == "september");
}

TEST_CASE("a grid is read and counted out") {
    const auto axis = parse_grid("maize.price=0.4:0.7:0.1");
    REQUIRE(axis);
    CHECK(axis->ingredient == "maize");
    CHECK(axis->count() == 4);
    // 0.4 + 2 * 0.1 in doubles is 0.6000000000000001.
    CHECK(axis->at(2) == 0.6);
    CHECK(axis->at(3) == 0.7);
    CHECK(parse_grid("maize.price=0.5:0.5:1")->count() == 1);
    CHECK(parse_grid("maize.price=0:1:0.3")->count() == 4);
    for (const char* wrong :
         {"maize=0.4:0.7:0.1", ".price=0.4:0.7:0.1", "maize.price=0.4:0.7",
          "maize.price=", "maize.price=0.7:0.4:0.1", "maize.price=0.4:0.7:0",
          "maize.price=0.4:0.7:-1", "maize.price=0.4:0.7:0.1:1", "maize.price=a:b:c",
          "maize.price=-1:0.7:0.1", "maize.price=0:1e300:1e-9", "maize.price=0.4:nan:0.1"}) {
        INFO(wrong);
        CHECK_FALSE(parse_grid(wrong));
    }
    const auto lists = grid_lists({*parse_grid("wheat.price=0.1:0.2:0.1"), *axis}, ingredients());
    const auto all = read_all(*lists);
    REQUIRE(all.size() == 8);
    CHECK(all[0] == Seen{"wheat.price=0.1 maize.price=0.4", 0.4, 0.1, ""});
    CHECK(all[1] == Seen{"wheat.price=0.1 maize.price=0.5", 0.5, 0.1, ""});
    CHECK(all[7] == Seen{"wheat.price=0.2 maize.price=0.7", 0.7, 0.2, ""});
    using feedwright::base::DataError;
    CHECK_THROWS_AS(grid_lists({*axis, *axis}, ingredients()), DataError);
    CHECK_THROWS_AS(grid_lists({*parse_grid("salt.price=0:1:0.1")}, ingredients()), DataError);
    const GridAxis wide{"maize", 0, 1, 1.5e-9};
    CHECK_THROWS_AS(
        grid_lists({wide, {"wheat", 0, 1, 1.5e-9}, {"maize", 0, 1, 1.5e-9}}, ingredients()),
        DataError);
}
