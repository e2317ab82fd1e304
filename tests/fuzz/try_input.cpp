// SPDX-License-Identifier: GPL-3.0-or-later
#include "fuzz/try_input.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "catalog/library.hpp"
#include "catalog/loading.hpp"
#include "economics/make_or_buy.hpp"
#include "economics/own_production.hpp"
#include "economics/plan.hpp"
#include "limits/check.hpp"
#include "report/economics/economics_reports.hpp"
#include "report/results.hpp"
#include "report/trial/trial_report.hpp"
#include "search/cheapest.hpp"
#include "search/conflict.hpp"
#include "search/explain.hpp"
#include "support/paths.hpp"
#include "trial/analysis.hpp"

#include <string>

namespace feedwright::test {

namespace {

std::string data() {
    return (source_folder() / "data").string();
}

catalog::Library& library() {
    static catalog::Library kept(data());
    return kept;
}

// Written anew for every input: the loaders take names of files.
std::string file_with(std::string_view name, std::string_view text) {
    static const TempFolder folder;
    return folder.write(name, text);
}

const report::Run& about() {
    static const report::Run run{"feedwright", {}, {}, true};
    return run;
}

// Short enough that a search over whole numbers ends; the steps bound the rest.
lp::SolveOptions bounded() {
    lp::SolveOptions options;
    options.iteration_limit = 20'000;
    options.time_limit_seconds = 1;
    return options;
}

void formulate(const job::Job& job) {
    const search::FeedProgram model = search::cheapest_program(job);
    search::Formulation result = search::formulate(job, model, bounded());
    search::explain_optimum(job, model, result);
    if (result.status == lp::Status::infeasible) {
        result.conflict = search::explain_conflict(job, bounded());
    }
    std::vector<limits::CautionResult> cautions;
    if (!result.amounts.empty()) {
        cautions = limits::cautions_for(job, result.amounts, library().cautions());
    }
    report::mix_json(job, result, cautions, about());
    document::render_text(report::mix_document(job, result, cautions, about()));
}

void check(const job::Job& recipe) {
    const limits::Check result = limits::check(recipe);
    const auto cautions = limits::cautions_for(recipe, result.amounts, library().cautions());
    report::check_json(recipe, result, cautions, about());
    document::render_text(report::check_document(recipe, result, cautions, about()));
}

template <class Load>
void load(std::string_view text, const char* file, Load load) {
    base::Diagnostics problems;
    const auto document = base::parse_json(std::string(text), file);
    load(base::JsonView(document, problems));
    problems.throw_if_any();
}

void compose_ingredient(const base::JsonView& root) {
    const auto ingredient = catalog::load_ingredient(root, library().dictionary());
    if (!root.diagnostics().empty()) return;
    catalog::compose(*ingredient, library().dictionary(), {"nile-tilapia", "fish"});
}

void compose_with(const base::JsonView& root) {
    const catalog::NutrientDictionary dictionary = catalog::load_nutrients(root);
    if (!root.diagnostics().empty()) return;
    catalog::compose(*library().ingredient("maize"), dictionary, {"nile-tilapia", "fish"});
}

void plan(std::string_view text) {
    const economics::Plan plan = economics::parse_plan(std::string(text), "plan.json");
    economics::PlanContext context;
    context.profile = library().profile("nile-tilapia");
    const economics::PlanResult result = economics::work_out(plan, context);
    report::plan_json(result, about());
    document::render_text(report::plan_document(result, about()));
}

void venture(std::string_view text) {
    static const economics::OwnProduction own = economics::load_own_production(*library().files());
    const economics::Venture venture =
        economics::parse_venture(std::string(text), "venture.json", own);
    if (!venture.make.materials_file.empty()) return;  // names another file
    const economics::VentureResult result = economics::make_or_buy(venture);
    report::venture_json(result, about());
    document::render_text(report::venture_document(result, about()));
}

void trial(std::string_view text) {
    const trial::AnalysisResult result = trial::analyse(trial::read_trial(text, "trial.csv"));
    report::trial_json(result, about());
    document::render_text(report::trial_document(result, about()));
}

void read(InputKind kind, std::string_view text) {
    switch (kind) {
        case InputKind::job:
            formulate(job::read_job(file_with("job.json", text), library(), {}));
            break;
        case InputKind::recipe:
            check(job::read_recipe(file_with("recipe.json", text), library(), {}));
            break;
        case InputKind::recipe_table: {
            job::ReadOptions options;
            options.profile = "nile-tilapia/grow-out";
            check(job::read_recipe(file_with("recipe.csv", text), library(), options));
            break;
        }
        case InputKind::prices: {
            job::ReadOptions options;
            options.profile = "nile-tilapia/grow-out";
            options.prices = job::read_price_list(file_with("prices.csv", text));
            formulate(job::job_from_prices(library(), options));
            break;
        }
        case InputKind::ingredient:
            load(text, "ingredient.json", compose_ingredient);
            break;
        case InputKind::profile:
            load(text, "profile.json", [](const base::JsonView& root) {
                catalog::load_profile(root, library().dictionary());
            });
            break;
        case InputKind::nutrients:
            load(text, "nutrients.json", compose_with);
            break;
        case InputKind::library:
            catalog::Library(data(), {file_with("own.json", text)});
            break;
        case InputKind::plan:
            plan(text);
            break;
        case InputKind::venture:
            venture(text);
            break;
        case InputKind::trial:
            trial(text);
            break;
    }
}

}  // namespace

std::string_view name_of(InputKind kind) {
    switch (kind) {
        case InputKind::job:
            return "job.json";
        case InputKind::recipe:
            return "recipe.json";
        case InputKind::recipe_table:
            return "recipe.csv";
        case InputKind::prices:
            return "prices.csv";
        case InputKind::ingredient:
            return "ingredient.json";
        case InputKind::profile:
            return "profile.json";
        case InputKind::nutrients:
            return "nutrients.json";
        case InputKind::library:
            return "library.json";
        case InputKind::plan:
            return "plan.json";
        case InputKind::venture:
            return "venture.json";
        case InputKind::trial:
            return "trial.csv";
    }
    return "";
}

bool try_input(InputKind kind, std::string_view text) {
    try {
        read(kind, text);
        return true;
    } catch (const base::DataError&) {
        return false;
    } catch (const IoError&) {
        return false;
    }
}

}  // namespace feedwright::test
