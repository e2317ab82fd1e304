// SPDX-License-Identifier: GPL-3.0-or-later
#include "batch/batch.hpp"

#include "base/diagnostics.hpp"
#include "batch/layout.hpp"
#include "batch/picture.hpp"
#include "batch/pipeline.hpp"
#include "batch/tally.hpp"
#include "job/portion.hpp"
#include "lp/cone_repricer.hpp"
#include "lp/repricer.hpp"
#include "search/cheapest.hpp"
#include "search/explain.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <utility>

namespace feedwright::batch {

namespace {

// The job with something in place of every price it lacks: a walk has to start somewhere.
job::Job with_all_prices(job::Job job) {
    double sum = 0;
    double count = 0;
    for (const job::Choice& choice : job.ingredients) {
        if (!choice.price) continue;
        sum += *choice.price;
        ++count;
    }
    for (job::Choice& choice : job.ingredients) {
        if (!choice.price) choice.price = count > 0 ? sum / count : 1;
    }
    return job;
}

}  // namespace

struct Batch::Layout {
    LineFormat::Shared shared;
    std::string header;
};

struct Batch::Plan {
    Plan(const job::Job& given, const LineFormat::Shared& shared)
        : job(given),
          priced(with_all_prices(given)),
          program(search::cheapest_program(priced)),
          format(shared, given, program.limits(), given.file) {
        cones = program.cones();
        if (program.program().has_integers()) {
            if (!cones.empty()) planes = lp::solve(program.program(), cones).planes;
        } else if (cones.empty()) {
            repricer.emplace(program.program());
        } else {
            cone_repricer.emplace(program.program(), cones);
            planes = cone_repricer->planes();
        }
    }

    job::Job job;
    job::Job priced;  ///< what the program is of
    search::FeedProgram program;
    LineFormat format;
    std::optional<lp::Repricer> repricer;           ///< none where whole numbers are asked for
    std::optional<lp::ConeRepricer> cone_repricer;  ///< in its place where sureness is
    std::vector<lp::Cone> cones;
    std::vector<lp::Plane> planes;  ///< of the cones; where no repricer helps every list starts so
};

// Answers lists for one job, in one thread.
class Batch::Solver {
  public:
    Solver(const Plan& plan, const IngredientSet& ingredients, bool want_shadow)
        : plan_(plan), job_(plan.job), portion_(plan.job), want_shadow_(want_shadow) {
        if (plan.repricer) repricer_.emplace(plan.repricer->another());
        if (plan.cone_repricer) cone_repricer_.emplace(plan.cone_repricer->another());
        for (const job::Choice& choice : job_.ingredients) {
            numbers_.push_back(ingredients.find(choice.id).value());
        }
        costs_.resize(job_.ingredients.size());
    }

    // The answer stays valid until the next call.
    const Answer& solve(const Quotes& quotes, Tally& tally) {
        answer_.list = quotes.name;
        answer_.picture = nullptr;
        answer_.shadow.clear();
        reason_ = quotes.problem;
        if (reason_.empty()) take_prices(quotes);
        if (!reason_.empty()) {
            answer_.status = "error";
        } else if (never_has_mix()) {
            answer_.status = "infeasible";
        } else if (walk_to_optimum()) {
            recall();
        } else {
            formulate_anew();
        }
        if (answer_.status == "infeasible") {
            reason_ = "no mix meets all limits of the job; \"feedwright formulate\" says why";
        }
        answer_.reason = reason_;
        tally.add(answer_, answer_.picture != nullptr && known_);
        return answer_;
    }

  private:
    // Whatever the prices: they are in no limit.
    bool never_has_mix() const {
        const auto none = [](const auto& repricer) {
            return repricer && repricer->status() == lp::Status::infeasible;
        };
        return none(repricer_) || none(cone_repricer_);
    }

    bool walk_to_optimum() {
        if (repricer_) return repricer_->solve(costs_, priced_);
        // What a sure limit is worth is told by the planes of its own solve.
        return cone_repricer_ && !want_shadow_ && cone_repricer_->solve(costs_, priced_);
    }

