// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/stream_file.hpp"
#include "batch/lists.hpp"
#include "batch/summary.hpp"
#include "job/job.hpp"
#include "limits/findings.hpp"

#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::batch {

enum class Form { json, csv };  ///< JSON Lines, or CSV with a header

/// What a line says beside the list's name, its status and the proof.
struct Columns {
    bool cost = true;
    bool mix = true;
    bool binding = false;
    bool shadow = false;
};

/// How far a run is, told after each piece of lines written.
struct Progress {
    std::size_t lines = 0;
    std::optional<double> done;  ///< share of the input dealt with, where that can be told
};

using Watch = std::function<void(const Progress&)>;

/// Where lines go: standard output, or a file that an interrupted run may have left behind.
class LineSink {
  public:
    /// Standard output.
    explicit LineSink(const std::string& header);
    /// A file; `header` is its first line, or empty. It gets its name in close(); see
    /// base::OutputStream. With `resume`, whole lines of the unfinished file that an earlier run
    /// left, or else of the file itself, stay; throws base::DataError when their header is another.
    LineSink(const std::string& file, const std::string& header, bool resume);

    /// Lines kept; 0 for a fresh start.
    std::size_t kept() const { return kept_; }
    /// The name of the file until close(); empty for standard output, devices and pipes.
    const std::string& unfinished() const { return unfinished_; }
    /// After a resumed start: `lines` whole lines will be written again; the last of them must be
    /// the last one kept, or write() throws base::DataError: the file is from other data.
    void expect_again(std::size_t lines) { again_ = lines; }

    /// Whole lines. Throws IoError.
    void write(std::string_view lines);
    void close();

  private:
    base::OutputStream& out();

    std::string file_;
    std::string unfinished_;
    std::string last_;
    base::OutputStream::From from_ = base::OutputStream::From::nothing;
    std::uint64_t end_ = 0;
    std::size_t head_ = 0;  // bytes of a header that this run has written
    std::size_t kept_ = 0;
    std::size_t again_ = 0;
    std::unique_ptr<base::OutputStream> out_;
};

/// Several price lists solved for one or more jobs. A line a list, for each job in turn.
class Batch {
  public:
    /// Builds and solves each job with its own prices; one that has no price for some ingredient
    /// needs it from every list. Throws base::DataError as search::build_model does.
    Batch(const std::vector<job::Job>& jobs, Form form, Columns columns);
    ~Batch();
    Batch(const Batch&) = delete;
    Batch& operator=(const Batch&) = delete;

    /// Lines of one list.
    std::size_t jobs() const;
    /// The first line of the CSV form, with its end; empty for JSON Lines.
    const std::string& header() const;

    /// What a line holds depends on its list and the jobs alone: not on other lists, nor on the
    /// number of threads. `lists` name ingredients by `ingredients`.
    std::vector<Summary> run(Lists& lists, const IngredientSet& ingredients, unsigned threads,
                             LineSink& sink, const Watch& watch = {}) const;

  private:
    struct Plan;
    class Solver;
    struct Layout;
    std::unique_ptr<Layout> layout_;
    std::vector<std::unique_ptr<Plan>> plans_;
};

/// One recipe as checked.
struct Verdict {
    std::string recipe;
    std::string problem;  ///< why it could not be checked; empty when it was
    bool passes = false;
    std::optional<double> cost_per_kg;
    std::vector<std::string> short_of;  ///< ids of the limits it misses
    limits::Judgement judgement;
};

/// Checks one recipe by its number. Each thread makes its own.
using Checker = std::function<Verdict(std::size_t)>;

std::string verdict_header(Form form);

/// Checks the recipes that `lists` number; a line a recipe.
Summary check_all(Lists& lists, const std::function<Checker()>& make_checker, unsigned threads,
                  Form form, LineSink& sink, const Watch& watch = {});

}  // namespace feedwright::batch
