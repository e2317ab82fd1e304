// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"
#include "base/json.hpp"
#include "job/job.hpp"

#include <memory>
#include <string>
#include <string_view>

// A mix that formulate wrote is a recipe for every command that reads one, and a job of what is in
// it for those that read a job.
namespace feedwright::job {

/// The recipe (else the job) that `document` is, where it is a result with a mix; otherwise
/// `document`. What the job said besides stands in the result's "asked". Throws base::DataError for
/// a result that has no mix.
std::shared_ptr<const base::JsonDocument> read_as_asked(
    std::shared_ptr<const base::JsonDocument> document, bool recipe);

/// The table of the mix, where a CSV file of results has one: its lines, each where it was.
/// Otherwise the text.
std::string mix_table_of(const std::string& text);

/// What of a job's file a result carries in "asked": its own ingredients without amounts and
/// prices, limits, groups and the like.
base::JsonValue asked_in(const base::JsonValue& root, const std::string& file);

/// Adds what was asked on the command line and changes what amounts are a share of.
void keep_moisture(Job& job);

}  // namespace feedwright::job
