// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "batch/batch.hpp"
#include "tasks/reading.hpp"

#include <cstddef>
#include <functional>
#include <string>
#include <variant>
#include <vector>

// Many lists or recipes, a line each: what is read and written streams, however much it is.
namespace feedwright::tasks {

/// Opens where the lines go, once all jobs and lists can be read. `header` is the first line, or
/// empty; `inputs` are the files read, and of jobs the files that they name. The sink outlives the
/// task.
using OpenSink = std::function<batch::LineSink&(const std::string& header,
                                                const std::vector<std::string>& inputs)>;

/// How a batch runs.
struct BatchRun {
    batch::Form form = batch::Form::json;
    /// Part i (from 1) of n of the lists. Only the first has a header: parts written one after
    /// another are one table.
    std::size_t part = 1;
    std::size_t parts = 1;
    unsigned threads = 1;
    OpenSink open;
    batch::Watch watch{};
};

/// Price lists: each job's own prices, all combinations of some prices, a table ("-" is standard
/// input), or a file each.
struct OwnPrices {};
struct PriceTable {
    std::string file;
};
struct PriceFiles {
    std::vector<std::string> files;
};
using PriceLists = std::variant<OwnPrices, std::vector<batch::GridAxis>, PriceTable, PriceFiles>;

struct BatchRequest {
    /// How each of `files` is read; without files it is the one job.
    JobSource jobs;
    std::vector<std::string> files;
    PriceLists lists;
    batch::Columns columns;
    BatchRun run;
};

/// Solves every job for every price list; a summary a job. A job with all prices is dried where its
/// mix at these prices would be too wet to compare as it is, as formulate() does.
std::vector<batch::Summary> solve_lists(const BatchRequest& request, catalog::Library& library);

struct CheckAllRequest {
    JobSource recipes;  ///< how each of `files` is read
    std::vector<std::string> files;
    BatchRun run;
};

/// Checks every recipe, as check() does.
batch::Summary check_all(const CheckAllRequest& request, const catalog::Library& library);

}  // namespace feedwright::tasks
