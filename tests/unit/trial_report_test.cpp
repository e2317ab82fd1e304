// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/trial/trial_report.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "document/view.hpp"
#include "report/trial/design_report.hpp"
#include "report/trial/trial_words.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <random>
#include <sstream>
#include <string>
#include <vector>

namespace feedwright::report {

namespace {

std::string demo() {
    return base::read_file((test::source_folder() / "examples/demo-trial/trial.csv").string());
}

// The same table with its rows in another order.
std::string shuffled(const std::string& text, unsigned seed) {
    std::istringstream in(text);
    std::string head;
    std::vector<std::string> rows;
    for (std::string line; std::getline(in, line);) {
        if (line.starts_with("#") || line.starts_with("tank,")) {
            head += line + '\n';
        } else {
            rows.push_back(line);
        }
    }
    std::mt19937 engine(seed);
    for (std::size_t i = rows.size(); i > 1; --i)
        std::swap(rows[i - 1], rows[engine() % i]);
    for (const std::string& row : rows)
        head += row + '\n';
    return head;
}

std::string json_of(const std::string& text, const trial::Options& options = {}) {
    return trial_json(trial::analyse(trial::read_trial(text, "trial.csv"), options), {});
}

const trial::ResponseResult& response(const trial::AnalysisResult& result, const std::string& id) {
    for (const trial::ResponseResult& r : result.responses) {
        if (r.id == id) return r;
    }
    throw std::runtime_error("no response " + id);
}

std::string answer(const trial::AnalysisResult& result, const std::string& question) {
    for (const Answered& one : answered(result)) {
        if (one.question == question) return one.text();
    }
    return {};
}

}  // namespace

TEST_CASE("the demo trial reads as its expected output says") {
    Run run;
    const std::string file = "examples/demo-trial/trial.csv";
    const trial::AnalysisResult result = trial::analyse(trial::read_trial(demo(), file));
    const std::string text = render_text(document::view_of(trial_document(result, run), {}));
    CHECK_THAT(
        base::read_file((test::source_folder() / "examples/demo-trial/expected.txt").string()),
        Catch::StartsWith(text));
}

TEST_CASE("the order of the rows changes no byte") {
    const std::string json = json_of(demo());
    for (unsigned seed = 1; seed <= 5; ++seed) {
        CHECK(json_of(shuffled(demo(), seed)) == json);
        trial::AnalysisResult result =
            trial::analyse(trial::read_trial(shuffled(demo(), seed), "trial.csv"));
        Run run;
        run.detail = true;
        CHECK(render_csv(trial_document(result, run)) ==
              render_csv(
                  trial_document(trial::analyse(trial::read_trial(demo(), "trial.csv")), run)));
    }
}

TEST_CASE("the control is the diet at level 0, the one called control, or the one asked for") {
    const std::string head = "tank,diet,level,weight_in_g,weight_out_g,days\n";
    const auto control = [&](const std::string& rows, const std::string& asked = "") {
        trial::Options options;
        options.control = asked;
        return trial::analyse(trial::read_trial(head + rows, "t.csv"), options).control;
    };
    CHECK(control("1,b,5,1,2,9\n2,a,0,1,2,9\n") == "a");
    CHECK(control("1,b,,1,2,9\n2,Control,,1,2,9\n") == "Control");
    CHECK(control("1,b,,1,2,9\n2,a,,1,2,9\n").empty());
    CHECK(control("1,b,5,1,2,9\n2,a,0,1,2,9\n", "b") == "b");
    CHECK_THROWS_AS(control("1,b,5,1,2,9\n2,a,0,1,2,9\n", "c"), base::DataError);
}

TEST_CASE("a trial too poor for numbers says why and gives none") {
    const std::string head =
        "tank,diet,level,count_in,count_out,weight_in_g,weight_out_g,feed_kg,days\n";
    const std::string lonely =
        json_of(head + "1,a,0,20,20,10,30,0.6,56\n2,b,10,20,20,10,31,0.6,56\n");
    CHECK_THAT(lonely, Catch::Contains(
                           "\"anova\": {\n        \"reason\": \"every group has one tank only"));
    CHECK_THAT(lonely, Catch::Contains("\"tukey\": []"));
    CHECK_THAT(lonely, !Catch::Contains("\"sd\""));
    const std::string alike =
        json_of(head +
                "1,a,0,20,20,10,30,0.6,56\n2,a,0,20,20,10,30,0.6,56\n3,b,10,20,20,10,30,0.6,56\n"
                "4,b,10,20,20,10,30,0.6,56\n");
    CHECK_THAT(alike, Catch::Contains("do not differ at all"));
    // Nothing left at all: no response, and still a report.
    const trial::AnalysisResult lost = trial::analyse(
        trial::read_trial(head + "1,a,0,20,,10,,,56\n2,b,10,20,,10,,,56\n", "t.csv"));
    CHECK(lost.responses.empty());
    CHECK(lost.notes.size() == 2);
    CHECK_FALSE(render_text(trial_document(lost, {})).empty());
}

TEST_CASE("a trial's questions are answered with limits, not p alone") {
    const trial::AnalysisResult result = trial::analyse(trial::read_trial(demo(), "trial.csv"));
    const trial::ResponseResult& growth = response(result, "sgr");
    REQUIRE(growth.layout);
    CHECK(growth.layout->blocked);
    CHECK(growth.layout->anova.df_within == 15);
    const trial::AgainstControl& found = result.findings.against_control.front();
    CHECK(found.response == "sgr");
    CHECK_FALSE(found.untestable);
    REQUIRE(found.shown.size() == 3);
    CHECK(found.shown.back().a == "duckweed-60");
    CHECK(found.shown.back().high < 0);
    CHECK(found.alike == std::vector<std::string>{"duckweed-10", "duckweed-20"});
    // What may be missed is the far end of the limits of a diet that is not shown to differ.
    REQUIRE_FALSE(found.missed.empty());
    CHECK(found.missed.front().group == "duckweed-10");
    CHECK(found.missed.front().by == Approx(-growth.dunnett.front().low));
    CHECK_THAT(answer(result, "Is it as good as the control?"),
               Catch::Contains("Lower on duckweed-60 by"));
    CHECK_THAT(answer(result, "How much could have been missed?"),
               Catch::Contains("% on duckweed-10"));
    CHECK_THAT(answer(result, "From which level does it change?"),
               Catch::Contains("limits of the breakpoint"));
    CHECK_THAT(answer(result, "What is the most economical level?"),
               Catch::Contains("on duckweed-30"));
    CHECK_THAT(answer(result, "What about larger changes?"),
               Catch::Contains("Levels above 60 were not tested"));
    // The invented growth falls from 24 %, the invented feed conversion rises from 22 %.
    for (const char* id : {"sgr", "fcr"}) {
        const trial::LineFit& line = response(result, id).lines.front();
        REQUIRE(line.fit);
        const double truth = id == std::string("sgr") ? 24 : 22;
        CHECK(*line.fit->low < truth);
        CHECK(*line.fit->high > truth);
    }
}

TEST_CASE("in short: up to which level nothing was shown to be worse") {
    // The demo with some of its diets.
    const auto with = [](const std::vector<std::string>& diets) {
        std::string text;
        std::istringstream in(demo());
        for (std::string line; std::getline(in, line);) {
            const bool head = text.empty() || line.starts_with('#') || line.starts_with("tank,");
            const bool wanted = std::any_of(diets.begin(), diets.end(), [&](const std::string& d) {
                return line.find("," + d + ",") != std::string::npos;
            });
            if (head || wanted) text += line + '\n';
        }
        return trial::analyse(trial::read_trial(text, "trial.csv"));
    };
    const auto summed = [](const trial::AnalysisResult& result) {
        REQUIRE(result.findings.summed);
        CHECK_FALSE(result.findings.summed->untestable);
        CHECK(result.findings.summed->conversion_known);
        return *result.findings.summed;
    };
    const trial::AnalysisResult all = with(
        {"control", "duckweed-10", "duckweed-20", "duckweed-30", "duckweed-45", "duckweed-60"});
    CHECK(summed(all).up_to == 20);
    CHECK(summed(all).worse_at == 30);
    CHECK(summed(all).growth_worse);
    CHECK_FALSE(summed(all).conversion_worse);
    CHECK(answer(all, "In short") ==
          "Up to level 20 neither growth nor feed conversion was shown to be worse than on the "
          "control; at level 30 growth is worse.");
    const trial::AnalysisResult gap =
        with({"control", "duckweed-10", "duckweed-20", "duckweed-60"});
    CHECK(summed(gap).up_to == 20);
    CHECK(summed(gap).worse_at == 60);
    CHECK(summed(gap).growth_worse);
    CHECK(summed(gap).conversion_worse);
    const trial::AnalysisResult high = with({"control", "duckweed-45", "duckweed-60"});
    CHECK_FALSE(summed(high).up_to);
    CHECK(summed(high).worse_at == 45);
    CHECK(
        answer(high, "In short") ==
        "Growth and feed conversion are worse than on the control at the lowest level tried, 45.");
    // Two diets with the same level, of which one is worse.
    std::string same_level = demo();
    for (std::size_t at = 0; (at = same_level.find("duckweed-30,30,", at)) != std::string::npos;)
        same_level.replace(at, 15, "duckweed-30,20,");
    const auto same = summed(trial::analyse(trial::read_trial(same_level, "trial.csv")));
    CHECK(same.up_to == 10);
    CHECK(same.worse_at == 20);
    const trial::AnalysisResult low = with({"control", "duckweed-10", "duckweed-20"});
    CHECK(summed(low).up_to == 20);
    CHECK_FALSE(summed(low).worse_at);
    CHECK_THAT(answer(low, "In short"), Catch::Contains("no proof that it is as good"));
}

TEST_CASE("the confidence asked for is the one used") {
    trial::Options options;
    options.confidence = 0.8;
    const trial::AnalysisResult wide = trial::analyse(trial::read_trial(demo(), "trial.csv"));
    const trial::AnalysisResult narrow =
        trial::analyse(trial::read_trial(demo(), "trial.csv"), options);
    const auto width = [](const trial::AnalysisResult& r) {
        const trial::Comparison& c = response(r, "sgr").dunnett.front();
        return c.high - c.low;
    };
    CHECK(width(narrow) < width(wide));
    CHECK_THAT(answer(narrow, "Is it as good as the control?"), Catch::Contains("80 % limits"));
}

TEST_CASE("any one-way layout is analysed as it stands") {
    const std::string text = "g,y\nb,4\na,1\na,2\nb,5.5\nc,9\nc,8\n";
    trial::Options options;
    options.control = "a";
    const trial::AnalysisResult result =
        trial::analyse(trial::read_one_way(text, "t.csv", "g", "y"), options);
    REQUIRE(result.responses.size() == 1);
    const trial::ResponseResult& r = result.responses.front();
    CHECK(r.groups[0].group == "a");
    CHECK(r.dunnett.size() == 2);
    CHECK(r.tukey.size() == 3);
    CHECK(r.lines.empty());
    CHECK(result.tanks.empty());
    CHECK_THAT(answer(result, "Do the groups differ?"), Catch::StartsWith("Yes (F = "));
    CHECK_FALSE(render_markdown(trial_document(result, {})).empty());
}

TEST_CASE("unequal variances switch the comparisons to Games-Howell") {
    std::string text = "g,y\n";
    for (const char* v : {"10.1", "10.2", "9.9", "10.0", "10.15", "9.95"})
        text += std::string("a,") + v + "\n";
    for (const char* v : {"2", "18", "5", "16", "9", "21"})
        text += std::string("b,") + v + "\n";
    trial::Options options;
    options.control = "a";
    const trial::AnalysisResult result =
        trial::analyse(trial::read_one_way(text, "t.csv", "g", "y"), options);
    CHECK(result.responses.front().variances_differ);
    CHECK_THAT(answer(result, "Can the tests be trusted?"), Catch::Contains("Games-Howell"));
    CHECK_THAT(answer(result, "Do the groups differ?"), Catch::Contains("Welch's test"));
}

TEST_CASE("two tanks a diet: the sentences follow from the tests that apply") {
    const std::string text =
        "tank,diet,weight_in_g,weight_out_g,days\n1,control,10,41.3,56\n2,control,10,42.9,56\n"
        "3,a,10,39.7,56\n4,a,10,40.1,56\n5,b,10,31.2,56\n6,b,10,33.7,56\n";
    const trial::AnalysisResult result = trial::analyse(trial::read_trial(text, "t.csv"));
    for (const trial::ResponseResult& r : result.responses) {
        INFO(r.id);
        CHECK_FALSE(r.equal_variances);
        CHECK_FALSE(r.variances_differ);
        CHECK_FALSE(r.games_howell);
    }
    const std::string good = answer(result, "Is it as good as the control?");
    CHECK_THAT(good, Catch::Contains("Lower on b by"));
    CHECK_THAT(good, Catch::Contains("No difference was shown on a"));
    const std::string trust = answer(result, "Can the tests be trusted?");
    CHECK_THAT(trust, Catch::Contains("could not be tested"));
    CHECK_THAT(trust, !Catch::Contains("no unequal variances"));
}

TEST_CASE("one tank a diet: differences are shown, and nothing is tested") {
    const std::string head = "tank,diet,level,weight_in_g,weight_out_g,days\n";
    const trial::AnalysisResult single = trial::analyse(trial::read_trial(
        head + "1,control,0,10,41.3,56\n2,a,10,10,39.7,56\n3,b,20,10,31.2,56\n4,c,30,10,30,56\n"
               "5,d,40,10,29,56\n",
        "t.csv"));
    CHECK_THAT(answer(single, "In short"), Catch::StartsWith("No conclusion can be drawn"));
    const std::string good = answer(single, "Is it as good as the control?");
    CHECK_THAT(good, Catch::Contains("no test is possible"));
    CHECK_THAT(good, Catch::Contains("lower on b"));
    const std::string trust = answer(single, "Can the tests be trusted?");
    CHECK_THAT(trust, Catch::StartsWith("No test was possible"));
    CHECK(answer(single, "From which level does it change?").find("limits") == std::string::npos);
    const std::string report = render_text(trial_document(single, {}));
    CHECK_THAT(report, !Catch::Contains("share a letter"));

    // One tank of the bought feed and two of the home feed: nothing shows how much tanks on the
    // bought feed vary.
    const trial::AnalysisResult lone = trial::analyse(
        trial::read_trial("tank,diet,count_in,count_out,weight_in_g,weight_out_g,feed_kg,days\n"
                          "1,bag,20,20,25,72,1.5,56\n2,home,20,19,25,60,1.6,56\n"
                          "3,home,20,20,25,59,1.58,56\n",
                          "t.csv"),
        {.control = "bag", .confidence = 0.95});
    for (const trial::ResponseResult& r : lone.responses) {
        CHECK_FALSE(r.layout);
        CHECK(r.dunnett.empty());
        CHECK(r.layout.reason.lack == trial::Lack::lone_groups);
        CHECK(r.layout.reason.groups == std::vector<std::string>{"bag"});
    }
    CHECK_THAT(answer(lone, "In short"), Catch::StartsWith("No conclusion can be drawn"));
    CHECK_THAT(answer(lone, "Can the tests be trusted?"),
               Catch::StartsWith("No test was possible"));

    // Beside diets with more tanks, a diet with one is shown and not tested.
    const trial::AnalysisResult some = trial::analyse(trial::read_trial(
        head + "1,control,0,10,41.3,56\n2,control,0,10,42.1,56\n3,a,10,10,39.7,56\n"
               "4,a,10,10,39.1,56\n5,b,20,10,30,56\n",
        "t.csv"));
    const trial::ResponseResult& growth = response(some, "sgr");
    REQUIRE(growth.layout);
    CHECK(growth.layout->groups.size() == 2);
    CHECK(growth.groups.size() == 3);
    CHECK(growth.groups[2].letters.empty());
    CHECK_THAT(answer(some, "Is it as good as the control?"), Catch::Contains("Not tested"));
    CHECK_THAT(answer(some, "In short"), !Catch::Contains("20, the highest tried"));
    CHECK_THAT(answer(some, "In short"), Catch::Contains("one tank only"));
}

TEST_CASE("a number far from its neighbours withholds the conclusion until it is cleared") {
    const auto with = [](const std::string& from, const std::string& to) {
        std::string text = demo();
        const std::size_t at = text.find(from);
        REQUIRE(at != std::string::npos);
        return text.replace(at, from.size(), to);
    };
    const auto analysed = [](const std::string& text) {
        return trial::analyse(trial::read_trial(text, "trial.csv"));
    };
    CHECK(answered(analysed(demo())).size() > 3);
    // A point left out, a digit too many, grams for kilograms, digits the other way round.
    const std::vector<std::vector<std::string>> slips{
        {"12.15,50.15,", "12.15,5015,", "Line 5, column weight_out_g", "5015"},
        {"12.15,50.15,", "12.15,501.5,", "Line 5, column weight_out_g", "501.5"},
        {"12.14,42.52,", "121.4,42.52,", "Line 4, column weight_in_g", "121.4"},
        {"39.0,0.950,", "39.0,950,", "Line 4, column feed_kg", "950"},
        {"12.05,50.21,", "12.05,20.51,", "Line 9, column weight_out_g", "20.51"},
        {"45,row-1,20,18,", "45,row-1,200,180,", "Line 4, column count_in", "200"},
        {"56,27.4,12.9", "560,27.4,12.9", "Line 4, column days", "560"},
        {"56,27.4,12.9", "56,27.4,1.29", "Line 4, column length_out_cm", "1.29"}};
    for (const auto& slip : slips) {
        INFO(slip[1]);
        const trial::AnalysisResult result = analysed(with(slip[0], slip[1]));
        REQUIRE(answered(result).size() == 1);
        const std::string text = answer(result, "In short");
        CHECK_THAT(text, Catch::StartsWith("No conclusion is given"));
        CHECK_THAT(text, Catch::Contains(slip[2]));
        CHECK_THAT(text, Catch::Contains("found " + slip[3]));
        CHECK_THAT(text, Catch::Contains("--keep-outlying"));
        const std::string report = render_text(trial_document(result, {}));
        CHECK_THAT(report, Catch::Contains(slip[2]));
        CHECK_THAT(report, !Catch::Contains("Dunnett"));
    }
    // A pen's slip in any table.
    const std::string eggs =
        "feed,grams\na,251.0\na,248\na,255\nb,250\nb,246\nb,2510\nc,249\nc,252\nc,255\n";
    const trial::AnalysisResult table =
        trial::analyse(trial::read_one_way(eggs, "eggs.csv", "feed", "grams"));
    REQUIRE(answered(table).size() == 1);
    CHECK_THAT(answer(table, "In short"), Catch::Contains("Line 7, column grams"));
}

TEST_CASE("a diet's amounts stand in the rows of their nutrients, whatever it has none of") {
    const auto diet = [](double level, std::vector<trial::DesignValue> values) {
        trial::DesignDiet d;
        d.name = level > 0 ? "leaf-20" : "control";
        d.level = level;
        d.parts = {{"leaf", "leaf", level > 0 ? 20.0 : 0.0, 0}, {"bean", "bean", 80, 0}};
        d.values = std::move(values);
        return d;
    };
    trial::DesignSeries series;
    series.test = series.test_name = "leaf";
    series.reference = series.reference_name = "bean";
    series.equal = {"crude_protein"};
    series.batch_kg = 1;
    const trial::DesignValue protein{"crude_protein", "crude protein", "%", 30, 100};
    series.diets = {diet(0, {protein, {"starch", "starch", "%", 22, 100}, {"ash", "ash", "%", 7}}),
                    diet(20, {protein, {"sugar", "sugar", "%", 3}, {"ash", "ash", "%", 9}})};
    Run run;
    run.detail = true;
    tasks::TrialDesign design;
    design.series = series;
    design.judgements.resize(2);
    const std::string csv = render_csv(design_document(design, run));
    CHECK_THAT(csv, Catch::Contains("\"crude protein, %\",30,30\n"));
    CHECK_THAT(csv, Catch::Contains("\"starch, %\",22,not known\n"));
    CHECK_THAT(csv, Catch::Contains("\"sugar, %\",not known,3\n"));
    CHECK_THAT(csv, Catch::Contains("\"ash, %\",7,9\n"));
}

}  // namespace feedwright::report
