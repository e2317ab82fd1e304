// SPDX-License-Identifier: GPL-3.0-or-later
// Mended recipes, held against the same question asked another way.
#include "search/cheapest.hpp"
#include "search/mend.hpp"
#include "search/program.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <random>
#include <string>
#include <vector>

using namespace feedwright;

namespace {

constexpr std::size_t nutrients = 4;
constexpr const char* names[nutrients] = {"protein", "fat", "lysine", "calcium"};

class Maker {
  public:
    explicit Maker(unsigned seed) : random_(seed) {}

    // A recipe of 3 to 7 ingredients, with up to 4 more that may come in, and limits that some mix
    // of all of them meets (most of the time).
    job::Job make() {
        job::Job job;
        if (below(4) == 0) job.finished_moisture = 12;
        for (const char* name : names)
            add_nutrient(job, name);
        add_nutrient(job, "dry_matter");
        const int own = 3 + below(5);
        const int others = below(5);
        std::vector<double> good(static_cast<std::size_t>(own + others));
        for (int i = 0; i < own + others; ++i) {
            job::Choice choice;
            choice.id = std::string("i") + static_cast<char>('a' + i);
            choice.name = choice.id;
            choice.price = 0.1 + uniform(0, 2);
            choice.amount = i < own ? 1.0 + below(30) : 0.0;
            for (std::size_t n = 0; n < nutrients; ++n) {
                choice.composition.set(names[n],
                                       {uniform(0, n == 0 ? 50 : 8), catalog::Origin::stated, ""});
            }
            choice.composition.set("dry_matter", {uniform(60, 95), catalog::Origin::stated, ""});
            if (below(5) == 0) choice.max = 20 + below(40);
            good[static_cast<std::size_t>(i)] = below(2) == 0 ? uniform(0, 1) : 0;
            job.ingredients.push_back(std::move(choice));
        }
        double total = 0;
        for (const double g : good)
            total += g;
        if (total == 0) total = good[0] = 1;
        double dry = 0;
        for (std::size_t i = 0; i < good.size(); ++i) {
            dry += good[i] / total * job.ingredients[i].composition.find("dry_matter")->value / 100;
        }
        const double finished = job.finished_moisture ? dry / 0.88 : 1;
        for (std::size_t n = 0; n < nutrients; ++n) {
            double value = 0;
            for (std::size_t i = 0; i < good.size(); ++i) {
                value += good[i] / total * job.ingredients[i].composition.find(names[n])->value;
            }
            job::NutrientLimit limit;
            limit.nutrient = names[n];
            if (below(3) == 0) limit.basis = catalog::Basis::dry_matter;
            value /= limit.basis == catalog::Basis::dry_matter ? dry : finished;
            if (below(2) == 0) limit.min = value * 0.97;
            if (!limit.min || below(2) == 0) limit.max = value * 1.03;
            job.limits.push_back(limit);
        }
        return job;
    }

    int below(int n) { return std::uniform_int_distribution<int>(0, n - 1)(random_); }
    double uniform(double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random_);
    }

  private:
    static void add_nutrient(job::Job& job, const std::string& id) {
        catalog::Nutrient nutrient;
        nutrient.id = nutrient.name = id;
        nutrient.unit = "%";
        job.dictionary.add(nutrient);
    }

    std::mt19937 random_;
};

// The least weight moved, asked as a least-cost mix with a distance column for each ingredient.
std::optional<double> least_moved(const job::Job& recipe, const std::vector<double>& before) {
    lp::LinearProgram program = search::cheapest_program(recipe).program();
    for (std::size_t i = 0; i < before.size(); ++i) {
        program.set_cost(i, 0);
        const std::size_t distance =
            program.add_column({"distance " + std::to_string(i), 0.5, 0.0, {}, false});
        program.add_row(
            {"above " + std::to_string(i), {}, before[i], {{i, 1.0}, {distance, -1.0}}});
        program.add_row({"below " + std::to_string(i), before[i], {}, {{i, 1.0}, {distance, 1.0}}});
    }
    const lp::Solution solution = lp::solve(program);
    if (solution.status != lp::Status::optimal) return std::nullopt;
    return solution.objective;
}

// The recipe with only those of its additions whose bit is set.
job::Job with_additions(const job::Job& recipe, unsigned bits) {
    job::Job kept = recipe;
    kept.ingredients.clear();
    unsigned next = 0;
    for (const job::Choice& choice : recipe.ingredients) {
        const bool is_new = !(*choice.amount > 0);
        if (!is_new || (bits >> next & 1U) != 0) kept.ingredients.push_back(choice);
        if (is_new) ++next;
    }
    return kept;
}

unsigned additions_of(const job::Job& recipe) {
    return static_cast<unsigned>(
        std::count_if(recipe.ingredients.begin(), recipe.ingredients.end(),
                      [](const job::Choice& c) { return !(*c.amount > 0); }));
}

int bits_in(unsigned bits) {
    int count = 0;
    for (; bits != 0; bits &= bits - 1)
        ++count;
    return count;
}

void require_sound(const job::Job& recipe, const search::Change& change) {
    REQUIRE(change.status == lp::Status::optimal);
    for (const auto& limit : change.assessment.limits)
        REQUIRE(limit.met);
    // Held against the limits as any recipe would be.
    job::Job again = recipe;
    for (std::size_t i = 0; i < change.amounts.size(); ++i) {
        REQUIRE(change.amounts[i] >= 0);
        again.ingredients[i].amount = change.amounts[i];
    }
    REQUIRE(limits::check(again).passes);
}

}  // namespace

