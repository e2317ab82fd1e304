// SPDX-License-Identifier: GPL-3.0-or-later
// Mixes in whole steps of a scale, held against whole-number arithmetic and against COIN-OR's Cbc.
#include "search/cheapest.hpp"
#include "search/weighing.hpp"
#include "support/catch.hpp"

#include <coin/Cbc_C_Interface.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <memory>
#include <optional>
#include <random>
#include <string>
#include <vector>

using namespace feedwright;

namespace {

__extension__ using Whole = __int128;  // every product below stays under 10^32

constexpr std::size_t nutrients = 5;
constexpr const char* names[nutrients] = {"protein", "fat", "lysine", "calcium", "phosphorus"};

// A job whose every number is a whole number of hundredths, kept beside the job as such.
struct Case {
    job::Job job;
    search::WeighingScale scale;
    std::vector<std::vector<int>> content;  // [ingredient][nutrient], hundredths of a percent
    std::vector<int> dry;                   // hundredths of a percent
    struct Bound {
        std::size_t nutrient = 0;
        std::optional<int> min;
        std::optional<int> max;
        bool of_dry = false;
    };
    std::vector<Bound> bounds;
};

class Maker {
  public:
    explicit Maker(unsigned seed) : random_(seed) {}

    Case make() {
        Case made;
        job::Job& job = made.job;
        job.batch_kg = pick({1.3, 5, 20, 25});
        const int count = 4 + below(9);
        if (below(4) == 0) job.finished_moisture = 10;
        for (std::size_t n = 0; n < nutrients; ++n) {
            catalog::Nutrient nutrient;
            nutrient.id = names[n];
            nutrient.name = names[n];
            nutrient.unit = "%";
            job.dictionary.add(nutrient);
        }
        catalog::Nutrient dry;
        dry.id = dry.name = "dry_matter";
        dry.unit = "%";
        job.dictionary.add(dry);
        for (int i = 0; i < count; ++i)
            add_ingredient(made, i);
        const std::vector<double> hidden = hidden_mix(made);
        add_bounds(made, hidden);
        if (below(3) == 0) {
            job.groups.push_back({"half", {}, {}, 100.0});
            double share = 0;
            for (std::size_t i = 0; i < hidden.size(); i += 2) {
                job.groups.back().ingredients.push_back(job.ingredients[i].id);
                share += hidden[i];
            }
            job.groups.back().max = std::min(100.0, std::ceil(100 * share) + below(3));
        }
        if (below(3) == 0)
            job.ratios.push_back(
                {"calcium", "phosphorus", ratio(made, hidden), {}, false, false, false, ""});
        if (below(4) == 0) job.at_most = std::max(3, count - below(3));
        made.scale.step_g = pick({1, 2, 5, 10});
        if (below(3) == 0) {
            made.scale.fine_step_g = made.scale.step_g / 10;
            made.scale.fine_below_g = 200;
        }
        return made;
    }

  private:
    int below(int n) { return std::uniform_int_distribution<int>(0, n - 1)(random_); }
    double pick(std::initializer_list<double> list) {
        return *(list.begin() + below(static_cast<int>(list.size())));
    }

    void add_ingredient(Case& made, int i) {
        job::Choice choice;
        choice.id = std::string("i") + static_cast<char>('a' + i);
        choice.name = choice.id;
        choice.price = 0.05 + below(200) / 100.0;
        const int dry = 2000 + below(7900);
        made.dry.push_back(made.job.finished_moisture ? dry : 8000 + below(1900));
        std::vector<int> content{below(5500), below(2000), below(400), below(300), below(200)};
        for (std::size_t n = 0; n < nutrients; ++n) {
            choice.composition.set(names[n], {content[n] / 100.0, catalog::Origin::stated, ""});
        }
        choice.composition.set("dry_matter",
                               {made.dry.back() / 100.0, catalog::Origin::stated, ""});
        made.content.push_back(std::move(content));
        made.job.ingredients.push_back(std::move(choice));
    }

