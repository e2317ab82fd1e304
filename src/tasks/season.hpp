// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"
#include "economics/plan.hpp"
#include "economics/season.hpp"
#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "limits/findings.hpp"
#include "limits/mix.hpp"
#include "lp/solver.hpp"
#include "search/season.hpp"

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::tasks {

/// A season file, or else the text that such a file would hold, whose paths are found from the
/// current folder.
struct SeasonRequest {
    std::string file;
    lp::SolveOptions solve{};
    std::string text{};
};

/// A home feed of the season.
struct SeasonMix {
    std::shared_ptr<const job::Job> job;  ///< settled, with what can be had in that period
    limits::Mix mix;                      ///< per kg of finished feed
    double weighed_in_kg = 0;
    limits::Assessment assessment;
    limits::Judgement judgement;
};

/// What some animals get in a period. A need of nothing is not listed.
struct SeasonFed {
    std::size_t animals = 0;
    std::size_t period = 0;
    double need_kg = 0;
    bool is_gain = false;  ///< the need is of gain, else of feed
    double home_kg = 0;
    struct Bought {
        std::string name;
        double kg = 0;
    };
    std::vector<Bought> bought;
    std::optional<SeasonMix> mix;
    double missing_kg = 0;      ///< of the need, where no plan meets all needs
    bool home_allowed = false;  ///< a home feed may be given
    /// No mix of what can be had meets the limits of these animals, whatever there is of it.
    bool no_mix = false;
    std::vector<std::string> clash;  ///< then, where needs are not met: names of limits that clash
};

/// What was sold of some animals.
struct SeasonIncome {
    std::string animals;
    std::string name;
    double amount = 0;
    double money = 0;
};

/// How a season with ranges may turn out, in random cases.
struct SeasonCases {
    std::size_t cases = 0;
    /// Cases in which the plan costs less than buying all feed; empty where that is not possible.
    std::optional<double> pays_percent;
    double short_percent = 0;  ///< cases in which the plan cannot feed all animals
    /// Of the others, what the plan costs: 5, 50 and 95 of 100 cost no more.
    double low = 0;
    double middle = 0;
    double high = 0;
    /// What knowing the numbers beforehand would save, on average.
    double value_of_knowing = 0;
};

/// A plan whose growth does not follow the water.
struct SeasonGrowth {
    std::string animals;
    economics::GrowthCaution caution;
};

struct SeasonOf {
    economics::Season season;
    std::vector<job::Choice> ingredients;    ///< of the season, in its order, with their ids
    search::SeasonPlan plan;                 ///< its stocks are in that order
    std::vector<SeasonFed> fed;              ///< by animals, then by period
    std::optional<limits::Verdict> verdict;  ///< the worst of the mixes; empty where none has one
    std::vector<SeasonIncome> income;
    std::optional<SeasonCases> cases;  ///< where there are ranges and a plan
    std::vector<SeasonGrowth> growth_cautions;
    std::vector<limits::CautionResult> cautions;
    std::vector<job::Note> notes;
    std::optional<double> finished_moisture;
    bool moisture_assumed = false;
    std::vector<std::string> inputs;

    double total_income() const {
        double sum = 0;
        for (const SeasonIncome& one : income)
            sum += one.money;
        return sum;
    }
    bool solved() const { return plan.status == lp::Status::optimal; }
};

/// The cheapest way to feed the animals of a season. That not all can be fed is a result.
SeasonOf season(const SeasonRequest& request, catalog::Library& library);

}  // namespace feedwright::tasks
