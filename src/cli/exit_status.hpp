// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace feedwright::cli {

/// What the program tells the shell. Documented in docs/formats.md; scripts depend on the numbers.
enum class ExitStatus {
    success = 0,  ///< solved, or the recipe passes
    data_error =
        1,  ///< bad data, a file that cannot be read or written, or a failure of the program
    usage_error = 2,    ///< the command line is wrong
    no_mix = 3,         ///< no mix can meet the limits
    short_of = 4,       ///< a recipe was checked and found short
    some_failed = 5,    ///< a batch ended with some lists unsolved
    interrupted = 130,  ///< Ctrl-C; the best mix found so far, if any, was printed
};

}  // namespace feedwright::cli
