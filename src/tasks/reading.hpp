// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/json.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"

#include <cstddef>
#include <map>
#include <memory>
#include <string>
#include <vector>

// The one door through which tasks read jobs and recipes, so that what was asked of the reading
// holds in every one of them.
namespace feedwright::tasks {

/// A job or a recipe to read.
struct JobSource {
    /// Empty: the job that the profile and the price list of `options` make, which must be there.
    std::string file;
    job::ReadOptions options;
    /// Refuse what has unknown_contents(). The job that is named is held to it, not what the
    /// library has to offer besides.
    bool strict = false;
    /// A job within another file, in place of a file of its own.
    std::shared_ptr<const base::JsonDocument> document{};
};

/// Both throw base::DataError with every problem found, or IoError.
job::Job read_job(const JobSource& source, catalog::Library& library);
job::Job read_recipe(const JobSource& source, catalog::Library& library);

/// The text of a job file that asks what `source` asks (job/save.hpp).
std::string job_file_of(const JobSource& source, catalog::Library& library);
/// Throws base::DataError where a limit must hold surely: `what` works with limits on average.
void refuse_sureness(const job::Job& job, const std::string& what);

/// By its place, each ingredient of the job that has no value for a limit that is not advisory,
/// with the names of such limits. A premix need not have what no premix of the library states, such
/// as its energy.
std::map<std::size_t, std::vector<std::string>> unknown_contents(const job::Job& job,
                                                                 catalog::Library& library);

}  // namespace feedwright::tasks
