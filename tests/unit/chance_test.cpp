// SPDX-License-Identifier: GPL-3.0-or-later
// How sure a mix is, against other ways to know it.
#include "limits/chance.hpp"

#include "base/diagnostics.hpp"
#include "base/normal.hpp"
#include "limits/check.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <random>
#include <string>
#include <vector>

using namespace feedwright;

namespace {

job::Job read_recipe(const std::string& inside) {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    return job::read_recipe(
        folder.write("recipe.json", R"({"format":"feedwright-recipe/1",)" + inside + "}"), library,
        {});
}

limits::Check check(const job::Job& recipe) {
    limits::Check result = limits::check(recipe);
    limits::add_chance(recipe, result.amounts, result.assessment);
    return result;
}

double holds(const limits::Check& result, const std::string& id) {
    for (const limits::LimitResult& limit : result.assessment.limits) {
        if (limit.limit.id == id) return limit.holds_percent.value_or(-1);
    }
    return -2;
}

const catalog::Factor* factor(const job::Job& job, const std::string& id,
                              const std::string& nutrient) {
    return job.find(id)->variability.find(nutrient);
}

// Normal numbers by the method of Box and Muller: another way than the one under test.
class BoxMuller {
  public:
    double next() {
        if (have_) {
            have_ = false;
            return second_;
        }
        const double radius = std::sqrt(-2 * std::log(1 - uniform()));
        const double angle = 2 * std::acos(-1.0) * uniform();
        second_ = radius * std::sin(angle);
        have_ = true;
        return radius * std::cos(angle);
    }

  private:
    double uniform() { return static_cast<double>(engine_() >> 11U) * 0x1p-53; }
    std::mt19937_64 engine_{7};
    bool have_ = false;
    double second_ = 0;
};

}  // namespace

TEST_CASE("normal chances and quantiles are those of tables") {
    // Abramowitz and Stegun 1964, tables 26.1 and 26.5.
    CHECK(base::normal_chance(0) == 0.5);
    CHECK(base::normal_chance(1) == Approx(0.841344746068543).epsilon(1e-14));
    CHECK(base::normal_chance(-3) == Approx(0.001349898031630).epsilon(1e-12));
    CHECK(base::normal_quantile(0.95) == Approx(1.644853626951473).epsilon(1e-14));
    CHECK(base::normal_quantile(0.9) == Approx(1.281551565544600).epsilon(1e-14));
    CHECK(base::normal_quantile(0.01) == Approx(-2.326347874040841).epsilon(1e-14));
    CHECK(base::normal_quantile(0.999) == Approx(3.090232306167813).epsilon(1e-14));
    CHECK(base::normal_quantile(0.5) == 0);
}

TEST_CASE("a tight limit holds in half of the lots, and one with room in more") {
    const job::Job recipe = read_recipe(R"("ingredients": [
        {"id": "aa", "amount": 1, "nutrients": {"crude_protein": {"value": 40, "sd": 3}}},
        {"id": "bb", "amount": 1, "nutrients": {"crude_protein": {"value": 20, "sd": 4}}}],
        "limits": [{"nutrient": "crude_protein", "min": 30, "max": 35}])");
    const limits::Check result = check(recipe);
    // The mix has 30 with a standard deviation of sqrt(1.5^2 + 2^2) = 2.5; the maximum is two of
    // those away.
    CHECK(holds(result, "nutrient:crude_protein") ==
          Approx(100 * (0.5 - (1 - base::normal_chance(2)))).epsilon(1e-12));
    REQUIRE(result.assessment.chance);
    CHECK(result.assessment.chance->all_percent == Approx(47.7).margin(1.5));
    CHECK(result.assessment.chance->values == 2);
    CHECK(result.assessment.chance->assumed == 0);
}

