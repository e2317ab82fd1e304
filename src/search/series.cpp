// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/series.hpp"

#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "job/portion.hpp"
#include "search/cheapest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

namespace feedwright::search {

namespace {

// Among mixes equally near to the control the cheapest is taken: what money weighs against
// nearness.
constexpr double cost_weight = 1e-6;

// Changes are relative to the control's amount: half a point is much of a salt and little of a
// grain. Less than this, kg per kg of feed, counts as this, and so does an ingredient that the
// control has none of.
constexpr double least_base = 0.01;

// Crude protein and what else is to be equal, each once.
std::vector<std::string> equal_nutrients(const SeriesQuestion& question) {
    std::vector<std::string> list{"crude_protein"};
    for (const std::string& nutrient : question.equal) {
        if (std::find(list.begin(), list.end(), nutrient) == list.end()) list.push_back(nutrient);
    }
    return list;
}

// An unknown amount counts as 0 here: the ingredient is held alike in all diets, so it takes no
// part in what is compared.
double content_of(const job::Choice& choice, const std::string& nutrient) {
    const catalog::Amount* amount = choice.composition.find(nutrient);
    return amount != nullptr ? amount->value : 0;
}

bool is_held(const job::Choice& choice, const std::vector<std::string>& equal) {
    return std::any_of(equal.begin(), equal.end(), [&](const std::string& nutrient) {
        return choice.composition.find(nutrient) == nullptr;
    });
}

class SeriesDesigner {
  public:
    SeriesDesigner(const job::Job& job, const SeriesQuestion& question,
                   const lp::SolveOptions& options)
        : job_(job), question_(question), options_(options), equal_(equal_nutrients(question)) {}

    std::vector<SeriesDiet> design() {
        check_question();
        std::vector<SeriesDiet> diets{control()};
        if (diets.front().amounts.empty()) return diets;
        control_ = diets.front().amounts;
        if (!(control_[reference_] > 0)) {
            throw base::DataError(base::Diagnostic{
                job_.file, "ingredient " + question_.reference, "none of it in the control",
                "some, because its protein is to be replaced",
                "Give it a \"min\" in the job, or name another reference"});
        }
        feed_ = cheapest_program(job_);
        for (const double level : question_.levels)
            diets.push_back(at_level(level));
        return diets;
    }

  private:
    std::size_t index_of(const std::string& id, const char* what,
                         base::Diagnostics& problems) const {
        for (std::size_t i = 0; i < job_.ingredients.size(); ++i) {
            if (job_.ingredients[i].id == id) return i;
        }
        problems.add({job_.file, what, fmt::format("\"{}\"", id), "an ingredient of the job",
                      base::did_you_mean(id, job_.ingredient_ids())});
        return 0;
    }

    void check_question() {
        base::Diagnostics problems;
        test_ = index_of(question_.test, "--test", problems);
        reference_ = index_of(question_.reference, "--reference", problems);
        if (question_.test == question_.reference) {
            problems.add({job_.file, "--test", "the same ingredient as the reference", "two", {}});
        }
        if (const auto& min = job_.ingredients[test_].min; min && *min > 0 && problems.empty()) {
            problems.add({job_.file, "ingredient " + question_.test,
                          fmt::format("a \"min\" of {} %", base::shortest(*min)),
                          "none: the control is made without the ingredient on trial",
                          "Take its \"min\" off; the levels say how much of it each diet has"});
        }
        if (job::Portion(job_).is_ration()) {
            problems.add({job_.file, "/total", "a free total", "a mix that adds to 100 %", {}});
        }
        for (const double level : question_.levels) {
            if (level > 0 && level <= 100) continue;
            problems.add(
                {job_.file, "--levels", base::shortest(level), "percent above 0, at most 100", {}});
        }
        for (const std::string& nutrient : equal_) {
            if (job_.dictionary.find(nutrient) == nullptr) {
                problems.add(
                    {job_.file, "--equal", fmt::format("\"{}\"", nutrient), "a nutrient's id", {}});
                continue;
            }
            for (const std::size_t i : {test_, reference_}) {
                const job::Choice& choice = job_.ingredients[i];
                if (choice.composition.find(nutrient) != nullptr) continue;
                problems.add({job_.file, "ingredient " + choice.id, "no value for " + nutrient,
                              "one, because all diets are to have the same",
                              "Give it a value of its own"});
            }
        }
        problems.throw_if_any();
    }

    SeriesDiet control() const {
        job::Job without = job_;
        without.ingredients[test_].max = 0;
        const Formulation mix = formulate(without, options_);
        SeriesDiet diet;
        diet.status = mix.status;
        if (mix.amounts.empty()) {
            const bool none = mix.message.empty();
            diet.missing = NoDiet{none ? NoDiet::Why::no_control : NoDiet::Why::search,
                                  name(test_),
                                  0,
                                  0,
                                  {},
                                  {},
                                  mix.message};
            return diet;
        }
        static_cast<limits::Mix&>(diet) = mix;
        diet.assessment = limits::assess(job_, limits::limits_of(job_), diet.amounts);
        return diet;
    }

