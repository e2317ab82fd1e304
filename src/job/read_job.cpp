// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/encoding.hpp"
#include "base/file.hpp"
#include "base/json.hpp"
#include "base/text.hpp"
#include "job/label.hpp"
#include "job/price_sense.hpp"
#include "job/profile_limits.hpp"
#include "job/reading.hpp"
#include "job/result_as_recipe.hpp"

#include <algorithm>
#include <memory>
#include <tuple>
#include <utility>

namespace feedwright::job {

namespace {

Job finish(Reading& reading) {
    reading.diagnostics.throw_if_any();
    // The order of a file means nothing: of two limits on a nutrient the one as fed comes
    // first.
    std::sort(reading.job.limits.begin(), reading.job.limits.end(),
              [](const auto& one, const auto& other) {
                  return std::tie(one.nutrient, one.basis) < std::tie(other.nutrient, other.basis);
              });
    const auto& own_files = reading.library.own_files();
    reading.job.inputs.insert(reading.job.inputs.end(), own_files.begin(), own_files.end());
    add_candidates(reading);
    apply_prices(reading);
    check_restated(reading);
    note_prices(reading.job);
    if (reading.options.batch_kg) reading.job.batch_kg = reading.options.batch_kg;
    apply_amounts(reading);
    reading.job.at_most = reading.options.at_most;
    keep_moisture(reading.job);
    set_pond(reading);
    if (reading.stage != nullptr)
        add_profile(reading.job, *reading.profile, *reading.stage, reading.library);
    settle_labels(reading.job, reading.diagnostics);
    if (reading.recipe) {
        reading.job.tolerances = reading.library.tolerances();
        check_amounts(reading);
        const bool any = std::any_of(reading.job.ingredients.begin(), reading.job.ingredients.end(),
                                     [](const Choice& c) { return c.amount.value_or(0) > 0; });
        if (!any && reading.diagnostics.empty()) {
            reading.diagnostics.add({reading.job.file, "", "amounts that are all zero",
                                     "at least one amount above zero", ""});
        }
    }
    reading.diagnostics.throw_if_any();
    return std::move(reading.job);
}

// Ids that the file gives to ingredients of its own.
std::vector<std::string> own_ids(const base::JsonView& root) {
    std::vector<std::string> ids;
    const auto list = root.member("ingredients");
    if (!list || !list->is_array()) return ids;  // told when they are read
    for (const base::JsonView& item : list->elements()) {
        const auto id = item.member("id");
        const bool own = item.has("nutrients") || item.has("dry_matter") || item.has("extend");
        if (own && id && id->is_string()) ids.push_back(id->value().string);
    }
    return ids;
}

Job read_document(Reading reading, std::shared_ptr<const base::JsonDocument> parsed) {
    const std::string& file = parsed->file;
    reading.job.file = file;
    reading.job.inputs.push_back(file);
    const auto document = read_as_asked(parsed, reading.recipe);
    const base::JsonView root(document, reading.diagnostics);
    reading.job.asked = asked_in(document->root, file);
    if (!root.require_format(reading.recipe ? "feedwright-recipe/1" : "feedwright-job/1")) {
        reading.diagnostics.throw_if_any();
    }
    read_settings(reading, root);
    read_own_nutrients(reading, root);
    set_profile(reading, root);
    name_options(reading, own_ids(root));
    read_ingredients(reading, root);
    add_extras(reading);
    if (reading.job.ingredients.empty() && reading.diagnostics.empty()) {
        root.problem_found("no ingredients", "at least one in \"ingredients\"");
    }
    sort_ingredients(reading.job);
    read_limits(reading, root);
    return finish(reading);
}

// Whether a text is JSON, or meant to be: a table of ours does not begin with a brace.
bool is_document(const std::string& text) {
    const std::size_t first = text.find_first_not_of(" \t\r\n\xEF\xBB\xBF");
    return first != std::string::npos && (text[first] == '{' || text[first] == '[');
}

bool has_table_name(const std::string& file) {
    const std::string name = base::lower(file);
    return name.ends_with(".csv") || name.ends_with(".tsv") || name.ends_with(".txt");
}

// A price list where the job belongs.
void refuse_table(const std::string& file, const std::string& text) {
    base::refuse_what_is_no_table(text, file);
    const std::string line = base::lower(text.substr(0, std::min(text.find('\n'), text.size())));
    const bool named = has_table_name(file) || line.find("ingredient,") != std::string::npos ||
                       line.find("ingredient;") != std::string::npos ||
                       line.find("ingredient\t") != std::string::npos;
    if (is_document(text) || !named) return;
    throw base::DataError(base::Diagnostic{file, "line 1", "a table", "a job (JSON)",
                                           "Price lists go behind --prices, or in a batch after "
                                           "the job; recipes are for check and mend"});
}

}  // namespace

Reading::Reading(catalog::Library& from, const ReadOptions& asked, bool is_recipe)
    : library(from), options(asked), recipe(is_recipe) {
    job.dictionary = library.dictionary();
    job.caps_in_use = options.caps;
    job.enforce = options.enforce;
    job.fish_per_m2 = options.fish_per_m2;
    job.finished_moisture = options.finished_moisture;
    job.sure_percent = options.sure_percent;
    job.dilute_percent = options.dilute_percent;
    if (!options.prices) return;
    // Told with what else is wrong.
    for (const base::Diagnostic& problem : options.prices->problems.list())
        diagnostics.add(problem);
}

Job read_job(const std::string& file, catalog::Library& library, const ReadOptions& options) {
    const std::string text = base::read_file(file);
    refuse_table(file, text);
    return read_document({library, options, false}, base::parse_json(text, file));
}

Job read_job(std::shared_ptr<const base::JsonDocument> document, catalog::Library& library,
             const ReadOptions& options) {
    return read_document({library, options, false}, std::move(document));
}

Job job_from_prices(catalog::Library& library, const ReadOptions& options) {
    Reading reading(library, options, false);
    if (options.prices) reading.job.file = options.prices->file;
    set_profile_of_options(reading);
    name_options(reading, {});
    if (options.prices) {
        const std::string& file = options.prices->file;
        for (const PricedIngredient& row : options.prices->rows)
            add_library_choice(reading, row.ingredient, file, row.place + ", column ingredient");
    }
    add_extras(reading);
    sort_ingredients(reading.job);
    return finish(reading);
}

Job read_recipe(const std::string& file, catalog::Library& library, const ReadOptions& options) {
    Reading reading(library, options, true);
    const std::string text = base::read_file(file);
    // An empty file is what its name says.
    const bool nothing = base::trim(text).empty() && !has_table_name(file);
    if (is_document(text) || nothing) {
        return read_document(std::move(reading), base::parse_json(text, file));
    }
    reading.job.file = file;
    reading.job.inputs.push_back(file);
    set_profile_of_options(reading);
    name_options(reading, {});
    read_recipe_table(reading, mix_table_of(text));
    sort_ingredients(reading.job);
    return finish(reading);
}

}  // namespace feedwright::job
