// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "batch/batch.hpp"
#include "batch/pipeline.hpp"
#include "batch/tally.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "support/random_program.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

using namespace feedwright::batch;
namespace limits = feedwright::limits;
namespace search = feedwright::search;
using feedwright::base::DataError;
using feedwright::base::read_file;
using feedwright::test::Random;
using feedwright::test::TempFolder;

TEST_CASE("results come in order from any number of threads") {
    for (const unsigned threads : {1U, 2U, 5U}) {
        const auto lists = numbered(1003);
        std::vector<std::size_t> seen;
        run_in_order<std::vector<std::size_t>>(
            *lists, threads,
            [] {
                return [](const Piece& piece) {
                    std::vector<std::size_t> numbers;
                    for (std::size_t i = 0; i < piece.count; ++i) {
                        numbers.push_back(piece.first + i);
                    }
                    return numbers;
                };
            },
            [&](std::vector<std::size_t>&& numbers) {
                seen.insert(seen.end(), numbers.begin(), numbers.end());
            });
        REQUIRE(seen.size() == 1003);
        for (std::size_t i = 0; i < seen.size(); ++i)
            CHECK(seen[i] == i);
    }
}

TEST_CASE("an exception anywhere ends the run and comes out of it") {
    using feedwright::Error;
    for (const unsigned threads : {1U, 4U}) {
        for (const std::string where : {"start", "work", "deliver"}) {
            INFO(where << ", threads " << threads);
            const auto lists = numbered(100'000);
            std::size_t delivered = 0;
            const auto run = [&] {
                run_in_order<int>(
                    *lists, threads,
                    [&] {
                        if (where == "start") throw Error("start");
                        return [&](const Piece& piece) {
                            if (where == "work" && piece.first >= 400) throw Error("work");
                            return 1;
                        };
                    },
                    [&](int) {
                        if (where == "deliver" && delivered == 100) throw Error("deliver");
                        ++delivered;
                    });
            };
            CHECK_THROWS_WITH(run(), where);
            CHECK(delivered <= 100);
        }
    }
}

TEST_CASE("quantiles of costs are within a thousandth of the exact ones") {
    Random random(3);
    Costs costs;
    std::vector<double> exact;
    for (int i = 0; i < 10'001; ++i) {
        const double cost = std::exp(random.uniform(-6, 6));
        costs.add(cost);
        exact.push_back(cost);
    }
    std::sort(exact.begin(), exact.end());
    CHECK(costs.count() == exact.size());
    CHECK(costs.least() == exact.front());
    CHECK(costs.most() == exact.back());
    for (const double p : {0.0, 0.05, 0.25, 0.5, 0.75, 0.95, 1.0}) {
        const auto at = static_cast<std::size_t>(p * 10'000);
        CHECK(costs.quantile(p) == Approx(exact[at]).epsilon(0.003));
    }
    Costs one;
    one.add(0.37);
    CHECK(one.quantile(0.5) == 0.37);
    CHECK(one.mean() == 0.37);
    Costs free;
    free.add(0);
    free.add(1e12);
    CHECK(free.quantile(0.25) == 0);
    CHECK(free.quantile(1) == 1e12);
    CHECK(free.most() == 1e12);
}

TEST_CASE("the longest stretch does not depend on where pieces end") {
    Random random(11);
    for (int round = 0; round < 300; ++round) {
        const std::size_t count = 1 + random.below(30);
        std::vector<std::vector<double>> mixes;
        for (std::size_t i = 0; i < count; ++i) {
            const std::size_t kind = random.below(4);
            if (kind == 0 && random.chance(0.5)) {
                mixes.emplace_back();
            } else {
                mixes.push_back({static_cast<double>(kind < 3 ? 1 : 2), 5});
            }
        }
        // By hand: the first of the longest runs of equal mixes that are not empty.
        Stretch expected;
        for (std::size_t i = 0; i < count; ++i) {
            std::size_t end = i;
            while (end < count && !mixes[i].empty() && mixes[end] == mixes[i])
                ++end;
            if (end - i > expected.lists) {
                expected = {end - i, std::to_string(i), std::to_string(end - 1)};
            }
        }
        Stretches all;
        for (std::size_t i = 0; i < count;) {
            Stretches piece;
            for (std::size_t n = 1 + random.below(6); n > 0 && i < count; --n, ++i) {
                piece.add(std::to_string(i), mixes[i]);
            }
            all.append(piece);
        }
        CHECK(all.longest().lists == expected.lists);
        if (expected.lists > 0) {
            CHECK(all.longest().first == expected.first);
            CHECK(all.longest().last == expected.last);
        }
    }
}

TEST_CASE("a resumed file keeps its whole lines, once the last has proven right") {
    const TempFolder folder;
    const std::string file = folder.write("out.jsonl", "one\ntwo\nthr");
    {
        LineSink sink(file, "", true);
        REQUIRE(sink.kept() == 2);
        sink.expect_again(2);
        sink.write("one\ntwo\nthree\n");
        sink.write("four\n");
        sink.close();
    }
    CHECK(read_file(file) == "one\ntwo\nthree\nfour\n");
    {
        // In small pieces.
        LineSink sink(file, "", true);
        sink.expect_again(2);
        sink.write("three\n");
        sink.write("four\n");
        sink.write("five\n");
        sink.close();
    }
    CHECK(read_file(file) == "one\ntwo\nthree\nfour\nfive\n");
    {
        LineSink sink(file, "", true);
        sink.expect_again(1);
        CHECK_THROWS_AS(sink.write("other\n"), DataError);
    }
    {
        LineSink sink(file, "", true);
        sink.expect_again(1);
        CHECK_THROWS_AS(sink.close(), DataError);
    }
    CHECK(read_file(file) == "one\ntwo\nthree\nfour\nfive\n");
    {
        LineSink sink(file, "", false);
        sink.write("new\n");
        sink.close();
    }
    CHECK(read_file(file) == "new\n");
}

TEST_CASE("a resumed table keeps its header and must have the right one") {
    const TempFolder folder;
    const std::string file = folder.write("out.csv", "a,b\n1,2\n3,");
    {
        LineSink sink(file, "a,b\n", true);
        REQUIRE(sink.kept() == 1);
        sink.expect_again(1);
        sink.write("1,2\n3,4\n");
        sink.close();
    }
    CHECK(read_file(file) == "a,b\n1,2\n3,4\n");
    CHECK_THROWS_AS(LineSink(file, "a,c\n", true), DataError);
    // Cut off within the header: begun anew.
    const std::string cut = folder.write("cut.csv", "a,");
    {
        LineSink sink(cut, "a,b\n", true);
        CHECK(sink.kept() == 0);
        sink.write("1,2\n");
        sink.close();
    }
    CHECK(read_file(cut) == "a,b\n1,2\n");
    // No file yet.
    LineSink sink(folder.file("new.csv"), "a,b\n", true);
    CHECK(sink.kept() == 0);
    sink.close();
    CHECK(read_file(folder.file("new.csv")) == "a,b\n");
    CHECK_THROWS_AS(LineSink(folder.file("no/such/folder.csv"), "", false), feedwright::IoError);
}

TEST_CASE("a file gets its name when it is whole, and nothing is lost before") {
    const TempFolder folder;
    const std::string file = folder.write("out.jsonl", "old\n");
    const std::string unfinished = file + ".unfinished";
    const auto there = [&] { return std::filesystem::exists(unfinished); };
    {
        LineSink sink(file, "", false);
        CHECK(sink.unfinished() == unfinished);
        sink.write("one\n");
        CHECK(read_file(file) == "old\n");
        CHECK(read_file(unfinished) == "one\n");
        // Another run cannot write it meanwhile.
        CHECK_THROWS_AS(LineSink(file, "", false), feedwright::IoError);
        CHECK(there());
    }
    // Given up: as it was before.
    CHECK(read_file(file) == "old\n");
    CHECK_FALSE(there());
    // What a run that was killed left is gone on with, and the old file stays until the end.
    folder.write("out.jsonl.unfinished", "one\ntwo\nthr");
    {
        LineSink sink(file, "", true);
        REQUIRE(sink.kept() == 2);
        sink.expect_again(1);
        sink.write("two\nthree\n");
        CHECK(read_file(file) == "old\n");
    }
    CHECK(read_file(unfinished) == "one\ntwo\nthree\n");
    {
        LineSink sink(file, "", true);
        REQUIRE(sink.kept() == 3);
        sink.expect_again(1);
        CHECK_THROWS_AS(sink.write("other\n"), DataError);
    }
    CHECK(read_file(unfinished) == "one\ntwo\nthree\n");
    {
        LineSink sink(file, "", true);
        sink.expect_again(1);
        sink.write("three\nfour\n");
        sink.close();
    }
    CHECK(read_file(file) == "one\ntwo\nthree\nfour\n");
    CHECK_FALSE(there());
    // Without --resume an unfinished file is begun anew.
    folder.write("out.jsonl.unfinished", "left over\n");
    {
        LineSink sink(file, "", false);
        sink.write("new\n");
        sink.close();
    }
    CHECK(read_file(file) == "new\n");
    CHECK_FALSE(there());
}

TEST_CASE("a full disk is an error in words") {
    LineSink sink("/dev/full", "", false);
    CHECK_THROWS_AS(sink.write("one\n"), feedwright::IoError);
}

TEST_CASE("texts of lines are quoted as their form asks") {
    std::string json;
    append_json_text(json, "plain");
    append_json_text(json, "a \"b\"\n\xC3\xA9");
    CHECK(json == "\"plain\"\"a \\\"b\\\"\\n\xC3\xA9\"");
    std::string csv;
    append_csv_text(csv, "two\nlines, one cell");
    CHECK(csv == "\"two lines, one cell\"");
    std::string number;
    append_number(number, -0.0);
    append_number(number, 0.1);
    CHECK(number == "00.1");
    CHECK_THROWS_AS(append_number(number, std::nan("")), feedwright::Error);
}

TEST_CASE("recipes are checked in order, and what cannot be read is one line") {
    const TempFolder folder;
    const auto make_checker = []() -> Checker {
        return [](std::size_t number) {
            Verdict verdict;
            verdict.recipe = "r" + std::to_string(number);
            if (number % 10 == 3) {
                verdict.problem = "unreadable";
                return verdict;
            }
            verdict.passes = number % 2 == 0;
            verdict.judgement.verdict = limits::Verdict::complete;
            if (!verdict.passes) {
                verdict.short_of = {"nutrient:lysine", "group:animal, meals"};
                verdict.judgement.verdict = limits::Verdict::incomplete;
                limits::Finding lysine;
                lysine.kind = limits::FindingKind::amino_acids;
                lysine.severity = limits::Severity::warn;
                lysine.name = "lysine";
                limits::Finding told = lysine;
                told.severity = limits::Severity::note;
                told.name = "what only is told";
                verdict.judgement.findings = {lysine, told};
            }
            verdict.cost_per_kg = 0.5 + static_cast<double>(number);
            return verdict;
        };
    };
    for (const Form form : {Form::json, Form::csv}) {
        std::string first;
        for (const unsigned threads : {1U, 3U}) {
            const std::string file = folder.file("out");
            LineSink sink(file, verdict_header(form), false);
            const auto lists = numbered(41);
            const Summary summary = check_all(*lists, make_checker, threads, form, sink);
            CHECK(summary.lists == 41);
            CHECK(summary.unusable == 4);
            CHECK(summary.solved == 21);
            CHECK(summary.unsolved == 16);
            CHECK(summary.dearest->name == "r40");
            const std::string text = read_file(file);
            if (first.empty()) first = text;
            CHECK(text == first);
        }
        if (form == Form::json) {
            CHECK(first.starts_with(
                "{\"recipe\":\"r0\",\"status\":\"passes\",\"cost_per_kg\":0.5,"
                "\"verdict\":\"complete\",\"findings\":[],\"short_of\":[]}\n"
                "{\"recipe\":\"r1\",\"status\":\"short\",\"cost_per_kg\":1.5,"
                "\"verdict\":\"incomplete\",\"findings\":[\"amino_acids:lysine\"],"));
        } else {
            CHECK(
                first.starts_with("recipe,status,reason,cost_per_kg,short_of,verdict,findings\n"
                                  "r0,passes,,0.5,,complete,\n"
                                  "r1,short,,1.5,\"nutrient:lysine; group:animal, meals\","
                                  "incomplete,amino_acids:lysine\n"));
        }
    }
}
