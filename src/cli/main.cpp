// SPDX-License-Identifier: GPL-3.0-or-later
#include <exception>
#include <iostream>

#include <CLI/CLI.hpp>

#include "cli/commands.hpp"
#include "feedwright/base/diagnostics.hpp"
#include "feedwright/base/text.hpp"

namespace {

using feedwright::cli::ExitStatus;

constexpr const char* examples =
    "Examples:\n"
    "  feedwright formulate examples/backyard-tilapia/job.json\n"
    "  feedwright formulate --for nile-tilapia/grow-out --prices prices.csv\n"
    "  feedwright check recipe.csv --for rainbow-trout/grow-out\n"
    "  feedwright batch job.json price-lists.csv -o results.jsonl\n"
    "  feedwright make-or-buy examples/back-garden-tank/venture.json\n"
    "  feedwright plan examples/back-garden-tank/plan.json\n"
    "  feedwright list ingredients\n"
    "  feedwright show duckweed-dried\n"
    "  feedwright import lab-report.csv --id my-fish-meal -o my-library.json\n"
    "\n"
    "Exit codes: 0 solved or passes, 1 bad data or files, 2 wrong command line, 3 no mix exists,\n"
    "4 recipe falls short, 5 batch with unsolved lists.";

// The parser's own words, and the nearest command when a word looks like a mistyped one.
ExitStatus report_usage(const CLI::App& app, const CLI::ParseError& error, int argc, char** argv) {
    std::cerr << "feedwright: " << error.what() << '\n';
    std::vector<std::string> commands;
    for (const CLI::App* command : app.get_subcommands(nullptr)) commands.push_back(command->get_name());
    if (argc > 1 && argv[1][0] != '-' &&
        std::find(commands.begin(), commands.end(), argv[1]) == commands.end()) {
        const std::string hint = feedwright::base::did_you_mean(argv[1], commands);
        if (!hint.empty()) std::cerr << hint << '\n';
    }
    std::cerr << "Try \"feedwright --help\" or \"feedwright COMMAND --help\".\n";
    return ExitStatus::usage_error;
}

ExitStatus run(int argc, char** argv) {
    CLI::App app{"Least-cost feed for fish and small flocks, from what you can grow and get"};
    app.name("feedwright");
    app.set_version_flag("-V,--version", "feedwright " FEEDWRIGHT_VERSION);
    app.require_subcommand(1);
    app.footer(examples);
    app.get_formatter()->column_width(34);
    feedwright::cli::Context context;
    feedwright::cli::Action chosen;
    feedwright::cli::add_formulate(app, context, chosen);
    feedwright::cli::add_check(app, context, chosen);
    feedwright::cli::add_batch(app, context, chosen);
    feedwright::cli::add_make_or_buy(app, context, chosen);
    feedwright::cli::add_plan(app, context, chosen);
    feedwright::cli::add_trial(app, context, chosen);
    feedwright::cli::add_import(app, context, chosen);
    feedwright::cli::add_list(app, context, chosen);
    feedwright::cli::add_show(app, context, chosen);
    if (argc == 1) {
        std::cout << app.help();
        return ExitStatus::usage_error;
    }
    try {
        app.parse(argc, argv);
    } catch (const CLI::Success& asked) {  // --help, --version
        app.exit(asked);
        return ExitStatus::success;
    } catch (const CLI::ParseError& error) {
        return report_usage(app, error, argc, argv);
    }
    return chosen();
}

}  // namespace

int main(int argc, char** argv) {
    try {
        return static_cast<int>(run(argc, argv));
    } catch (const feedwright::cli::UsageError& error) {
        std::cerr << "feedwright: " << error.what() << '\n';
        return static_cast<int>(ExitStatus::usage_error);
    } catch (const std::exception& error) {
        std::cerr << "feedwright: " << error.what() << '\n';
        return static_cast<int>(ExitStatus::data_error);
    }
}
