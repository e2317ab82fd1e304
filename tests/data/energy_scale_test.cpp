// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/csv.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"
#include "search/cheapest.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <vector>

// The energy of ingredients is measured for some and estimated by class for the others. A mix holds
// both, so the two have to lie on one scale: here every measured ingredient is estimated as if
// nothing had been measured.

using namespace feedwright;

namespace {

using test::library;

// The animal of a word of the table. Bighead carp has no profile; it is fed like the other carps.
catalog::Animal animal_of(const std::string& word) {
    const std::map<std::string, std::string> stands_for{
        {"bighead-carp", "common-carp"}, {"poultry", "broiler"}, {"pig", "growing-pig"}};
    const auto at = stands_for.find(word);
    const catalog::Profile* profile = library().profile(at == stands_for.end() ? word : at->second);
    REQUIRE(profile != nullptr);
    return {profile->species, profile->group, profile->feeds_as};
}

// What the library would say of the energy of an ingredient that nobody had fed to an animal.
const catalog::Amount* estimate(const std::string& id, const std::string& nutrient,
                                const catalog::Animal& animal, catalog::Composition& made) {
    const catalog::Ingredient* known = library().ingredient(id);
    REQUIRE(known != nullptr);
    catalog::Ingredient unmeasured = *known;
    std::erase_if(unmeasured.stated, [](const catalog::StatedValue& value) {
        return value.nutrient == "digestible_energy" || value.nutrient == "metabolisable_energy";
    });
    std::erase_if(unmeasured.digestibility, [](const catalog::Digestibility& share) {
        return share.nutrient == "gross_energy";
    });
    made = catalog::compose(unmeasured, library().dictionary(), animal);
    return made.find(nutrient);
}

struct Pair {
    std::string ingredient;
    double measured = 0;
    double estimated = 0;
    std::string kind;
};

// Classes with few measured feeds, pooled with those most like them.
std::string kind_of(const std::string& category) {
    const std::map<std::string, std::string> pooled{
        {"fish-meal", "animal"}, {"animal-meal", "animal"},          {"insect", "animal"},
        {"worm", "animal"},      {"dairy-and-egg", "animal"},        {"oilcake", "oilcake"},
        {"legume", "oilcake"},   {"protein-concentrate", "oilcake"}, {"yeast-and-algae", "oilcake"},
        {"cereal", "cereal"},    {"cereal-by-product", "cereal"},    {"root", "cereal"},
        {"leaf-meal", "leaf"},   {"aquatic-plant", "leaf"},          {"kitchen-garden", "leaf"}};
    const auto at = pooled.find(category);
    return at == pooled.end() ? category : at->second;
}

std::map<std::string, std::vector<Pair>> pairs_by_group() {
    const std::string file = (test::source_folder() / "tests/data/measured-energy.csv").string();
    const base::CsvTable table = base::parse_csv(base::read_file(file), file);
    REQUIRE(table.header == std::vector<std::string>{"group", "animal", "ingredient", "nutrient",
                                                     "mj_per_kg", "how_known", "source",
                                                     "outlier"});
    std::map<std::string, std::vector<Pair>> groups;
    for (const base::CsvRow& row : table.rows) {
        INFO("line " << row.line << ": " << row.cells[2]);
        const auto measured = base::parse_finite(row.cells[4]);
        REQUIRE(measured);
        REQUIRE(!row.cells[6].empty());
        std::vector<Pair>& group = groups[row.cells[0]];
        if (!row.cells[7].empty()) continue;  // says why it is no measure of its class
        catalog::Composition made;
        const catalog::Amount* found =
            estimate(row.cells[2], row.cells[3], animal_of(row.cells[1]), made);
        REQUIRE(found != nullptr);
        CHECK(found->origin == catalog::Origin::estimated);
        group.push_back({row.cells[2], *measured, found->value,
                         kind_of(library().ingredient(row.cells[2])->category)});
    }
    return groups;
}

// Percent: how far the sum of the estimates is from the sum of the measured values, and the
// standard deviation of the single differences.
struct Agreement {
    double bias = 0;
    double spread = 0;
};

Agreement agreement(const std::vector<Pair>& pairs) {
    double measured = 0;
    double estimated = 0;
    double sum = 0;
    double squares = 0;
    for (const Pair& pair : pairs) {
        measured += pair.measured;
        estimated += pair.estimated;
        const double difference = 100 * (pair.estimated / pair.measured - 1);
        sum += difference;
        squares += difference * difference;
    }
    const auto n = static_cast<double>(pairs.size());
    return {100 * (estimated / measured - 1), std::sqrt(squares / n - (sum / n) * (sum / n))};
}

// Each estimate brought to the scale of the other measured feeds of its kind, so that no feed
// vouches for itself; of all others where it is the only one of its kind. The shape of its equation
// stays, so this tells whether the scale of a kind hangs on single feeds, and no more.
std::vector<Pair> left_out_one_by_one(std::vector<Pair> pairs) {
    const std::vector<Pair> all = pairs;
    for (std::size_t out = 0; out < pairs.size(); ++out) {
        double kind_measured = 0;
        double kind_estimated = 0;
        double measured = 0;
        double estimated = 0;
        for (std::size_t other = 0; other < all.size(); ++other) {
            if (other == out) continue;
            measured += all[other].measured;
            estimated += all[other].estimated;
            if (all[other].kind != all[out].kind) continue;
            kind_measured += all[other].measured;
            kind_estimated += all[other].estimated;
        }
        pairs[out].estimated *=
            kind_estimated > 0 ? kind_measured / kind_estimated : measured / estimated;
    }
    return pairs;
}

bool is_organic(const catalog::Ingredient& ingredient) {
    for (const char* made : {"mineral", "amino-acid", "premix", "acid", "water"}) {
        if (ingredient.category == made) return false;
    }
    return true;
}

}  // namespace

