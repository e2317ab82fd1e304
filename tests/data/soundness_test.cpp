// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"
#include "search/cheapest.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"
#include "support/premixes.hpp"

#include <algorithm>
#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

// What a plain run gives for every stage of every animal, over three price lists that were made up
// for this: no mix may hold an amount that nobody would feed, and none may be called complete while
// something is short. The bounds below are an outer fence, wider than any cap the library should
// hold, so that a sensible cap never meets them.

using namespace feedwright;
using limits::Severity;
using limits::Verdict;

namespace {

using test::library;

struct Mixed {
    job::Job job;
    search::Formulation result;
};

// As the program does it for --for and --prices. `more` is bought as well.
Mixed mix(const std::string& stage, const std::string& list, const std::string& more = "",
          job::CapsInUse caps = job::CapsInUse::usual) {
    job::ReadOptions options;
    options.profile = stage;
    options.caps = caps;
    options.prices =
        job::read_price_list((test::source_folder() / "tests/data/soundness" / list).string());
    if (!more.empty()) {
        job::PricedIngredient row;
        row.ingredient = more;
        row.price = 3;  // invented, as the lists are
        options.prices->rows.push_back(row);
    }
    Mixed mixed{search::settle(job::job_from_prices(library(), options)), {}};
    mixed.result = search::formulate(mixed.job);
    if (auto dried = search::at_common_moisture(mixed.job, mixed.result.assessment)) {
        mixed.job = search::settle(std::move(*dried));
        mixed.result = search::formulate(mixed.job);
    }
    return mixed;
}

// The share of each ingredient in the dry matter of a wet mix, as fed in a dry one: what a fence
// can be set for.
class Shares {
  public:
    explicit Shares(const Mixed& mixed) : job_(mixed.job) {
        for (const limits::MixItem& item : mixed.result.items) {
            shares_.emplace(item.id, item.dry_matter_percent.value_or(item.percent));
        }
    }
    double of(const std::function<bool(const job::Choice&)>& wanted) const {
        double sum = 0;
        for (const auto& [id, percent] : shares_)
            sum += wanted(*job_.find(id)) ? percent : 0;
        return sum;
    }
    double kind(const std::string& category) const {
        return of([&](const job::Choice& choice) { return choice.category == category; });
    }
    double named(const std::vector<std::string>& beginnings) const {
        return of([&](const job::Choice& choice) {
            return std::any_of(beginnings.begin(), beginnings.end(), [&](const std::string& word) {
                return choice.id.starts_with(word);
            });
        });
    }
    const std::map<std::string, double>& all() const { return shares_; }

  private:
    const job::Job& job_;
    std::map<std::string, double> shares_;
};

using Complaints = std::vector<std::string>;

void complain_above(Complaints& list, const std::string& what, double percent, double most) {
    if (percent > most) list.push_back(what + ' ' + base::significant(percent, 3) + " %");
}

Complaints never_fed(const Mixed& mixed) {
    Complaints list;
    const Shares shares(mixed);
    const std::string& group = mixed.job.animal.group;
    const bool aquatic = group == "fish" || group == "crustacean";
    for (const auto& [id, percent] : shares.all()) {
        const std::string& category = mixed.job.find(id)->category;
        // Grain is the bulk of a land animal's feed, and even there something else stands beside
        // it; nothing else is.
        const double most = category == "cereal" ? 80 : category == "fish-meal" ? 60 : 55;
        complain_above(list, id, percent, most);
    }
    // The body uses free amino acids badly when they come in bulk; feed mills stay below 1 % of all
    // of them together.
    complain_above(list, "free amino acids", shares.kind("amino-acid"), 1.5);
    // Gossypol and poor lysine: extension sheets stop at 10 to 15 % for fish and at 5 % for birds.
    complain_above(list, "cottonseed", shares.named({"cottonseed-cake", "cottonseed-meal"}),
                   aquatic ? 20 : 10);
    // Mimosine.
    complain_above(list, "leucaena", shares.named({"leucaena"}), 8);
    // Ricin and phorbol esters: never a feed.
    complain_above(list, "castor or jatropha", shares.named({"castor", "jatropha"}), 0);
    // Only ruminants use urea.
    complain_above(list, "urea", shares.named({"urea"}), 0);
    // Sticky and laxative above that.
    complain_above(list, "molasses", shares.named({"molasses"}), 10);
    complain_above(list, "salt", shares.named({"salt"}), 1);
    // Cheap leaf is no staple but for rabbits and grass-eating fish.
    const bool eats_leaves = group == "rabbit" || mixed.job.animal.species == "grass-carp";
    complain_above(list, "leaf meals", shares.kind("leaf-meal"), eats_leaves ? 60 : 20);
    const double cakes = shares.of([](const job::Choice& choice) {
        return choice.category == "oilcake" && !choice.id.starts_with("soy") &&
               !choice.id.starts_with("full-fat-soya");
    });
    complain_above(list, "oil cakes other than soya", cakes, 55);
    complain_above(list, "brans", shares.kind("cereal-by-product"), 65);
    // Dried blood is unpalatable and short of isoleucine, feathers of lysine.
    complain_above(list, "blood", shares.named({"blood"}), aquatic ? 12 : 6);
    complain_above(list, "feathers", shares.named({"feather"}), aquatic ? 15 : 8);
    // Fat beyond that makes feed that no press holds, but for salmon and trout.
    complain_above(list, "oils", shares.kind("oil"),
                   mixed.job.animal.feeds_as == "fish-carnivore" ? 30 : 12);
    // Chalk is weighed in for calcium, never to fill the bag.
    double calcium = 0;
    for (const job::NutrientLimit& limit : mixed.job.limits) {
        if (limit.nutrient == "calcium") calcium = std::max(calcium, limit.min.value_or(0));
    }
    if (calcium < 2) {
        complain_above(list, "chalk",
                       shares.named({"limestone", "oyster-shell", "eggshell", "calcium-carbonate"}),
                       2.5);
    }
    if (!mixed.job.finished_moisture && mixed.result.assessment.dry_matter.value_or(100) < 80) {
        list.push_back("judged wet");
    }
    return list;
}

// What no mix may be short of while it is called complete, worked out here again from the bare
// limits.
Complaints shortages(const Mixed& mixed) {
    Complaints list;
    int amino_acids = 0;
    for (const limits::LimitResult& result : mixed.result.assessment.limits) {
        const limits::Limit& limit = result.limit;
        if (!limit.min || limit.nutrient.empty()) continue;
        const auto is = [&](std::initializer_list<const char*> words) {
            return std::any_of(words.begin(), words.end(),
                               [&](const char* word) { return limit.nutrient.starts_with(word); });
        };
        amino_acids +=
            is({"lysine", "digestible_lysine"}) + is({"methionine", "digestible_methionine"}) +
            is({"threonine", "digestible_threonine"}) + is({"arginine", "digestible_arginine"});
        const auto below = [&](double share) {
            return result.value.value_or(0) < share * *limit.min;
        };
        if (is({"digestible_energy", "metabolisable_energy"}) && below(0.85))
            list.push_back(limit.id);
        if (is({"epa_dha", "eicosapentaenoic", "docosahexaenoic", "dha"}) && below(0.5))
            list.push_back(limit.id);
        if (is({"available_phosphorus"}) && below(0.8)) list.push_back(limit.id);
        if (is({"crude_protein", "digestible_protein"}) && below(0.95)) list.push_back(limit.id);
        if (is({"lysine", "methionine", "threonine"}) && below(0.9)) list.push_back(limit.id);
    }
    if (amino_acids < 2) list.emplace_back("next to no amino acid limits");
    const bool premix = std::any_of(
        mixed.result.items.begin(), mixed.result.items.end(),
        [&](const limits::MixItem& item) { return mixed.job.find(item.id)->role == "premix"; });
    if (!premix) list.emplace_back("no premix");
    return list;
}

void add(Complaints& all, const std::string& where, const Complaints& some) {
    for (const std::string& one : some)
        all.push_back(where + ": " + one);
}

}  // namespace

