// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <exception>
#include <iostream>
#include <sstream>
#include <string>

namespace {

using feedwright::cli::ExitStatus;

// Every line of a message begins with the program's name, so that a log tells whose it is.
void complain(const std::string& message) {
    std::istringstream lines(message);
    for (std::string line; std::getline(lines, line);)
        std::cerr << "feedwright: " << line << '\n';
}

void refuse_empty_arguments(int argc, char** argv) {
    for (int i = 1; i < argc; ++i) {
        if (*argv[i] != '\0') continue;
        const std::string behind = i > 1 ? fmt::format(", behind {}", argv[i - 1]) : "";
        throw feedwright::cli::UsageError("command line",
                                          fmt::format("an empty text as word {}{}", i, behind),
                                          "a value", "A variable of your shell may be empty");
    }
}

ExitStatus run(int argc, char** argv) {
    using namespace feedwright::cli;
    Context context;
    // In the order of the help text.
    Command program{"feedwright",
                    "Least-cost feed for fish and small flocks, from what you can grow and get",
                    {},
                    {},
                    {new_command(context), formulate_command(context), check_command(context),
                     mend_command(context), batch_command(context), make_or_buy_command(context),
                     plan_command(context), season_command(context), trial_command(context),
                     import_command(context), list_command(context), show_command(context)}};
    program.examples = {"feedwright formulate examples/backyard-tilapia/job.json",
                        "feedwright formulate --for nile-tilapia/grow-out --prices prices.csv",
                        "feedwright check recipe.csv --for rainbow-trout/grow-out",
                        "feedwright list ingredients", "feedwright help formulate"};
    program.exits = {{0, "solved, or the recipe passes"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {3, "no mix can meet the limits"},
                     {4, "the recipe fails"},
                     {5, "a batch ended with some lists unsolved"},
                     {130, "interrupted"}};
    refuse_empty_arguments(argc, argv);
    const auto chosen = parse(program, argc, argv);
    if (chosen) {
        context.settle_output();
        return chosen();
    }
    flush_output();
    return ExitStatus::success;
}

ExitStatus refuse_command_line(const std::string& message) {
    complain(message);
    std::cerr << "Try \"feedwright --help\" or \"feedwright COMMAND --help\".\n";
    return ExitStatus::usage_error;
}

// Some words of a command line can be judged only once the files are read. What names no file is
// about an option.
bool blames_command_line(const feedwright::base::DataError& error) {
    const auto& list = error.list();
    return std::all_of(list.begin(), list.end(), [](const feedwright::base::Diagnostic& one) {
        return one.file.empty() || one.file == "command line";
    });
}

}  // namespace

int main(int argc, char** argv) {
    try {
        return static_cast<int>(run(argc, argv));
    } catch (const feedwright::cli::UsageError& error) {
        return static_cast<int>(refuse_command_line(error.what()));
    } catch (const feedwright::base::DataError& error) {
        if (blames_command_line(error)) {
            return static_cast<int>(refuse_command_line(error.what()));
        }
        complain(error.what());
        return static_cast<int>(ExitStatus::data_error);
    } catch (const std::exception& error) {
        complain(error.what());
        return static_cast<int>(ExitStatus::data_error);
    }
}
