// SPDX-License-Identifier: GPL-3.0-or-later
// Runs commands in turn, A B C A B C …, and prints the median wall time of each and its ratio to
// the others: what the machine does meanwhile touches all of them alike. Output of the commands is
// thrown away.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fcntl.h>
#include <sstream>
#include <string>
#include <sys/wait.h>
#include <unistd.h>
#include <vector>

namespace {

double run(const std::string& command) {
    std::istringstream words(command);
    std::vector<std::string> parts;
    for (std::string word; words >> word;)
        parts.push_back(word);
    std::vector<char*> arguments;
    for (std::string& part : parts)
        arguments.push_back(part.data());
    arguments.push_back(nullptr);
    const auto start = std::chrono::steady_clock::now();
    const pid_t child = ::fork();
    if (child == 0) {
        const int null = ::open("/dev/null", O_WRONLY);
        ::dup2(null, STDOUT_FILENO);
        ::dup2(null, STDERR_FILENO);
        ::execvp(arguments[0], arguments.data());
        ::_exit(127);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    // 3: no mix is possible, which is an answer too.
    if (!WIFEXITED(status) || (WEXITSTATUS(status) != 0 && WEXITSTATUS(status) != 3)) {
        std::fprintf(stderr, "failed: %s\n", command.c_str());
        std::exit(1);
    }
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start)
        .count();
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

}  // namespace

int main(int argc, char** argv) {
    if (argc < 3) {
        std::fprintf(stderr, "usage: in_turn RUNS COMMAND...\n");
        return 2;
    }
    const std::vector<std::string> commands(argv + 2, argv + argc);
    std::vector<std::vector<double>> times(commands.size());
    for (const std::string& command : commands)
        run(command);  // not counted: files come into memory
    for (int turn = std::atoi(argv[1]); turn > 0; --turn) {
        for (std::size_t k = 0; k < commands.size(); ++k)
            times[k].push_back(run(commands[k]));
    }
    for (std::size_t k = 0; k < commands.size(); ++k) {
        std::vector<double> ratios;
        for (std::size_t i = 0; i < times[k].size(); ++i)
            ratios.push_back(times[0][i] / times[k][i]);
        const auto [low, high] = std::minmax_element(times[k].begin(), times[k].end());
        std::printf("%8.2f ms (%.2f to %.2f)  first takes %.2f times this  %s\n", median(times[k]),
                    *low, *high, median(ratios), commands[k].c_str());
    }
    return 0;
}
