// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/exit_status.hpp"

#include <functional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

// Commands and options as data; command_line.cpp alone knows the library that parses them.
namespace feedwright::cli {

/// A word, an option with a value or a flag of a command. Values are kept as text: the parser lets
/// "nan" and "1e400" through as numbers.
struct Option {
    std::string names;  ///< "-o,--output"; without a dash it is a word such as "job"
    /// Where it goes, which outlives the run: a flag into a bool, several words into a vector.
    std::variant<std::string*, bool*, std::vector<std::string>*> into;
    std::string type{};  ///< what stands for the value in the help, such as FILE; of a flag nothing
    std::string what{};  ///< what it is for, in the help
    std::string group{};  ///< its heading in the help; empty: the usual one
    bool required = false;
    char delimiter = 0;                ///< between values in one word
    bool one_at_a_time = false;        ///< may be repeated, with one value each time
    std::vector<std::string> words{};  ///< the values it may have; none: any
    std::string former{};              ///< a name it had, still understood and not in the help
};

inline Option required(Option option) {
    option.required = true;
    return option;
}

inline Option one_of(std::vector<std::string> words, Option option) {
    option.words = std::move(words);
    return option;
}

inline Option formerly(std::string name, Option option) {
    option.former = std::move(name);
    return option;
}

inline Option listed(Option option) {
    option.delimiter = ',';
    return option;
}

inline Option repeated(Option option) {
    option.one_at_a_time = true;
    return option;
}

/// Runs `run`, or where there are `commands` below it, one of these.
struct Command {
    std::string name;
    std::string what;  ///< what it does, in the help
    std::vector<Option> options{};
    std::function<ExitStatus()> run{};
    std::vector<Command> commands{};
    std::vector<std::string> examples{};               ///< command lines, in the help
    std::vector<std::pair<int, std::string>> exits{};  ///< exit codes and what they mean

    void add(std::vector<Option> more) {
        for (Option& option : more)
            options.push_back(std::move(option));
    }
};

/// Fills in what the command line gives and returns what it asks to be run; empty when all it asks
/// for is help or the version, which is printed then: by --help and --version, or by the words
/// "help", "help COMMAND" and "version". Throws UsageError. `program` holds all commands.
std::function<ExitStatus()> parse(const Command& program, int argc, char** argv);

}  // namespace feedwright::cli