    // Shares of what is weighed in; the limits are set so that this mix meets them.
    std::vector<double> hidden_mix(const Case& made) {
        std::vector<double> share(made.content.size());
        double sum = 0;
        for (double& s : share)
            sum += s = below(3) == 0 ? 0 : 1 + below(10);
        if (sum == 0) sum = share[0] = 1;
        for (double& s : share)
            s /= sum;
        return share;
    }

    double ratio(const Case& made, const std::vector<double>& hidden) {
        double calcium = 0;
        double phosphorus = 0.01;
        for (std::size_t i = 0; i < hidden.size(); ++i) {
            calcium += hidden[i] * made.content[i][3];
            phosphorus += hidden[i] * made.content[i][4];
        }
        return std::floor(90 * calcium / phosphorus) / 100;
    }

    void add_bounds(Case& made, const std::vector<double>& hidden) {
        double whole = 0;
        double dry = 0;
        for (std::size_t i = 0; i < hidden.size(); ++i) {
            dry += hidden[i] * made.dry[i] / 10000;
            whole += hidden[i];
        }
        const double finished = made.job.finished_moisture ? dry / 0.9 : whole;
        for (std::size_t n = 0; n < nutrients; ++n) {
            if (below(3) == 0) continue;
            Case::Bound bound;
            bound.nutrient = n;
            bound.of_dry = below(4) == 0;
            double value = 0;
            for (std::size_t i = 0; i < hidden.size(); ++i)
                value += hidden[i] * made.content[i][n];
            value /= bound.of_dry ? dry : finished;
            if (below(2) == 0) {
                bound.min = static_cast<int>(std::floor(value * 0.98));
            } else {
                bound.max = static_cast<int>(std::ceil(value * 1.02));
            }
            job::NutrientLimit limit;
            limit.nutrient = names[n];
            limit.basis = bound.of_dry ? catalog::Basis::dry_matter : catalog::Basis::as_fed;
            if (bound.min) limit.min = *bound.min / 100.0;
            if (bound.max) limit.max = *bound.max / 100.0;
            made.job.limits.push_back(limit);
            made.bounds.push_back(bound);
        }
        for (std::size_t i = 0; i < hidden.size(); ++i) {
            job::Choice& choice = made.job.ingredients[i];
            switch (below(8)) {
                case 0:
                    choice.max = std::ceil(100 * hidden[i]) + below(5);
                    break;
                case 1:
                    choice.min = std::floor(100 * hidden[i]);
                    break;
                case 2:
                    choice.min_if_used = 1 + below(4);
                    break;
                case 3:
                    choice.stock_kg =
                        std::ceil(20 * hidden[i] / finished * *made.job.batch_kg) / 20;
                    break;
                case 4:
                    // A share that is to be exact, which not every scale can weigh.
                    if (!made.job.finished_moisture && hidden[i] > 0) {
                        choice.min = choice.max = std::round(100 * hidden[i]);
                    }
                    break;
                default:
                    break;
            }
        }
    }

    std::mt19937 random_;
};

Whole sign_of(const Case& made, const Case::Bound& bound, int number,
              const std::vector<std::int64_t>& weights) {
    // number is hundredths of a percent of the finished feed, or of dry matter (hundredths too).
    Whole sum = 0;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        const Whole weight = weights[i];
        Whole base = 10000 * weight;
        if (bound.of_dry)
            base = made.dry[i] * weight;
        else if (made.job.finished_moisture)
            base = made.dry[i] * weight * 10 / 9;
        if (!bound.of_dry && made.job.finished_moisture) {
            sum += 9 * 10000 * weight * made.content[i][bound.nutrient];
            sum -= Whole{number} * made.dry[i] * weight * 10;
        } else {
            sum += 10000 * weight * made.content[i][bound.nutrient];
            sum -= Whole{number} * base;
        }
    }
    return sum;
}