TEST_CASE("only what differs between lots counts; else the default of its kind does, and is told") {
    const auto with = [](const std::string& value) {
        return read_recipe(R"("ingredients": [{"id": "aa", "amount": 1, "category": "fish-meal",
            "nutrients": {"crude_protein": )" +
                           value + R"(}}], "limits": [{"nutrient": "crude_protein", "min": 30}])");
    };
    const auto sd = [&](const std::string& value) {
        const job::Job recipe = with(value);
        return factor(recipe, "aa", "crude_protein")->sd;
    };
    CHECK(sd(R"({"value": 40, "sd": 3, "n": 9, "spread": "lots"})") == 3);
    CHECK(sd(R"({"value": 40, "sd": 3, "n": 9, "spread": "regions"})") == 3);
    CHECK(sd(R"({"value": 40, "sd": 3, "n": 9})") == 3);
    CHECK(sd(R"({"value": 40, "sd": "0.3 g/kg"})") == Approx(0.03));
    CHECK(sd(R"({"value": 40, "sd": 0})") == 0);
    // data/variation.json: fish meal, crude protein, 5.1 percent of the mean.
    CHECK(sd("40") == Approx(0.051 * 40));
    CHECK(sd(R"({"value": 40, "sd": 0.2, "spread": "replicates"})") == Approx(0.051 * 40));
    CHECK(sd(R"({"value": 40, "sd": 0.2, "spread": "samples"})") == Approx(0.051 * 40));
    const job::Job recipe = with("40");
    CHECK(factor(recipe, "aa", "crude_protein")->spread == catalog::Spread::assumed);
    const limits::Check result = check(recipe);
    CHECK(result.assessment.chance->assumed == 1);
    CHECK(result.assessment.chance->without_spread.empty());
}

TEST_CASE(
    "an ingredient without a known spread is told, and one that is known not to vary is not") {
    const auto told = [](const std::string& other) {
        const limits::Check result = check(read_recipe(
            R"("ingredients": [{"id": "aa", "amount": 80, "category": "fish-meal",
            "nutrients": {"crude_protein": 40}}, )" +
            other + R"(], "limits": [{"nutrient": "crude_protein", "min": 30}])"));
        return result.assessment.chance->without_spread;
    };
    using Names = std::vector<std::string>;
    CHECK(told(R"({"id": "bag", "name": "bought pellet", "amount": 20,
        "label": {"for": "nile-tilapia/grow-out", "crude_protein": 32}})") ==
          Names{"bought pellet"});
    CHECK(told(R"({"id": "bb", "amount": 20,
        "nutrients": {"crude_protein": {"value": 30, "sd": 0, "spread": "lots"}}})")
              .empty());
}

TEST_CASE("a spread is read as strictly as a value") {
    const auto refuses = [](const std::string& value) {
        try {
            read_recipe(R"("ingredients": [{"id": "aa", "amount": 1, "nutrients":
                {"crude_protein": )" +
                        value + "}}]");
        } catch (const base::DataError&) {
            return true;
        }
        return false;
    };
    CHECK_FALSE(refuses(R"({"value": 40, "sd": 3})"));
    CHECK(refuses(R"({"sd": 3})"));
    CHECK(refuses(R"({"value": 40, "sd": -3})"));
    CHECK(refuses(R"({"value": 40, "cv": 3})"));
    CHECK(refuses(R"({"value": 40, "sd": 3, "spread": "lot"})"));
    CHECK(refuses(R"({"value": 40, "spread": "lots"})"));
}

