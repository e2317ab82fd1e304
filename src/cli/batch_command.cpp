// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "base/text.hpp"
#include "cli/commands.hpp"
#include "cli/interrupt.hpp"
#include "cli/options.hpp"
#include "cli/overwrite.hpp"
#include "cli/search_options.hpp"
#include "report/batch/batch_report.hpp"
#include "tasks/batch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <iostream>
#include <memory>
#include <optional>
#include <thread>
#include <unistd.h>

namespace feedwright::cli {

namespace {

namespace fs = std::filesystem;

using Endings = std::vector<std::string_view>;
const Endings jobs_end{".json"};
const Endings lists_end{".csv"};
const Endings recipes_end{".json", ".csv"};

struct Request {
    std::vector<std::string> files;
    std::vector<std::string> grid;
    std::string columns = "cost,mix";
    std::string form;
    std::string output;
    std::string summary;
    std::string threads;
    std::string shard;
    bool recipes = false;
    bool resume = false;
    bool force = false;
    JobOptions options;
};

bool is_folder(const std::string& path) {
    std::error_code error;
    return fs::is_directory(path, error);
}

// The files in a folder whose names end so, by name.
std::vector<std::string> files_in(const std::string& folder, const Endings& endings) {
    std::vector<std::string> files;
    for (const auto& item : fs::directory_iterator(folder)) {
        const std::string name = item.path().string();
        const auto fits = [&](std::string_view ending) { return name.ends_with(ending); };
        if (std::any_of(endings.begin(), endings.end(), fits)) files.push_back(name);
    }
    std::sort(files.begin(), files.end());
    return files;
}

// The folders that a batch reads all files of with these endings.
using Folders = std::vector<std::pair<std::string, Endings>>;

// The paths with every folder replaced by its files, and noted among `folders`.
std::vector<std::string> all_files(const std::vector<std::string>& paths, const Endings& endings,
                                   Folders& folders) {
    std::vector<std::string> files;
    for (const std::string& path : paths) {
        if (!is_folder(path)) {
            files.push_back(path);
            continue;
        }
        folders.emplace_back(path, endings);
        const auto inside = files_in(path, endings);
        files.insert(files.end(), inside.begin(), inside.end());
    }
    return files;
}

unsigned thread_count(const Request& request) {
    if (request.threads.empty()) return std::max(1U, std::thread::hardware_concurrency());
    constexpr int most = 1024;
    return static_cast<unsigned>(std::min(whole_number(request.threads, 1, "--threads"), most));
}

void read_part(const std::string& text, tasks::BatchRun& run) {
    if (text.empty()) return;
    const std::size_t slash = std::min(text.find('/'), text.size());
    const bool two = slash + 1 < text.size();
    const int part = two ? whole_number(text.substr(0, slash), 1, "--shard") : 1;
    const int parts = two ? whole_number(text.substr(slash + 1), 1, "--shard") : 0;
    if (part > parts) {
        throw UsageError("--shard", '"' + text + '"', "part/parts such as 2/8, counted from 1");
    }
    run.part = static_cast<std::size_t>(part);
    run.parts = static_cast<std::size_t>(parts);
}

batch::Columns read_columns(const std::string& text) {
    batch::Columns columns{false, false, false, false};
    const std::vector<std::string> names{"cost", "mix", "binding", "shadow"};
    const std::vector<bool*> flags{&columns.cost, &columns.mix, &columns.binding, &columns.shadow};
    for (const std::string& word : words_in(text, "--columns", names)) {
        const auto at = std::find(names.begin(), names.end(), word);
        *flags[static_cast<std::size_t>(at - names.begin())] = true;
    }
    return columns;
}

batch::Form read_form(const Request& request) {
    if (!request.form.empty()) {
        return request.form == "csv" ? batch::Form::csv : batch::Form::json;
    }
    return request.output.ends_with(".csv") ? batch::Form::csv : batch::Form::json;
}

// One line on a terminal, written over itself: how much is done, how fast, how long it will take.
class ProgressLine {
  public:
    void begin() { start_ = last_ = clock::now(); }

    void operator()(const batch::Progress& progress) {
        if (!shown_) return;
        const auto now = clock::now();
        constexpr std::chrono::milliseconds often{200};
        if (now - last_ < often) return;
        last_ = now;
        const double seconds = std::chrono::duration<double>(now - start_).count();
        std::string line = fmt::format("{} lines", progress.lines);
        if (progress.done) line += fmt::format(", {:.0f} %", 100 * *progress.done);
        line += fmt::format(", {:.0f} a second", static_cast<double>(progress.lines) / seconds);
        if (progress.done && *progress.done > 0) {
            line += fmt::format(", {:.0f} s left", seconds * (1 - *progress.done) / *progress.done);
        }
        std::cerr << '\r' << line << "\033[K" << std::flush;
        written_ = true;
    }

    void clear() const {
        if (written_) std::cerr << "\r\033[K" << std::flush;
    }

