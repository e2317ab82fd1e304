// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/command.hpp"
#include "cli/context.hpp"
#include "job/job.hpp"
#include "tasks/reading.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace feedwright::cli {

/// Adds -o, --force, those of the two below and, where a report has `parts`, --show.
void add_common_options(Command& command, Context& context,
                        const std::vector<std::string>& parts = {});
/// Adds --as, --detail and --no-colour.
void add_form_options(Command& command, Context& context);
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
    std::string dilute;
    std::string system;
    std::vector<std::string> min;
    std::vector<std::string> max;
    std::vector<std::string> stock;
    std::string sure;
    bool strict = false;

    /// Adds --for, --prices, --caps, --enforce, --finished-moisture, --dilute, --system, --weight,
    /// --min, --max, --stock and --strict.
    void add_to(Command& command);
    /// What to read, with all of that. Throws UsageError or base::DataError.
    tasks::JobSource source(const std::string& file) const;
    /// What of it is not as usual, for the result's settings.
    Settings settings() const;
    /// The same, with what was settled for `job` without being asked for.
    Settings settings(const job::Job& job) const;
};

/// What a question needs and does not have, all of it told in one message.
class Lacking {
  public:
    explicit Lacking(std::string command) : command_(std::move(command)) {}

    /// `option` is what the message names; `what` says what it is for.
    void unless(bool there, const std::string& option, const std::string& what);
    /// Throws UsageError where anything is lacking.
    void tell() const;

  private:
    std::string command_;
    std::vector<std::string> options_;
    std::vector<std::string> uses_;
};

/// The words of a list such as "cost,mix", each one of `known`; throws UsageError.
std::vector<std::string> words_in(std::string_view text, const std::string& option,
                                  const std::vector<std::string>& known);

}  // namespace feedwright::cli
