// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"
#include "support/premixes.hpp"

#include <string>
#include <vector>

// A premix is bought so that nobody has to count vitamins and trace minerals. So at the rate of its
// label it must hold all of them that the animal needs, whatever the rest of the feed holds.

using namespace feedwright;

namespace {

using test::library;

// Vitamins, and the minerals that are counted in mg and not in percent.
bool comes_from_premix(const catalog::Nutrient& nutrient) {
    const job::Need need = job::need_of(nutrient);
    return need == job::Need::vitamins || (need == job::Need::minerals && nutrient.unit != "%");
}

job::Job premix_alone(const std::string& premix, const std::string& stage) {
    job::ReadOptions options;
    options.profile = stage;
    job::PricedIngredient row;
    row.ingredient = premix;
    options.prices = job::PriceList{"", {row}};
    return job::job_from_prices(library(), options);
}

}  // namespace

TEST_CASE("a premix at its label rate meets every vitamin and trace mineral need it is made for") {
    std::vector<std::string> short_of;
    std::size_t compared = 0;
    std::size_t premixes = 0;
    for (const std::string& id : library().ingredient_ids()) {
        const catalog::Ingredient& ingredient = *library().ingredient(id);
        if (ingredient.role != "premix") continue;
        INFO(id);
        ++premixes;
        REQUIRE(ingredient.rate_percent);
        REQUIRE(!ingredient.made_for.empty());
        for (const std::string& stage : library().profile_ids()) {
            const catalog::Animal animal = test::animal_of(library(), stage);
            if (catalog::closeness(ingredient.made_for, ingredient.made_for_stages, animal) == 0)
                continue;
            const job::Job job = premix_alone(id, stage);
            for (const job::NutrientLimit& limit : job.limits) {
                const catalog::Nutrient& nutrient = *job.dictionary.find(limit.nutrient);
                if (!limit.min || !comes_from_premix(nutrient)) continue;
                ++compared;
                const catalog::Amount* amount = job.ingredients[0].composition.find(nutrient.id);
                double content =
                    amount == nullptr ? 0 : amount->value * *ingredient.rate_percent / 100;
                // A dry feed holds about a tenth of water.
                if (limit.basis == catalog::Basis::dry_matter) content /= 0.9;
                if (content >= *limit.min * (1 - 1e-6)) continue;
                short_of.push_back(id + " for " + stage + ": " + nutrient.id + ' ' +
                                   base::significant(content, 4) + " of " +
                                   base::significant(*limit.min, 4) + ' ' + nutrient.unit);
            }
        }
    }
    CHECK(premixes >= 20);
    CHECK(compared >= 600);
    CHECK(short_of == std::vector<std::string>{});
}
