// SPDX-License-Identifier: GPL-3.0-or-later
// Every task called as a library, without a command line.
#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"
#include "tasks/batch.hpp"
#include "tasks/catalog.hpp"
#include "tasks/economics.hpp"
#include "tasks/formulate.hpp"
#include "tasks/recipe.hpp"
#include "tasks/square.hpp"
#include "tasks/trial.hpp"
#include "tasks/what_if.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <memory>
#include <numeric>
#include <string>
#include <vector>

using namespace feedwright;

namespace {

std::string source(const std::string& name) {
    return (test::source_folder() / name).string();
}

using test::library;

tasks::JobSource example(const std::string& name) {
    return {source("examples/" + name), {}, false};
}

const std::string backyard = "backyard-tilapia/job.json";

double total(const std::vector<double>& amounts) {
    return std::accumulate(amounts.begin(), amounts.end(), 0.0);
}

double percent_of(const search::Formulation& mix, const std::string& id) {
    const auto at = std::find_if(mix.items.begin(), mix.items.end(),
                                 [&](const limits::MixItem& item) { return item.id == id; });
    return at == mix.items.end() ? 0 : at->percent;
}

// A job without a library profile: what it names is all that is known.
std::string own_job(const test::TempFolder& folder, const std::string& limits) {
    return folder.write("own.json", R"({"format": "feedwright-job/1", "ingredients": [
        {"id": "aa", "price": 1, "dry_matter": 90, "nutrients": {"lysine": 1, "selenium": 0.1}},
        {"id": "bb", "price": 2, "dry_matter": 90, "nutrients": {"lysine": 2, "selenium": 0.2}}],
        "limits": [{"nutrient": "selenium", "max": 0.5}, )" +
                                        limits + "]}");
}

tasks::TrialDesignRequest demo_design() {
    tasks::TrialDesignRequest request;
    request.job.job = example("demo-design/job.json");
    request.test = "duckweed-dried";
    request.reference = "soybean-meal-44";
    request.levels = {10, 20};
    request.tanks = 4;
    request.blocks = 2;
    request.seed = 7;
    return request;
}

// Takes the lines of a batch into a file.
class Lines {
  public:
    explicit Lines(std::string file) : file_(std::move(file)) {}

    tasks::BatchRun run() {
        tasks::BatchRun run;
        run.open = [this](const std::string& header,
                          const std::vector<std::string>& read) -> batch::LineSink& {
            inputs = read;
            sink_ = std::make_unique<batch::LineSink>(file_, header, false);
            return *sink_;
        };
        return run;
    }

    std::size_t count() {
        sink_.reset();
        const std::string text = base::read_file(file_);
        return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
    }

    std::vector<std::string> inputs;

  private:
    std::string file_;
    std::unique_ptr<batch::LineSink> sink_;
};

// Wet feeds in so great a part that caps as fed leave no mix, and caps on the dry matter do.
tasks::JobSource mostly_wet(const test::TempFolder& folder) {
    tasks::JobSource job;
    job.options.profile = "nile-tilapia/grow-out";
    job.options.prices = job::read_price_list(folder.write("wet.csv",
                                                           "ingredient,price,min\n"
                                                           "duckweed-fresh,0.01,40\n"
                                                           "black-soldier-fly-fresh,0.05,10\n"
                                                           "fish-meal-65,1.5,\n"
                                                           "soybean-meal-44,0.5,\n"
                                                           "maize,0.3,\n"
                                                           "wheat-bran,0.2,\n"
                                                           "soybean-oil,1.2,\n"
                                                           "premix-tilapia,4,\n"
                                                           "dicalcium-phosphate-dihydrate,0.8,\n"));
    return job;
}

}  // namespace

TEST_CASE("formulate gives the cheapest mix, explained") {
    const tasks::Answer answer = tasks::formulate({example(backyard), {}}, library());
    REQUIRE(answer.has_mix());
    CHECK(answer.mix.status == lp::Status::optimal);
    CHECK(answer.mix.proof.holds());
    CHECK(total(answer.mix.amounts) == Approx(1));
    CHECK(answer.mix.judgement.verdict.has_value());
    const auto priced = [](const limits::MixItem& item) { return item.price_high.has_value(); };
    CHECK(std::any_of(answer.mix.items.begin(), answer.mix.items.end(), priced));
    CHECK_FALSE(answer.cautions.empty());
}

