// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/reading.hpp"

#include <optional>
#include <string>

namespace feedwright::job {

/// Kilograms in a litre of an ingredient of the job, with a note of how rough that is; nullopt, and
/// a diagnostic, where nothing is known of it.
std::optional<double> kilograms_a_litre(Reading& reading, const Choice& choice,
                                        const std::string& file, const std::string& place);

}  // namespace feedwright::job
