// SPDX-License-Identifier: GPL-3.0-or-later
// A search too long to wait for, ended by its time limit, by an interrupt, and by Ctrl-C.
#include "search/cheapest.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <fmt/format.h>

#include <array>
#include <atomic>
#include <chrono>
#include <csignal>
#include <random>
#include <string>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>
#include <utility>

using namespace feedwright;

namespace {

// Forty of a hundred things, each 2.5 % or none, within 3 % of the middle of eight nutrients: some
// such mix is found soon, and to prove one best takes longer than anyone waits.
std::string long_job() {
    std::mt19937 random(5);
    const std::array<std::pair<const char*, int>, 8> nutrients{{{"crude_protein", 60},
                                                                {"crude_lipid", 20},
                                                                {"calcium", 5},
                                                                {"phosphorus", 2},
                                                                {"crude_fibre", 15},
                                                                {"ash", 15},
                                                                {"potassium", 4},
                                                                {"sodium", 2}}};
    const auto number = [&](double high) {
        return fmt::format("{:.2f}", std::uniform_real_distribution<double>(0, high)(random));
    };
    std::string text = R"({"format":"feedwright-job/1","batch_kg":10,"ingredients":[)";
    for (int i = 0; i < 100; ++i) {
        text +=
            fmt::format(R"({}{{"id":"i{}","price":{},"max":2.5,"min_if_used":2.5,"nutrients":{{)",
                        i == 0 ? "" : ",", i, number(1));
        for (const auto& [id, high] : nutrients) {
            text +=
                fmt::format(R"({}"{}":{})", id == nutrients[0].first ? "" : ",", id, number(high));
        }
        text += "}}";
    }
    text += R"(],"limits":[)";
    for (const auto& [id, high] : nutrients) {
        text += fmt::format(R"({}{{"nutrient":"{}","min":{},"max":{}}})",
                            id == nutrients[0].first ? "" : ",", id, 0.485 * high, 0.515 * high);
    }
    return text + "]}";
}

void check_stopped(const search::Formulation& result, const std::string& why) {
    REQUIRE(result.status == lp::Status::limit);
    CHECK(result.message == why);
    CHECK_FALSE(result.proven_best);
    REQUIRE_FALSE(result.amounts.empty());
    for (const auto& limit : result.assessment.limits)
        CHECK(limit.met);
    REQUIRE(result.bound.has_value());
    CHECK(*result.bound <= result.cost);
    CHECK(*result.bound > 0);
}

struct Ran {
    int exit_code = -1;
    std::string output;
};

// Runs the program and presses Ctrl-C after `wait`.
Ran run_and_interrupt(const std::string& job, std::chrono::seconds wait) {
    std::array<int, 2> ends{};
    REQUIRE(::pipe(ends.data()) == 0);
    const pid_t child = ::fork();
    if (child == 0) {
        ::dup2(ends[1], STDOUT_FILENO);
        ::close(ends[0]);
        ::close(ends[1]);
        ::execl(FEEDWRIGHT_PROGRAM, FEEDWRIGHT_PROGRAM, "formulate", job.c_str(), "--data",
                FEEDWRIGHT_TEST_DATA, static_cast<char*>(nullptr));
        ::_exit(127);
    }
    ::close(ends[1]);
    std::this_thread::sleep_for(wait);
    ::kill(child, SIGINT);
    Ran ran;
    std::array<char, 4096> buffer{};
    for (ssize_t n = 0; (n = ::read(ends[0], buffer.data(), buffer.size())) > 0;) {
        ran.output.append(buffer.data(), static_cast<std::size_t>(n));
    }
    ::close(ends[0]);
    int status = 0;
    ::waitpid(child, &status, 0);
    if (WIFEXITED(status)) ran.exit_code = WEXITSTATUS(status);
    return ran;
}

}  // namespace

TEST_CASE("a long search ends at its time limit with the best mix so far and its bound") {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    const auto job = job::read_job(folder.write("job.json", long_job()), library, {});
    // The machine may be slow or busy; longer limits are tried until a mix is found in time.
    lp::SolveOptions options;
    search::Formulation result;
    for (double seconds = 1; seconds < 100 && result.amounts.empty(); seconds *= 2) {
        options.time_limit_seconds = seconds;
        result = search::formulate(job, options);
    }
    check_stopped(result, "the time limit was reached");
}

TEST_CASE("a long search ends when it is interrupted with the best mix so far and its bound") {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    const auto job = job::read_job(folder.write("job.json", long_job()), library, {});
    search::Formulation result;
    for (int seconds = 1; seconds < 100 && result.amounts.empty(); seconds *= 2) {
        std::atomic<bool> stop{false};
        lp::SolveOptions options;
        options.interrupt = &stop;
        std::thread presser([&] {
            std::this_thread::sleep_for(std::chrono::seconds(seconds));
            stop = true;
        });
        result = search::formulate(job, options);
        presser.join();
    }
    check_stopped(result, "interrupted");
}

TEST_CASE("Ctrl-C leaves the best mix found so far, marked, and exit code 130") {
    const test::TempFolder folder;
    const std::string job = folder.write("job.json", long_job());
    Ran ran;
    for (int seconds = 1; seconds < 100; seconds *= 2) {
        ran = run_and_interrupt(job, std::chrono::seconds(seconds));
        if (ran.output.find("No animal was named") != std::string::npos) break;
    }
    INFO(ran.output);
    CHECK(ran.exit_code == 130);
    CHECK(ran.output.find("not proven to be the cheapest: interrupted.") != std::string::npos);
    CHECK(ran.output.find("of the cost could") != std::string::npos);
}
