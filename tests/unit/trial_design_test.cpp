// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"
#include "report/trial/no_diet.hpp"
#include "search/series.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "trial/design.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <vector>

namespace feedwright {

namespace {

using search::SeriesDiet;
using search::SeriesQuestion;

double amount_of(const job::Job& job, const std::string& nutrient,
                 const std::vector<double>& amounts) {
    double sum = 0;
    for (std::size_t i = 0; i < amounts.size(); ++i) {
        sum += amounts[i] * job.ingredients[i].composition.find(nutrient)->value;
    }
    return sum;
}

std::size_t place(const job::Job& job, const std::string& id) {
    for (std::size_t i = 0; i < job.ingredients.size(); ++i) {
        if (job.ingredients[i].id == id) return i;
    }
    throw std::runtime_error(id);
}

// A job of invented ingredients, so that the library may change.
class Jobs {
  public:
    job::Job read(const std::string& more = "") const {
        const std::string file = folder_.write("job.json", R"({
            "format": "feedwright-job/1", "batch_kg": 10,
            "ingredients": [
              { "id": "leaf", "name": "leaf", "price": 0.2, "dry_matter": 90, "nutrients": { "crude_protein": 28.3, "crude_lipid": 4.1, "crude_fibre": 12 } },
              { "id": "bean", "name": "bean", "price": 0.6, "dry_matter": 89, "nutrients": { "crude_protein": 44.7, "crude_lipid": 1.3, "crude_fibre": 6 } },
              { "id": "fish", "name": "fish", "price": 1.7, "dry_matter": 92, "nutrients": { "crude_protein": 64.9, "crude_lipid": 9.2, "crude_fibre": 0.5 }, "min": 8 },
              { "id": "grain", "name": "grain", "price": 0.3, "dry_matter": 88, "nutrients": { "crude_protein": 8.7, "crude_lipid": 3.8, "crude_fibre": 2.2 } },
              { "id": "bran", "name": "bran", "price": 0.25, "dry_matter": 88, "nutrients": { "crude_protein": 15.1, "crude_lipid": 3.5, "crude_fibre": 10 } },
              { "id": "oil", "name": "oil", "price": 1.2, "dry_matter": 99, "nutrients": { "crude_protein": 0, "crude_lipid": 99, "crude_fibre": 0 } },
              { "id": "premix", "name": "premix", "price": 3, "dry_matter": 95, "nutrients": { "crude_protein": 0, "crude_lipid": 0, "crude_fibre": 0 }, "min": 1, "max": 1 } ],
            "limits": [ { "nutrient": "crude_protein", "min": 30 }, { "nutrient": "crude_lipid", "min": 6, "max": 9 },
                        { "nutrient": "crude_fibre", "max": 7 } ])" +
                                                               more + " }");
        catalog::Library library((test::source_folder() / "data").string());
        return job::read_job(file, library, {});
    }

  private:
    test::TempFolder folder_;
};

}  // namespace

TEST_CASE("a tank plan gives every diet its tanks, and blocks every diet") {
    const std::vector<std::string> diets{"a", "b", "c"};
    const trial::TankPlan free = trial::draw_plan(diets, 4, 0, 7);
    REQUIRE(free.tanks.size() == 12);
    std::map<std::string, int> count;
    for (std::size_t i = 0; i < free.tanks.size(); ++i) {
        CHECK(free.tanks[i].tank == static_cast<int>(i) + 1);
        CHECK(free.tanks[i].block == 0);
        ++count[free.tanks[i].diet];
    }
    CHECK(count == std::map<std::string, int>{{"a", 4}, {"b", 4}, {"c", 4}});

    const trial::TankPlan blocked = trial::draw_plan(diets, 4, 2, 7);
    std::map<std::pair<int, std::string>, int> in_block;
    for (const trial::PlacedTank& t : blocked.tanks) {
        CHECK(t.block == (t.tank <= 6 ? 1 : 2));
        ++in_block[{t.block, t.diet}];
    }
    CHECK(in_block.size() == 6);
    for (const auto& [key, n] : in_block)
        CHECK(n == 2);

    CHECK_THROWS_AS(trial::draw_plan(diets, 4, 3, 7), Error);
    CHECK_THROWS_AS(trial::draw_plan({"a"}, 4, 0, 7), Error);
}