TEST_CASE("estimated and measured energy lie on one scale") {
    struct Expected {
        const char* group;
        std::size_t rows;    // no fewer, so that the test cannot grow empty
        double most_bias;    // percent
        double most_spread;  // percent of the value, as docs/data.md states it
    };
    // The classes were fitted to these same values, so no bias is left but that of the library
    // around them. Bighead carp was not fitted: it digests 83 to 86 % of the energy of every feed
    // alike, fish meal or bran. Shrimp and rabbits have few measured feeds.
    const Expected table[] = {
        {"rainbow trout + salmon", 24, 3, 10},
        {"Nile tilapia", 20, 3, 9},
        {"channel catfish", 7, 3, 9},
        {"African catfish", 7, 3, 9},
        {"rohu, common carp", 5, 3, 15},
        {"whiteleg shrimp", 5, 3, 9},
        {"poultry AMEn", 55, 3, 10},
        {"pig DE", 45, 3, 13},
        {"pig ME", 45, 3, 13},
        {"rabbit DE", 2, 3, 15},
        {"bighead carp (not fitted)", 10, 20, 10},
    };
    const auto groups = pairs_by_group();
    CHECK(groups.size() == std::size(table));
    for (const Expected& expected : table) {
        const auto at = groups.find(expected.group);
        INFO(expected.group);
        REQUIRE(at != groups.end());
        CHECK(at->second.size() >= expected.rows);
        const auto [bias, spread] = agreement(at->second);
        INFO("bias " << bias << " %, spread " << spread << " %, " << at->second.size() << " rows");
        CHECK(std::abs(bias) < expected.most_bias);
        CHECK(spread < expected.most_spread);
    }
}

TEST_CASE("no kind of feed has a scale that hangs on a single measured feed") {
    struct Expected {
        std::vector<const char*> groups;  // fitted together, as data/estimates.json has them
        double most_bias;                 // percent
        double most_spread;               // percent, as docs/data.md states it
    };
    // Carps have five measured feeds, two of them oilcakes: their scale does hang on single ones.
    const Expected table[] = {
        {{"rainbow trout + salmon"}, 3, 12},
        {{"Nile tilapia"}, 3, 10},
        {{"channel catfish", "African catfish"}, 3, 10},
        {{"rohu, common carp"}, 5, 18},
        {{"whiteleg shrimp"}, 3, 3},
        {{"poultry AMEn"}, 3, 10},
        {{"pig DE"}, 3, 11},
        {{"pig ME"}, 3, 13},
    };
    const auto groups = pairs_by_group();
    for (const Expected& expected : table) {
        std::vector<Pair> together;
        for (const char* group : expected.groups) {
            const std::vector<Pair>& members = groups.at(group);
            together.insert(together.end(), members.begin(), members.end());
        }
        const std::vector<Pair> estimated = left_out_one_by_one(together);
        std::size_t first = 0;
        for (const char* group : expected.groups) {
            const std::size_t size = groups.at(group).size();
            const auto begin = estimated.begin() + static_cast<std::ptrdiff_t>(first);
            const auto [bias, spread] =
                agreement({begin, begin + static_cast<std::ptrdiff_t>(size)});
            first += size;
            INFO(group << ": bias " << bias << " %, spread " << spread << " %");
            CHECK(std::abs(bias) < expected.most_bias);
            CHECK(spread < expected.most_spread);
        }
    }
}

