// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/search_options.hpp"
#include "cli/weigh_options.hpp"
#include "limits/findings.hpp"
#include "report/trial/design_report.hpp"
#include "report/trial/no_diet.hpp"
#include "report/trial/trial_words.hpp"
#include "report/weighing/weighing_report.hpp"
#include "search/cheapest.hpp"
#include "search/series.hpp"
#include "sheet/mixing_plan.hpp"
#include "trial/analysis.hpp"
#include "trial/design.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <optional>
#include <set>

namespace feedwright::cli {

namespace {

struct Request {
    std::string job;
    std::string test;
    std::string reference;
    std::vector<std::string> levels;
    std::vector<std::string> equal;
    std::string tanks = "3";
    std::string blocks = "0";
    std::string seed = "1";
    std::string cv;
    std::string pilot;
    JobOptions options;
    WeighOptions weigh;
    SearchOptions search;
};

double percent(const std::string& text, const char* option, double most) {
    const auto value = base::parse_finite(text);
    if (!value || *value < 0 || *value > most) {
        throw UsageError(option, '"' + text + '"', "percent from 0 to " + base::compact(most, 4));
    }
    return *value;
}

// Level 0 is the control, which is always there.
std::vector<double> levels_of(const Request& request) {
    std::set<double> levels;
    for (const std::string& text : request.levels) {
        const double level = percent(text, "--levels", 100);
        if (level > 0) levels.insert(level);
    }
    if (levels.empty())
        throw UsageError("--levels", "no level above 0", "at least one, such as 0,10,20,40");
    return {levels.begin(), levels.end()};
}

// Nutrients worth a row: proximates, energy, and whatever the job limits or the series holds equal.
std::vector<trial::DesignValue> values_of(const job::Job& job, const search::SeriesDiet& diet,
                                          const std::vector<std::string>& equal) {
    std::set<std::string> wanted(equal.begin(), equal.end());
    for (const job::NutrientLimit& limit : job.limits)
        wanted.insert(limit.nutrient);
    std::vector<trial::DesignValue> values;
    for (const limits::AnalysisItem& item : diet.assessment.analysis) {
        const bool basic = item.group == "proximate" || item.group == "energy";
        if (!basic && !wanted.contains(item.nutrient)) continue;
        values.push_back({item.nutrient, item.name, item.unit, item.value, item.known_percent});
    }
    return values;
}

trial::DesignDiet diet_of(const job::Job& job, const search::SeriesDiet& diet,
                          const std::string& test, const std::vector<std::string>& equal) {
    trial::DesignDiet out;
    out.level = diet.level;
    out.name = diet.level > 0 ? test + "-" + base::compact(diet.level, 4) : "control";
    out.possible = !diet.amounts.empty();
    if (diet.missing) out.reason = report::in_words(*diet.missing);
    if (!out.possible) return out;
    double total = 0;
    for (const double x : diet.amounts)
        total += x;
    for (std::size_t i = 0; i < diet.amounts.size(); ++i) {
        const job::Choice& choice = job.ingredients[i];
        out.parts.push_back({choice.id, choice.name, 100 * diet.amounts[i] / total, 0});
    }
    out.values = values_of(job, diet, equal);
    out.cost_per_kg = diet.cost_per_kg;
    out.distance = 100 * diet.distance;
    return out;
}

std::optional<double> given_cv(const Request& request) {
    if (request.cv.empty()) return std::nullopt;
    if (!request.pilot.empty()) {
        throw UsageError("--cv", "it beside --pilot", "one of them",
                         "Both say how much tanks on one diet vary");
    }
    const double cv = percent(request.cv, "--cv", 200);
    if (cv == 0) throw UsageError("--cv", "0", "percent above 0", "Tanks always vary");
    return cv;
}

// The variation that a pilot trial shows in growth, percent of the mean.
double pilot_cv(const std::string& file) {
    const trial::AnalysisResult pilot =
        trial::analyse(trial::read_trial(base::read_file(file), file));
    for (const trial::ResponseResult& response : pilot.responses) {
        if (response.id != "sgr") continue;
        if (!response.layout) {
            throw base::DataError(base::Diagnostic{file,
                                                   "--pilot",
                                                   report::in_words(response.layout.reason),
                                                   "tanks that vary within a diet",
                                                   {}});
        }
        double mean = 0;
        for (const double m : response.layout->means) {
            mean += m / static_cast<double>(response.layout->means.size());
        }
        if (mean > 0) return 100 * response.layout->anova.residual_sd / mean;
    }
    throw base::DataError(
        base::Diagnostic{file, "--pilot", "no growth", "a trial in which fish grew", {}});
}

void add_sensitivities(const Request& request, std::optional<double> cv_given, int diets,
                       trial::DesignSeries& series) {
    if (diets < 2) return;
    const std::vector<double> differences{5, 10, 15, 20, 30};
    trial::PowerQuestion question;
    question.diets = diets;
    question.blocked = series.plan.blocks > 0;
    const auto add = [&](double cv, std::string source) {
        question.sd = cv;
        series.sensitivities.push_back(
            {cv, std::move(source), trial::power_table(question, differences)});
    };
    if (!request.pilot.empty()) {
        add(pilot_cv(request.pilot), "From the specific growth rate in " + request.pilot + ".");
    } else if (cv_given) {
        add(*cv_given, "As given with --cv.");
    } else {
        for (const double cv : {5.0, 10.0}) {
            add(cv, "An example, as neither --cv nor --pilot is given: measure your own tanks.");
        }
    }
}

ExitStatus run(const Request& request, Context& context) {
    const int tanks = whole_number(request.tanks, 2, "--tanks");
    const int blocks = whole_number(request.blocks, 0, "--blocks");
    const int seed = whole_number(request.seed, 0, "--seed");
    if (blocks > 0 && tanks % blocks != 0) {
        throw UsageError("--blocks", std::to_string(blocks),
                         fmt::format("a number that divides the {} tanks of a diet", tanks));
    }
    const std::optional<double> cv = given_cv(request);
    job::Job job =
        search::settle(job::read_job(request.job, context.library(), request.options.read()));
    if (!job.batch_kg) job.batch_kg = 1;
    search::SeriesQuestion question{request.test, request.reference, levels_of(request),
                                    request.equal};
    const lp::SolveOptions solve = request.search.solve();
    const std::vector<search::SeriesDiet> diets = search::design_series(job, question, solve);

    trial::DesignSeries series;
    series.title = job.title;
    series.test = question.test;
    series.test_name = job.find(question.test)->name;
    series.reference = question.reference;
    series.reference_name = job.find(question.reference)->name;
    series.equal = {"crude_protein"};
    for (const std::string& nutrient : question.equal) {
        if (std::find(series.equal.begin(), series.equal.end(), nutrient) == series.equal.end()) {
            series.equal.push_back(nutrient);
        }
    }
    series.currency = job.currency;
    series.batch_kg = *job.batch_kg;
    if (const auto held = search::held_alike(job, question); !held.empty()) {
        series.notes.push_back(
            fmt::format("Not every amount to be equal is known of {}: every diet holds the "
                        "control's amount of it.",
                        base::join_words(held)));
    }

    report::JudgedDiets judged{job, {}};
    for (const search::SeriesDiet& diet : diets) {
        judged.of_diets.push_back(diet.amounts.empty()
                                      ? limits::Judgement{}
                                      : limits::judge(job, diet.amounts, diet.assessment));
    }

    std::vector<document::Document> sheets;
    std::vector<double> proteins;
    std::vector<std::string> names;
    bool whole = true;
    for (std::size_t d = 0; d < diets.size(); ++d) {
        trial::DesignDiet diet = diet_of(job, diets[d], question.test, series.equal);
        whole = whole && diet.possible;
        if (diet.possible) {
            names.push_back(diet.name);
            const search::Weighing weighing =
                search::weigh_diet(job, question, diets, d, request.weigh.read(), solve);
            if (weighing.amounts.empty()) {
                whole = false;
                diet.weighing_reason =
                    "no weights in these steps meet every limit; try a finer scale or a larger "
                    "batch";
            } else {
                double protein = 0;
                for (std::size_t i = 0; i < weighing.amounts.size(); ++i) {
                    diet.parts[i].grams = static_cast<double>(weighing.micrograms[i]) / 1e6;
                    const catalog::Amount* content =
                        job.ingredients[i].composition.find("crude_protein");
                    if (content != nullptr) protein += weighing.amounts[i] * content->value;
                }
                diet.protein_weighed = protein;
                proteins.push_back(protein);
                if (request.weigh.sheet) {
                    job::Job named = job;
                    named.title = diet.name;
                    const sheet::MixingPlan plan = sheet::plan_mixing(
                        named, weighing, sheet::load_practice(*context.library().files()));
                    sheets.push_back(report::sheet_document(named, weighing, plan, {}));
                }
            }
        }
        series.diets.push_back(std::move(diet));
    }
    if (proteins.size() > 1) {
        series.protein_spread = trial::spread(proteins);
        whole = whole && *series.protein_spread <= trial::equal_protein_points;
    }
    if (names.size() > 1) {
        series.plan = trial::draw_plan(names, tanks, blocks, static_cast<std::uint64_t>(seed));
    }
    add_sensitivities(request, cv, static_cast<int>(names.size()), series);

    auto settings = request.options.settings();
    settings.emplace_back("test", request.test);
    settings.emplace_back("reference", request.reference);
    settings.emplace_back("tanks", request.tanks);
    settings.emplace_back("blocks", request.blocks);
    settings.emplace_back("seed", request.seed);
    for (auto& item : request.weigh.settings())
        settings.push_back(std::move(item));
    for (auto& item : request.search.settings())
        settings.push_back(std::move(item));
    std::vector<std::string> inputs = job.inputs;
    if (!request.pilot.empty()) inputs.push_back(request.pilot);
    const report::Run about = context.run(inputs, std::move(settings));
    document::Document document = report::design_document(series, judged, about);
    for (document::Document& sheet : sheets) {
        document.blocks.push_back(document::Heading{std::move(sheet.title)});
        for (document::Block& block : sheet.blocks)
            document.blocks.push_back(std::move(block));
    }
    context.show(document, [&] { return report::design_json(series, judged, about); });
    return whole ? ExitStatus::success : ExitStatus::no_mix;
}

}  // namespace

Command trial_design_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{
        "design",
        "Formulate a control and a series of diets equal in protein, and draw a tank plan"};
    const char* what = "What to try";
    const char* tanks = "Tanks";
    command.add({
        required({"job", &request->job, "JOB", "Job file (JSON)"}),
        required({"--test", &request->test, "ID", "The ingredient on trial", what}),
        required({"--reference", &request->reference, "ID",
                  "The ingredient whose protein it replaces", what}),
        required(listed(
            {"--levels", &request->levels, "LIST",
             "Percent of that protein to replace, such as 10,20,40; a control is always made",
             what})),
        listed({"--equal", &request->equal, "LIST",
                "Nutrients all diets have as much of as the control, besides crude protein: "
                "crude_lipid,digestible_energy",
                what}),
        {"--tanks", &request->tanks, "N", "Tanks for each diet (3)", tanks},
        {"--blocks", &request->blocks, "N", "Blocks that each hold every diet (0: none)", tanks},
        {"--seed", &request->seed, "N", "Draws the tank plan; another seed, another plan (1)",
         tanks},
        {"--cv", &request->cv, "PERCENT",
         "How much tanks on one diet vary, percent: how many tanks show what difference", tanks},
        {"--pilot", &request->pilot, "DATA.csv", "Take that from the growth in this trial's data",
         tanks},
    });
    request->options.add_to(command);
    request->weigh.add_to(command);
    request->search.add_to(command);
    add_common_options(command, context);
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
