// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/formulate/explain.hpp"
#include "feedwright/formulate/formulate.hpp"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <exception>
#include <string>
#include <vector>

// explain_time DATA JOB...: for each job, how long the bare answer takes and how much its
// explanation adds. Prints the median and the longest of 50 runs, in milliseconds.

namespace {

using Clock = std::chrono::steady_clock;

double milliseconds_since(Clock::time_point start) {
    return std::chrono::duration<double, std::milli>(Clock::now() - start).count();
}

void print(const char* what, std::vector<double> times) {
    std::sort(times.begin(), times.end());
    std::printf("  %-12s median %7.2f ms, longest %7.2f ms\n", what, times[times.size() / 2],
                times.back());
}

void time_job(const std::string& file, feedwright::catalog::Library& library) {
    using namespace feedwright;
    constexpr int runs = 50;
    const job::Job job = job::read_job(file, library, {});
    std::vector<double> answer;
    std::vector<double> explanation;
    for (int run = 0; run < runs; ++run) {
        auto start = Clock::now();
        const formulate::Model model = formulate::build_model(job);
        formulate::Formulation result = formulate::formulate(job, model, {});
        answer.push_back(milliseconds_since(start));
        start = Clock::now();
        formulate::explain_optimum(job, model, result);
        explanation.push_back(milliseconds_since(start));
    }
    std::printf("%s: %zu ingredients\n", file.c_str(), job.ingredients.size());
    print("answer", std::move(answer));
    print("explanation", std::move(explanation));
}

}  // namespace

int main(int argc, char** argv) {
    if (argc < 3) {
        std::fputs("usage: explain_time DATA JOB...\n", stderr);
        return 2;
    }
    try {
        feedwright::catalog::Library library(argv[1]);
        for (int i = 2; i < argc; ++i)
            time_job(argv[i], library);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "explain_time: %s\n", error.what());
        return 1;
    }
    return 0;
}
