// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <map>
#include <string>
#include <vector>

namespace feedwright::test {

/// How to run the program that was built: arguments, where, and what stands around it.
struct ProgramRun {
    std::vector<std::string> arguments;
    std::string folder;  ///< to run in; empty: the top of the source tree
    std::string input;   ///< a file for standard input; empty: nothing to read
    /// Where standard output goes: a file that is read back, a terminal that is read back (with
    /// "\n" at the ends of lines), a disk that is full, a pipe nobody reads, or nowhere at all
    /// (closed before the start).
    enum class Output { captured, terminal, full_disk, broken_pipe, closed };
    Output output = Output::captured;
    bool ignore_broken_pipe = false;  ///< as some parents hand it down: SIGPIPE ignored
    std::map<std::string, std::string> environment;  ///< set besides what the test itself has
};

struct ProgramResult {
    int exit_code = -1;  ///< -1 when a signal ended it
    int signal = 0;      ///< SIGALRM when it did not end by itself
    std::string output;
    std::string errors;
};

/// Runs it and waits, a minute at most.
ProgramResult run_program(const ProgramRun& run);

/// The lines of `text`, without their ends.
std::vector<std::string> lines_of(const std::string& text);

}  // namespace feedwright::test
