// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/what_if.hpp"

#include "job/edit.hpp"
#include "job/meant.hpp"
#include "limits/chance.hpp"
#include "search/cheapest.hpp"
#include "tasks/answering.hpp"

#include <algorithm>
#include <utility>

namespace feedwright::tasks {

namespace {

job::Job changed(const WhatIfRequest& request, catalog::Library& library) {
    JobSource source = request.mix.job;
    for (const std::string& text : request.changes.with)
        source.options.with.push_back(job::parse_extra(text));
    for (const std::string& text : request.changes.weaken)
        source.options.restated.push_back(job::parse_restated(text, library.dictionary()));
    job::Job job = read_job(source, library);
    for (const std::string& id : request.changes.without)
        job::remove(job, job::named_in(job, library, id));
    for (const std::string& text : request.changes.set)
        job::set(job, job::with_id(job, library, text));
    return job;
}

std::vector<std::string> in_words(const Changes& changes) {
    std::vector<std::string> list;
    const auto add = [&](const char* word, const std::vector<std::string>& texts) {
        for (const std::string& text : texts)
            list.push_back(word + text);
    };
    add("with ", changes.with);
    add("without ", changes.without);
    add("weaken ", changes.weaken);
    add("set ", changes.set);
    return list;
}

}  // namespace

WhatIf what_if(const WhatIfRequest& request, catalog::Library& library) {
    const lp::SolveOptions& options = request.mix.solve;
    const job::Job job = read_job(request.mix.job, library);
    job::Job after_job = changed(request, library);
    Solved before = solve(job, options);
    // Costs are compared per kg of feed of one moisture.
    if (before.job.moisture_assumed) {
        const bool known = std::all_of(
            after_job.ingredients.begin(), after_job.ingredients.end(),
            [](const job::Choice& c) { return c.composition.find("dry_matter") != nullptr; });
        if (known) {
            after_job.finished_moisture = before.job.finished_moisture;
            after_job.moisture_assumed = true;
        }
    }
    Solved after = solve(after_job, options);
    say_what_it_holds_over(before);
    say_what_it_holds_over(after);
    for (Solved* one : {&before, &after})
        limits::add_chance(one->job, one->mix.amounts, one->mix.assessment);
    say_why(after, options);
    return {in_words(request.changes), std::move(before.job), std::move(before.mix),
            std::move(after.job), std::move(after.mix)};
}

WorthOfEach worth_of_each(const WhatIfRequest& request, catalog::Library& library) {
    const lp::SolveOptions& options = request.mix.solve;
    Solved all = solve(changed(request, library), options);
    say_why(all, options);
    WorthOfEach result{in_words(request.changes), std::move(all.job), std::move(all.mix), {}};
    const search::Formulation& with_all = result.with_all;
    if (with_all.amounts.empty()) return result;
    for (std::size_t i = 0; i < result.job.ingredients.size(); ++i) {
        const job::Choice& choice = result.job.ingredients[i];
        Worth worth{choice.id, choice.name, 0, with_all.cost_per_kg};
        worth.percent = 100 * with_all.amounts[i] / with_all.weighed_in;
        if (with_all.amounts[i] > 0) {
            job::Job without = result.job;
            job::remove(without, choice.id);
            const search::Formulation mix =
                search::formulate(search::settle(std::move(without)), options);
            worth.cost_without.reset();
            if (!mix.amounts.empty()) worth.cost_without = mix.cost_per_kg;
        }
        result.worths.push_back(std::move(worth));
    }
    return result;
}

}  // namespace feedwright::tasks
