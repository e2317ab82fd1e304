// SPDX-License-Identifier: GPL-3.0-or-later
// What mending a recipe leaves alone: what is dosed.
#include "search/mend.hpp"

#include "search/purchases.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

using namespace feedwright;

namespace {

job::Choice& add(job::Job& job, const std::string& id, double amount, double protein,
                 double sodium = 0) {
    job::Choice choice;
    choice.id = choice.name = id;
    choice.amount = amount;
    choice.composition.set("crude_protein", {protein, catalog::Origin::stated, ""});
    choice.composition.set("sodium", {sodium, catalog::Origin::stated, ""});
    choice.composition.set("dry_matter", {90, catalog::Origin::stated, ""});
    job.ingredients.push_back(std::move(choice));
    return job.ingredients.back();
}

job::Job empty_job() {
    job::Job job;
    for (const char* id : {"crude_protein", "sodium", "dry_matter"}) {
        catalog::Nutrient nutrient;
        nutrient.id = nutrient.name = id;
        nutrient.unit = "%";
        job.dictionary.add(nutrient);
    }
    return job;
}

void ask(job::Job& job, const std::string& nutrient, std::optional<double> min,
         std::optional<double> max = {}) {
    job::NutrientLimit limit;
    limit.nutrient = nutrient;
    limit.min = min;
    limit.max = max;
    job.limits.push_back(limit);
}

// Grain and meal, short of protein, with `percent` of a premix that goes in at 1 %.
job::Job with_premix(double percent) {
    job::Job job = empty_job();
    add(job, "grain", 80 - percent, 10);
    add(job, "meal", 20, 40);
    job::Choice& premix = add(job, "premix", percent, 0);
    premix.category = premix.role = "premix";
    premix.rate_percent = 1;
    premix.made_for_animal = true;
    ask(job, "crude_protein", 20);
    job.profile.emplace();
    return job;
}

job::CapLimit cap(const std::string& id, double max) {
    return {id, "", {id}, max, catalog::Cap::Kind::rule_of_thumb, "", ""};
}

double share(const search::Mending& mending, const std::string& id) {
    REQUIRE(mending.smallest);
    for (const search::MendedItem& item : mending.smallest->changes) {
        if (item.id == id) return item.after_percent;
    }
    return 0;
}

}  // namespace

TEST_CASE("mending leaves a premix at the rate of its label") {
    // Without the premix there would be room for more protein at less weight moved.
    CHECK(share(search::mend(with_premix(1)), "premix") == Approx(1));
    CHECK(share(search::mend(with_premix(0.4)), "premix") == Approx(1));
    CHECK(share(search::mend(with_premix(10)), "premix") == Approx(1));
    // Of the list that may come in, the one that is nearest to the animal.
    CHECK(share(search::mend(with_premix(0)), "premix") == Approx(1));
}

TEST_CASE("a premix for the animal takes the place of one for others") {
    job::Job job = with_premix(0);
    job::Choice other = job.ingredients.back();
    other.id = other.name = "premix-b";
    other.made_for_animal = false;
    other.amount = 1;
    job.ingredients.push_back(other);
    const search::Mending mending = search::mend(job);
    CHECK(share(mending, "premix") == Approx(1));
    CHECK(share(mending, "premix-b") == Approx(0).margin(1e-12));
    // Where none for the animal can come in, it stays.
    job.ingredients.erase(job.ingredients.begin() + 2);
    CHECK(share(search::mend(job), "premix-b") == Approx(100.0 / 101));
}

TEST_CASE("a tenfold premix is mended though every limit is met") {
    job::Job job = with_premix(10);
    job.limits[0].min = 10;
    const search::Mending mending = search::mend(job);
    CHECK_FALSE(mending.before.passes);
    CHECK(share(mending, "premix") == Approx(1));
}

TEST_CASE("several premixes for the animal make up one rate together") {
    job::Job job = with_premix(2);
    job::Choice second = job.ingredients.back();
    second.id = second.name = "premix-b";
    job.ingredients.push_back(second);
    const search::Mending mending = search::mend(job);
    CHECK(share(mending, "premix") == Approx(0.5));
    CHECK(share(mending, "premix-b") == Approx(0.5));
}