TEST_CASE("values on dry matter vary with it, and shares of protein with the protein") {
    // A library ingredient whose amino acids are shares of the protein.
    const job::Job recipe = read_recipe(R"("ingredients": [{"id": "fish-meal-65", "amount": 1}],
        "limits": [{"nutrient": "lysine", "min": 4.5}, {"nutrient": "crude_protein", "min": 60},
                   {"nutrient": "lysine", "min": 7, "basis": "of_protein"}])");
    const catalog::Factor& protein = *factor(recipe, "fish-meal-65", "crude_protein");
    const catalog::Factor& lysine = *factor(recipe, "fish-meal-65", "lysine");
    CHECK(protein.mean == 65.2);
    CHECK(protein.sd == 3.3);
    CHECK(protein.spread == catalog::Spread::lots);
    REQUIRE(lysine.basis == catalog::Basis::of_protein);
    const std::vector<limits::Limit> list = limits::limits_of(recipe);
    const auto limit = [&](const std::string& id) {
        return *std::find_if(list.begin(), list.end(),
                             [&](const limits::Limit& one) { return one.id == id; });
    };
    // Of a product, the squares of the relative spreads add up.
    const double relative = std::hypot(lysine.sd / lysine.mean, protein.sd / protein.mean);
    const double content = lysine.mean * protein.mean / 100;
    CHECK(limits::spreads_of(recipe, limit("nutrient:lysine"), 4.5)[0] ==
          Approx(content * relative).epsilon(1e-12));
    // lysine - 7 % of the protein: protein * (share - 7) / 100.
    const double own = protein.mean * lysine.sd / 100;
    const double of_protein = protein.sd * (lysine.mean - 7) / 100;
    CHECK(limits::spreads_of(recipe, limit("nutrient:lysine@of_protein"), 7)[0] ==
          Approx(std::hypot(own, of_protein)).epsilon(1e-12));
}

TEST_CASE("what is worked out from others varies with them") {
    const job::Job recipe = read_recipe(R"("ingredients": [{"id": "aa", "amount": 1,
        "nutrients": {"methionine": {"value": 0.6, "sd": 0.03}, "cystine": {"value": 0.4, "sd": 0.04}}}],
        "limits": [{"nutrient": "methionine_cystine", "min": 1}])");
    const std::vector<limits::Limit> list = limits::limits_of(recipe);
    const auto at = std::find_if(list.begin(), list.end(), [](const limits::Limit& limit) {
        return limit.id == "nutrient:methionine_cystine";
    });
    CHECK(limits::spreads_of(recipe, *at, 1)[0] == Approx(0.05).epsilon(1e-12));
}