TEST_CASE("formulate says why there is no mix, and what in the library would help") {
    const tasks::Answer answer = tasks::formulate({example("no-mix/job.json"), {}}, library());
    CHECK_FALSE(answer.has_mix());
    CHECK(answer.mix.status == lp::Status::infeasible);
    REQUIRE(answer.mix.conflict);
    CHECK_FALSE(answer.mix.conflict->limits.empty());
    CHECK_FALSE(answer.mix.conflict->ingredients.empty());
}

TEST_CASE("what is strict is asked of what the job names, not of what the library offers") {
    const test::TempFolder folder;
    tasks::JobSource job{own_job(folder, R"({"nutrient": "lysine", "min": 5})"), {}, true};
    const tasks::Answer answer = tasks::formulate({job, {}}, library());
    REQUIRE(answer.mix.conflict);
    CHECK_FALSE(answer.mix.conflict->ingredients.empty());
    job.file = own_job(folder, R"({"nutrient": "crude_protein", "min": 5})");
    CHECK_THROWS_AS(tasks::formulate({job, {}}, library()), base::DataError);
}

TEST_CASE("no task that reads a job or a recipe forgets that it is to be strict") {
    const test::TempFolder folder;
    const std::string table = folder.write("recipe.csv",
                                           "ingredient,amount\nmaize,60\n"
                                           "soybean-meal-44,40\n");
    tasks::JobSource recipe{table, {}, true};
    recipe.options.profile = "nile-tilapia/grow-out";
    tasks::JobSource job = example("demo-design/job.json");
    job.strict = true;
    Lines lines(folder.file("lines.json"));
    const std::map<std::string, std::function<void()>> tasks{
        {"formulate",
         [&] {
             tasks::formulate({job, {}}, library());
         }},
        {"weigh",
         [&] {
             tasks::weigh({{job, {}}, {}, false}, library());
         }},
        {"curve",
         [&] {
             tasks::curve({{job, {}}, "maize"}, library());
         }},
        {"what_if",
         [&] {
             tasks::what_if({{job, {}}, {}}, library());
         }},
        {"worth_of_each",
         [&] {
             tasks::worth_of_each({{job, {}}, {}}, library());
         }},
        {"check", [&] { tasks::check(recipe, library()); }},
        {"mend",
         [&] {
             tasks::mend({recipe, {}, {}, {}, {}}, library());
         }},
        {"solve_lists",
         [&] {
             tasks::solve_lists({job, {job.file}, {}, {}, lines.run()}, library());
         }},
        {"design_trial",
         [&] {
             tasks::TrialDesignRequest design = demo_design();
             design.job.job.strict = true;
             tasks::design_trial(design, library());
         }},
    };
    for (const auto& [name, run] : tasks) {
        INFO(name);
        CHECK_THROWS_AS(run(), base::DataError);
    }
    CHECK(tasks::check_all({recipe, {table}, lines.run()}, library()).unusable == 1);
}

TEST_CASE("a wet job without a mix as weighed in is tried dried to the common moisture") {
    const test::TempFolder folder;
    const tasks::JobSource wet = mostly_wet(folder);
    const tasks::Answer answer = tasks::formulate({wet, {}}, library());
    REQUIRE(answer.has_mix());
    CHECK(answer.job.moisture_assumed);
    CHECK(answer.job.finished_moisture == Approx(10));
    CHECK(answer.mix.weighed_in > 1.125);
    // As with that moisture asked for.
    tasks::JobSource asked = wet;
    asked.options.finished_moisture = 10;
    CHECK(tasks::formulate({asked, {}}, library()).mix.cost_per_kg == answer.mix.cost_per_kg);
    // Every task takes it so.
    CHECK(tasks::curve({{wet, {}}, "maize", 2}, library()).job.moisture_assumed);
    const tasks::WhatIf what_if = tasks::what_if({{wet, {}}, {{}, {"maize"}, {}, {}}}, library());
    CHECK(what_if.before.cost_per_kg == answer.mix.cost_per_kg);
    CHECK(what_if.job_after.finished_moisture == Approx(10));
    CHECK(what_if.after.cost_per_kg >= what_if.before.cost_per_kg);
    CHECK(tasks::worth_of_each({{wet, {}}, {}}, library()).job.moisture_assumed);
    Lines lines(folder.file("lines.json"));
    const auto summaries = tasks::solve_lists({wet, {}, {}, {}, lines.run()}, library());
    REQUIRE(summaries.size() == 1);
    CHECK(summaries[0].costs.mean() == Approx(answer.mix.cost_per_kg));
    CHECK(summaries[0].dried_to_percent == Approx(10));
}