    void take_prices(const Quotes& quotes) {
        for (std::size_t i = 0; i < costs_.size(); ++i) {
            const double price = quotes.prices[numbers_[i]];
            if (price != no_price) {
                costs_[i] = price;
            } else if (job_.ingredients[i].price) {
                costs_[i] = *job_.ingredients[i].price;
            } else {
                reason_ = fmt::format("no price for {}, neither in the list nor in the job",
                                      job_.ingredients[i].id);
                return;
            }
        }
    }

    void set_costs(const Picture& picture) {
        answer_.status = "optimal";
        answer_.picture = &picture;
        answer_.cost = 0;
        for (std::size_t k = 0; k < picture.used.size(); ++k) {
            answer_.cost += costs_[picture.used[k]] * picture.amounts[k];
        }
        const double feed = portion_.feed_kg(picture.weighed_in);
        answer_.cost_per_kg = feed > 0 ? answer_.cost / feed : answer_.cost;
    }

    void recall() {
        known_ = priced_.known;
        if (!*priced_.note) {
            auto drawn = std::make_shared<Picture>();
            draw(job_, plan_.program, priced_.primal, costs_.size(), want_shadow_, *drawn);
            plan_.format.describe(*drawn);
            *priced_.note = std::move(drawn);
        }
        const auto& picture = *static_cast<const Picture*>(priced_.note->get());
        set_costs(picture);
        answer_.proof = largest(priced_.certificate);
        if (!want_shadow_) return;
        if (picture.has_one_price_each) {
            picture.shadow_prices(priced_, answer_.shadow);
        } else {
            price_limits(picture);
        }
    }

    // Where more limits meet in the mix than fix it, what one of them is worth depends on the way
    // its number moves, and is worked out as for the report of one mix.
    void price_limits(const Picture& picture) {
        const job::Job job = with_costs();
        search::Formulation result;
        std::vector<double> amounts(costs_.size());
        for (std::size_t k = 0; k < picture.used.size(); ++k)
            amounts[picture.used[k]] = picture.amounts[k];
        result.status = lp::Status::optimal;
        result.unique_in_use = priced_.unique;
        static_cast<limits::Mix&>(result) = limits::mix_of(job, std::move(amounts));
        result.assessment = limits::assess(job, plan_.program.limits(), result.amounts);
        add_shadow_prices(job, picture, result);
    }

    void add_shadow_prices(const job::Job& job, const Picture& picture,
                           search::Formulation& result) {
        search::price_limits(job, search::cheapest_program(job), result);
        for (const std::size_t limit : picture.binding) {
            const auto& price = result.assessment.limits[limit].shadow_price;
            if (price) answer_.shadow.emplace_back(limit, *price);
        }
    }

    job::Job with_costs() const {
        job::Job job = job_;
        for (std::size_t i = 0; i < costs_.size(); ++i)
            job.ingredients[i].price = costs_[i];
        return job;
    }

    void formulate_anew() {
        known_ = false;
        const job::Job job = with_costs();
        search::Formulation result =
            plan_.cones.empty() ? search::formulate(job) : formulate_surely(job);
        switch (result.status) {
            case lp::Status::optimal:
                break;
            case lp::Status::infeasible:
                answer_.status = "infeasible";
                return;
            case lp::Status::unbounded:
                answer_.status = "unbounded";
                reason_ = "nothing limits how far the cost can fall";
                return;
            case lp::Status::limit:
            case lp::Status::failed:
                answer_.status = "failed";
                reason_ = result.message;
                return;
        }
        anew_ = std::make_unique<Picture>();
        draw(job_, plan_.program, result.amounts, costs_.size(), false, *anew_);
        plan_.format.describe(*anew_);
        set_costs(*anew_);
        answer_.proof = largest(result.proof);
        if (want_shadow_) add_shadow_prices(job, *anew_, result);
    }

    // The program is the job's; only prices differ.
    search::Formulation formulate_surely(const job::Job& job) {
        search::FeedProgram feed = plan_.program;
        for (std::size_t i = 0; i < costs_.size(); ++i)
            feed.program().set_cost(i, costs_[i]);
        return search::formulate(job, feed, {}, plan_.cones, plan_.planes);
    }

    static double largest(const lp::Certificate& proof) {
        return std::max({proof.primal_residual, proof.dual_residual, proof.duality_gap});
    }

