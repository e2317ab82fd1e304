// SPDX-License-Identifier: GPL-3.0-or-later
#include "limits/limit.hpp"
#include "search/cheapest.hpp"
#include "search/explain.hpp"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <string>
#include <vector>

// explain_time RUNS DATA JOB...: for each job, how long the bare answer takes and how much its
// explanation adds; of a conflict with the search of the library for ingredients that would help.
// Prints the least and the median of the runs, in milliseconds.

namespace {

using Clock = std::chrono::steady_clock;

double milliseconds_since(Clock::time_point start) {
    return std::chrono::duration<double, std::milli>(Clock::now() - start).count();
}

void print(const char* what, std::vector<double> times) {
    std::sort(times.begin(), times.end());
    std::printf("  %-12s least %7.2f ms, median %7.2f ms\n", what, times.front(),
                times[times.size() / 2]);
}

void time_job(const std::string& file, feedwright::catalog::Library& library, int runs) {
    using namespace feedwright;
    const job::Job job = job::read_job(file, library, {});
    const auto wide = [&] {
        job::ReadOptions options;
        for (const std::string& id : library.ingredient_ids()) {
            if (job.find(id) == nullptr) options.with.push_back({id, 0});
        }
        return job::read_job(file, library, options);
    };
    const auto with = [&](const std::vector<std::string>& ids) {
        job::ReadOptions options;
        for (const std::string& id : ids)
            options.with.push_back({id, 0});
        return job::read_job(file, library, options);
    };
    std::vector<double> answer;
    std::vector<double> explanation;
    for (int run = 0; run < runs; ++run) {
        auto start = Clock::now();
        const search::FeedProgram model = search::cheapest_program(job);
        search::Formulation result = search::formulate(job, model, {});
        answer.push_back(milliseconds_since(start));
        start = Clock::now();
        search::explain_optimum(job, model, result);
        if (result.status == lp::Status::infeasible) {
            result.conflict = search::explain_conflict(job);
            search::find_ingredients(job, wide(), with, *result.conflict);
        }
        explanation.push_back(milliseconds_since(start));
    }
    std::size_t limits = 0;
    for (const auto& limit : limits::limits_of(job)) {
        if (!limit.advisory) limits += (limit.min ? 1U : 0U) + (limit.max ? 1U : 0U);
    }
    std::printf("%s: %zu ingredients, %zu sides of limits\n", file.c_str(), job.ingredients.size(),
                limits);
    print("answer", std::move(answer));
    print("explanation", std::move(explanation));
}

}  // namespace

int main(int argc, char** argv) {
    const int runs = argc < 4 ? 0 : std::atoi(argv[1]);
    if (runs < 1) {
        std::fputs("usage: explain_time RUNS DATA JOB...\n", stderr);
        return 2;
    }
    try {
        feedwright::catalog::Library library(argv[2]);
        for (int i = 3; i < argc; ++i)
            time_job(argv[i], library, runs);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "explain_time: %s\n", error.what());
        return 1;
    }
    return 0;
}