    double seconds() const { return std::chrono::duration<double>(clock::now() - start_).count(); }

  private:
    using clock = std::chrono::steady_clock;
    bool shown_ = ::isatty(STDERR_FILENO) == 1;
    bool written_ = false;
    clock::time_point start_;
    clock::time_point last_;
};

// A batch reads its lists while it writes, so it would read its own lines.
void refuse_to_write_over(const Request& request, std::vector<std::string> inputs, Folders folders,
                          Context& context) {
    if (const std::string data = context.library().files()->folder(); !data.empty()) {
        for (const char* folder : {"", "/ingredients", "/profiles"})
            folders.emplace_back(data + folder, Endings{".json"});
    }
    inputs.insert(inputs.end(), context.libraries.begin(), context.libraries.end());
    if (!request.options.prices.empty()) inputs.push_back(request.options.prices);
    const std::vector<std::pair<std::string, std::string>> written{{"-o", request.output},
                                                                   {"--summary", request.summary}};
    for (const auto& [option, file] : written) {
        if (file.empty()) continue;
        cli::refuse_to_write_over(option, file, inputs);
        for (const auto& [folder, endings] : folders)
            refuse_to_write_into(option, file, folder, endings);
    }
    if (request.output.empty()) {
        refuse_standard_output(inputs);
        return;
    }
    if (!request.resume && !request.force) refuse_to_replace("-o", request.output);
    const std::string unfinished = base::unfinished_name(request.output);
    if (!unfinished.empty()) {
        cli::refuse_to_write_over("-o " + request.output + ", written as", unfinished, inputs);
    }
    if (request.summary.empty()) return;
    if (same_file(request.summary, request.output) || same_file(request.summary, unfinished)) {
        throw UsageError("--summary " + request.summary, "the file of -o", "another one",
                         "Name a new file");
    }
}

// Where the lines go: progress is shown, and an unfinished file looked after if the run is stopped.
class Output {
  public:
    Output(const Request& request, Folders folders, Context& context)
        : request_(request), folders_(std::move(folders)), context_(context) {}

    tasks::BatchRun run() {
        if (request_.resume && request_.output.empty()) {
            throw UsageError("--resume", "no -o FILE", "the file to go on with");
        }
        tasks::BatchRun run;
        run.form = read_form(request_);
        read_part(request_.shard, run);
        run.threads = threads_ = thread_count(request_);
        run.open = [this](const auto& header, const auto& inputs) -> batch::LineSink& {
            return open(header, inputs);
        };
        run.watch = [this](const batch::Progress& done) {
            if (done.lines > 0) notice_->holds_results();
            progress_(done);
        };
        return run;
    }

    ExitStatus finish(const std::vector<batch::Summary>& summaries) {
        progress_.clear();
        notice_.reset();
        const std::string text = document::render_text(
            report::batch_document(summaries, {progress_.seconds(), threads_, sink_->kept()}));
        if (request_.summary.empty()) {
            std::cerr << text;
        } else {
            base::write_file(request_.summary, text);
        }
        bool falls_short = false;
        for (const batch::Summary& summary : summaries) {
            if (summary.unusable > 0 || (summary.unsolved > 0 && !summary.checked)) {
                return ExitStatus::some_failed;
            }
            falls_short = falls_short || summary.unsolved > 0;
        }
        return falls_short ? ExitStatus::short_of : ExitStatus::success;
    }

  private:
    batch::LineSink& open(const std::string& header, const std::vector<std::string>& inputs) {
        refuse_to_write_over(request_, inputs, folders_, context_);
        if (request_.output.empty()) {
            sink_.emplace(header);
        } else {
            sink_.emplace(request_.output, header, request_.resume);
        }
        notice_.emplace(sink_->unfinished(), sink_->kept() > 0);
        progress_.begin();
        return *sink_;
    }

