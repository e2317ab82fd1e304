// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/batch.hpp"

#include "base/currency.hpp"
#include "base/diagnostics.hpp"
#include "search/cheapest.hpp"
#include "tasks/answering.hpp"
#include "tasks/recipe.hpp"

#include <algorithm>
#include <memory>
#include <utility>

namespace feedwright::tasks {

namespace {

// Where lists come from, so that they can be gone over twice: to count them, and to solve them.
using OpenLists = std::function<std::unique_ptr<batch::Lists>(batch::ListRange)>;

struct Start {
    batch::LineSink& sink;
    std::unique_ptr<batch::Lists> lists;
};

// Finds the part of the lists that is asked for and not done yet.
Start begin(const BatchRun& run, const OpenLists& open, const std::string& header,
            const std::vector<std::string>& inputs, std::size_t lines_a_list) {
    batch::ListRange range;
    if (run.parts > 1) range = batch::shard(batch::count_lists(*open({})), run.part, run.parts);
    // Wrong lists are to be found before the output is touched.
    auto lists = open(range);
    batch::LineSink& sink = run.open(run.part == 1 ? header : "", inputs);
    const std::size_t kept = sink.kept();
    if (kept > 0) {
        // Once more the list of the last line, to see that it comes out the same.
        const std::size_t whole = (kept - 1) / lines_a_list;
        sink.expect_again(kept - whole * lines_a_list);
        range.begin += whole;
        lists = open(range);
    }
    return {sink, std::move(lists)};
}

std::vector<job::Job> read_jobs(const BatchRequest& request, catalog::Library& library) {
    std::vector<job::Job> jobs;
    JobSource source = request.jobs;
    const auto read = [&] {
        job::Job job = read_job(source, library);
        const bool priced =
            std::all_of(job.ingredients.begin(), job.ingredients.end(),
                        [](const job::Choice& choice) { return choice.price.has_value(); });
        jobs.push_back(priced ? solve(job, {}).job : search::settle(std::move(job)));
    };
    if (request.files.empty()) read();
    for (const std::string& file : request.files) {
        source.file = file;
        read();
    }
    return jobs;
}

std::vector<std::string> ingredients_of(const std::vector<job::Job>& jobs) {
    std::vector<std::string> used;
    for (const job::Job& job : jobs) {
        for (const job::Choice& choice : job.ingredients)
            used.push_back(choice.id);
    }
    return used;
}

std::vector<std::string> inputs_of(const std::vector<job::Job>& jobs, const PriceLists& lists) {
    std::vector<std::string> inputs;
    for (const job::Job& job : jobs)
        inputs.insert(inputs.end(), job.inputs.begin(), job.inputs.end());
    if (const auto* table = std::get_if<PriceTable>(&lists)) inputs.push_back(table->file);
    if (const auto* prices = std::get_if<PriceFiles>(&lists))
        inputs.insert(inputs.end(), prices->files.begin(), prices->files.end());
    return inputs;
}

batch::Verdict verdict_on(const JobSource& recipe, catalog::Library& library) {
    batch::Verdict verdict;
    verdict.recipe = recipe.file;
    try {
        const limits::Check check = tasks::check(recipe, library).check;
        if (check.asked == 0) {
            verdict.problem =
                "neither a profile nor a limit to hold it against. Name a profile with --for, such "
                "as nile-tilapia/grow-out";
            return verdict;
        }
        verdict.passes = check.passes;
        verdict.judgement = check.judgement;
        verdict.cost_per_kg = check.known_cost_per_kg();
        for (const limits::LimitResult& limit : check.assessment.limits) {
            const bool asked = !limit.limit.advisory && !limit.limit.weak;
            if (asked && !limit.met && !limit.within_tolerance)
                verdict.short_of.push_back(limit.limit.id);
        }
    } catch (const Error& error) {
        verdict.problem = error.what();
        std::replace(verdict.problem.begin(), verdict.problem.end(), '\n', ' ');
    }
    return verdict;
}

void require_currency(const std::vector<job::Job>& jobs, const base::TableReading& table) {
    for (const job::Job& job : jobs) {
        if (base::same_currency(job.currency, table.currency)) continue;
        throw base::DataError(base::Diagnostic{table.file, "", "prices in " + table.currency,
                                               "prices in " + job.currency + ", as in " + job.file,
                                               "Convert them to one currency"});
    }
}

}  // namespace

std::vector<batch::Summary> solve_lists(const BatchRequest& request, catalog::Library& library) {
    const std::vector<job::Job> jobs = read_jobs(request, library);
    const auto ingredients = std::make_shared<const batch::IngredientSet>(
        ingredients_of(jobs), library.ingredient_ids(), &library);
    const PriceLists& prices = request.lists;
    const auto open = [&](batch::ListRange range) -> std::unique_ptr<batch::Lists> {
        if (const auto* axes = std::get_if<std::vector<batch::GridAxis>>(&prices))
            return batch::grid_lists(*axes, ingredients, range);
        if (const auto* table = std::get_if<PriceTable>(&prices)) {
            auto lists = batch::open_table(table->file, ingredients, range);
            require_currency(jobs, lists->reading());
            return lists;
        }
        if (const auto* each = std::get_if<PriceFiles>(&prices))
            return batch::price_files(each->files, ingredients, range);
        return batch::own_prices(*ingredients);
    };
    const BatchRun& run = request.run;
    const batch::Batch batch(jobs, run.form, request.columns);
    const Start start = begin(run, open, batch.header(), inputs_of(jobs, prices), batch.jobs());
    auto summaries = batch.run(*start.lists, *ingredients, run.threads, start.sink, run.watch);
    for (std::size_t j = 0; j < jobs.size(); ++j) {
        if (jobs[j].moisture_assumed) summaries[j].dried_to_percent = jobs[j].finished_moisture;
        summaries[j].read_as = ingredients->read_as();
        summaries[j].reading = start.lists->reading();
    }
    return summaries;
}

batch::Summary check_all(const CheckAllRequest& request, const catalog::Library& library) {
    const auto make_checker = [&]() -> batch::Checker {
        // The library reads its files when they are asked for, so each thread has its own.
        return [&, own = std::make_shared<catalog::Library>(library.files(), library.own_files())](
                   std::size_t number) {
            JobSource recipe = request.recipes;
            recipe.file = request.files[number];
            return verdict_on(recipe, *own);
        };
    };
    const auto open = [&](batch::ListRange range) {
        return batch::numbered(request.files.size(), range);
    };
    const BatchRun& run = request.run;
    const Start start = begin(run, open, batch::verdict_header(run.form), request.files, 1);
    return batch::check_all(*start.lists, make_checker, run.threads, run.form, start.sink,
                            run.watch);
}

}  // namespace feedwright::tasks
