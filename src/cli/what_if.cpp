// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/what_if.hpp"

#include "base/diagnostics.hpp"
#include "cli/options.hpp"
#include "cli/purchasable.hpp"
#include "cli/search_options.hpp"
#include "job/edit.hpp"
#include "job/portion.hpp"
#include "report/mix/what_if.hpp"
#include "search/cheapest.hpp"
#include "search/explain.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::cli {

namespace {

constexpr const char* each = "each";

bool is_each(const std::string& word) {
    return word == each;
}

// The job with every change made but "each".
job::Job changed(const WhatIfOptions& options, const ReadJob& read, Context& context) {
    std::vector<job::Extra> with;
    for (const std::string& text : options.with)
        with.push_back(job::parse_extra(text));
    std::vector<job::Restated> restated;
    for (const std::string& text : options.weaken) {
        restated.push_back(job::parse_restated(text, context.library().dictionary()));
    }
    job::Job job = read(std::move(with), std::move(restated));
    for (const std::string& id : options.without) {
        if (!is_each(id)) job::remove(job, id);
    }
    for (const std::string& text : options.set)
        job::set(job, text);
    return search::settle(std::move(job));
}

ExitStatus show_worth(const WhatIfOptions& options, const job::Job& job,
                      const lp::SolveOptions& solve,
                      std::vector<std::pair<std::string, std::string>> settings, Context& context) {
    search::Formulation with_all = search::formulate(job, solve);
    const report::Run about = context.run(job.inputs, std::move(settings));
    if (with_all.amounts.empty()) {
        // There is nothing to compare with: the answer is why.
        if (with_all.status == lp::Status::infeasible) {
            with_all.conflict = search::explain_conflict(job, solve);
        }
        context.show(report::mix_document(job, with_all, {}, about),
                     [&] { return report::mix_json(job, with_all, {}, about); });
        return exit_status_of(with_all.status, false);
    }
    std::vector<report::Worth> worths;
    for (std::size_t i = 0; i < job.ingredients.size(); ++i) {
        const job::Choice& choice = job.ingredients[i];
        report::Worth worth{choice.id, choice.name, 0, with_all.cost_per_kg};
        worth.percent = 100 * with_all.amounts[i] / with_all.weighed_in;
        if (with_all.amounts[i] > 0) {
            job::Job without = job;
            job::remove(without, choice.id);
            const search::Formulation result =
                search::formulate(search::settle(std::move(without)), solve);
            worth.cost_without.reset();
            if (!result.amounts.empty()) worth.cost_without = result.cost_per_kg;
        }
        worths.push_back(std::move(worth));
    }
    const auto changes = options.changes();
    context.show(report::worth_document(job, with_all, worths, changes),
                 [&] { return report::worth_json(job, with_all, worths, changes, about); });
    return ExitStatus::success;
}

}  // namespace

void WhatIfOptions::add_to(Command& command) {
    const char* group = "What if";
    command.add({
        repeated({"--set", &set, "WHAT=NUMBER",
                  "Try another number: maize.price=0.30, maize.max=20, lysine.min=1.5; may be "
                  "repeated",
                  group}),
        repeated({"--without", &without, "INGREDIENT",
                  "Try without an ingredient, or without each in turn (each)", group}),
        repeated({"--with", &with, "INGREDIENT@PRICE", "Try with another ingredient of the library",
                  group}),
        repeated({"--weaken", &weaken, "WHAT=AMOUNT",
                  "Try another content: fish-meal-65.crude_protein=58; amino acids follow the "
                  "protein",
                  group}),
    });
}

bool WhatIfOptions::asked() const {
    return !set.empty() || !without.empty() || !with.empty() || !weaken.empty();
}

std::vector<std::string> WhatIfOptions::changes() const {
    std::vector<std::string> list;
    for (const std::string& text : with)
        list.push_back("with " + text);
    for (const std::string& text : without) {
        if (!is_each(text)) list.push_back("without " + text);
    }
    for (const std::string& text : weaken)
        list.push_back("weaken " + text);
    for (const std::string& text : set)
        list.push_back("set " + text);
    return list;
}

std::vector<std::pair<std::string, std::string>> WhatIfOptions::settings() const {
    std::vector<std::pair<std::string, std::string>> list;
    if (std::any_of(without.begin(), without.end(), is_each)) list.emplace_back("without", each);
    return list;
}

namespace {

std::optional<job::Job> try_read(const ReadJob& read, std::vector<job::Extra> with) {
    try {
        return read(std::move(with), {});
    } catch (const base::DataError&) {
        return std::nullopt;
    }
}

// The job with every ingredient that may be proposed and can be read into it; nullopt where even
// those that can be, each alone, cannot be together.
std::optional<job::Job> with_others(const ReadJob& read, const std::vector<std::string>& ids) {
    std::vector<job::Extra> others;
    for (const std::string& id : ids)
        others.push_back({id, 0});
    if (auto wide = try_read(read, others)) return wide;
    std::erase_if(others, [&](const job::Extra& one) { return !try_read(read, {one}); });
    return try_read(read, std::move(others));
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

}  // namespace

void explain(const job::Job& job, const search::FeedProgram& model, const ReadJob& read,
             bool strict, const lp::SolveOptions& solve, Context& context,
             search::Formulation& result) {
    search::explain_optimum(job, model, result);
    if (result.status != lp::Status::infeasible) return;
    result.conflict = search::explain_conflict(job, solve);
    const std::vector<std::string> ids = purchasable(job, context.library());
    std::optional<job::Job> wide = with_others(read, ids);
    if (!wide) return;
    wide = asking_as(job, std::move(*wide));
    drop_unusable(job, *wide, strict, context.library());
    search::find_ingredients(
        job, *wide,
        [&](const std::vector<std::string>& added) {
            std::vector<job::Extra> extras;
            for (const std::string& id : added)
                extras.push_back({id, 0});
            return asking_as(job, read(std::move(extras), {}));
        },
        *result.conflict, {}, ids);
}

ExitStatus show_what_if(const WhatIfOptions& options, const ReadJob& read,
                        const lp::SolveOptions& solve,
                        std::vector<std::pair<std::string, std::string>> settings,
                        Context& context) {
    const job::Job job = read({}, {});
    const job::Job after_job = changed(options, read, context);
    if (std::any_of(options.without.begin(), options.without.end(), is_each)) {
        return show_worth(options, after_job, solve, std::move(settings), context);
    }
    search::Formulation before = search::formulate(job, solve);
    search::Formulation after = search::formulate(after_job, solve);
    search::explain_optimum(job, search::cheapest_program(job), before);
    search::explain_optimum(after_job, search::cheapest_program(after_job), after);
    if (after.status == lp::Status::infeasible) {
        after.conflict = search::explain_conflict(after_job, solve);
    }
    const report::Run about = context.run(job.inputs, std::move(settings));
    const report::WhatIf what_if{options.changes(), job, before, after_job, after};
    context.show(report::what_if_document(what_if, about),
                 [&] { return report::what_if_json(what_if, about); });
    return exit_status_of(after.status, !after.amounts.empty());
}

}  // namespace feedwright::cli
