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

constexpr const char* examples =
    "Examples:\n"
    "  feedwright formulate examples/backyard-tilapia/job.json\n"
    "  feedwright formulate --for nile-tilapia/grow-out --prices prices.csv\n"
    "  feedwright check recipe.csv --for rainbow-trout/grow-out\n"
    "  feedwright mend recipe.csv --for rainbow-trout/grow-out\n"
    "  feedwright batch job.json price-lists.csv -o results.jsonl\n"
    "  feedwright make-or-buy examples/back-garden-tank/venture.json\n"
    "  feedwright plan examples/back-garden-tank/plan.json\n"
    "  feedwright list ingredients\n"
    "  feedwright show duckweed-dried\n"
    "  feedwright import lab-report.csv --id my-fish-meal -o my-library.json\n"
    "\n"
    "Exit codes: 0 solved or passes, 1 bad data or files, 2 wrong command line, 3 no mix exists,\n"
    "4 recipe falls short, 5 batch with unsolved lists, 130 interrupted.";

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
    const Command program{
        "feedwright",
        "Least-cost feed for fish and small flocks, from what you can grow and get",
        {},
        {},
        {new_command(context), formulate_command(context), check_command(context),
         mend_command(context), batch_command(context), make_or_buy_command(context),
         plan_command(context), trial_command(context), import_command(context),
         list_command(context), show_command(context)}};
    refuse_empty_arguments(argc, argv);
    const auto chosen = parse(program, examples, argc, argv);
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