// Every limit of the case by whole-number arithmetic alone; returns what is wrong, or nothing.
std::string fault(const Case& made, const std::vector<std::int64_t>& weights) {
    const job::Job& job = made.job;
    const auto batch = static_cast<Whole>(std::llround(*job.batch_kg * 1e9));
    Whole total = 0;
    Whole dry = 0;
    int used = 0;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        if (weights[i] < 0) return "a weight below zero";
        total += weights[i];
        dry += Whole{made.dry[i]} * weights[i];
        used += weights[i] > 0 ? 1 : 0;
        const auto step = std::llround(made.scale.step_g * 1e6);
        const auto fine = std::llround(made.scale.fine_step_g.value_or(made.scale.step_g) * 1e6);
        const bool small = weights[i] <= std::llround(made.scale.fine_below_g * 1e6);
        if (weights[i] % step != 0 &&
            !(made.scale.fine_step_g && small && weights[i] % fine == 0)) {
            return "not a whole number of steps";
        }
    }
    // The finished feed is within a step of the batch; exactly the batch where nothing hinders it.
    const Whole step = std::llround(made.scale.step_g * 1e6);
    if (job.finished_moisture) {
        const Whole off = dry - batch * 9000;  // hundredths of a percent of a microgram
        if (off > step * 9000 || -off > step * 9000) return "not the batch";
    } else if (made.scale.fine_step_g) {
        if (total - batch > step || batch - total > step) return "not the batch";
    } else if (total != batch) {
        return "not the batch";
    }
    if (job.at_most && used > *job.at_most) return "too many ingredients";
    for (const Case::Bound& bound : made.bounds) {
        if (bound.min && sign_of(made, bound, *bound.min, weights) < 0)
            return names[bound.nutrient];
        if (bound.max && sign_of(made, bound, *bound.max, weights) > 0)
            return names[bound.nutrient];
    }
    for (std::size_t i = 0; i < weights.size(); ++i) {
        const job::Choice& choice = job.ingredients[i];
        const auto percent = [](double value) { return static_cast<Whole>(std::llround(value)); };
        if (choice.max && 100 * Whole{weights[i]} > percent(*choice.max) * total)
            return choice.id + " max";
        if (choice.min && 100 * Whole{weights[i]} < percent(*choice.min) * total)
            return choice.id + " min";
        if (choice.min_if_used && weights[i] > 0 &&
            100 * Whole{weights[i]} < percent(*choice.min_if_used) * batch) {
            return choice.id + " min_if_used";
        }
        if (choice.stock_kg && weights[i] > std::llround(*choice.stock_kg * 1e9))
            return choice.id + " stock";
    }
    for (const job::GroupLimit& group : job.groups) {
        Whole sum = 0;
        for (std::size_t i = 0; i < weights.size(); i += 2)
            sum += weights[i];
        if (100 * sum > static_cast<Whole>(std::llround(*group.max)) * total) return group.name;
    }
    for (const job::RatioLimit& ratio : job.ratios) {
        Whole sum = 0;
        for (std::size_t i = 0; i < weights.size(); ++i) {
            sum += Whole{weights[i]} *
                   (100 * Whole{made.content[i][3]} -
                    static_cast<Whole>(std::llround(*ratio.min * 100)) * made.content[i][4]);
        }
        if (sum < 0) return "ratio";
    }
    return "";
}

// The same question put to Cbc from the job's own numbers: whole steps of the ingredients that
// `weighing` may use, each on its scale. Returns the best cost per kg of finished feed, and
// weights.
struct CbcAnswer {
    bool optimal = false;
    double cost_per_kg = 0;
    std::vector<std::int64_t> weights;
};