TEST_CASE("a dry job without a mix is explained as weighed in") {
    const tasks::Answer answer = tasks::formulate({example("no-mix/job.json"), {}}, library());
    CHECK_FALSE(answer.job.finished_moisture);
}

TEST_CASE("weigh gives whole steps, and a sheet where it is asked for") {
    const tasks::FormulateRequest mix{example(backyard), {}};
    const search::WeighingScale scale{5, {}, 100};
    const tasks::Weighed plain = tasks::weigh({mix, scale, false}, library());
    REQUIRE(plain.weighing);
    REQUIRE_FALSE(plain.weighing->micrograms.empty());
    for (const std::int64_t weight : plain.weighing->micrograms)
        CHECK(weight % 5'000'000 == 0);
    CHECK_FALSE(plain.plan);
    CHECK(plain.weighing->cost_per_kg >= plain.exact.mix.cost_per_kg);
    CHECK(tasks::weigh({mix, scale, true}, library()).plan.has_value());
    CHECK_FALSE(tasks::weigh({{example("no-mix/job.json"), {}}, scale, true}, library()).weighing);
}

TEST_CASE("curve gives a cost for each share of an ingredient") {
    const tasks::CurveOf result =
        tasks::curve({{example(backyard), {}}, "duckweed-dried", 4}, library());
    CHECK(result.curve.ingredient == "duckweed-dried");
    CHECK(result.curve.points.size() >= 5);
    CHECK_THROWS_AS(tasks::curve({{example(backyard), {}}, "wheat"}, library()), base::DataError);
}

TEST_CASE("what_if answers the job as it is and as changed") {
    const tasks::Changes changes{{}, {"duckweed-dried"}, {}, {"soybean-meal-44.price=0.80"}};
    const tasks::WhatIf result = tasks::what_if({{example(backyard), {}}, changes}, library());
    CHECK(result.changes ==
          std::vector<std::string>{"without duckweed-dried", "set soybean-meal-44.price=0.80"});
    CHECK(percent_of(result.before, "duckweed-dried") > 0);
    CHECK(result.job_after.find("duckweed-dried") == nullptr);
    CHECK(result.after.cost_per_kg > result.before.cost_per_kg);
}

TEST_CASE("worth_of_each gives the cost without each ingredient that is used") {
    const tasks::WorthOfEach result =
        tasks::worth_of_each({{example(backyard), {}}, {}}, library());
    REQUIRE(result.worths.size() == result.job.ingredients.size());
    for (const tasks::Worth& worth : result.worths) {
        INFO(worth.id);
        if (worth.percent == 0) CHECK(worth.cost_without == result.with_all.cost_per_kg);
        if (worth.id == "duckweed-dried") CHECK(*worth.cost_without > result.with_all.cost_per_kg);
    }
}

TEST_CASE("check holds a recipe against its profile") {
    tasks::JobSource recipe = example("farmers-recipe/recipe.csv");
    recipe.options.profile = "nile-tilapia/grow-out";
    const tasks::Checked result = tasks::check(recipe, library());
    CHECK_FALSE(result.check.passes);
    CHECK(result.check.asked > 0);
    CHECK(total(result.check.amounts) == Approx(1));
}

TEST_CASE("mend changes a recipe so that it passes") {
    tasks::MendRequest request{example("mend-a-recipe/recipe.csv"), {}, {}, 1, {}};
    request.recipe.options.profile = "nile-tilapia/grow-out";
    request.recipe.options.prices =
        job::read_price_list(source("examples/mend-a-recipe/prices.csv"));
    const tasks::Mended result = tasks::mend(request, library());
    CHECK_FALSE(result.mending.before.passes);
    REQUIRE(result.mending.smallest);
    const auto& items = result.mending.smallest->changes;
    CHECK(std::count_if(items.begin(), items.end(),
                        [](const search::MendedItem& item) { return item.added; }) <= 1);
    // A recipe of which nothing is asked cannot be mended.
    tasks::MendRequest nothing{example("mend-a-recipe/recipe.csv"), {}, {}, {}, {}};
    CHECK_THROWS_AS(tasks::mend(nothing, library()), base::DataError);
}

