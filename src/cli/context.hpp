// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "catalog/library.hpp"
#include "cli/exit_status.hpp"
#include "document/document.hpp"
#include "report/results.hpp"

#include <functional>
#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::cli {

/// The command line is understood but asks for something that makes no sense; exit code 2.
class UsageError : public Error {
  public:
    using Error::Error;
    explicit UsageError(const base::Diagnostic& problem) : Error(problem.text()) {}
    /// `place` is an option or a command.
    UsageError(const std::string& place, const std::string& found, const std::string& expected,
               const std::string& hint = {})
        : UsageError(base::Diagnostic{"", place, found, expected, hint}) {}
};

/// Options as a report states them: name and value.
using Settings = std::vector<std::pair<std::string, std::string>>;

inline void append(Settings& list, Settings more) {
    for (auto& item : more)
        list.push_back(std::move(item));
}

/// Options that every command has, and what commands do with them: open the library, show a result.
class Context {
  public:
    /// text, json, csv, markdown or html; empty: as the ending of `output` says, else text
    std::string as;
    std::string output;                  ///< file, or empty for standard output
    bool force = false;                  ///< --force: write over a file that is there
    std::string data;                    ///< --data
    std::vector<std::string> libraries;  ///< --library: the user's own files over it
    std::string table;                   ///< --table: of CSV one table alone
    bool no_colour = false;
    bool detail = false;
    std::vector<std::string> parts;  ///< --show: sections in full

    /// The library: the folder that --data or else FEEDWRIGHT_DATA names, or else the one that the
    /// program carries. The user's own files lie over it: those of own_library.hpp, then
    /// `libraries`.
    catalog::Library& library();

    /// The form of the result. Throws UsageError when the ending of `output` says another one, or
    /// one that is not made.
    std::string form() const;
    /// Makes "-o -" standard output, and throws UsageError before any work is done where the
    /// result could not be written. Called for every command.
    void settle_output();

    /// Writes a result in the form asked for; only what is needed for that is called.
    void show(const std::function<document::Document()>& document,
              const std::function<std::string()>& json) const;

    /// Program, inputs and settings, as reports state them.
    report::Run run(const std::vector<std::string>& inputs, Settings settings) const;

  private:
    std::unique_ptr<catalog::Library> library_;
};

/// Writes out what std::cout still holds; IoError when that fails (a full disk, a closed stream).
void flush_output();

}  // namespace feedwright::cli
