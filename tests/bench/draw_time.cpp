// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/make_or_buy.hpp"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <exception>
#include <string>
#include <vector>

// draw_time DATA VENTURE...: for each venture, how long the draws take that give the chance that
// making wins, tornado table included. Prints the median and the longest of 50 runs, in
// milliseconds. Materials that a job or recipe would price cost 1 a kg here: that is done once,
// before the draws.

namespace {

void time_venture(const std::string& file, const feedwright::economics::OwnProduction& yields) {
    using Clock = std::chrono::steady_clock;
    constexpr std::size_t runs = 50;
    feedwright::economics::Venture venture = feedwright::economics::load_venture(file, yields);
    if (!venture.make.materials_file.empty()) venture.make.materials_per_kg = 1;
    std::vector<double> times;
    int draws = 0;
    for (std::size_t run = 0; run < runs; ++run) {
        const auto start = Clock::now();
        draws = feedwright::economics::chance_of(venture).draws;
        times.push_back(std::chrono::duration<double, std::milli>(Clock::now() - start).count());
    }
    std::sort(times.begin(), times.end());
    std::printf("%s: %zu uncertain inputs, %d draws: median %.2f ms, longest %.2f ms\n",
                file.c_str(), venture.uncertain.size(), draws, times[runs / 2], times.back());
}

}  // namespace

int main(int argc, char** argv) {
    if (argc < 3) {
        std::fputs("usage: draw_time DATA VENTURE...\n", stderr);
        return 2;
    }
    try {
        const auto yields =
            feedwright::economics::load_own_production(*feedwright::catalog::files_in(argv[1]));
        for (int i = 2; i < argc; ++i)
            time_venture(argv[i], yields);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "draw_time: %s\n", error.what());
        return 1;
    }
    return 0;
}