TEST_CASE("no plain run gives an amount that nobody would feed") {
    Complaints never;
    Complaints silent;
    std::size_t mixes = 0;
    for (const char* list : {"dealer.csv", "mill.csv", "farm.csv"}) {
        for (const std::string& stage : library().profile_ids()) {
            const Mixed mixed = mix(stage, list);
            if (mixed.result.amounts.empty()) continue;
            ++mixes;
            const std::string where = stage + " from " + list;
            add(never, where, never_fed(mixed));
            REQUIRE(mixed.result.judgement.verdict);
            CHECK(*mixed.result.judgement.verdict != Verdict::unsafe);
            if (*mixed.result.judgement.verdict == Verdict::complete)
                add(silent, where, shortages(mixed));
        }
    }
    // The poorer lists cannot feed every animal; the fence must have something to hold back all the
    // same.
    CHECK(mixes >= 140);
    CHECK(never == Complaints{});
    CHECK(silent == Complaints{});
}

TEST_CASE("without caps the fence is run into nearly everywhere") {
    Complaints never;
    std::size_t mixes = 0;
    std::size_t held_back = 0;
    for (const std::string& stage : library().profile_ids()) {
        const Mixed mixed = mix(stage, "mill.csv", "", job::CapsInUse::none);
        if (mixed.result.amounts.empty()) continue;
        ++mixes;
        held_back += !never_fed(mixed).empty();
    }
    CHECK(mixes >= 70);
    CHECK(10 * held_back >= 9 * mixes);
}

TEST_CASE("a dealer's list and the animal's premix feed nearly every stage") {
    std::size_t stages = 0;
    std::size_t mixes = 0;
    std::size_t complete = 0;
    Complaints never;
    Complaints silent;
    Complaints unnamed;
    for (const std::string& stage : library().profile_ids()) {
        INFO(stage);
        ++stages;
        const std::string premix = test::premix_for(library(), stage);
        REQUIRE(premix != "");
        const Mixed mixed = mix(stage, "dealer.csv", premix);
        if (mixed.result.amounts.empty()) continue;
        ++mixes;
        add(never, stage, never_fed(mixed));
        const limits::Judgement& judgement = mixed.result.judgement;
        REQUIRE(judgement.verdict);
        CHECK(*judgement.verdict != Verdict::unsafe);
        if (*judgement.verdict == Verdict::complete) {
            ++complete;
            add(silent, stage, shortages(mixed));
            continue;
        }
        // Not complete for a reason that can be read, and with its number or its names where it is
        // about any.
        const bool named = std::any_of(
            judgement.findings.begin(), judgement.findings.end(), [](const limits::Finding& one) {
                if (one.severity == Severity::note || one.name.empty()) return false;
                switch (one.found) {
                    case limits::Found::short_of:
                    case limits::Found::unknown_supply:
                    case limits::Found::nothing_known:
                        return one.number.has_value() && !one.source.empty();
                    case limits::Found::borrowed_needs:
                        return !one.detail.empty() && !one.source.empty();
                    default:
                        return true;
                }
            });
        if (!named) unnamed.push_back(stage);
    }
    CHECK(never == Complaints{});
    CHECK(silent == Complaints{});
    CHECK(unnamed == Complaints{});
    CHECK(stages >= 70);
    CHECK(10 * mixes >= 8 * stages);
    CHECK(complete >= 40);
}