    const std::string& name(std::size_t i) const { return job_.ingredients[i].name; }

    double content(std::size_t i, const std::string& nutrient) const {
        return content_of(job_.ingredients[i], nutrient);
    }

    // An ingredient whose own limits stop short of what a level takes of it.
    std::optional<NoDiet> past_limit(std::size_t i, double wanted) const {
        constexpr double hair = 1e-9;
        const lp::Column& column = feed_->program().columns()[i];
        NoDiet missing{NoDiet::Why::past_limit, name(i), 100 * wanted, 0, {}, {}, {}};
        if (column.upper && wanted > *column.upper + hair) {
            missing.number = 100 * *column.upper;
        } else if (column.lower && wanted < *column.lower - hair) {
            missing.number = 100 * *column.lower;
        } else {
            return std::nullopt;
        }
        return missing;
    }

    // The mix nearest to the control: columns are the job's ingredients (and whether they are
    // used), then how far each but the two is above and below the control.
    struct Nearest {
        FeedProgram feed;
        std::vector<std::size_t> equal;  // the row of each nutrient that is held the same
    };
    Nearest nearest(double test_amount, double reference_amount) const {
        Nearest result{*feed_, {}};
        lp::LinearProgram& program = result.feed.program();
        double dearest = 0;
        for (const job::Choice& choice : job_.ingredients) {
            dearest = std::max(dearest, std::abs(*choice.price));
        }
        for (std::size_t i = 0; i < job_.ingredients.size(); ++i) {
            const double price = *job_.ingredients[i].price;
            program.set_cost(i, dearest > 0 ? cost_weight * price / dearest : 0);
            if (i == test_ || i == reference_) continue;
            result.feed.add_distance(i, control_[i], 1 / std::max(control_[i], least_base));
        }
        for (std::size_t i = 0; i < job_.ingredients.size(); ++i) {
            if (is_held(job_.ingredients[i], equal_)) {
                program.set_column_limits(i, control_[i], control_[i]);
            }
        }
        program.set_column_limits(test_, test_amount, test_amount);
        program.set_column_limits(reference_, reference_amount, reference_amount);
        for (const std::string& nutrient : equal_) {
            limits::Limit equal;
            equal.id = "equal:" + nutrient;
            for (std::size_t i = 0; i < job_.ingredients.size(); ++i)
                equal.amount.push_back(content(i, nutrient));
            equal.min = equal.max = limits::value_of(equal, control_);
            result.equal.push_back(result.feed.add_other(equal).front());
        }
        return result;
    }

    SeriesDiet at_level(double level) const {
        SeriesDiet diet;
        diet.level = level;
        const double protein = content(reference_, "crude_protein") * control_[reference_];
        const double test_protein = content(test_, "crude_protein");
        const double test_amount = test_protein > 0 ? level / 100 * protein / test_protein : 0;
        const double reference_amount = (1 - level / 100) * control_[reference_];
        diet.status = lp::Status::infeasible;
        if (!(test_protein > 0)) {
            diet.missing = NoDiet{NoDiet::Why::no_protein, name(test_), 0, 0, {}, {}, {}};
            return diet;
        }
        diet.missing = past_limit(test_, test_amount);
        if (!diet.missing) diet.missing = past_limit(reference_, reference_amount);
        if (diet.missing) return diet;
        const Nearest near = nearest(test_amount, reference_amount);
        const lp::LinearProgram& program = near.feed.program();
        const lp::Solution solution = lp::solve(program, options_);
        diet.status = solution.status;
        if (solution.status == lp::Status::infeasible) {
            diet.missing = obstacle(near);
            return diet;
        }
        if (solution.status != lp::Status::optimal || !certified(program, solution)) {
            if (solution.status == lp::Status::optimal) diet.status = lp::Status::failed;
            diet.missing = NoDiet{NoDiet::Why::search, {}, 0, 0, {}, {}, solution.message};
            return diet;
        }
        static_cast<limits::Mix&>(diet) =
            limits::mix_of(job_, feed_->limits(), near.feed.amounts_at(solution.primal));
        for (std::size_t i = 0; i < diet.amounts.size(); ++i) {
            if (i != test_ && i != reference_)
                diet.distance += std::abs(diet.amounts[i] - control_[i]);
        }
        diet.assessment = limits::assess(job_, feed_->limits(), diet.amounts);
        return diet;
    }

    // Of an integer program only the primal part can be held to 0; its gap is the solver's to keep.
    static bool certified(const lp::LinearProgram& program, const lp::Solution& solution) {
        const lp::Certificate proof = lp::certify(program, solution);
        return program.has_integers() ? proof.primal_residual <= 1e-7 : proof.holds();
    }

    bool solves(const lp::LinearProgram& program) const {
        return lp::solve(program, options_).status == lp::Status::optimal;
    }

