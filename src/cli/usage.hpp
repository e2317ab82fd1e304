// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace CLI {
class App;
class ParseError;
}  // namespace CLI

namespace feedwright::cli {

/// What is wrong with the command line, told as problems in files are: where, what was found, what
/// was expected, and the nearest right word. One line a problem. `app` is the whole program after
/// the failed parse.
std::string usage_problem(const CLI::App& app, const CLI::ParseError& error);

}  // namespace feedwright::cli
