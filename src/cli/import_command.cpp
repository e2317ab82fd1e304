// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/own_library.hpp"
#include "report/catalog/import_report.hpp"
#include "tasks/catalog.hpp"

#include <filesystem>
#include <memory>
#include <system_error>

namespace feedwright::cli {

namespace {

struct Request {
    std::string file;
    std::string basis;
    std::string spread;
    std::string library;  // the file to write
    std::string save_as;  // or its name in the user's own library
    bool force = false;
    catalog::ImportOptions options;
};

ExitStatus run(const Request& request, Context& context) {
    if (request.library.empty() == request.save_as.empty()) {
        throw UsageError("import", request.library.empty() ? "no -o FILE" : "-o and --save-as",
                         "the library file to write, or --save-as NAME",
                         "For example: feedwright import " + request.file + " -o my-library.json");
    }
    const bool saved = !request.save_as.empty();
    const std::string library = saved ? own_library_file(request.save_as) : request.library;
    std::error_code error;
    if (!request.force && std::filesystem::exists(library, error)) {
        throw IoError(library + ": already exists; use --force to overwrite");
    }
    tasks::ImportRequest asked{request.file, request.options};
    if (!request.basis.empty()) asked.options.basis = catalog::basis_from(request.basis);
    if (!request.spread.empty())
        asked.options.spread = catalog::spread_from(request.spread).value();
    const tasks::Imported result = tasks::import_table(asked, context.library());
    if (saved) {
        const std::string folder = std::filesystem::path(library).parent_path().string();
        std::filesystem::create_directories(folder, error);
        if (error) throw IoError(folder + ": cannot make this folder: " + error.message());
    }
    base::write_file(library, result.library_file);
    context.show(
        [&] {
            return report::import_document(result, library, saved, context.library().dictionary());
        },
        [&] { return report::import_json(result, library); });
    return ExitStatus::success;
}

}  // namespace

Command import_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"import",
                    "Make a library file of your own from a table or a laboratory report (CSV)"};
    catalog::ImportOptions& options = request->options;
    const char* figures = "What the figures are";
    command.add({
        required({"file", &request->file, "FILE",
                  "CSV table with one row per ingredient, or one row per nutrient"}),
        one_of(
            {"as_fed", "dry_matter", "of_protein"},
            {"--basis", &request->basis, "BASIS",
             "Basis of figures that name none: as_fed, dry_matter or of_protein (default: as_fed)",
             figures}),
        one_of({"lots", "regions", "replicates", "samples"},
               {"--spread", &request->spread, "BETWEEN",
                "What the standard deviations are between: lots, regions, replicates (of one lot) "
                "or samples (unknown); only the first two go before the default",
                figures}),
        {"--one-ingredient", &options.one_ingredient, "",
         "The samples are lots of one ingredient: their mean, and the standard deviation between "
         "them",
         figures},
        {"--source", &options.source, "TEXT", "Source of the figures, as reports name it", figures},
        {"--id", &options.id, "ID", "Id of the sample of a laboratory report", figures},
        {"--name", &options.name, "TEXT", "Name of the sample", figures},
        {"--category", &options.category, "WORD",
         "Category, for caps and cautions on it: oilcake, insect, ...", figures},
        {"--extend", &options.extend, "ID", "Ingredient that gives the values the file lacks",
         figures},
        formerly("--scale", {"--keep", &options.scale, "WORD",
                             "What values of --extend keep their ratio to: dry_matter, "
                             "crude_protein or none (default: dry_matter)",
                             figures}),
        {"--skip-unknown", &options.skip_unknown, "",
         "Ignore columns or rows that name no nutrient", figures},
        {"-o,--output", &request->library, "FILE", "The library file to write", "Result"},
        {"--save-as", &request->save_as, "NAME",
         "Write it into the library of your own, which every command uses", "Result"},
        {"--force", &request->force, "", "Overwrite the file if it exists", "Result"},
    });
    add_form_options(command, context);
    add_library_options(command, context);
    command.examples = {"feedwright import lab-report.csv --id my-fish-meal -o my-library.json",
                        "feedwright import six-lots.csv --one-ingredient --id my-fish-meal "
                        "--save-as my-feeds",
                        "feedwright import table.csv --basis dry_matter --save-as my-feeds"};
    command.exits = {{0, "the library file was written"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
