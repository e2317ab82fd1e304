// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/reading.hpp"

#include "base/diagnostics.hpp"
#include "base/text.hpp"
#include "catalog/ingredient.hpp"
#include "job/save.hpp"
#include "limits/limit.hpp"
#include "search/sureness.hpp"

#include <algorithm>
#include <optional>
#include <set>

namespace feedwright::tasks {

namespace {

// Ids of the nutrients that some premix of the library has a value for.
std::set<std::string> stated_by_premixes(const job::Job& job, catalog::Library& library) {
    std::set<std::string> stated;
    for (const std::string& id : library.ingredient_ids()) {
        const catalog::Ingredient& ingredient = *library.ingredient(id);
        if (ingredient.role != "premix") continue;
        const auto composition = catalog::compose(ingredient, job.dictionary, job.animal);
        for (const std::string& nutrient : job.dictionary.ids()) {
            if (composition.find(nutrient) != nullptr) stated.insert(nutrient);
        }
    }
    return stated;
}

// The nutrients that a limit is worked out from.
std::vector<std::string> nutrients_of(const limits::Limit& limit) {
    if (limit.kind == limits::LimitKind::replacement) return {"crude_protein"};
    std::vector<std::string> nutrients{limit.nutrient};
    if (!limit.nutrient_below.empty()) nutrients.push_back(limit.nutrient_below);
    return nutrients;
}

job::Job held_to(const JobSource& source, job::Job job, catalog::Library& library) {
    if (!source.strict) return job;
    base::Diagnostics diagnostics;
    for (const auto& [i, names] : unknown_contents(job, library)) {
        diagnostics.add({job.file, "ingredient " + job.ingredients[i].id,
                         "no value for " + base::join_words(names),
                         "one, because --strict is given",
                         "Give the ingredient a value of your own, or leave out --strict"});
    }
    diagnostics.throw_if_any();
    return job;
}

}  // namespace

job::Job read_job(const JobSource& source, catalog::Library& library) {
    if (source.document)
        return held_to(source, job::read_job(source.document, library, source.options), library);
    job::Job job = source.file.empty() ? job::job_from_prices(library, source.options)
                                       : job::read_job(source.file, library, source.options);
    return held_to(source, std::move(job), library);
}

job::Job read_recipe(const JobSource& source, catalog::Library& library) {
    return held_to(source, job::read_recipe(source.file, library, source.options), library);
}

std::string job_file_of(const JobSource& source, catalog::Library& library) {
    return job::as_file(read_job(source, library), source.options, library);
}

void refuse_sureness(const job::Job& job, const std::string& what) {
    if (!search::asks_sureness(job)) return;
    throw base::DataError(base::Diagnostic{job.file, "sure_percent", "limits that must hold surely",
                                           "limits that hold on average, for " + what,
                                           "formulate, weighing, batch and what-if hold limits "
                                           "surely; leave out --sure and \"sure_percent\" here"});
}

std::map<std::size_t, std::vector<std::string>> unknown_contents(const job::Job& job,
                                                                 catalog::Library& library) {
    std::map<std::size_t, std::vector<std::string>> lacking;
    std::optional<std::set<std::string>> stated;
    for (const limits::Limit& limit : limits::limits_of(job)) {
        if (limit.advisory) continue;
        for (const std::size_t i : limit.unknown) {
            if (job.ingredients[i].role == "premix") {
                if (!stated) stated = stated_by_premixes(job, library);
                const auto nutrients = nutrients_of(limit);
                if (std::none_of(nutrients.begin(), nutrients.end(),
                                 [&](const auto& id) { return stated->contains(id); })) {
                    continue;
                }
            }
            auto& names = lacking[i];
            if (std::find(names.begin(), names.end(), limit.name) == names.end()) {
                names.push_back(limit.name);
            }
        }
    }
    return lacking;
}

}  // namespace feedwright::tasks
