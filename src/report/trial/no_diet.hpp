// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "search/series.hpp"

#include <string>

namespace feedwright::report {

/// Why a diet of a series cannot be made: the end of a sentence.
std::string in_words(const search::NoDiet& missing);

}  // namespace feedwright::report