TEST_CASE("mend brings a premix below its label rate there, in a recipe that passes") {
    const tasks::Answer answer = tasks::formulate({example(backyard), {}}, library());
    const auto written = [&](double premix) {
        std::string text = "ingredient,amount\n";
        for (const limits::MixItem& item : answer.mix.items) {
            const double amount = item.id == "premix-tilapia" ? premix : item.percent;
            text += item.id + ',' + base::shortest(amount) + '\n';
        }
        return text;
    };
    const test::TempFolder folder;
    tasks::MendRequest request{
        {folder.write("recipe.csv", written(0.6)), {}, false}, {}, {}, {}, {}};
    request.recipe.options.profile = "nile-tilapia/grow-out";
    const tasks::Mended low = tasks::mend(request, library());
    CHECK(low.mending.before.passes);
    REQUIRE(low.mending.smallest);
    const auto& items = low.mending.smallest->changes;
    const auto premix =
        std::find_if(items.begin(), items.end(),
                     [](const search::MendedItem& item) { return item.id == "premix-tilapia"; });
    REQUIRE(premix != items.end());
    CHECK(premix->before_percent < 0.7);
    CHECK(premix->after_percent == Approx(1));
    request.recipe.file = folder.write("right.csv", written(1));
    CHECK_FALSE(tasks::mend(request, library()).mending.smallest);
}

TEST_CASE("solve_lists writes a line for each list and job, and sums them up") {
    const test::TempFolder folder;
    Lines lines(folder.file("lines.json"));
    const std::string job = example(backyard).file;
    tasks::BatchRequest request{{}, {job}, {}, {}, lines.run()};
    const double own = tasks::formulate({example(backyard), {}}, library()).mix.cost_per_kg;
    auto summaries = tasks::solve_lists(request, library());
    REQUIRE(summaries.size() == 1);
    CHECK(summaries[0].costs.mean() == Approx(own));
    CHECK(lines.count() == 1);
    CHECK(lines.inputs == std::vector<std::string>{job});

    request.lists = std::vector<batch::GridAxis>{{"maize", 0.2, 0.4, 0.05}};
    summaries = tasks::solve_lists(request, library());
    CHECK(summaries[0].solved == 5);
    CHECK(lines.count() == 5);

    const std::string prices = folder.write("prices.csv", "list,maize\na,0.2\nb,0.3\nc,0.4\n");
    request.lists = tasks::PriceTable{prices};
    request.run.part = 2;
    request.run.parts = 2;
    summaries = tasks::solve_lists(request, library());
    CHECK(summaries[0].lists == lines.count());
    CHECK(summaries[0].lists < 3);
    CHECK(lines.inputs.back() == prices);
}

TEST_CASE("check_all gives a line for each recipe, also for one that cannot be read") {
    const test::TempFolder folder;
    Lines lines(folder.file("lines.json"));
    tasks::CheckAllRequest request;
    request.recipes.options.profile = "nile-tilapia/grow-out";
    request.files = {source("examples/farmers-recipe/recipe.csv"), folder.file("none.csv")};
    request.run = lines.run();
    request.run.threads = 2;
    const batch::Summary summary = tasks::check_all(request, library());
    CHECK(summary.checked);
    CHECK(summary.unsolved == 1);
    CHECK(summary.unusable == 1);
    CHECK(lines.count() == 2);
}

TEST_CASE("make_or_buy prices the venture's own mix") {
    const tasks::MakeOrBuy result =
        tasks::make_or_buy({source("examples/back-garden-tank/venture.json"), {}}, library());
    CHECK_FALSE(result.unsolved);
    CHECK(result.result.make.materials > 0);
    CHECK(result.result.make.total > result.result.make.materials);
    CHECK(result.result.context.profile == "nile-tilapia/grow-out");
    CHECK(result.result.context.published_fcr.has_value());
    REQUIRE(result.home);
    CHECK(result.home->judgement.verdict.has_value());
    CHECK(result.inputs.size() >= 2);
}

