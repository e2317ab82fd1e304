// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "support/catch.hpp"
#include "trial/data.hpp"
#include "trial/indices.hpp"

#include <algorithm>
#include <cmath>
#include <random>
#include <string>
#include <vector>

namespace feedwright::trial {

namespace {

const std::string head = "tank,diet,count_in,count_out,weight_in_g,weight_out_g,feed_kg,days\n";

std::vector<base::Diagnostic> problems(const std::string& text) {
    try {
        read_trial(text, "t.csv");
    } catch (const base::DataError& error) {
        return error.list();
    }
    return {};
}

const Note* find(const std::vector<Note>& notes, Note::Kind kind) {
    const auto at = std::find_if(notes.begin(), notes.end(),
                                 [&](const Note& note) { return note.kind == kind; });
    return at == notes.end() ? nullptr : &*at;
}

}  // namespace

TEST_CASE("a trial's table is read as spreadsheets write it") {
    const std::string plain = head + "1,a,20,19,10.5,30,0.6,56\n2,b,20,20,10,31,0.6,56\n";
    const TrialData wanted = read_trial(plain, "t.csv");
    REQUIRE(wanted.tanks.size() == 2);
    CHECK(wanted.reading.plain());
    const auto same = [&](const std::string& text) {
        const TrialData data = read_trial(text, "t.csv");
        REQUIRE(data.tanks.size() == 2);
        CHECK(data.tanks[0].name == "1");
        CHECK(data.tanks[0].weight_in_g == 10.5);
        CHECK(data.tanks[0].feed_kg == 0.6);
        CHECK(data.tanks[1].diet == "b");
        CHECK_FALSE(data.reading.plain());
    };
    same("My trial in the shed\n" + plain);
    same(
        "tank;diet;count in;count out;Weight in (g);Weight out (g);feed (kg);days\r\n"
        "1;a;20;19;10,5;30;0,6;56\r\n;;;;;;;\r\n2;b;20;20;10;31;0,6;56\r\n");
    same(
        "tank\tdiet\tcount_in\tcount_out\tweight_in_g\tweight_out_g\tfeed_kg\tdays\n"
        "1\ta\t20\t19\t10.5\t30\t0.6\t56\n2\tb\t20\t20\t10\t31\t0.6\t56\n");
}

TEST_CASE("a trial's rows are read with what they leave out empty") {
    const TrialData data = read_trial(
        "tank,diet,level,block,count_in,count_out,weight_in_g,weight_out_g,feed_g,days,temperature_"
        "c,"
        "feed_price\n"
        "1,a,0,north,20,19,10,30.5,600,56,27.5,0.9\n"
        "2,b,10,south,20,,10,,,56,,\n",
        "t.csv");
    REQUIRE(data.tanks.size() == 2);
    const Tank& one = data.tanks[0];
    CHECK(one.name == "1");
    CHECK(one.diet == "a");
    CHECK(one.block == "north");
    CHECK(one.level == 0.0);
    CHECK(one.count_out == 19);
    CHECK(one.weight_out_g == 30.5);
    CHECK(one.feed_kg == 0.6);
    CHECK(one.temperature_c == 27.5);
    CHECK(one.feed_price == 0.9);
    CHECK_FALSE(one.protein_percent);
    const Tank& two = data.tanks[1];
    CHECK_FALSE(two.count_out);
    CHECK_FALSE(two.weight_out_g);
    CHECK_FALSE(two.feed_kg);
    CHECK_FALSE(two.temperature_c);
    for (const Index& index : indices())
        CHECK_FALSE(value_of(index, two));
}

TEST_CASE("everything impossible in a trial is reported at once, with its place") {
    const auto list = problems(head +
                               "1,a,20,21,10,30,0.5,56\n"
                               "1,a,20,20,-10,30,0.5,56\n"
                               "2,,20,20,10,0,0.5,56\n"
                               "3,b,20.5,20,10,thirty,0,0\n"
                               "4,b,20,0,10,30,0.5,\n");
    std::vector<std::string> places;
    for (const base::Diagnostic& d : list)
        places.push_back(d.place);
    CHECK(places ==
          std::vector<std::string>{
              "line 2, column count_out", "line 3, column weight_in_g", "line 4, column diet",
              "line 4, column weight_out_g", "line 5, column count_in",
              "line 5, column weight_out_g", "line 5, column days", "line 5, column feed_kg",
              "line 6, column weight_out_g", "line 6, column days", "line 3, column tank"});
    CHECK(list[0].found == "21");
    CHECK(list[0].expected == "at most the 20 fish that went in");
}

TEST_CASE("a trial's columns are known, and complete") {
    CHECK(problems("tank,diet,weight_in_g,weight_out_g,days,wieght\n1,a,1,2,3,4\n").size() == 1);
    const auto list = problems("tank,diets,weight_in_g,weight_out_g,days\n1,a,1,2,3\n");
    REQUIRE(list.size() == 2);
    CHECK(list[0].hint == "Did you mean \"diet\"?");
    CHECK(list[1].found == "no column \"diet\"");
    CHECK(problems("tank,diet,weight_in_g,weight_out_g,days,feed_kg,feed_g\n1,a,1,2,3,4,5\n")
              .size() == 1);
    CHECK(problems(head).size() == 1);
    CHECK(problems("tank,diet,level,weight_in_g,weight_out_g,days\n1,a,0,1,2,3\n2,a,5,1,2,3\n")
              .size() == 1);
    CHECK(problems("tank,diet,block,weight_in_g,weight_out_g,days\n1,a,x,1,2,3\n2,a,,1,2,3\n")
              .size() == 1);
    CHECK(
        problems("tank,diet,weight_in_g,weight_out_g,days,temperature_c\n1,a,1,2,3,80\n").size() ==
        1);
    CHECK(problems("tank,diet,weight_in_g,weight_out_g,days,protein_percent\n1,a,1,2,3,300\n")
              .size() == 1);
}

TEST_CASE("a careful reader's doubts about a trial are said") {
    const std::string good =
        "1,a,20,20,10,30,0.6,56\n2,a,20,20,10.1,31,0.6,56\n3,b,20,20,9.9,30,0.6,56\n4,b,20,20,10.1,"
        "29,0.6,56\n";
    CHECK(check(read_trial(head + good, "t.csv")).empty());
    const auto notes = [&](const std::string& more) {
        return check(read_trial(head + good + more, "t.csv"));
    };
    const auto only = [&](const std::string& more, Note::Kind kind) {
        const std::vector<Note> all = notes(more);
        const Note* note = find(all, kind);
        REQUIRE(note != nullptr);
        return *note;
    };
    const Note shrunk = only("5,a,20,20,10,9,0.6,56\n", Note::Kind::no_growth);
    CHECK(shrunk.tank == "5");
    CHECK(shrunk.diet == "a");
    CHECK(shrunk.number == 10);
    CHECK(shrunk.value == 9);
    CHECK(only("5,a,20,,10,,0.6,56\n", Note::Kind::lost).tank == "5");
    CHECK(only("6,a,20,20,10,30,0.6,56\n", Note::Kind::gaps).names ==
          std::vector<std::string>{"5"});
    const Note fewer = only("5,a,20,20,10,30,0.6,56\n", Note::Kind::fewer_tanks);
    CHECK(fewer.diet == "b");
    CHECK(fewer.value == 2);
    CHECK(fewer.number == 3);
    only("5,a,20,20,10,30,0.6,40\n", Note::Kind::days_differ);
    const Note dead = only("5,a,20,15,10,30,0.6,56\n", Note::Kind::dead_not_weighed);
    CHECK(dead.value == 5);
    CHECK(dead.number == 20);
    const auto in_grams =
        check(read_trial(head + "1,a,20,20,10,30,600,56\n2,b,20,20,10,30,610,56\n", "t.csv"));
    REQUIRE(find(in_grams, Note::Kind::feed_unit) != nullptr);
    CHECK(find(in_grams, Note::Kind::feed_unit)->value > 1000);
    const auto uneven =
        check(read_trial(head + "1,a,20,20,10,30,0.6,56\n2,a,20,20,10.1,30,0.6,56\n"
                                "3,b,20,20,12,30,0.6,56\n4,b,20,20,12.1,30,0.6,56\n",
                         "t.csv"));
    REQUIRE(find(uneven, Note::Kind::start_differs) != nullptr);
    CHECK(find(uneven, Note::Kind::start_differs)->value < 0.05);
}

TEST_CASE("rows that are fish and not tanks are refused with a word on how to average") {
    const auto problem = [](const auto& read) -> std::string {
        try {
            read();
        } catch (const base::DataError& error) {
            return error.what();
        }
        return {};
    };
    std::string fish = "tank,diet,weight_in_g,weight_out_g,days\n";
    std::string loose = "tank,diet,grams\n";
    for (int tank = 1; tank <= 4; ++tank) {
        for (int n = 0; n < 10; ++n) {
            fish += std::to_string(tank) + (tank < 3 ? ",a,10,3" : ",b,10,4") + std::to_string(n) +
                    ",56\n";
            loose += std::to_string(tank) + (tank < 3 ? ",a,3" : ",b,4") + std::to_string(n) + "\n";
        }
    }
    const std::string told = problem([&] { read_trial(fish, "t.csv"); });
    CHECK_THAT(told, Catch::Contains("line 3, column tank: found tank 1 again"));
    CHECK_THAT(told, Catch::Contains("36 rows"));
    CHECK_THAT(told, Catch::Contains("the tank is the unit"));
    CHECK_THAT(told, Catch::Contains("mean weight"));
    CHECK(std::count(told.begin(), told.end(), '\n') == 0);
    const std::string table = problem([&] { read_one_way(loose, "t.csv", "diet", "grams"); });
    CHECK_THAT(table, Catch::Contains("found tank 1 again"));
    CHECK_THAT(table, Catch::Contains("the tank is the unit"));
    // Tanks counted anew on every diet are no fish.
    CHECK(read_one_way("tank,diet,grams\n1,a,3\n2,a,4\n1,b,3\n2,b,5\n", "t.csv", "diet", "grams")
              .values.size() == 4);
    // The same column may be the group.
    CHECK(
        read_one_way("tank,grams\n1,3\n1,4\n2,3\n2,5\n", "t.csv", "tank", "grams").values.size() ==
        4);
}

TEST_CASE("a slip by a decimal place is found in every random trial, and nothing else") {
    std::mt19937 engine(11);
    std::normal_distribution<double> normal(0, 1);
    int false_alarms = 0;
    for (int trial = 0; trial < 200; ++trial) {
        TrialData data;
        for (int i = 0; i < 12; ++i) {
            Tank tank;
            tank.line = static_cast<std::size_t>(i) + 2;
            tank.name = std::to_string(i + 1);
            tank.diet = std::string(1, static_cast<char>('a' + i / 3));
            tank.weight_in_g = 10 + 0.3 * normal(engine);
            // Diets differ by up to a third, tanks on one diet by 10 %.
            tank.weight_out_g = (50.0 - 6 * (i / 3)) * (1 + 0.1 * normal(engine));
            tank.days = 56;
            data.tanks.push_back(tank);
        }
        if (!outlying(data).empty()) ++false_alarms;
        const std::size_t slip = engine() % 12;
        *data.tanks[slip].weight_out_g *= trial % 2 == 0 ? 10 : 0.1;
        const std::vector<Outlying> found = outlying(data);
        REQUIRE(found.size() == 1);
        CHECK(found.front().tank == data.tanks[slip].name);
        CHECK(found.front().line == data.tanks[slip].line);
        CHECK(found.front().column == "weight_out_g");
        std::reverse(data.tanks.begin(), data.tanks.end());
        CHECK(outlying(data) == found);
    }
    CHECK(false_alarms <= 1);
}

TEST_CASE("a one-way table takes any two columns") {
    const std::string text = "who,feed,w,remark\nx,a,1.5,\ny,b,,ill\nz,a,2,\n";
    const OneWayData data = read_one_way(text, "t.csv", "feed", "w");
    REQUIRE(data.values.size() == 2);
    CHECK(data.values[1].group == "a");
    CHECK(data.values[1].value == 2);
    REQUIRE(data.notes.size() == 1);
    CHECK(data.notes[0].kind == Note::Kind::empty_rows);
    CHECK(data.notes[0].value == 1);
    CHECK(data.notes[0].names == std::vector<std::string>{"w"});
    CHECK_THROWS_AS(read_one_way(text, "t.csv", "fed", "w"), base::DataError);
    CHECK_THROWS_AS(read_one_way(text, "t.csv", "feed", "remark"), base::DataError);
    CHECK_THROWS_AS(read_one_way(text, "t.csv", "w", "w"), base::DataError);
}

TEST_CASE("names with numbers sort as people count") {
    CHECK(natural_less("d9", "d10"));
    CHECK_FALSE(natural_less("d10", "d9"));
    CHECK(natural_less("d10", "e1"));
    CHECK(natural_less("2", "10"));
    CHECK_FALSE(natural_less("a", "a"));
    CHECK(natural_less("d01", "d1") != natural_less("d1", "d01"));
}

TEST_CASE("indices of a tank worked by hand") {
    Tank t;
    t.weight_in_g = 10;
    t.weight_out_g = 40;
    t.count_in = 20;
    t.count_out = 18;
    t.days = 50;
    t.feed_kg = 0.78;
    t.protein_percent = 30;
    t.carcass_protein_in_percent = 14;
    t.carcass_protein_out_percent = 15;
    t.temperature_c = 25;
    t.length_out_cm = 13;
    t.feed_price = 0.8;
    const auto value = [&](const char* id) { return value_of(index_of(id), t); };
    CHECK(*value("daily_gain") == Approx(0.6));
    CHECK(*value("sgr") == Approx(100 * std::log(4.0) / 50));
    CHECK(*value("tgc") == Approx(1000 * (std::cbrt(40.0) - std::cbrt(10.0)) / 1250));
    CHECK(*value("survival") == Approx(90));
    CHECK(*value("feed_intake") == Approx(780 / 19.0));
    CHECK(*value("condition_factor") == Approx(100 * 40 / 2197.0));
    // The survivors' gain: 18 x 40 - 20 x 10 = 520 g.
    CHECK(*value("fcr") == Approx(1.5));
    CHECK(*value("per") == Approx(0.52 / 0.234));
    CHECK(*value("ppv") == Approx(100 * (0.72 * 0.15 - 0.2 * 0.14) / 0.234));
    CHECK(*value("cost_per_kg_gain") == Approx(1.2));
    // The dead weighed: their 30 g count as grown, but not as sold.
    t.dead_weight_g = 30;
    CHECK(*value("fcr") == Approx(0.78 / 0.55));
    CHECK(*value("cost_per_kg_gain") == Approx(1.2));
    // No gain, no ratio over it.
    t.weight_out_g = 9;
    t.dead_weight_g.reset();
    CHECK_FALSE(value("fcr"));
    CHECK_FALSE(value("cost_per_kg_gain"));
    CHECK(*value("sgr") < 0);
    CHECK_THROWS_AS(index_of("weight"), Error);
}

}  // namespace feedwright::trial