TEST_CASE(
    "mending leaves other dosed things and salt as they are, unless they are past their cap") {
    const auto mended = [](double vitamin, double salt) {
        job::Job job = empty_job();
        add(job, "grain", 80, 10);
        add(job, "meal", 20 - vitamin - salt, 40);
        job::Choice& dosed = add(job, "ascorbic-acid", vitamin, 0);
        dosed.category = "premix";
        dosed.role = "vitamin_c";
        add(job, "salt", salt, 0, 39).category = "mineral";
        ask(job, "crude_protein", 20);
        job.tolerated.push_back(cap("salt", 0.5));
        job.caps = job.tolerated;
        job.tolerated.push_back(cap("ascorbic-acid", 0.3));
        return search::mend(job);
    };
    const search::Mending kept = mended(0.1, 0.4);
    CHECK(share(kept, "ascorbic-acid") == Approx(0.1));
    CHECK(share(kept, "salt") == Approx(0.4));
    const search::Mending past = mended(2, 3);
    CHECK(share(past, "ascorbic-acid") == Approx(0.3));
    CHECK(share(past, "salt") == Approx(0.5));
}

TEST_CASE("salt gives way within its cap where the limits cannot be met otherwise") {
    const auto mended = [](double salt, std::optional<double> min, std::optional<double> max) {
        job::Job job = empty_job();
        add(job, "grain", 100 - salt, 10);
        add(job, "salt", salt, 0, 39).category = "mineral";
        ask(job, "sodium", min, max);
        job.tolerated.push_back(cap("salt", 0.5));
        job.caps = job.tolerated;
        return search::mend(job);
    };
    CHECK(share(mended(0.2, 0.156, {}), "salt") == Approx(0.4));
    CHECK_FALSE(mended(0.2, 0.39, {}).smallest);
    CHECK(share(mended(0.4, {}, 0.117), "salt") == Approx(0.3));
}

TEST_CASE("what to buy: the fewest things with which the recipe passes, within their caps") {
    const auto with = [](const std::vector<std::string>& ids) {
        job::Job job = empty_job();
        job.profile.emplace();
        add(job, "grain", 100, 10);
        const auto bought = [&](const std::string& id) {
            return std::find(ids.begin(), ids.end(), id) != ids.end();
        };
        if (bought("meal")) add(job, "meal", 0, 40);
        if (bought("strong-meal")) add(job, "strong-meal", 0, 80).category = "oilcake";
        if (bought("salt")) add(job, "salt", 0, 0, 39).category = "mineral";
        if (bought("premix")) {
            job::Choice& premix = add(job, "premix", 0, 0);
            premix.category = premix.role = "premix";
            premix.rate_percent = 1;
            premix.made_for_animal = true;
        }
        for (const char* capped : {"strong-meal", "salt"}) {
            if (job.find(capped) == nullptr) continue;
            job.tolerated.push_back(cap(capped, 0.5));
            job.caps.push_back(job.tolerated.back());
        }
        ask(job, "crude_protein", 20);
        ask(job, "sodium", 0.1);
        return job;
    };
    const std::vector<std::string> ids{"meal", "strong-meal", "salt", "premix"};
    const search::Mending alone = search::mend(with({}));
    REQUIRE_FALSE(alone.smallest);
    const auto found = search::find_purchases(with(ids), ids, with, {});
    REQUIRE(found);
    std::vector<std::string> bought;
    for (const search::Purchase& item : found->items)
        bought.push_back(item.id);
    std::sort(bought.begin(), bought.end());
    CHECK(bought == std::vector<std::string>{"meal", "premix", "salt"});
    CHECK(limits::check(found->recipe).amounts.size() == 4);
    for (const search::Purchase& item : found->items) {
        if (item.id == "premix") CHECK(item.percent == Approx(1));
        if (item.id == "salt") CHECK(item.percent == Approx(100 * 0.1 / 39));
        CHECK(item.kg == Approx(item.percent));  // for 100 kg
    }
    // With nothing missing there is nothing to buy.
    const auto more = search::find_purchases(with(ids), ids, with, found->change.judgement);
    CHECK_FALSE(more);
}