TEST_CASE("make_or_buy gives the verdict on the home feed, not only the limits it misses") {
    const tasks::Answer answer = tasks::formulate({example(backyard), {}}, library());
    std::string recipe = "ingredient,amount,price\n";
    for (const limits::MixItem& item : answer.mix.items) {
        if (item.id == "premix-tilapia") continue;
        recipe += item.id + ',' + base::shortest(item.percent) + ",1\n";
    }
    const test::TempFolder folder;
    folder.write("recipe.csv", recipe);
    const auto judged = [&](const std::string& premix) {
        const std::string file =
            folder.write("venture.json",
                         R"({"format": "feedwright-venture/1", "profile": "nile-tilapia/grow-out",
            "make": {"recipe": "recipe.csv", "batch_kg": 10, "hours_per_batch": 1,
            "value_of_hour": 1, "fcr": 1.8)" +
                             premix + R"(}, "buy": {"pack_price": 20, "pack_kg": 20, "fcr": 1.6},
            "gain_kg_per_year": 100})");
        return tasks::make_or_buy({file, {}}, library());
    };
    const auto warns_of_vitamins = [](const tasks::MakeOrBuy& result) {
        const auto& findings = result.home->judgement.findings;
        return std::any_of(findings.begin(), findings.end(), [](const limits::Finding& one) {
            return one.severity == limits::Severity::warn &&
                   (one.kind == limits::FindingKind::vitamins ||
                    one.kind == limits::FindingKind::premix);
        });
    };
    const tasks::MakeOrBuy without = judged("");
    REQUIRE(without.home);
    CHECK(without.result.context.short_of.empty());
    CHECK(without.home->judgement.verdict == limits::Verdict::incomplete);
    CHECK(warns_of_vitamins(without));
    // A premix that the venture counts beside the recipe is one.
    CHECK_FALSE(warns_of_vitamins(judged(R"(, "premix": {"percent": 1, "price_per_kg": 3})")));
}

TEST_CASE("make_or_buy says why the venture's job has no mix") {
    const test::TempFolder folder;
    folder.write("job.json", base::read_file(source("examples/no-mix/job.json")));
    const std::string venture = folder.write("venture.json", R"({"format": "feedwright-venture/1",
        "make": {"job": "job.json", "batch_kg": 10, "hours_per_batch": 1, "value_of_hour": 1,
        "fcr": 1.8}, "buy": {"pack_price": 20, "pack_kg": 20, "fcr": 1.6},
        "gain_kg_per_year": 100})");
    const tasks::MakeOrBuy result = tasks::make_or_buy({venture, {}}, library());
    REQUIRE(result.unsolved);
    REQUIRE(result.unsolved->mix.conflict);
    CHECK_FALSE(result.unsolved->mix.conflict->limits.empty());
}

TEST_CASE("plan works out a file, or a plan with growth as published") {
    const tasks::Planned of_file =
        tasks::plan({source("examples/back-garden-tank/plan.json"), {}}, library());
    CHECK_FALSE(of_file.unsolved);
    CHECK(of_file.result.feed_kg > 0);
    CHECK(of_file.result.home_cost.has_value());
    CHECK(of_file.inputs.size() >= 2);

    tasks::PlanRequest request;
    request.plan.species = "nile-tilapia/grow-out";
    request.plan.number = 100;
    request.plan.survival_percent = 100;
    request.plan.start_g = 20;
    request.plan.target_g = 200;
    request.plan.growth = economics::Growth::fed;
    request.plan.temperature = {{0, 28}};
    const tasks::Planned given = tasks::plan(request, library());
    CHECK(given.result.end_g >= 200);
    CHECK(given.result.fcr.has_value());
    request.plan.species = "no-such-fish";
    CHECK_THROWS_AS(tasks::plan(request, library()), base::DataError);
}