TEST_CASE("the same seed draws the same plan on every machine") {
    std::string order;
    for (const trial::PlacedTank& t : trial::draw_plan({"a", "b", "c"}, 3, 0, 1).tanks)
        order += t.diet;
    CHECK(order == "cbaacabcb");
    std::string other;
    for (const trial::PlacedTank& t : trial::draw_plan({"a", "b", "c"}, 3, 0, 2).tanks)
        other += t.diet;
    CHECK(other != order);
}

TEST_CASE("every diet is as likely in every tank") {
    const std::vector<std::string> diets{"a", "b", "c", "d"};
    std::map<std::pair<int, std::string>, int> seen;
    constexpr int plans = 4000;
    for (int seed = 0; seed < plans; ++seed) {
        for (const trial::PlacedTank& t :
             trial::draw_plan(diets, 2, 0, static_cast<std::uint64_t>(seed)).tanks) {
            ++seen[{t.tank, t.diet}];
        }
    }
    double chi_square = 0;
    const double expected = plans / 4.0;
    for (const auto& [key, n] : seen)
        chi_square += (n - expected) * (n - expected) / expected;
    CHECK(seen.size() == 32);
    CHECK(chi_square < 51.2);  // the 0.1 % point of chi-square with 8 x 3 degrees of freedom
}

TEST_CASE("a series has equal protein, replaces what it says, and stays near the control") {
    const Jobs jobs;
    const job::Job job = jobs.read();
    const SeriesQuestion question{"leaf", "bean", {10, 20, 30}, {}};
    const std::vector<SeriesDiet> diets = search::design_series(job, question);
    REQUIRE(diets.size() == 4);
    const std::size_t leaf = place(job, "leaf");
    const std::size_t bean = place(job, "bean");
    const double protein = amount_of(job, "crude_protein", diets[0].amounts);
    const double replaced = 44.7 * diets[0].amounts[bean];
    CHECK(diets[0].amounts[leaf] == 0);
    CHECK(replaced > 0);
    double before = 0;
    for (std::size_t d = 1; d < diets.size(); ++d) {
        CAPTURE(diets[d].level, diets[d].status);
        REQUIRE_FALSE(diets[d].amounts.empty());
        CHECK(amount_of(job, "crude_protein", diets[d].amounts) == Approx(protein).epsilon(1e-9));
        CHECK(28.3 * diets[d].amounts[leaf] ==
              Approx(diets[d].level / 100 * replaced).epsilon(1e-9));
        CHECK(44.7 * diets[d].amounts[bean] ==
              Approx((1 - diets[d].level / 100) * replaced).epsilon(1e-9));
        for (const limits::LimitResult& limit : diets[d].assessment.limits)
            CHECK(limit.met);
        CHECK(diets[d].distance >= before);
        before = diets[d].distance;
    }
}

TEST_CASE("nothing of the job's ingredients is nearer to the control than the diet found") {
    // Any feasible step away from the diet must not come nearer: tried along every pair of free
    // ingredients, with protein held by a third.
    const Jobs jobs;
    const job::Job job = jobs.read();
    const std::vector<SeriesDiet> diets = search::design_series(job, {"leaf", "bean", {20}, {}});
    REQUIRE(diets.size() == 2);
    const auto& control = diets[0].amounts;
    const auto& found = diets[1].amounts;
    const auto protein = [&](std::size_t i) {
        return job.ingredients[i].composition.find("crude_protein")->value;
    };
    const std::vector<std::size_t> free{place(job, "fish"), place(job, "grain"), place(job, "bran"),
                                        place(job, "oil")};
    // In proportion to the control, of which less than 1 % counts as 1 %.
    const auto change = [&](const std::vector<double>& x) {
        double sum = 0;
        for (const std::size_t i : free)
            sum += std::abs(x[i] - control[i]) / std::max(control[i], 0.01);
        return sum;
    };
    const std::vector<limits::Limit> limits = limits::limits_of(job);
    int tried = 0;
    for (const std::size_t a : free) {
        for (const std::size_t b : free) {
            for (const std::size_t c : free) {
                if (a == b || b == c || a == c) continue;
                // Move 1 of a, beta of b and gamma of c: weight and protein stay.
                const double gamma = (protein(b) - protein(a)) / (protein(c) - protein(b));
                const double beta = -1 - gamma;
                for (const double step : {1e-4, -1e-4, 1e-3, -1e-3}) {
                    std::vector<double> x = found;
                    x[a] += step;
                    x[b] += step * beta;
                    x[c] += step * gamma;
                    if (x[a] < 0 || x[b] < 0 || x[c] < 0) continue;
                    const bool feasible =
                        std::all_of(limits.begin(), limits.end(), [&](const limits::Limit& l) {
                            const auto v = limits::value_of(l, x);
                            return !v || ((!l.min || *v >= *l.min - 1e-9) &&
                                          (!l.max || *v <= *l.max + 1e-9));
                        });
                    if (!feasible) continue;
                    ++tried;
                    CHECK(change(x) >= change(found) - 1e-9);
                }
            }
        }
    }
    CHECK(tried > 0);
}

