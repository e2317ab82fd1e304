// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/answering.hpp"

#include "base/diagnostics.hpp"
#include "job/edit.hpp"
#include "job/portion.hpp"
#include "limits/chance.hpp"
#include "search/cheapest.hpp"
#include "search/conflict.hpp"
#include "search/explain.hpp"
#include "search/program.hpp"
#include "search/sureness.hpp"
#include "tasks/purchasable.hpp"

#include <algorithm>
#include <numeric>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::tasks {

namespace {

Solved settle_and_solve(job::Job job, const lp::SolveOptions& options) {
    Solved result{search::settle(std::move(job)), {}};
    result.mix = search::formulate(result.job, options);
    return result;
}

// The job at the common moisture, if a mix for it that holds `dry_matter` percent is too wet.
std::optional<job::Job> dried(const job::Job& job, double dry_matter) {
    limits::Assessment as_weighed_in;
    as_weighed_in.dry_matter = dry_matter;
    return search::at_common_moisture(job, as_weighed_in);
}

// A job without a mix as weighed in, if only wet mixes meet its limits, or come nearest to them,
// once they are dried.
std::optional<Solved> solve_dried(const job::Job& job, const lp::SolveOptions& options) {
    const bool any_wet =
        std::any_of(job.ingredients.begin(), job.ingredients.end(), [&](const job::Choice& choice) {
            const catalog::Amount* dry_matter = choice.composition.find("dry_matter");
            return dry_matter != nullptr && dried(job, dry_matter->value);
        });
    if (!any_wet) return std::nullopt;
    Solved result = settle_and_solve(*dried(job, 0), options);
    std::vector<double> amounts = result.mix.amounts;
    if (!result.has_mix()) {
        say_why(result, options);
        if (result.mix.conflict && result.mix.conflict->nearest)
            amounts = result.mix.conflict->nearest->amounts;
    }
    const double weighed_in = std::accumulate(amounts.begin(), amounts.end(), 0.0);
    if (!(weighed_in > 0)) return std::nullopt;
    const auto wet = dried(job, (100 - *result.job.finished_moisture) / weighed_in);
    if (!wet) return std::nullopt;
    result.job.notes = wet->notes;
    return result;
}

// Reads the job of `source` with these ingredients of the library; nobody named them, so no price
// is known of them and nothing is asked of what the library knows of them.
job::Job read_with(const JobSource& source, const std::vector<std::string>& ids,
                   catalog::Library& library) {
    JobSource wider = source;
    wider.strict = false;
    for (const std::string& id : ids)
        wider.options.with.push_back({id, 0});
    return read_job(wider, library);
}

std::optional<job::Job> try_read(const JobSource& source, const std::vector<std::string>& ids,
                                 catalog::Library& library) {
    try {
        return read_with(source, ids, library);
    } catch (const base::DataError&) {
        return std::nullopt;
    }
}

// The job with every ingredient that may be proposed and can be read into it; nullopt where even
// those that can be, each alone, cannot be together.
std::optional<job::Job> with_others(const JobSource& source, std::vector<std::string> ids,
                                    catalog::Library& library) {
    if (auto wide = try_read(source, ids, library)) return wide;
    std::erase_if(ids, [&](const std::string& id) { return !try_read(source, {id}, library); });
    return try_read(source, ids, library);
}

// A job read anew asks for what `job` asks for: what had to yield in it does so here, but no
// maximum for what harms; and it has the same finished moisture.
job::Job asking_as(const job::Job& job, job::Job read) {
    for (job::NutrientLimit& limit : read.limits) {
        if (limit.yields && limit.harms.empty()) limit.advisory = true;
    }
    for (job::RatioLimit& ratio : read.ratios)
        ratio.advisory = ratio.advisory || ratio.yields;
    read.finished_moisture = job.finished_moisture;
    read.moisture_assumed = job.moisture_assumed;
    return read;
}

// Takes out of `wide` what is no candidate: what has no dry matter where the feed's is asked, and
// with `strict` what has an unknown content.
void drop_unusable(const job::Job& job, job::Job& wide, bool strict, catalog::Library& library) {
    std::vector<std::string> unusable;
    const auto drop = [&] {
        for (const std::string& id : unusable)
            job::remove(wide, id);
        unusable.clear();
    };
    for (const job::Choice& choice : wide.ingredients) {
        const bool is_dry = choice.composition.find("dry_matter") != nullptr;
        if (job::Portion(wide).is_finished() && !is_dry && job.find(choice.id) == nullptr)
            unusable.push_back(choice.id);
    }
    drop();
    if (!strict) return;
    for (const auto& [i, names] : unknown_contents(wide, library)) {
        const std::string& id = wide.ingredients[i].id;
        if (job.find(id) == nullptr) unusable.push_back(id);
    }
    drop();
}

// Adds to a conflict which ingredients of the library would help. Those that cannot be read into
// the job are left aside: nobody named them, so none of them is an error.
void find_ingredients(const JobSource& source, const job::Job& job, catalog::Library& library,
                      search::Conflict& conflict) {
    const std::vector<std::string> ids = purchasable(job, library);
    std::optional<job::Job> wide = with_others(source, ids, library);
    if (!wide) return;
    wide = asking_as(job, std::move(*wide));
    drop_unusable(job, *wide, source.strict, library);
    search::find_ingredients(
        job, *wide,
        [&](const std::vector<std::string>& added) {
            return asking_as(job, read_with(source, added, library));
        },
        conflict, {}, ids);
}

}  // namespace

Solved solve(const job::Job& job, const lp::SolveOptions& options) {
    Solved result = settle_and_solve(job, options);
    if (auto drier = search::at_common_moisture(result.job, result.mix.assessment))
        return settle_and_solve(std::move(*drier), options);
    if (result.mix.status == lp::Status::infeasible) {
        if (auto of_dried = solve_dried(job, options)) return std::move(*of_dried);
    }
    return result;
}

void say_what_it_holds_over(Solved& solved) {
    if (!solved.has_mix()) return;
    search::explain_optimum(solved.job, search::cheapest_program(solved.job), solved.mix);
}

void say_why(Solved& solved, const lp::SolveOptions& options) {
    if (solved.mix.status != lp::Status::infeasible || solved.mix.conflict) return;
    solved.mix.sure_conflict = search::explain_sure_conflict(solved.job);
    if (solved.mix.sure_conflict) return;
    solved.mix.conflict = search::explain_conflict(search::on_average(solved.job), options);
}

Answer answer(const JobSource& source, const lp::SolveOptions& options, catalog::Library& library) {
    Solved solved = solve(read_job(source, library), options);
    say_what_it_holds_over(solved);
    say_why(solved, options);
    if (solved.mix.conflict) find_ingredients(source, solved.job, library, *solved.mix.conflict);
    Answer result{std::move(solved.job), std::move(solved.mix), {}};
    if (result.has_mix()) {
        limits::add_chance(result.job, result.mix.amounts, result.mix.assessment);
        result.cautions = limits::cautions_for(result.job, result.mix.amounts, library.cautions());
    }
    return result;
}

}  // namespace feedwright::tasks