TEST_CASE("design_trial makes a control and a diet a level, all equal in protein") {
    tasks::TrialDesignRequest request = demo_design();
    request.pilot = source("examples/demo-trial/trial.csv");
    request.sheets = true;
    const tasks::TrialDesign design = tasks::design_trial(request, library());
    REQUIRE(design.series.diets.size() == 3);
    CHECK(design.series.diets[0].name == "control");
    CHECK(design.series.protein_spread.has_value());
    CHECK(design.series.plan.tanks.size() == 12);
    CHECK(design.series.sensitivities.size() == 1);
    CHECK(design.judgements.size() == 3);
    CHECK(design.sheets.size() == 3);
    CHECK(design.whole == (*design.series.protein_spread <= trial::equal_protein_points));
    CHECK(design.job.inputs.back() == request.pilot);
    // Of the worst pair by hand: what the amounts that differ bring in, twice the standard
    // deviation or so.
    REQUIRE_FALSE(design.series.variation.empty());
    const trial::DesignSeries::Variation& protein = design.series.variation[0];
    CHECK(protein.nutrient == "crude_protein");
    const auto share = [&](std::size_t diet, std::size_t i) {
        return design.series.diets[diet].parts[i].percent / 100;
    };
    double worst = 0;
    for (std::size_t a = 0; a < 3; ++a) {
        for (std::size_t b = 0; b < a; ++b) {
            double variance = 0;
            for (std::size_t i = 0; i < design.job.ingredients.size(); ++i) {
                const job::Choice& choice = design.job.ingredients[i];
                const catalog::Factor* own = choice.variability.find("crude_protein");
                if (own == nullptr) continue;
                // On dry matter the content varies with that, too.
                double sd = own->sd;
                if (own->basis == catalog::Basis::dry_matter) {
                    const catalog::Factor& dry = *choice.variability.find("dry_matter");
                    sd = std::hypot(own->sd * dry.mean, own->mean * dry.sd) / 100;
                }
                variance += std::pow((share(a, i) - share(b, i)) * sd, 2);
            }
            worst = std::max(worst, variance);
        }
    }
    CHECK(protein.difference == Approx(1.959963985 * std::sqrt(worst)).epsilon(1e-6));
    CHECK(protein.difference > 0.01);
}

TEST_CASE("analyse_trial reads tanks, or any table with groups and numbers") {
    const trial::AnalysisResult tanks =
        tasks::analyse_trial({source("examples/demo-trial/trial.csv"), {}, {}, {}});
    CHECK(std::any_of(tanks.responses.begin(), tanks.responses.end(),
                      [](const trial::ResponseResult& one) { return one.id == "sgr"; }));
    const test::TempFolder folder;
    const std::string table =
        folder.write("eggs.csv", "feed,grams\na,50\na,51\na,52\nb,60\nb,61\nb,63\n");
    const trial::AnalysisResult groups = tasks::analyse_trial({table, "feed", "grams", {}});
    REQUIRE(groups.responses.size() == 1);
    REQUIRE(groups.responses[0].layout);
    REQUIRE(groups.responses[0].layout->means.size() == 2);
    CHECK(groups.responses[0].layout->means[0] == Approx(51));
}

TEST_CASE("a spread of a table stands beside the default, and counts when it is between lots") {
    const test::TempFolder folder;
    tasks::ImportRequest request;
    request.file = folder.write("meal.csv", "id,crude protein (%),ash\nmy-meal,61 ± 2.5,18\n");
    request.options.category = "fish-meal";
    const tasks::Imported unsaid = tasks::import_table(request, library());
    REQUIRE(unsaid.spreads.size() == 1);
    const tasks::ImportedSpread& protein = unsaid.spreads[0];
    CHECK(protein.nutrient == "crude_protein");
    CHECK(protein.sd == 2.5);
    // data/variation.json: fish meal, crude protein, 5.1 percent of the mean.
    CHECK(*protein.assumed_sd == Approx(0.051 * 61));
    CHECK_FALSE(protein.counts);
    CHECK(unsaid.library_file.find("\"spread\"") == std::string::npos);
    request.options.spread = catalog::Spread::lots;
    const tasks::Imported lots = tasks::import_table(request, library());
    CHECK(lots.spreads[0].counts);
    CHECK(lots.library_file.find("\"spread\": \"lots\"") != std::string::npos);
}

TEST_CASE("import_table makes a library file that the library can load") {
    catalog::ImportOptions options;
    options.id = "local-fish-meal";
    options.extend = "fish-meal-65";
    options.scale = "crude_protein";
    const tasks::Imported imported =
        tasks::import_table({source("examples/own-numbers/lab-report.csv"), options}, library());
    const test::TempFolder folder;
    const std::string file = folder.write("own.json", imported.library_file);
    catalog::Library own(catalog::files_in(source("data")), {file});
    CHECK(own.ingredient("local-fish-meal") != nullptr);
    CHECK(library().ingredient("local-fish-meal") == nullptr);
}