TEST_CASE(
    "at least 90 % of organic ingredients have an energy for hens and broilers, and say from "
    "where") {
    for (const catalog::Animal& animal : {catalog::Animal{"broiler", "poultry", "broiler"},
                                          catalog::Animal{"laying-hen", "poultry", "layer"}}) {
        std::size_t organic = 0;
        std::size_t known = 0;
        std::vector<std::string> without;
        for (const std::string& id : library().ingredient_ids()) {
            const catalog::Ingredient& ingredient = *library().ingredient(id);
            if (!is_organic(ingredient)) continue;
            const catalog::Composition made =
                catalog::compose(ingredient, library().dictionary(), animal);
            // A clay that binds pellets is no feed: it burns to ash.
            const catalog::Amount* ash = made.find("ash");
            const bool mineral =
                ingredient.category == "binder" && ash != nullptr && ash->value > 50;
            if (mineral) continue;
            ++organic;
            const catalog::Amount* energy = made.find("metabolisable_energy");
            if (energy == nullptr) {
                without.push_back(id);
                continue;
            }
            ++known;
            INFO(id);
            CHECK(library().source(energy->source) != nullptr);
        }
        INFO(animal.species << ": without "
                            << Catch::StringMaker<std::vector<std::string>>::convert(without));
        CHECK(organic > 200);
        CHECK(10 * known >= 9 * organic);
    }
}

TEST_CASE("a hen ration in which larvae stand for soybean meal meets its energy") {
    // Limestone, salt and premix hold no energy, and say so; so all of the mix has a value.
    const auto energy_of = [](double larvae_percent) {
        const test::TempFolder folder;
        const std::string amount = base::shortest(larvae_percent);
        const std::string file =
            folder.write("hens.json", R"({ "format": "feedwright-job/1",
          "title": "layer mash", "profile": "laying-hen/lay", "currency": "USD", "ingredients": [
            { "id": "maize", "price": 0.3 }, { "id": "soybean-meal-44", "price": 0.55 },
            { "id": "black-soldier-fly-full-fat", "price": 0.6, "min": )" +
                                          amount + R"(, "max": )" + amount + R"( },
            { "id": "soybean-oil", "price": 1.4 }, { "id": "dl-methionine", "price": 5 },
            { "id": "limestone", "price": 0.05 }, { "id": "salt", "price": 0.2 },
            { "id": "dicalcium-phosphate-dihydrate", "price": 0.8 },
            { "id": "premix-layer", "price": 3 } ] })");
        const search::Formulation made =
            search::formulate(search::settle(job::read_job(file, library(), {})));
        REQUIRE(made.status == lp::Status::optimal);
        const auto& results = made.assessment.limits;
        const auto energy = std::find_if(results.begin(), results.end(), [](const auto& result) {
            return result.limit.id.find("metabolisable_energy") != std::string::npos;
        });
        REQUIRE(energy != results.end());
        CHECK(energy->met);
        CHECK(energy->proven);
        CHECK(energy->unknown_in.empty());
        for (const limits::Finding& finding : made.judgement.findings) {
            INFO(finding.name);
            CHECK((finding.kind != limits::FindingKind::energy ||
                   finding.severity == limits::Severity::note));
        }
        const auto larvae =
            std::find_if(made.items.begin(), made.items.end(),
                         [](const auto& item) { return item.id == "black-soldier-fly-full-fat"; });
        CHECK((larvae == made.items.end() ? 0 : larvae->percent) ==
              Approx(larvae_percent).margin(1e-6));
    };
    SECTION("without larvae") {
        energy_of(0);
    }
    SECTION("with 12 % larvae") {
        energy_of(12);
    }
}
