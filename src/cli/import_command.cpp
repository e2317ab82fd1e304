// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "base/text.hpp"
#include "catalog/import.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "report/catalog/import_report.hpp"

#include <CLI/CLI.hpp>

#include <filesystem>
#include <memory>
#include <system_error>

namespace feedwright::cli {

namespace {

struct Request {
    std::string file;
    std::string basis;
    bool force = false;
    catalog::ImportOptions options;
};

ExitStatus run(const Request& request, Context& context) {
    const std::string library = context.output;
    if (library.empty()) {
        throw UsageError("import", "no -o FILE", "the library file to write",
                         "For example: feedwright import " + request.file + " -o my-library.json");
    }
    std::error_code error;
    if (!request.force && std::filesystem::exists(library, error)) {
        throw IoError(library + ": is there already; --force writes over it");
    }
    catalog::ImportOptions options = request.options;
    if (!request.basis.empty()) options.basis = catalog::basis_from(request.basis);
    const catalog::LaboratoryTable table =
        catalog::read_laboratory_table(base::read_file(request.file), request.file);
    const catalog::Import import =
        catalog::read_import(table, context.library().dictionary(), options);
    const std::string text = catalog::library_json(import);
    catalog::require_loadable(text, request.file, context.library());
    base::write_file(library, text);
    context.output.clear();  // the report goes to the terminal
    context.show(report::import_document(import, library, context.library().dictionary()),
                 [&] { return report::import_json(import, library); });
    return ExitStatus::success;
}

}  // namespace

void add_import(CLI::App& app, Context& context, Action& chosen) {
    auto request = std::make_shared<Request>();
    CLI::App* command = app.add_subcommand(
        "import", "Make a library file of your own from a table or a laboratory report (CSV)");
    command->add_option("file", request->file, "CSV: one row an ingredient, or one row a nutrient")
        ->required()
        ->type_name("FILE");
    catalog::ImportOptions& options = request->options;
    const auto text = [&](const char* name, std::string& target, const char* help,
                          const char* type) {
        command->add_option(name, target, help)->type_name(type)->group("What the figures are");
    };
    command
        ->add_option(
            "--basis", request->basis,
            "Basis of figures that name none: as_fed (the usual), dry_matter or of_protein")
        ->check(CLI::IsMember({"as_fed", "dry_matter", "of_protein"}))
        ->type_name("BASIS")
        ->group("What the figures are");
    text("--source", options.source, "Where they come from, as reports shall name it", "TEXT");
    text("--id", options.id, "Id of the sample of a report", "ID");
    text("--name", options.name, "Its name", "TEXT");
    text("--category", options.category,
         "Category, for caps and cautions on it: oilcake, insect, ...", "WORD");
    text("--extend", options.extend, "Ingredient that gives the values the file lacks", "ID");
    text("--scale", options.scale, "What those keep: dry_matter, crude_protein or none", "WORD");
    command
        ->add_flag("--skip-unknown", options.skip_unknown,
                   "Leave out columns or rows that name no nutrient")
        ->group("What the figures are");
    command->add_flag("--force", request->force, "Write over FILE of -o if it is there")
        ->group("Result");
    add_common_options(*command, context);
    command->callback([request, &context, &chosen] {
        chosen = [request, &context] { return run(*request, context); };
    });
}

}  // namespace feedwright::cli