TEST_CASE("mended recipes pass, and no other change moves less or costs less") {
    int mended = 0;
    int hopeless = 0;
    for (unsigned seed = 1; seed <= 400; ++seed) {
        const job::Job recipe = Maker(seed).make();
        INFO("seed " << seed);
        const search::Mending mending = search::mend(recipe);
        const auto least = least_moved(recipe, mending.before.amounts);
        if (mending.before.passes) {
            CHECK_FALSE(mending.smallest.has_value());
            continue;
        }
        if (!mending.smallest) {
            REQUIRE(mending.status == lp::Status::infeasible);
            REQUIRE_FALSE(least.has_value());
            ++hopeless;
            continue;
        }
        ++mended;
        require_sound(recipe, *mending.smallest);
        REQUIRE(least.has_value());
        REQUIRE(mending.smallest->moved == Approx(*least).margin(1e-7));
        REQUIRE(mending.cheapest.has_value());
        require_sound(recipe, *mending.cheapest);
        const auto cheapest = search::formulate(recipe);
        REQUIRE(cheapest.status == lp::Status::optimal);
        REQUIRE(mending.cheapest->cost_per_kg == Approx(cheapest.cost_per_kg).margin(1e-7));
        REQUIRE(mending.cheapest->moved >= mending.smallest->moved - 1e-7);
        REQUIRE(mending.smallest->cost_per_kg >= mending.cheapest->cost_per_kg - 1e-7);
        // On the way from the recipe to the change nothing passes earlier: a part of it is not
        // enough.
        for (const double part : {0.5, 0.9, 0.999}) {
            job::Job half = recipe;
            for (std::size_t i = 0; i < half.ingredients.size(); ++i) {
                half.ingredients[i].amount =
                    mending.before.amounts[i] +
                    part * (mending.smallest->amounts[i] - mending.before.amounts[i]);
            }
            if (mending.smallest->moved > 1e-3) CHECK_FALSE(limits::check(half).passes);
        }
    }
    CHECK(mended > 200);
    CHECK(hopeless > 0);
}

TEST_CASE("no more is added than may be, and nothing better could be added") {
    int limited = 0;
    int too_few = 0;
    for (unsigned seed = 1000; seed < 1250; ++seed) {
        const job::Job recipe = Maker(seed).make();
        const unsigned additions = additions_of(recipe);
        if (additions == 0) continue;
        INFO("seed " << seed);
        for (int most = 0; most <= 2; ++most) {
            search::MendOptions options;
            options.add_at_most = most;
            const search::Mending mending = search::mend(recipe, options);
            if (mending.before.passes) break;
            // Every choice of additions on its own.
            std::optional<double> best;
            std::optional<int> fewest;
            for (unsigned bits = 0; bits < 1U << additions; ++bits) {
                const job::Job part = with_additions(recipe, bits);
                const auto least = least_moved(part, limits::check(part).amounts);
                if (!least) continue;
                if (bits_in(bits) <= most) best = std::min(best.value_or(*least), *least);
                fewest = std::min(fewest.value_or(bits_in(bits)), bits_in(bits));
            }
            REQUIRE(mending.smallest.has_value() == best.has_value());
            if (!best) {
                ++too_few;
                REQUIRE(mending.additions_needed == fewest);
                continue;
            }
            ++limited;
            REQUIRE(mending.smallest->moved == Approx(*best).margin(1e-7));
            require_sound(recipe, *mending.smallest);
            for (const auto* change : {&*mending.smallest, &*mending.cheapest}) {
                int added = 0;
                for (const auto& item : change->changes)
                    added += item.added ? 1 : 0;
                REQUIRE(added <= most);
            }
        }
    }
    CHECK(limited > 100);
    CHECK(too_few > 20);
}

TEST_CASE("a change keeps advisory needs that are met, and tells of those it cannot keep") {
    const auto recipe = [](double protein) {
        job::Job job;
        for (const char* name : {"protein", "sodium"}) {
            catalog::Nutrient nutrient;
            nutrient.id = nutrient.name = name;
            nutrient.unit = "%";
            job.dictionary.add(nutrient);
        }
        const auto add = [&](const char* id, double amount, double rich, double sodium) {
            job::Choice choice;
            choice.id = choice.name = id;
            choice.price = 1;
            choice.amount = amount;
            choice.composition.set("protein", {rich, catalog::Origin::stated, ""});
            choice.composition.set("sodium", {sodium, catalog::Origin::stated, ""});
            job.ingredients.push_back(std::move(choice));
        };
        add("bran", 79, 10, 0);
        add("meal", 20, 40, 0);
        add("soda", 1, 0, 39);  // salt would be left as it is
        job.ingredients[1].max = 50;
        job::NutrientLimit need;
        need.nutrient = "protein";
        need.min = protein;
        job.limits.push_back(need);
        job::NutrientLimit advisory;
        advisory.nutrient = "sodium";
        advisory.min = 0.195;
        advisory.advisory = true;
        job.limits.push_back(advisory);
        return job;
    };
    // Soda has no protein: for the least weight it would all go.
    const search::Mending kept = search::mend(recipe(20));
    REQUIRE(kept.smallest);
    CHECK(kept.keeps_needs);
    CHECK(kept.smallest->lost.empty());
    CHECK(kept.smallest->amounts[2] == Approx(0.005));
    REQUIRE(kept.cheapest);
    CHECK(kept.cheapest->lost.empty());
    for (const auto& limit : kept.smallest->assessment.limits)
        CHECK(limit.met);

    // Half bran and half meal alone have as much.
    const search::Mending given_up = search::mend(recipe(25));
    REQUIRE(given_up.smallest);
    CHECK_FALSE(given_up.keeps_needs);
    REQUIRE(given_up.smallest->lost.size() == 1);
    CHECK(given_up.smallest->lost[0].limit.id == "nutrient:sodium");
    CHECK(given_up.smallest->amounts[2] == Approx(0).margin(1e-7));
}