namespace {

struct Drawn {
    double worst_one = 0;  // points of percent between the chance of a limit and what is drawn
    double worst_all = 0;  // and of all together
};

// Mixes of three ingredients with a minimum of protein and a maximum of fat, each against `lots`
// lots drawn by this file. With `on_dry_matter` contents are products of two factors; without, they
// are the factors, and sums of them are normal.
Drawn draw_mixes(int mixes, int lots, bool on_dry_matter) {
    std::mt19937_64 random(11);
    const auto uniform = [&](double low, double high) {
        return low + (high - low) * static_cast<double>(random() >> 11U) * 0x1p-53;
    };
    // To six decimals, as the file has them.
    const auto rounded = [](double value) { return std::round(value * 1e6) / 1e6; };
    const auto number = [](double value) { return std::to_string(value); };
    Drawn worst;
    for (int mix = 0; mix < mixes; ++mix) {
        struct Value {
            double mean, sd;
        };
        std::vector<double> parts;
        std::vector<Value> dry(3);
        std::vector<Value> protein(3);
        std::vector<Value> fat(3);
        std::string text = R"("ingredients": [)";
        for (std::size_t i = 0; i < 3; ++i) {
            parts.push_back(rounded(uniform(0.2, 1)));
            dry[i] = {on_dry_matter ? rounded(uniform(86, 92)) : 100, on_dry_matter ? 1.5 : 0};
            protein[i].mean = rounded(uniform(10, 60));
            protein[i].sd = rounded(protein[i].mean * uniform(0.02, 0.08));
            fat[i].mean = rounded(uniform(2, 12));
            fat[i].sd = rounded(fat[i].mean * uniform(0.05, 0.15));
            const auto spread = [&](const Value& value) {
                return "{\"value\": " + number(value.mean) + ", \"sd\": " + number(value.sd) + "}";
            };
            text += std::string(i > 0 ? "," : "") + R"({"id": ")" +
                    std::string(2, static_cast<char>('a' + i)) + R"(", "basis": ")" +
                    (on_dry_matter ? "dry_matter" : "as_fed") + R"(", "amount": )" +
                    number(parts[i]) +
                    (on_dry_matter ? R"(, "dry_matter": )" + spread(dry[i]) : std::string()) +
                    R"(, "nutrients": {"crude_protein": )" + spread(protein[i]) +
                    R"(, "crude_lipid": )" + spread(fat[i]) + "}}";
        }
        const double total = parts[0] + parts[1] + parts[2];
        double mean_protein = 0;
        double mean_fat = 0;
        for (std::size_t i = 0; i < 3; ++i) {
            mean_protein += parts[i] / total * dry[i].mean / 100 * protein[i].mean;
            mean_fat += parts[i] / total * dry[i].mean / 100 * fat[i].mean;
        }
        const double least_protein = mean_protein * uniform(0.92, 1.02);
        const double most_fat = mean_fat * uniform(0.98, 1.12);
        text += R"(], "limits": [{"nutrient": "crude_protein", "min": )" + number(least_protein) +
                R"(}, {"nutrient": "crude_lipid", "max": )" + number(most_fat) + "}]";
        const limits::Check result = check(read_recipe(text));
        BoxMuller normal;
        int protein_holds = 0;
        int fat_holds = 0;
        int both_hold = 0;
        const double least = std::stod(number(least_protein));
        const double most = std::stod(number(most_fat));
        for (int lot = 0; lot < lots; ++lot) {
            double has_protein = 0;
            double has_fat = 0;
            for (std::size_t i = 0; i < 3; ++i) {
                const double matter =
                    parts[i] / total / 100 *
                    (on_dry_matter ? dry[i].mean + dry[i].sd * normal.next() : dry[i].mean);
                has_protein += matter * (protein[i].mean + protein[i].sd * normal.next());
                has_fat += matter * (fat[i].mean + fat[i].sd * normal.next());
            }
            const bool enough = has_protein >= least;
            const bool lean = has_fat <= most;
            protein_holds += enough ? 1 : 0;
            fat_holds += lean ? 1 : 0;
            both_hold += enough && lean ? 1 : 0;
        }
        const auto percent = [&](int count) { return 100.0 * count / lots; };
        worst.worst_one =
            std::max({worst.worst_one,
                      std::abs(percent(protein_holds) - holds(result, "nutrient:crude_protein")),
                      std::abs(percent(fat_holds) - holds(result, "nutrient:crude_lipid"))});
        worst.worst_all = std::max(
            worst.worst_all, std::abs(percent(both_hold) - result.assessment.chance->all_percent));
    }
    return worst;
}

// A few mixes in every run; FEEDWRIGHT_MIXES=50 draws the figures of docs/method.md.
int mixes_to_draw() {
    const char* asked = std::getenv("FEEDWRIGHT_MIXES");
    return asked != nullptr ? std::stoi(asked) : 2;
}

}  // namespace

TEST_CASE("the chance is that of a million lots drawn another way") {
    constexpr int lots = 1'000'000;
    const int mixes = mixes_to_draw();
    const Drawn as_fed = draw_mixes(mixes, lots, false);
    const Drawn dried = draw_mixes(mixes, lots, true);
    if (mixes > 2) {
        WARN(mixes << " mixes, points of percent: normal " << as_fed.worst_one << ", all "
                   << as_fed.worst_all << "; products, first order " << dried.worst_one << ", all "
                   << dried.worst_all);
    }
    CHECK(as_fed.worst_one < 0.3);
    CHECK(dried.worst_one < 0.3);
    // 10,000 draws have a standard error of 0.5 points at most.
    CHECK(as_fed.worst_all < 1.75);
    CHECK(dried.worst_all < 1.75);
}

TEST_CASE("the chance is the same in every run") {
    const job::Job recipe = read_recipe(R"("profile": "nile-tilapia/grow-out", "ingredients": [
        {"id": "soybean-meal-44", "amount": 50}, {"id": "maize", "amount": 50}])");
    const limits::Check one = check(recipe);
    const limits::Check other = check(recipe);
    CHECK(one.assessment.chance->all_percent == other.assessment.chance->all_percent);
    CHECK(one.assessment.chance->weakest == other.assessment.chance->weakest);
}