TEST_CASE("minerals and salt stay as the control has them where the limits allow") {
    // In points the cheapest room for a poorer protein would be the shell and the salt.
    const test::TempFolder folder;
    const std::string file = folder.write("job.json", R"({
        "format": "feedwright-job/1", "batch_kg": 10,
        "ingredients": [
          { "id": "leaf", "name": "leaf", "price": 0.2, "dry_matter": 90, "nutrients": { "crude_protein": 28.3, "calcium": 1.2, "sodium": 0.1 } },
          { "id": "bean", "name": "bean", "price": 0.6, "dry_matter": 89, "nutrients": { "crude_protein": 44.7, "calcium": 0.3, "sodium": 0.02 } },
          { "id": "grain", "name": "grain", "price": 0.3, "dry_matter": 88, "nutrients": { "crude_protein": 8.7, "calcium": 0.03, "sodium": 0.01 } },
          { "id": "fish", "name": "fish", "price": 1.7, "dry_matter": 92, "nutrients": { "crude_protein": 64.9, "calcium": 4, "sodium": 0.9 }, "min": 5 },
          { "id": "shell", "name": "shell", "price": 0.1, "dry_matter": 99, "nutrients": { "crude_protein": 0, "calcium": 38, "sodium": 0 }, "max": 2 },
          { "id": "salt", "name": "salt", "price": 0.2, "dry_matter": 99, "nutrients": { "crude_protein": 0, "calcium": 0, "sodium": 39 }, "max": 0.5 } ],
        "limits": [ { "nutrient": "crude_protein", "min": 26 }, { "nutrient": "calcium", "min": 0.8 }, { "nutrient": "sodium", "min": 0.15 } ] })");
    catalog::Library library((test::source_folder() / "data").string());
    const job::Job job = job::read_job(file, library, {});
    const std::vector<SeriesDiet> diets = search::design_series(job, {"leaf", "bean", {5, 10}, {}});
    REQUIRE(diets.size() == 3);
    CHECK(diets[0].amounts[place(job, "shell")] > 0.01);
    CHECK(diets[0].amounts[place(job, "salt")] > 0.001);
    for (std::size_t d = 1; d < diets.size(); ++d) {
        REQUIRE_FALSE(diets[d].amounts.empty());
        for (const char* id : {"shell", "salt"}) {
            CAPTURE(id, diets[d].level);
            CHECK(diets[d].amounts[place(job, id)] ==
                  Approx(diets[0].amounts[place(job, id)]).epsilon(1e-9));
        }
    }
}

TEST_CASE("as weighed, every diet of a series has the same protein within 0.01 points") {
    const Jobs jobs;
    const job::Job job = jobs.read();
    const SeriesQuestion question{"leaf", "bean", {5, 10, 20, 30, 40}, {"crude_lipid"}};
    const std::vector<SeriesDiet> diets = search::design_series(job, question);
    for (const double step : {1.0, 2.0, 5.0}) {
        CAPTURE(step);
        std::vector<double> proteins;
        for (std::size_t d = 0; d < diets.size(); ++d) {
            CAPTURE(diets[d].level, diets[d].status);
            REQUIRE_FALSE(diets[d].amounts.empty());
            search::WeighingScale scale;
            scale.step_g = step;
            const search::Weighing weighing = search::weigh_diet(job, question, diets, d, scale);
            REQUIRE_FALSE(weighing.amounts.empty());
            double grams = 0;
            for (std::size_t i = 0; i < weighing.micrograms.size(); ++i) {
                const double g = static_cast<double>(weighing.micrograms[i]) / 1e6;
                CHECK(std::fmod(g, step) == 0);
                CHECK(std::abs(g - 1e4 * diets[d].amounts[i]) <= 20 * step + 1e-6);
                grams += g;
            }
            CHECK(grams == 10000);
            proteins.push_back(amount_of(job, "crude_protein", weighing.amounts));
        }
        CHECK(trial::spread(proteins) <= trial::equal_protein_points);
    }
}