CbcAnswer ask_cbc(const Case& made, const search::Formulation& exact, bool same) {
    const job::Job& job = made.job;
    const std::size_t count = job.ingredients.size();
    const double batch = *job.batch_kg * 1000;  // grams
    std::vector<double> step(count, made.scale.step_g);
    std::vector<double> upper(count);
    std::vector<double> finished(count, 1);
    bool loose = job.finished_moisture.has_value();
    for (std::size_t i = 0; i < count; ++i) {
        if (job.finished_moisture) finished[i] = made.dry[i] / 9000.0;
        upper[i] = std::floor((batch / finished[i] + 2 * made.scale.step_g) / step[i]);
        const double grams = exact.amounts[i] * batch;
        if (made.scale.fine_step_g && grams > 0 && grams < made.scale.fine_below_g) {
            step[i] = *made.scale.fine_step_g;
            upper[i] = std::floor(made.scale.fine_below_g / step[i] + 1e-6);
            loose = true;
        }
        if (same && !(exact.amounts[i] > 0)) upper[i] = 0;
        if (job.ingredients[i].stock_kg) {
            upper[i] = std::min(upper[i],
                                std::floor(*job.ingredients[i].stock_kg * 1000 / step[i] + 1e-6));
        }
    }
    const std::unique_ptr<Cbc_Model, void (*)(Cbc_Model*)> model(Cbc_newModel(), Cbc_deleteModel);
    Cbc_setParameter(model.get(), "log", "0");
    Cbc_setParameter(model.get(), "sec", "20");
    Cbc_setParameter(model.get(), "ratioGap", "0");
    Cbc_setParameter(model.get(), "allowableGap", "0");
    const double per_kg = loose ? exact.cost : 0;
    for (std::size_t i = 0; i < count; ++i) {
        const double cost = (*job.ingredients[i].price - per_kg * finished[i]) * step[i] / 1000;
        Cbc_addCol(model.get(), job.ingredients[i].id.c_str(), 0, upper[i], cost, 1, 0, nullptr,
                   nullptr);
    }
    std::vector<int> use(count, -1);
    for (std::size_t i = 0; i < count; ++i) {
        if (!job.at_most && !job.ingredients[i].min_if_used) continue;
        use[i] = Cbc_getNumCols(model.get());
        Cbc_addCol(model.get(), "use", 0, 1, 0, 1, 0, nullptr, nullptr);
    }
    const auto add_row = [&](const std::vector<double>& per_gram, char sense, double rhs) {
        std::vector<int> columns;
        std::vector<double> values;
        double largest = 0;
        for (std::size_t i = 0; i < count; ++i)
            largest = std::max(largest, std::abs(per_gram[i] * step[i]));
        if (largest == 0) largest = 1;
        for (std::size_t i = 0; i < count; ++i) {
            columns.push_back(static_cast<int>(i));
            values.push_back(per_gram[i] * step[i] / largest);
        }
        Cbc_addRow(model.get(), "r", static_cast<int>(count), columns.data(), values.data(), sense,
                   rhs / largest);
    };
    if (loose) {
        add_row(finished, 'G', batch - made.scale.step_g);
        add_row(finished, 'L', batch + made.scale.step_g);
    } else {
        add_row(finished, 'E', batch);
    }
    const auto against = [&](auto amount, auto base, double number, char sense) {
        std::vector<double> row(count);
        for (std::size_t i = 0; i < count; ++i)
            row[i] = amount(i) - number * base(i);
        add_row(row, sense, 0);
    };
    for (const Case::Bound& bound : made.bounds) {
        const auto amount = [&](std::size_t i) { return made.content[i][bound.nutrient] / 100.0; };
        const auto base = [&](std::size_t i) {
            return bound.of_dry ? made.dry[i] / 10000.0 : finished[i];
        };
        if (bound.min) against(amount, base, *bound.min / 100.0, 'G');
        if (bound.max) against(amount, base, *bound.max / 100.0, 'L');
    }
    const auto one = [](std::size_t) { return 1.0; };
    for (std::size_t i = 0; i < count; ++i) {
        const auto self = [&](std::size_t k) { return k == i ? 100.0 : 0.0; };
        if (job.ingredients[i].min) against(self, one, *job.ingredients[i].min, 'G');
        if (job.ingredients[i].max) against(self, one, *job.ingredients[i].max, 'L');
    }
    for (const job::GroupLimit& group : job.groups) {
        against([](std::size_t i) { return i % 2 == 0 ? 100.0 : 0.0; }, one, *group.max, 'L');
    }
    for (const job::RatioLimit& ratio : job.ratios) {
        against([&](std::size_t i) { return made.content[i][3] / 100.0; },
                [&](std::size_t i) { return made.content[i][4] / 100.0; }, *ratio.min, 'G');
    }
    std::vector<int> counted;
    for (std::size_t i = 0; i < count; ++i) {
        if (use[i] < 0) continue;
        const int pair[] = {static_cast<int>(i), use[i]};
        const double most[] = {1, -upper[i]};
        Cbc_addRow(model.get(), "most", 2, pair, most, 'L', 0);
        if (const auto& least = job.ingredients[i].min_if_used) {
            const double from[] = {1, -std::ceil(*least / 100 * batch / step[i] - 1e-9)};
            Cbc_addRow(model.get(), "least", 2, pair, from, 'G', 0);
        }
        counted.push_back(use[i]);
    }
    if (job.at_most) {
        const std::vector<double> ones(counted.size(), 1);
        Cbc_addRow(model.get(), "at most", static_cast<int>(counted.size()), counted.data(),
                   ones.data(), 'L', *job.at_most);
    }
    Cbc_solve(model.get());
    CbcAnswer answer;
    answer.optimal = Cbc_isProvenOptimal(model.get()) != 0;
    if (!answer.optimal) return answer;
    const double* value = Cbc_getColSolution(model.get());
    double cost = 0;
    double kg = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const double steps = std::round(value[i]);
        answer.weights.push_back(std::llround(steps * std::round(step[i] * 1e6)));
        cost += *job.ingredients[i].price * steps * step[i] / 1000;
        kg += finished[i] * steps * step[i] / 1000;
    }
    answer.cost_per_kg = cost / kg;
    return answer;
}

}  // namespace