    const Plan& plan_;
    const job::Job& job_;
    job::Portion portion_;
    bool want_shadow_;
    std::optional<lp::Repricer> repricer_;
    std::optional<lp::ConeRepricer> cone_repricer_;
    std::vector<std::size_t> numbers_;
    std::vector<double> costs_;
    lp::Repriced priced_;
    std::unique_ptr<Picture> anew_;
    Answer answer_;
    std::string reason_;
    bool known_ = false;
};

namespace {

struct PieceResult {
    std::string text;
    std::size_t lines = 0;
    std::optional<double> fetched;
    std::vector<Tally> tallies;
};

}  // namespace

Batch::Batch(const std::vector<job::Job>& jobs, Form form, Columns columns)
    : layout_(std::make_unique<Layout>()) {
    LineFormat::Shared& shared = layout_->shared;
    shared.form = form;
    shared.columns = columns;
    shared.name_jobs = jobs.size() > 1;
    std::set<std::string> ingredients;
    for (const job::Job& job : jobs) {
        shared.any_ration = shared.any_ration || job::Portion(job).is_ration();
        for (const job::Choice& choice : job.ingredients)
            ingredients.insert(choice.id);
    }
    shared.ingredients.assign(ingredients.begin(), ingredients.end());
    for (const job::Job& job : jobs)
        plans_.push_back(std::make_unique<Plan>(job, shared));
    std::set<std::string> limits;
    for (const auto& plan : plans_) {
        for (const limits::Limit& limit : plan->program.limits()) {
            if (!limit.advisory) limits.insert(limit.id);
        }
    }
    shared.limits.assign(limits.begin(), limits.end());
    for (const auto& plan : plans_)
        plan->format.find_limit_columns(plan->program.limits());
    layout_->header = shared.header();
}

Batch::~Batch() = default;

std::size_t Batch::jobs() const {
    return plans_.size();
}

const std::string& Batch::header() const {
    return layout_->header;
}

std::vector<Summary> Batch::run(Lists& lists, const IngredientSet& ingredients, unsigned threads,
                                LineSink& sink, const Watch& watch) const {
    const bool want_shadow = layout_->shared.columns.shadow;
    const auto make_work = [&] {
        auto solvers = std::make_shared<std::vector<Solver>>();
        solvers->reserve(plans_.size());
        for (const auto& plan : plans_) {
            solvers->emplace_back(*plan, ingredients, want_shadow);
        }
        return [this, &lists, solvers = std::move(solvers)](const Piece& piece) {
            PieceResult result;
            result.fetched = piece.fetched;
            for (const auto& plan : plans_) {
                result.tallies.emplace_back(plan->job.ingredients.size(),
                                            plan->program.limits().size());
            }
            lists.read(piece, [&](const Quotes& quotes) {
                for (std::size_t k = 0; k < plans_.size(); ++k) {
                    const Answer& answer = (*solvers)[k].solve(quotes, result.tallies[k]);
                    plans_[k]->format.write(result.text, answer);
                    ++result.lines;
                }
            });
            return result;
        };
    };
    std::vector<TallySum> sums;
    for (const auto& plan : plans_) {
        sums.emplace_back(plan->job.ingredients.size(), plan->program.limits().size());
    }
    Progress progress;
    run_in_order<PieceResult>(lists, threads, make_work, [&](PieceResult&& result) {
        sink.write(result.text);
        for (std::size_t k = 0; k < sums.size(); ++k)
            sums[k].add(std::move(result.tallies[k]));
        progress.lines += result.lines;
        progress.done = result.fetched;
        if (watch) watch(progress);
    });
    sink.close();
    std::vector<Summary> summaries;
    for (std::size_t k = 0; k < plans_.size(); ++k) {
        Summary summary = sums[k].take();
        const job::Job& job = plans_[k]->job;
        summary.subject = job.title.empty() ? job.file : job.title;
        summary.currency = job.currency;
        for (std::size_t i = 0; i < job.ingredients.size(); ++i) {
            summary.uses[i].id = job.ingredients[i].id;
        }
        const auto& limits = plans_[k]->program.limits();
        for (std::size_t i = 0; i < limits.size(); ++i)
            summary.held[i].id = limits[i].id;
        std::erase_if(summary.held, [&](const Held& held) { return held.lists == 0; });
        summaries.push_back(std::move(summary));
    }
    return summaries;
}

}  // namespace feedwright::batch
