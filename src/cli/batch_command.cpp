// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "batch/batch.hpp"
#include "cli/commands.hpp"
#include "cli/interrupt.hpp"
#include "cli/options.hpp"
#include "cli/overwrite.hpp"
#include "cli/search_options.hpp"
#include "limits/check.hpp"
#include "report/batch/batch_report.hpp"
#include "search/cheapest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <iostream>
#include <memory>
#include <thread>
#include <unistd.h>

namespace feedwright::cli {

namespace {

namespace fs = std::filesystem;

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
    JobOptions options;
};

bool is_folder(const std::string& path) {
    std::error_code error;
    return fs::is_directory(path, error);
}

// The files in a folder whose names end so, by name.
std::vector<std::string> files_in(const std::string& folder,
                                  std::initializer_list<std::string_view> endings) {
    std::vector<std::string> files;
    for (const auto& item : fs::directory_iterator(folder)) {
        const std::string name = item.path().string();
        const auto fits = [&](std::string_view ending) { return name.ends_with(ending); };
        if (std::any_of(endings.begin(), endings.end(), fits)) files.push_back(name);
    }
    std::sort(files.begin(), files.end());
    return files;
}

unsigned thread_count(const Request& request) {
    if (request.threads.empty()) return std::max(1U, std::thread::hardware_concurrency());
    constexpr int most = 1024;
    return static_cast<unsigned>(std::min(whole_number(request.threads, 1, "--threads"), most));
}

struct Shard {
    std::size_t part = 1;
    std::size_t parts = 1;
};

Shard read_shard(const std::string& text) {
    if (text.empty()) return {};
    const std::size_t slash = std::min(text.find('/'), text.size());
    const bool two = slash + 1 < text.size();
    const int part = two ? whole_number(text.substr(0, slash), 1, "--shard") : 1;
    const int parts = two ? whole_number(text.substr(slash + 1), 1, "--shard") : 0;
    if (part > parts) {
        throw UsageError("--shard", '"' + text + '"', "part/parts such as 2/8, counted from 1");
    }
    return {static_cast<std::size_t>(part), static_cast<std::size_t>(parts)};
}

batch::Columns read_columns(const std::string& text) {
    batch::Columns columns{false, false, false, false};
    const std::vector<std::string> names{"cost", "mix", "binding", "shadow"};
    const std::vector<bool*> flags{&columns.cost, &columns.mix, &columns.binding, &columns.shadow};
    std::string_view rest = text;
    while (true) {
        const std::size_t comma = std::min(rest.find(','), rest.size());
        const std::string name(base::trim(rest.substr(0, comma)));
        const auto at = std::find(names.begin(), names.end(), name);
        if (at == names.end()) {
            throw UsageError("--columns", '"' + name + '"', "some of " + base::join_words(names),
                             base::did_you_mean(name, names));
        }
        *flags[static_cast<std::size_t>(at - names.begin())] = true;
        if (comma == rest.size()) return columns;
        rest.remove_prefix(comma + 1);
    }
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
    ProgressLine() : shown_(::isatty(STDERR_FILENO) == 1), start_(clock::now()), last_(start_) {}

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
    bool shown_;
    bool written_ = false;
    clock::time_point start_;
    clock::time_point last_;
};

// Where the lists come from, so that they can be gone over twice: to count them, and to solve them.
using OpenLists = std::function<std::unique_ptr<batch::Lists>(batch::ListRange)>;

struct Start {
    batch::LineSink sink;
    std::unique_ptr<batch::Lists> lists;
    std::size_t kept_lines = 0;
};

// All that a batch reads: files by name, "-" among them, and folders with the endings of what is
// read in them.
struct Inputs {
    std::vector<std::string> files;
    std::vector<std::pair<std::string, std::vector<std::string_view>>> folders;
};

// A batch reads its lists while it writes, so it would read its own lines.
void refuse_to_write_over(const Request& request, Inputs inputs, Context& context) {
    if (const std::string data = context.library().files()->folder(); !data.empty()) {
        for (const char* folder : {"", "/ingredients", "/profiles"})
            inputs.folders.emplace_back(data + folder, std::vector<std::string_view>{".json"});
    }
    inputs.files.insert(inputs.files.end(), context.libraries.begin(), context.libraries.end());
    if (!request.options.prices.empty()) inputs.files.push_back(request.options.prices);
    const std::vector<std::pair<std::string, std::string>> written{{"-o", request.output},
                                                                   {"--summary", request.summary}};
    for (const auto& [option, file] : written) {
        if (file.empty()) continue;
        cli::refuse_to_write_over(option, file, inputs.files);
        for (const auto& [folder, endings] : inputs.folders)
            refuse_to_write_into(option, file, folder, endings);
    }
    if (request.output.empty()) {
        refuse_standard_output(inputs.files);
        return;
    }
    const std::string unfinished = base::unfinished_name(request.output);
    if (!unfinished.empty()) {
        cli::refuse_to_write_over("-o " + request.output + ", written as", unfinished,
                                  inputs.files);
    }
    if (request.summary.empty()) return;
    if (same_file(request.summary, request.output) || same_file(request.summary, unfinished)) {
        throw UsageError("--summary " + request.summary, "the file of -o", "another one",
                         "Name a new file");
    }
}

// Finds the part of the lists that is asked for and not done yet.
Start begin(const Request& request, const OpenLists& open, const std::string& header,
            std::size_t lines_a_list) {
    const Shard shard = read_shard(request.shard);
    if (request.resume && request.output.empty()) {
        throw UsageError("--resume", "no -o FILE", "the file to go on with");
    }
    batch::ListRange range;
    if (shard.parts > 1) {
        range = batch::shard(batch::count_lists(*open({})), shard.part, shard.parts);
    }
    // Parts written one after another are one table: only the first has its header.
    const std::string top = shard.part == 1 ? header : "";
    // Wrong lists are to be found before the output is touched.
    auto lists = open(range);
    batch::LineSink sink = request.output.empty()
                               ? batch::LineSink(top)
                               : batch::LineSink(request.output, top, request.resume);
    const std::size_t kept = sink.kept();
    if (kept > 0) {
        // Once more the list of the last line, to see that it comes out the same.
        const std::size_t whole = (kept - 1) / lines_a_list;
        sink.expect_again(kept - whole * lines_a_list);
        range.begin += whole;
        lists = open(range);
    }
    return {std::move(sink), std::move(lists), kept};
}

// Runs `work`, with its progress shown and an unfinished file looked after if it is stopped.
template <class Work>
auto watched(const Start& start, ProgressLine& progress, const Work& work) {
    UnfinishedNotice notice(start.sink.unfinished(), start.kept_lines > 0);
    auto result = work([&](const batch::Progress& done) {
        if (done.lines > 0) notice.holds_results();
        progress(done);
    });
    progress.clear();
    return result;
}

ExitStatus finish(const Request& request, const std::vector<batch::Summary>& summaries,
                  const report::BatchRun& run) {
    const std::string text = document::render_text(report::batch_document(summaries, run));
    if (request.summary.empty()) {
        std::cerr << text;
    } else {
        base::write_file(request.summary, text);
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

ExitStatus check_recipes(const Request& request, Context& context) {
    std::vector<std::string> files;
    Inputs inputs;
    for (const std::string& path : request.files) {
        if (!is_folder(path)) {
            files.push_back(path);
            continue;
        }
        inputs.folders.emplace_back(path, std::vector<std::string_view>{".json", ".csv"});
        const auto inside = files_in(path, {".json", ".csv"});
        files.insert(files.end(), inside.begin(), inside.end());
    }
    if (!request.grid.empty())
        throw UsageError("--grid", "it beside --recipes", "it with jobs only");
    const job::ReadOptions options = request.options.read();
    const std::string ask = "Name a profile with --for, such as nile-tilapia/grow-out";
    // A table can name no profile, nor a limit.
    const bool tables_only = std::all_of(
        files.begin(), files.end(), [](const std::string& file) { return file.ends_with(".csv"); });
    if (!files.empty() && tables_only && !options.profile && !options.prices) {
        throw UsageError("batch", "recipes without a profile and without limits",
                         "what they are to meet", ask);
    }
    const catalog::Library& shown = context.library();
    inputs.files = files;
    refuse_to_write_over(request, std::move(inputs), context);
    const auto make_checker = [&]() -> batch::Checker {
        // The library reads its files when they are asked for, so each thread has its own.
        auto library = std::make_shared<catalog::Library>(shown.files(), shown.own_files());
        return [&, library](std::size_t number) {
            batch::Verdict verdict;
            verdict.recipe = files[number];
            try {
                job::Job recipe = job::read_recipe(files[number], *library, options);
                if (request.options.strict) require_known(recipe, *library);
                limits::Check check = limits::check(recipe);
                if (auto dried = search::at_common_moisture(recipe, check.assessment)) {
                    recipe = std::move(*dried);
                    check = limits::check(recipe);
                }
                if (check.asked == 0) {
                    verdict.problem = "neither a profile nor a limit to hold it against. " + ask;
                    return verdict;
                }
                verdict.passes = check.passes;
                verdict.judgement = check.judgement;
                verdict.cost_per_kg = check.known_cost_per_kg();
                for (const limits::LimitResult& limit : check.assessment.limits) {
                    const bool asked = !limit.limit.advisory && !limit.limit.weak;
                    if (!asked || limit.met || limit.within_tolerance) continue;
                    verdict.short_of.push_back(limit.limit.id);
                }
            } catch (const Error& error) {
                verdict.problem = error.what();
                std::replace(verdict.problem.begin(), verdict.problem.end(), '\n', ' ');
            }
            return verdict;
        };
    };
    const auto open = [&](batch::ListRange range) { return batch::numbered(files.size(), range); };
    const batch::Form form = read_form(request);
    const unsigned threads = thread_count(request);
    Start start = begin(request, open, batch::verdict_header(form), 1);
    ProgressLine progress;
    const batch::Summary summary = watched(start, progress, [&](const batch::Watch& watch) {
        return batch::check_all(*start.lists, make_checker, threads, form, start.sink, watch);
    });
    return finish(request, {summary}, {progress.seconds(), threads, start.kept_lines});
}

std::vector<job::Job> read_jobs(const Request& request, const std::vector<std::string>& paths,
                                Context& context) {
    const job::ReadOptions options = request.options.read();
    std::vector<job::Job> jobs;
    for (const std::string& path : paths) {
        for (const std::string& file :
             is_folder(path) ? files_in(path, {".json"}) : std::vector<std::string>{path}) {
            jobs.push_back(job::read_job(file, context.library(), options));
        }
    }
    if (jobs.empty() && options.profile && options.prices) {
        jobs.push_back(job::job_from_prices(context.library(), options));
    }
    if (jobs.empty()) {
        throw UsageError("batch", "no job", "a job file, or both --for PROFILE and --prices FILE",
                         "For example: feedwright batch job.json prices.csv");
    }
    if (request.options.strict) {
        for (const job::Job& job : jobs)
            require_known(job, context.library());
    }
    for (job::Job& job : jobs)
        job = search::settle(std::move(job));
    return jobs;
}

ExitStatus run(const Request& request, Context& context) {
    // A pipe whose reader has gone is then an error like a full disk, told in words.
    std::signal(SIGPIPE, SIG_IGN);
    // A file that may grow no further, likewise.
    std::signal(SIGXFSZ, SIG_IGN);
    if (request.recipes) return check_recipes(request, context);
    std::vector<std::string> job_paths = request.files;
    std::optional<std::string> prices;
    if (!job_paths.empty()) {
        const std::string& last = job_paths.back();
        const bool folder = is_folder(last) && files_in(last, {".json"}).empty();
        if (last == "-" || last.ends_with(".csv") || folder) {
            prices = last;
            job_paths.pop_back();
        }
    }
    if (prices && !request.grid.empty()) {
        throw UsageError("--grid", "it beside a table of prices", "one of the two");
    }
    if (prices == "-" && !request.shard.empty()) {
        throw UsageError("--shard", "price lists from standard input", "a file",
                         "The lists are counted first");
    }
    const std::vector<job::Job> jobs = read_jobs(request, job_paths, context);
    Inputs inputs;
    for (const job::Job& job : jobs)
        inputs.files.insert(inputs.files.end(), job.inputs.begin(), job.inputs.end());
    for (const std::string& path : job_paths) {
        if (is_folder(path))
            inputs.folders.emplace_back(path, std::vector<std::string_view>{".json"});
    }
    if (prices && is_folder(*prices)) {
        const auto lists = files_in(*prices, {".csv"});
        inputs.files.insert(inputs.files.end(), lists.begin(), lists.end());
        inputs.folders.emplace_back(*prices, std::vector<std::string_view>{".csv"});
    } else if (prices) {
        inputs.files.push_back(*prices);
    }
    refuse_to_write_over(request, std::move(inputs), context);

    std::vector<std::string> used;
    for (const job::Job& job : jobs) {
        for (const job::Choice& choice : job.ingredients)
            used.push_back(choice.id);
    }
    const auto ingredients = std::make_shared<const batch::IngredientSet>(
        std::move(used), context.library().ingredient_ids());
    std::vector<batch::GridAxis> axes;
    for (const std::string& text : request.grid) {
        const auto axis = batch::parse_grid(text);
        if (!axis) {
            throw UsageError("--grid", '"' + text + '"',
                             "lowest, highest and step such as soybean-meal-44.price=0.4:0.7:0.01");
        }
        axes.push_back(*axis);
    }
    const auto open = [&](batch::ListRange range) {
        if (!axes.empty()) return batch::grid_lists(axes, ingredients, range);
        if (!prices) return batch::own_prices(*ingredients);
        if (is_folder(*prices)) {
            return batch::price_files(files_in(*prices, {".csv"}), ingredients, range);
        }
        return batch::open_table(*prices, ingredients, range);
    };
    const unsigned threads = thread_count(request);
    const batch::Batch batch(jobs, read_form(request), read_columns(request.columns));
    Start start = begin(request, open, batch.header(), batch.jobs());
    ProgressLine progress;
    const auto summaries = watched(start, progress, [&](const batch::Watch& watch) {
        return batch.run(*start.lists, *ingredients, threads, start.sink, watch);
    });
    return finish(request, summaries, {progress.seconds(), threads, start.kept_lines});
}

}  // namespace

Command batch_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"batch",
                    "Solve jobs for many price lists, or check many recipes: a line of JSON each"};
    command.add({
        {"files", &request->files, "FILES",
         "Job files, then the price lists: a CSV table (a row a list; or list, ingredient, price), "
         "a folder of price lists, or - for standard input"},
        {"--grid", &request->grid, "RANGE",
         "Instead of a table: ID.price=LOWEST:HIGHEST:STEP; several make all combinations"},
        {"--recipes", &request->recipes, "", "The files, or all in a folder, are recipes to check"},
    });
    request->options.add_to(command);
    command.add({
        {"--columns", &request->columns, "LIST",
         "What a line says: some of cost,mix,binding,shadow", "Result"},
        one_of(
            {"json", "csv"},
            {"--as", &request->form, "FORM",
             "Form of the lines: json, or csv (usual for an output that ends in .csv)", "Result"}),
        {"-o,--output", &request->output, "FILE", "Write the lines to FILE", "Result"},
        {"--summary", &request->summary, "FILE", "Write the summary to FILE, not to standard error",
         "Result"},
        {"--threads", &request->threads, "N", "Number of threads (all processors)", "Running"},
        {"--resume", &request->resume, "",
         "Go on after the last whole line that an interrupted run has left", "Running"},
        {"--shard", &request->shard, "I/N",
         "Only part I of N; the outputs of all parts, joined, are the whole output", "Running"},
    });
    add_library_options(command, context);
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