    const Request& request_;
    Folders folders_;
    Context& context_;
    unsigned threads_ = 1;
    std::optional<batch::LineSink> sink_;
    std::optional<UnfinishedNotice> notice_;
    ProgressLine progress_;
};

ExitStatus check_recipes(const Request& request, Context& context) {
    Folders folders;
    tasks::CheckAllRequest asked;
    asked.files = all_files(request.files, recipes_end, folders);
    if (!request.grid.empty())
        throw UsageError("--grid", "it together with --recipes", "it with jobs only");
    asked.recipes = request.options.source("");
    const job::ReadOptions& options = asked.recipes.options;
    // A table can name no profile, nor a limit.
    const bool tables_only =
        std::all_of(asked.files.begin(), asked.files.end(),
                    [](const std::string& file) { return file.ends_with(".csv"); });
    if (!asked.files.empty() && tables_only && !options.profile && !options.prices) {
        throw UsageError("batch", "recipes without a profile and without limits",
                         "what they are to meet",
                         "Name a profile with --for, such as nile-tilapia/grow-out");
    }
    Output output(request, std::move(folders), context);
    asked.run = output.run();
    return output.finish({tasks::check_all(asked, context.library())});
}

std::vector<batch::GridAxis> read_grid(const std::vector<std::string>& texts) {
    std::vector<batch::GridAxis> axes;
    for (const std::string& text : texts) {
        const auto axis = batch::parse_grid(text);
        if (!axis) {
            throw UsageError("--grid", '"' + text + '"',
                             "lowest, highest and step such as soybean-meal-44.price=0.4:0.7:0.01");
        }
        axes.push_back(*axis);
    }
    return axes;
}

// The price lists that the last of the paths names, which is taken off, or the grid.
tasks::PriceLists take_lists(const Request& request, std::vector<std::string>& paths,
                             Folders& folders) {
    std::string prices;
    if (!paths.empty()) {
        const std::string& last = paths.back();
        const bool folder = is_folder(last) && files_in(last, jobs_end).empty();
        if (last == "-" || last.ends_with(".csv") || folder) {
            prices = last;
            paths.pop_back();
        }
    }
    if (!prices.empty() && !request.grid.empty()) {
        throw UsageError("--grid", "it together with a table of prices", "one of the two");
    }
    if (prices == "-" && !request.shard.empty()) {
        throw UsageError("--shard", "price lists from standard input", "a file",
                         "The lists are counted first");
    }
    if (!request.grid.empty()) return read_grid(request.grid);
    if (prices.empty()) return tasks::OwnPrices{};
    if (is_folder(prices)) return tasks::PriceFiles{all_files({prices}, lists_end, folders)};
    return tasks::PriceTable{prices};
}

ExitStatus run(const Request& request, Context& context) {
    // A pipe whose reader has gone is then an error like a full disk, told in words.
    std::signal(SIGPIPE, SIG_IGN);
    // A file that may grow no further, likewise.
    std::signal(SIGXFSZ, SIG_IGN);
    if (request.recipes) return check_recipes(request, context);
    Folders folders;
    tasks::BatchRequest asked;
    std::vector<std::string> paths = request.files;
    asked.lists = take_lists(request, paths, folders);
    asked.jobs = request.options.source("");
    asked.files = all_files(paths, jobs_end, folders);
    if (asked.files.empty() && !(asked.jobs.options.profile && asked.jobs.options.prices)) {
        throw UsageError("batch", "no job", "a job file, or both --for PROFILE and --prices FILE",
                         "For example: feedwright batch job.json prices.csv");
    }
    asked.columns = read_columns(request.columns);
    Output output(request, std::move(folders), context);
    asked.run = output.run();
    return output.finish(tasks::solve_lists(asked, context.library()));
}

}  // namespace

Command batch_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{
        "batch",
        "Solve jobs for many price lists, or check many recipes; one line of JSON or CSV per list"};
    command.add({
        {"files", &request->files, "FILES",
         "Job files, then the price lists: a CSV table (one row per list, or the columns list, "
         "ingredient, price), a folder of price lists, or - for standard input"},
        {"--grid", &request->grid, "RANGE",
         "Prices in place of a table: ID.price=LOWEST:HIGHEST:STEP; several ranges give all "
         "combinations"},
        {"--recipes", &request->recipes, "",
         "The files, or all files of a folder, are recipes to check"},
    });
    request->options.add_to(command);
    command.add({
        {"--columns", &request->columns, "LIST",
         "Columns of a line: some of cost,mix,binding,shadow (default: cost,mix)", "Result"},
        one_of(
            {"json", "csv"},
            {"--as", &request->form, "FORM",
             "Form of the lines: json or csv (default: csv for an output that ends in .csv, else "
             "json)",
             "Result"}),
        {"-o,--output", &request->output, "FILE", "Write the lines to FILE", "Result"},
        {"--force", &request->force, "", "Overwrite a file that exists", "Result"},
        {"--summary", &request->summary, "FILE",
         "Write the summary to FILE (default: to standard error)", "Result"},
        {"--threads", &request->threads, "N", "Number of threads (default: all processors)",
         "Running"},
        {"--resume", &request->resume, "",
         "Continue after the last whole line of an interrupted run", "Running"},
        {"--shard", &request->shard, "I/N",
         "Only part I of N; the outputs of all parts, joined, are the whole output", "Running"},
    });
    add_library_options(command, context);
    command.examples = {"feedwright batch job.json price-lists.csv -o results.jsonl",
                        "feedwright batch job.json --grid maize.price=0.2:0.4:0.01 -o results.csv",
                        "feedwright batch --recipes recipes --for nile-tilapia/grow-out"};
    command.exits = {{0, "every list was solved"},
                     {1, "bad data, or a file that cannot be read or written"},
                     {2, "wrong command line"},
                     {4, "recipes were checked and some fail"},
                     {5, "some lists were not solved, or some recipes could not be read"},
                     {130, "interrupted"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