TEST_CASE("lists hold what matches") {
    const auto meals = tasks::list_ingredients("fish meal", library());
    CHECK_FALSE(meals.empty());
    CHECK(meals.size() < tasks::list_ingredients("", library()).size());
    CHECK(tasks::list_ingredients("", library()).size() == library().ingredient_ids().size());
    for (const auto& [profile, stage] : tasks::list_stages("tilapia", library()))
        CHECK(profile->stage(stage->id) == stage);
    CHECK(tasks::list_nutrients("", library()).size() == library().dictionary().all().size());
    CHECK(tasks::list_sources("", library()).size() == library().sources().size());
    CHECK(tasks::list_sources("no source has this text", library()).empty());
}

TEST_CASE("coverage looks at the whole library") {
    const catalog::Coverage coverage = tasks::coverage(library());
    CHECK(coverage.ingredients == library().ingredient_ids().size());
    CHECK_FALSE(coverage.limits.empty());
}

TEST_CASE("show finds what an id stands for") {
    const auto shown = [](const std::string& id, const std::string& species = "") {
        return tasks::show({id, species}, library());
    };
    const auto duckweed = std::get<tasks::IngredientFacts>(shown("duckweed-dried"));
    CHECK(duckweed.ingredient->id == "duckweed-dried");
    CHECK_FALSE(duckweed.caps.empty());
    CHECK_FALSE(duckweed.sources.empty());
    const auto for_tilapia =
        std::get<tasks::IngredientFacts>(shown("soybean-meal-44", "nile-tilapia"));
    CHECK(for_tilapia.composition.find("digestible_protein") != nullptr);
    CHECK(std::get<const catalog::Profile*>(shown("nile-tilapia"))->species == "nile-tilapia");
    const auto stage = std::get<tasks::StageFacts>(shown("nile-tilapia/grow-out"));
    CHECK(stage.stage.second->id == "grow-out");
    CHECK_FALSE(stage.caps.empty());
    CHECK(std::get<const catalog::Nutrient*>(shown("lysine"))->id == "lysine");
    const std::string source_id = library().sources().front().id;
    CHECK(std::get<const catalog::Source*>(shown(source_id))->id == source_id);
    CHECK_THROWS_AS(shown("duckwed"), base::DataError);
    CHECK_THROWS_AS(shown("maize", "nile-tilapi"), base::DataError);
}

TEST_CASE("square: each ingredient gets the difference of the other one as its parts") {
    job::ReadOptions options;
    options.batch_kg = 25;
    const tasks::Square square =
        tasks::square({{"maize@0.28", "soybean-meal-44@0.58"}, 32, options}, library());
    const auto& [maize, soy] = square.sides;
    CHECK(maize.id == "maize");
    CHECK(maize.parts == Approx(soy.protein - 32));
    CHECK(soy.parts == Approx(32 - maize.protein));
    CHECK(maize.percent + soy.percent == Approx(100));
    CHECK((maize.percent * maize.protein + soy.percent * soy.protein) / 100 == Approx(32));
    CHECK(*square.cost_per_kg == Approx((0.28 * maize.percent + 0.58 * soy.percent) / 100));
    CHECK(*maize.batch_kg + *soy.batch_kg == Approx(25));
    // The least-cost mix of the two with that protein is the same one.
    const test::TempFolder folder;
    const std::string file = folder.write(
        "two.json", R"({"format":"feedwright-job/1","ingredients":[{"id":"maize","price":0.28},
          {"id":"soybean-meal-44","price":0.58}],
          "limits":[{"nutrient":"crude_protein","min":32,"max":32}]})");
    const tasks::Answer answer = tasks::formulate({{file, {}, false}, {}}, library());
    REQUIRE(answer.has_mix());
    CHECK(percent_of(answer.mix, "maize") == Approx(maize.percent));
    CHECK(answer.mix.cost_per_kg == Approx(*square.cost_per_kg));
    for (const auto& words : {std::vector<std::string>{"maize", "maize"},
                              {"maize"},
                              {"maize", "dl-methionine"},
                              {"maize", "no-such-thing"}}) {
        CHECK_THROWS_AS(tasks::square({words, 32, {}}, library()), base::DataError);
    }
    CHECK_THROWS_AS(tasks::square({{"maize", "soybean-meal-44"}, 60, {}}, library()),
                    base::DataError);
}