TEST_CASE("nutrients asked for are equal to the control's") {
    const Jobs jobs;
    const job::Job job = jobs.read();
    const std::vector<SeriesDiet> diets =
        search::design_series(job, {"leaf", "bean", {15}, {"crude_lipid", "crude_protein"}});
    REQUIRE(diets.size() == 2);
    REQUIRE_FALSE(diets[1].amounts.empty());
    CHECK(amount_of(job, "crude_lipid", diets[1].amounts) ==
          Approx(amount_of(job, "crude_lipid", diets[0].amounts)).epsilon(1e-9));
}

TEST_CASE("a level that cannot be made equal says why") {
    const Jobs jobs;
    // All of the bean's protein in leaf needs more fibre than the limit allows.
    const std::vector<SeriesDiet> fibre =
        search::design_series(jobs.read(), {"leaf", "bean", {100}, {}});
    REQUIRE(fibre.size() == 2);
    CHECK(fibre[1].amounts.empty());
    CHECK(fibre[1].status == lp::Status::infeasible);
    REQUIRE(fibre[1].missing);
    CHECK_THAT(report::in_words(*fibre[1].missing), Catch::Contains("crude fibre"));

    job::Job capped = jobs.read();
    capped.ingredients[place(capped, "leaf")].max = 2;
    const std::vector<SeriesDiet> cap = search::design_series(capped, {"leaf", "bean", {30}, {}});
    REQUIRE(cap.size() == 2);
    REQUIRE(cap[1].missing);
    CHECK_THAT(report::in_words(*cap[1].missing), Catch::Contains("limits allow 2"));

    job::Job impossible = jobs.read();
    for (job::NutrientLimit& limit : impossible.limits) {
        if (limit.nutrient == "crude_protein") limit.min = 66;
    }
    const std::vector<SeriesDiet> none =
        search::design_series(impossible, {"leaf", "bean", {30}, {}});
    REQUIRE(none.size() == 1);
    CHECK(none[0].amounts.empty());
    REQUIRE(none[0].missing);
    CHECK_THAT(report::in_words(*none[0].missing), Catch::Contains("no mix without leaf"));
}

TEST_CASE("a series that makes no sense is refused with all its problems") {
    const Jobs jobs;
    const job::Job job = jobs.read();
    const auto problems = [&](const SeriesQuestion& question) {
        try {
            search::design_series(job, question);
        } catch (const base::DataError& error) {
            return error.list().size();
        }
        return std::size_t{0};
    };
    CHECK(problems({"leef", "been", {10, 200, -1}, {"protien"}}) == 5);
    CHECK(problems({"leaf", "leaf", {10}, {}}) == 1);
    CHECK(problems({"leaf", "bean", {10}, {"lysine"}}) == 2);  // neither has a value
    job::Job wanted = job;
    wanted.ingredients[place(wanted, "leaf")].min = 5;
    try {
        search::design_series(wanted, {"leaf", "bean", {10}, {}});
        FAIL("accepted");
    } catch (const base::DataError& error) {
        REQUIRE(error.list().size() == 1);
        CHECK(error.list()[0].file == job.file);
        CHECK(error.list()[0].place == "ingredient leaf");
        CHECK(error.list()[0].found == "a \"min\" of 5 %");
        CHECK_THAT(error.list()[0].hint, Catch::Contains("Take its \"min\" off"));
    }
    job::Job unused = job;
    unused.ingredients[place(unused, "bean")].max = 0;
    CHECK_THROWS_AS(search::design_series(unused, {"leaf", "bean", {10}, {}}), base::DataError);
}

}  // namespace feedwright
