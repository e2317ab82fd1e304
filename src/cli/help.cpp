// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/help.hpp"

#include "base/text.hpp"
#include "cli/context.hpp"
#include "document/document.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace feedwright::cli {

namespace {

using document::Cell;
using document::Document;
using document::Facts;
using document::Heading;
using document::Paragraph;

bool is_word(const Option& option) {
    return option.names.front() != '-';
}

std::string label(const Option& option) {
    if (is_word(option)) return option.type;
    std::string names = option.names;
    for (std::size_t at = 0; (at = names.find(',', at)) != std::string::npos; at += 2)
        names.replace(at, 1, ", ");
    return option.type.empty() ? names : names + ' ' + option.type;
}

std::string usage(const std::string& name, const Command& command) {
    if (!command.commands.empty()) return name + " COMMAND [OPTION]...";
    std::string line = name;
    for (const Option& option : command.options) {
        if (!is_word(option)) continue;
        const bool several = std::holds_alternative<std::vector<std::string>*>(option.into);
        const std::string word = option.type + (several ? "..." : "");
        line += option.required ? ' ' + word : " [" + word + ']';
    }
    return line + " [OPTION]...";
}

// The options in the order of their groups, words first.
void add_options(Document& help, const Command& command) {
    std::vector<std::pair<std::string, Facts>> groups;
    for (const Option& option : command.options) {
        const std::string name = is_word(option)        ? "Words"
                                 : option.group.empty() ? "Options"
                                                        : option.group;
        auto group = std::find_if(groups.begin(), groups.end(),
                                  [&](const auto& one) { return one.first == name; });
        if (group == groups.end()) group = groups.insert(groups.end(), {name, {}});
        group->second.items.emplace_back(label(option), Cell{option.what});
    }
    for (auto& [name, facts] : groups) {
        help.blocks.emplace_back(Heading{name});
        help.blocks.emplace_back(std::move(facts));
    }
}

// Command lines keep their form; one that is too long goes on behind a backslash.
std::string examples_text(const std::vector<std::string>& examples) {
    if (examples.empty()) return "";
    constexpr std::size_t width = 72;
    std::string text = "\nExamples\n";
    for (const std::string& example : examples) {
        std::string lead = "  ";
        for (const std::string& line : base::wrap(example, width)) {
            text += lead + line + " \\\n";
            lead = "      ";
        }
        text.replace(text.size() - 3, 3, "\n");
    }
    return text;
}

}  // namespace

const Command& command_named(const Command& program, const std::vector<std::string>& words) {
    const Command* command = &program;
    std::string place = "help";
    for (const std::string& word : words) {
        std::vector<std::string> known;
        const Command* inner = nullptr;
        for (const Command& one : command->commands) {
            known.push_back(one.name);
            if (one.name == word) inner = &one;
        }
        if (inner == nullptr) {
            throw UsageError(
                place, '"' + word + '"',
                known.empty() ? "nothing more" : "one of " + base::join_words(known, " or "),
                base::did_you_mean(word, known));
        }
        command = inner;
        place += ' ' + word;
    }
    return *command;
}

std::string help_text(const Command& program, const std::vector<std::string>& path) {
    const Command& command = command_named(program, path);
    std::string name = program.name;
    for (const std::string& word : path)
        name += ' ' + word;
    Document help;
    help.title = name + ": " + command.what;
    help.blocks.emplace_back(Heading{"Usage"});
    help.blocks.emplace_back(Paragraph{usage(name, command)});
    if (!command.commands.empty()) {
        Facts commands;
        for (const Command& one : command.commands)
            commands.items.emplace_back(one.name, Cell{one.what});
        help.blocks.emplace_back(Heading{"Commands"});
        help.blocks.emplace_back(std::move(commands));
    }
    add_options(help, command);
    Facts always;
    always.items.emplace_back("-h, --help", Cell{"Print this help and end"});
    if (path.empty()) {
        always.items.emplace_back("-V, --version", Cell{"Print the version and end"});
        always.items.emplace_back("help COMMAND", Cell{"Print the help of one command"});
    }
    help.blocks.emplace_back(Heading{"Help"});
    help.blocks.emplace_back(std::move(always));
    std::string text = document::render_text(help) + examples_text(command.examples);
    if (command.exits.empty()) return text;
    Facts codes;
    for (const auto& [code, meaning] : command.exits)
        codes.items.emplace_back(std::to_string(code), Cell{meaning});
    return text + '\n' + document::render_text({"", {Heading{"Exit codes"}, std::move(codes)}});
}

}  // namespace feedwright::cli
