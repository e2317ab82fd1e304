// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/usage.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <exception>
#include <iostream>
#include <sstream>
#include <string>
#include <string_view>

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

struct Command {
    std::string_view name;
    void (*add)(CLI::App&, feedwright::cli::Context&, feedwright::cli::Action&);
};

// In the order of the help text.
constexpr std::array commands{
    Command{"formulate", feedwright::cli::add_formulate},
    Command{"check", feedwright::cli::add_check},
    Command{"mend", feedwright::cli::add_mend},
    Command{"batch", feedwright::cli::add_batch},
    Command{"make-or-buy", feedwright::cli::add_make_or_buy},
    Command{"plan", feedwright::cli::add_plan},
    Command{"trial", feedwright::cli::add_trial},
    Command{"import", feedwright::cli::add_import},
    Command{"list", feedwright::cli::add_list},
    Command{"show", feedwright::cli::add_show},
};

// Adds the command that the command line begins with, or all of them: setting up every option of
// every command would take a quarter of a short run.
void add_commands(CLI::App& app, feedwright::cli::Context& context, feedwright::cli::Action& chosen,
                  std::string_view first_word) {
    const auto named = std::find_if(commands.begin(), commands.end(), [&](const Command& command) {
        return command.name == first_word;
    });
    for (const Command& command : commands) {
        if (named == commands.end() || command.name == named->name)
            command.add(app, context, chosen);
    }
}

ExitStatus run(int argc, char** argv) {
    CLI::App app{"Least-cost feed for fish and small flocks, from what you can grow and get"};
    app.name("feedwright");
    app.set_version_flag("-V,--version", "feedwright " FEEDWRIGHT_VERSION);
    app.require_subcommand(1);
    app.footer(examples);
    app.get_formatter()->column_width(34);
    // Never given back: freeing the library text by text would take a twentieth of a short run.
    static auto& context = *new feedwright::cli::Context;
    feedwright::cli::Action chosen;
    add_commands(app, context, chosen, argc > 1 ? argv[1] : "");
    if (argc == 1) {
        std::cerr << app.help();
        return ExitStatus::usage_error;
    }
    refuse_empty_arguments(argc, argv);
    try {
        app.parse(argc, argv);
    } catch (const CLI::Success& asked) {  // --help, --version
        app.exit(asked);
        feedwright::cli::flush_output();
        return ExitStatus::success;
    } catch (const CLI::ParseError& error) {
        throw feedwright::cli::UsageError(feedwright::cli::usage_problem(app, error));
    }
    return chosen();
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
