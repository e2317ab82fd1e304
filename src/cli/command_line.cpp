// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "base/text.hpp"
#include "cli/command.hpp"
#include "cli/context.hpp"
#include "cli/help.hpp"

#include <CLI/CLI.hpp>

#include <iostream>
#include <string_view>
#include <vector>

namespace feedwright::cli {

namespace {

using base::Diagnostic;

// The innermost command that the command line names: "trial design" and not "trial".
const CLI::App& named_command(const CLI::App& app) {
    const CLI::App* command = &app;
    while (!command->get_subcommands().empty())
        command = command->get_subcommands().front();
    return *command;
}

std::string full_name(const CLI::App& command) {
    const CLI::App* parent = command.get_parent();
    return parent == nullptr ? "feedwright" : full_name(*parent) + ' ' + command.get_name();
}

// Where the message says the problem is.
std::string place_of(const CLI::App& command) {
    const std::string name = full_name(command);
    const std::size_t space = name.find(' ');
    return space == std::string::npos ? "command line" : name.substr(space + 1);
}

bool is_option(std::string_view word) {
    return word.size() > 1 && word.front() == '-';
}

Diagnostic unknown_option(const CLI::App& command, const std::string& word) {
    std::vector<std::string> known;
    for (const CLI::Option* option : command.get_options()) {
        for (const std::string& name : option->get_lnames())
            known.push_back("--" + name);
    }
    const std::string name = word.substr(0, word.find('='));
    std::string hint = word.starts_with("--") ? base::did_you_mean(name, known) : "";
    if (hint.empty()) hint = '"' + full_name(command) + " --help\" lists them";
    return {"", name, "an unknown option", "an option of \"" + full_name(command) + '"', hint};
}

std::vector<Diagnostic> unexpected(const CLI::App& command, const std::vector<std::string>& words) {
    std::vector<Diagnostic> list;
    for (const std::string& word : words) {
        if (is_option(word)) list.push_back(unknown_option(command, word));
    }
    // A word behind an unknown option is likely to be its value.
    if (!list.empty()) return list;
    for (const std::string& word : words) {
        list.push_back({"", "command line", '"' + word + '"',
                        "nothing more behind \"" + full_name(command) + "\" and what it takes",
                        '"' + full_name(command) + " --help\" tells what that is"});
    }
    return list;
}

Diagnostic no_command(const CLI::App& app, const std::vector<std::string>& words) {
    std::vector<std::string> commands;
    for (const CLI::App* command : app.get_subcommands(nullptr)) {
        commands.push_back(command->get_name());
    }
    const std::string expected = "one of " + base::join_words(commands, " or ");
    if (words.empty()) return {"", place_of(app), "no command", expected, ""};
    if (is_option(words.front())) return unknown_option(app, words.front());
    return {"", place_of(app), '"' + words.front() + '"', expected,
            base::did_you_mean(words.front(), commands)};
}

// What a command cannot do without: a file, a word or an option.
Diagnostic missing(const CLI::App& command, const std::string& name) {
    const CLI::Option* option = command.get_option_no_throw(name);
    if (option == nullptr || is_option(name)) {
        return {"", place_of(command), "no " + name, "this option", ""};
    }
    const std::string type = option->get_type_name();
    return {"", place_of(command), "nothing behind it", type.substr(0, type.find(':')),
            option->get_description()};
}

// "--as: pdf not in {text,json}", as the parser says it of an option with a list of words.
Diagnostic not_in_list(std::string_view said) {
    constexpr std::string_view middle = " not in {";
    const std::size_t colon = said.find(": ");
    const std::size_t list = said.rfind(middle);
    const std::string word(said.substr(colon + 2, list - colon - 2));
    std::vector<std::string> known;
    std::string_view rest = said.substr(list + middle.size());
    rest.remove_suffix(1);
    while (!rest.empty()) {
        const std::size_t comma = std::min(rest.find(','), rest.size());
        known.emplace_back(rest.substr(0, comma));
        rest.remove_prefix(std::min(comma + 1, rest.size()));
    }
    return {"", std::string(said.substr(0, colon)), '"' + word + '"',
            "one of " + base::join_words(known, " or "), base::did_you_mean(word, known)};
}

std::vector<Diagnostic> problems(const CLI::App& app, const CLI::ParseError& error) {
    const CLI::App& command = named_command(app);
    const std::string said = error.what();
    // The name of an error is not always that of its kind.
    const bool required_error = dynamic_cast<const CLI::RequiredError*>(&error) != nullptr;
    if (dynamic_cast<const CLI::ExtrasError*>(&error) != nullptr)
        return unexpected(command, app.remaining(true));
    if (required_error && command.get_require_subcommand_min() > 0) {
        return {no_command(command, app.remaining(true))};
    }
    constexpr std::string_view required = " is required";
    if (required_error && said.ends_with(required)) {
        return {missing(command, said.substr(0, said.size() - required.size()))};
    }
    if (said.find(" not in {") != std::string::npos) {
        Diagnostic problem = not_in_list(said);
        if (!is_option(problem.place)) problem.place = place_of(command);
        return {problem};
    }
    constexpr std::string_view one = ": 1 required ";
    constexpr std::string_view end = " missing";
    const std::size_t at = said.find(one);
    if (at != std::string::npos && said.ends_with(end)) {
        const std::size_t type = at + one.size();
        return {{"", said.substr(0, at), "nothing behind it",
                 said.substr(type, said.size() - end.size() - type), ""}};
    }
    if (const std::size_t more = said.find(": At Most "); more != std::string::npos) {
        return {{"", said.substr(0, more), "the option more than once", "it once", ""}};
    }
    return {{"", place_of(command), "what cannot be read: " + said, "the words of its --help", ""}};
}

// What is wrong with the command line, told as problems in files are: where, what was found, what
// was expected, and the nearest right word. One line a problem. `app` is the whole program after
// the failed parse.
std::string usage_problem(const CLI::App& app, const CLI::ParseError& error) {
    return base::DataError(problems(app, error)).what();
}

void add_option(CLI::App& app, const Option& option) {
    CLI::Option* added = nullptr;
    const std::string names =
        option.former.empty() ? option.names : option.names + ',' + option.former;
    if (bool* const* flag = std::get_if<bool*>(&option.into)) {
        added = app.add_flag(names, **flag, option.what);
    } else if (std::string* const* text = std::get_if<std::string*>(&option.into)) {
        added = app.add_option(names, **text, option.what);
    } else {
        added =
            app.add_option(names, *std::get<std::vector<std::string>*>(option.into), option.what);
    }
    if (!option.words.empty()) added->check(CLI::IsMember(option.words));
    if (!option.type.empty()) added->type_name(option.type);
    if (!option.group.empty()) added->group(option.group);
    if (option.required) added->required();
    if (option.delimiter != 0) added->delimiter(option.delimiter);
    if (option.one_at_a_time) {
        added->expected(1)->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
    }
}

void add_command(CLI::App& app, const Command& command, std::function<ExitStatus()>& chosen) {
    CLI::App* added = app.add_subcommand(command.name, command.what);
    for (const Option& option : command.options)
        add_option(*added, option);
    for (const Command& inner : command.commands)
        add_command(*added, inner, chosen);
    if (!command.commands.empty()) added->require_subcommand(1);
    if (command.run) added->callback([&command, &chosen] { chosen = command.run; });
}

}  // namespace

std::function<ExitStatus()> parse(const Command& program, int argc, char** argv) {
    const std::vector<std::string> words(argv + 1, argv + argc);
    if (!words.empty() && words.front() == "help") {
        std::cout << help_text(program, {words.begin() + 1, words.end()});
        return {};
    }
    if (words == std::vector<std::string>{"version"}) {
        std::cout << program.name << " " FEEDWRIGHT_VERSION "\n";
        return {};
    }
    CLI::App app{program.what};
    app.name(program.name);
    app.set_version_flag("-V,--version", program.name + " " FEEDWRIGHT_VERSION);
    app.require_subcommand(1);
    std::function<ExitStatus()> chosen;
    for (const Command& command : program.commands)
        add_command(app, command, chosen);
    if (argc == 1) {
        std::cerr << help_text(program, {});
        return [] { return ExitStatus::usage_error; };
    }
    try {
        app.parse(argc, argv);
    } catch (const CLI::CallForHelp&) {
        std::vector<std::string> path;
        for (const CLI::App* command = &named_command(app); command != &app;
             command = command->get_parent()) {
            path.insert(path.begin(), command->get_name());
        }
        std::cout << help_text(program, path);
        return {};
    } catch (const CLI::Success& asked) {  // --version
        app.exit(asked);
        return {};
    } catch (const CLI::ParseError& error) {
        throw UsageError(usage_problem(app, error));
    }
    return chosen;
}

}  // namespace feedwright::cli
