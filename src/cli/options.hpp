// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"
#include "cli/command.hpp"
#include "cli/context.hpp"
#include "job/job.hpp"

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::cli {

/// Adds --as, -o, --data, --no-colour and --detail.
void add_common_options(Command& command, Context& context);
/// Those of them that say where ingredients come from, for a command with results of its own form.
void add_library_options(Command& command, Context& context);

/// The word that names a recipe.
Option recipe_word(std::string& recipe);

/// The options that say what a job or recipe is read with. Numbers are kept as text: the parser
/// library lets "nan" and "1e400" through as numbers.
struct JobOptions {
    std::string profile;
    std::string prices;
    std::string caps = "usual";
    std::string batch;
    std::string enforce;
    std::string moisture;
    std::string system;
    bool strict = false;

    /// Adds --for, --prices, --caps, --enforce, --finished-moisture, --system, --batch and
    /// --strict.
    void add_to(Command& command);
    /// Throws UsageError or base::DataError.
    job::ReadOptions read() const;
    /// What of it is not as usual, for the result's settings.
    std::vector<std::pair<std::string, std::string>> settings() const;
    /// The same, with what was settled for `job` without being asked for.
    std::vector<std::pair<std::string, std::string>> settings(const job::Job& job) const;
};

/// What --strict refuses: the ingredients of the job without a value for a limit that is not
/// advisory, with the names of such limits. A premix need not have what no premix of the library
/// states, such as its energy.
std::map<std::size_t, std::vector<std::string>> unknown_contents(const job::Job& job,
                                                                 catalog::Library& library);

/// With --strict: throws base::DataError when there are unknown_contents().
void require_known(const job::Job& job, catalog::Library& library);

}  // namespace feedwright::cli