TEST_CASE(
    "200 random mixes meet every limit exactly as weighed, at a cost within the gap of Cbc's") {
    int weighed = 0;
    int compared = 0;
    int infeasible = 0;
    for (unsigned seed = 1; weighed < 200; ++seed) {
        REQUIRE(seed < 1000);
        const Case made = Maker(seed).make();
        const auto exact = search::formulate(made.job);
        if (exact.amounts.empty()) continue;
        lp::SolveOptions options;
        options.time_limit_seconds = 20;
        const auto weighing = search::weigh(made.job, exact, made.scale, options);
        INFO("seed " << seed << ", status " << static_cast<int>(weighing.status) << ' '
                     << weighing.message);
        const CbcAnswer cbc = ask_cbc(made, exact, weighing.same_ingredients);
        if (weighing.amounts.empty()) {
            REQUIRE(weighing.status == lp::Status::infeasible);
            CHECK_FALSE(cbc.optimal);
            ++infeasible;
            continue;
        }
        ++weighed;
        REQUIRE(fault(made, weighing.micrograms) == "");
        // What the report says of the limits agrees.
        for (const auto& limit : weighing.assessment.limits) {
            if (limit.limit.kind != limits::LimitKind::balance) REQUIRE(limit.met);
        }
        REQUIRE(weighing.bound_per_kg <= weighing.cost_per_kg);
        // The exact mix is a bound where every limit is a share of what the batch turns out to
        // weigh.
        const bool in_shares =
            std::none_of(made.job.ingredients.begin(), made.job.ingredients.end(),
                         [](const job::Choice& c) { return c.stock_kg || c.min_if_used; });
        if (in_shares) {
            REQUIRE(weighing.bound_per_kg >= weighing.exact_cost_per_kg * (1 - 1e-8));
        }
        if (!cbc.optimal) continue;
        ++compared;
        // Cbc minds its limits to 1e-7 or so; a point of it that misses one says nothing of the
        // bound.
        const double tolerance = 2e-7 * weighing.cost_per_kg;
        const double gap = weighing.cost_per_kg - weighing.bound_per_kg;
        CHECK(weighing.cost_per_kg <= cbc.cost_per_kg + gap + tolerance);
        if (fault(made, cbc.weights).empty()) {
            CHECK(cbc.cost_per_kg >= weighing.bound_per_kg - tolerance);
        }
    }
    WARN(weighed << " weighed, " << compared << " compared with Cbc, " << infeasible
                 << " cannot be weighed");
    CHECK(compared >= 195);
    CHECK(infeasible >= 3);
}