    // What stands in the way: every single limit, of the job's or of what is to be equal, without
    // which there is a mix.
    NoDiet obstacle(const Nearest& near) const {
        const lp::LinearProgram& program = near.feed.program();
        NoDiet missing{NoDiet::Why::out_of_reach, {}, 0, 0, {}, {}, {}};
        for (std::size_t k = 0; k < equal_.size(); ++k) {
            lp::LinearProgram freed = program;
            freed.set_row_limits(near.equal[k], std::nullopt, std::nullopt);
            if (solves(freed)) missing.equal.push_back(job_.dictionary.find(equal_[k])->name);
        }
        for (const Place& side : feed_->places()) {
            const limits::Limit& limit = feed_->limit_of(side.side);
            const bool is_min = side.side.is_min;
            if (limit.kind == limits::LimitKind::balance) continue;
            lp::LinearProgram freed = program;
            if (side.row) {
                freed.set_row_limits(*side.row, std::nullopt, std::nullopt);
            } else if (*side.column != test_ && *side.column != reference_) {
                const lp::Column& column = program.columns()[*side.column];
                freed.set_column_limits(*side.column, is_min ? std::optional(0.0) : column.lower,
                                        is_min ? column.upper : std::nullopt);
            } else {
                continue;
            }
            if (solves(freed)) missing.limits.push_back(limits::asked_side(limit, is_min));
        }
        return missing;
    }

    const job::Job& job_;
    const SeriesQuestion& question_;
    const lp::SolveOptions& options_;
    std::vector<std::string> equal_;
    std::size_t test_ = 0;
    std::size_t reference_ = 0;
    std::vector<double> control_;
    std::optional<FeedProgram> feed_;
};

}  // namespace

std::vector<SeriesDiet> design_series(const job::Job& job, const SeriesQuestion& question,
                                      const lp::SolveOptions& options) {
    return SeriesDesigner(job, question, options).design();
}

std::vector<std::string> held_alike(const job::Job& job, const SeriesQuestion& question) {
    std::vector<std::string> ids;
    for (const job::Choice& choice : job.ingredients) {
        if (is_held(choice, equal_nutrients(question))) ids.push_back(choice.id);
    }
    return ids;
}

Weighing weigh_diet(const job::Job& job, const SeriesQuestion& question,
                    const std::vector<SeriesDiet>& diets, std::size_t which,
                    const WeighingScale& scale, const lp::SolveOptions& options) {
    const std::vector<double>& exact = diets[which].amounts;
    const double weighed_in = diets[which].weighed_in;
    Formulation mix;
    static_cast<limits::Mix&>(mix) = diets[which];

    if (!job.batch_kg) return weigh(job, mix, scale, options);  // which says what is lacking

    const std::vector<std::string> equal = equal_nutrients(question);
    job::Job held = job;
    for (std::string nutrient : equal) {
        double amount = 0;
        for (std::size_t i = 0; i < exact.size(); ++i) {
            amount += content_of(job.ingredients[i], nutrient) * diets[0].amounts[i];
        }
        const double room = nutrient == "crude_protein" ? protein_tolerance : 0.005 * amount;
        const auto same = std::find_if(held.limits.begin(), held.limits.end(), [&](const auto& l) {
            return l.nutrient == nutrient && l.basis == catalog::Basis::as_fed && !l.advisory;
        });
        job::NutrientLimit limit;
        if (same != held.limits.end()) limit = *same;
        limit.nutrient = std::move(nutrient);
        limit.min = std::max(limit.min.value_or(amount - room), amount - room);
        limit.max = std::min(limit.max.value_or(amount + room), amount + room);
        if (same != held.limits.end()) {
            *same = std::move(limit);
        } else {
            held.limits.push_back(std::move(limit));
        }
    }
    // A few steps of room about each exact weight, more where the first are too few.
    Weighing result;
    for (const double steps : {2.0, 6.0, 20.0}) {
        job::Job pinned = held;
        for (std::size_t i = 0; i < exact.size(); ++i) {
            job::Choice& choice = pinned.ingredients[i];
            const double batch_g = 1000 * *job.batch_kg;
            const double grams = exact[i] * batch_g;
            const bool fine = scale.fine_step_g && grams < scale.fine_below_g;
            // Half a step leaves one weight, the same in every diet.
            const double most_steps = is_held(choice, equal) ? 0.5 : steps;
            const double room = most_steps * (fine ? *scale.fine_step_g : scale.step_g);
            const double percent = 100 / (weighed_in * batch_g);
            const double most = exact[i] > 0 ? (grams + room) * percent : 0;
            choice.min = std::max(choice.min.value_or(0), (grams - room) * percent);
            choice.max = std::min(choice.max.value_or(most), most);
            choice.min_if_used.reset();
        }
        pinned.at_most.reset();
        result = weigh(pinned, mix, scale, options);
        if (!result.amounts.empty()) break;
    }
    return result;
}

}  // namespace feedwright::search
