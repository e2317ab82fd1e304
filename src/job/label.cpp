// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/label.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "job/portion.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <vector>

namespace feedwright::job {

namespace {

using catalog::Amount;
using catalog::Basis;
using catalog::Composition;
using catalog::Origin;

// What a dry feed holds where nothing is said: the feed that others are compared at
// (docs/method.md, "Wet and dry").
constexpr double dry_feed = 90;

std::optional<double> amount_of(const Composition& composition, std::string_view nutrient) {
    const Amount* amount = composition.find(nutrient);
    return amount == nullptr ? std::nullopt : std::optional(amount->value);
}

// An amount per unit of feed, of one that is a share of what `composition` says.
std::optional<double> as_fed(double amount, Basis basis, const Composition& composition) {
    std::optional<double> whole;
    switch (basis) {
        case Basis::as_fed:
            return amount;
        case Basis::dry_matter:
            whole = amount_of(composition, "dry_matter");
            break;
        case Basis::of_protein:
            whole = amount_of(composition, "crude_protein");
            break;
    }
    if (!whole) return std::nullopt;
    return amount * *whole / 100;
}

class LabelTaker {
  public:
    LabelTaker(const catalog::Label& label, const catalog::Stage& stage, Choice& choice)
        : label_(label),
          stage_(stage),
          choice_(choice),
          factor_((1 + label.reserve_percent / 100) * 100 / label.use_percent.value_or(100)) {}

    void take() {
        if (choice_.composition.find("dry_matter") == nullptr) assume("dry_matter", dry_feed);
        // What others are a share of comes first.
        for (const bool protein : {true, false}) {
            for (const catalog::RequirementLimit& limit : stage_.limits) {
                if ((limit.nutrient == "crude_protein") == protein) take_need(limit);
            }
        }
        for (const catalog::RequirementRatio& ratio : stage_.ratios)
            take_ratio(ratio);
        for (const catalog::LabelContent& content : label_.contents) {
            if (content.max && *content.max > content.value)
                assume_most(content.nutrient, *content.max);
        }
    }

  private:
    const catalog::LabelContent* content(const std::string& nutrient) const {
        const auto at = std::find_if(label_.contents.begin(), label_.contents.end(),
                                     [&](const auto& one) { return one.nutrient == nutrient; });
        return at == label_.contents.end() ? nullptr : &*at;
    }

    void assume(const std::string& nutrient, double amount) {
        choice_.composition.set(nutrient, {amount, Origin::assumed, "label"});
    }
    void assume_most(const std::string& nutrient, double amount) {
        choice_.assumed[nutrient] = {amount, Origin::assumed, "label"};
    }

    // Whether the label says how much there is at least, or what it says gives it exactly.
    bool is_told(const std::string& nutrient) const {
        const catalog::LabelContent* stated = content(nutrient);
        if (stated != nullptr) return !stated->only_max;
        const Amount* amount = choice_.composition.find(nutrient);
        return amount != nullptr && catalog::unsureness(amount->origin) <= 1;
    }

    void take_need(const catalog::RequirementLimit& limit) {
        if (is_told(limit.nutrient)) return;
        const catalog::LabelContent* most = content(limit.nutrient);
        std::optional<double> least;
        if (limit.min) least = as_fed(*limit.min * factor_, limit.basis, choice_.composition);
        // Only of a complete feed is the animal's maximum one of the bag.
        std::optional<double> highest;
        if (most != nullptr) highest = most->max;
        if (limit.max && !label_.use_percent && !highest)
            highest = as_fed(*limit.max, limit.basis, choice_.composition);
        if (least) {
            if (highest) least = std::min(*least, *highest);
            const Amount* before = choice_.composition.find(limit.nutrient);
            const bool lower =
                before != nullptr && before->origin == Origin::assumed && before->value >= *least;
            if (!lower) assume(limit.nutrient, *least);
            if (most != nullptr) assume_most(limit.nutrient, *most->max);
        } else if (highest && most == nullptr) {
            assume_most(limit.nutrient, *highest);
        }
    }

    // The other part of a ratio, where one is known, so that the bag meets it. Of a concentrate
    // nothing is known: what it is mixed with brings its own part.
    void take_ratio(const catalog::RequirementRatio& ratio) {
        if (label_.use_percent || (!ratio.min && !ratio.max)) return;
        const double wanted = ratio.min ? *ratio.min * (1 + label_.reserve_percent / 100)
                                        : *ratio.max / (1 + label_.reserve_percent / 100);
        const double held = ratio.max ? std::min(wanted, *ratio.max) : wanted;
        const auto of = amount_of(choice_.composition, ratio.of);
        const auto to = amount_of(choice_.composition, ratio.to);
        if (of && !to && held > 0) assume(ratio.to, *of / held);
        if (to && !of) assume(ratio.of, *to * held);
    }

    const catalog::Label& label_;
    const catalog::Stage& stage_;
    Choice& choice_;
    double factor_;
};

std::vector<const Choice*> bags_of(const Job& job) {
    std::vector<const Choice*> bags;
    for (const Choice& choice : job.ingredients) {
        if (choice.label) bags.push_back(&choice);
    }
    return bags;
}

// The highest that a bag has of what a limit asks, on the limit's basis.
std::optional<double> best_of(const std::vector<const Choice*>& bags, const std::string& nutrient,
                              const std::string& whole, double whole_is) {
    std::optional<double> best;
    for (const Choice* bag : bags) {
        const auto amount = amount_of(bag->composition, nutrient);
        const auto per = whole.empty() ? whole_is : amount_of(bag->composition, whole);
        if (!amount || !per || !(*per > 0)) continue;
        best = std::max(best.value_or(0), *amount / (*per / whole_is));
    }
    return best;
}

std::string whole_of(Basis basis) {
    if (basis == Basis::dry_matter) return "dry_matter";
    return basis == Basis::of_protein ? "crude_protein" : "";
}

bool any_silent(const std::vector<const Choice*>& bags, const std::string& nutrient,
                const std::string& whole) {
    return std::any_of(bags.begin(), bags.end(), [&](const Choice* bag) {
        return bag->composition.find(nutrient) == nullptr ||
               (!whole.empty() && bag->composition.find(whole) == nullptr);
    });
}

// A need that a label has no answer to can be neither shown nor denied.
template <class Limit>
void soften(Limit& limit) {
    limit.weak = true;
    limit.yields = limit.yields || !limit.advisory;
}

template <class Limit>
void lower(Limit& limit, double percent, const std::optional<double>& bag) {
    if (!bag) return;
    const double least = *bag * (1 - percent / 100);
    if (least >= *limit.min) return;
    limit.undiluted_min = limit.min;
    limit.min = least;
}

}  // namespace

void take_label(catalog::Library& library, const catalog::Ingredient& ingredient,
                const std::string& file, const std::string& place, Choice& choice,
                base::Diagnostics& diagnostics) {
    const catalog::Label& label = *ingredient.label;
    const auto [species, stage_id] = catalog::parse_profile_id(label.animal);
    const catalog::Profile* profile = library.profile(species);
    const catalog::Stage* stage = profile == nullptr ? nullptr : profile->stage(stage_id);
    choice.label = label;
    choice.variability = {};  // a label says nothing of it
    if (stage == nullptr) {
        diagnostics.add({file, place,
                         fmt::format("a label for \"{}\"", base::printable(label.animal, 60)),
                         "the species/stage that the bag is for, such as nile-tilapia/grow-out",
                         base::did_you_mean(label.animal, library.profile_ids())});
        return;
    }
    LabelTaker(label, *stage, choice).take();
}

void settle_labels(Job& job, base::Diagnostics& diagnostics) {
    const std::vector<const Choice*> bags = bags_of(job);
    if (bags.empty()) {
        if (job.dilute_percent && diagnostics.empty()) {
            diagnostics.add({job.file, "dilute_percent",
                             base::shortest(*job.dilute_percent) + " and no bought feed",
                             "an ingredient with a \"label\"",
                             "The mix may fall that much below the bought feed in it"});
        }
        return;
    }
    for (Choice& choice : job.ingredients) {
        if (!choice.label || !choice.label->use_percent || Portion(job).is_ration()) continue;
        choice.rate_percent = choice.label->use_percent;
        choice.at_label_rate = !choice.min && !choice.max && !choice.min_if_used && !choice.amount;
    }
    for (NutrientLimit& limit : job.limits) {
        if (limit.level.empty() || !limit.harms.empty() || !limit.min) continue;
        const std::string whole = whole_of(limit.basis);
        if (any_silent(bags, limit.nutrient, whole)) soften(limit);
        if (job.dilute_percent)
            lower(limit, *job.dilute_percent, best_of(bags, limit.nutrient, whole, 100));
    }
    for (RatioLimit& ratio : job.ratios) {
        if (ratio.source == "job") continue;
        if (any_silent(bags, ratio.of, ratio.to)) soften(ratio);
        if (job.dilute_percent && ratio.min)
            lower(ratio, *job.dilute_percent, best_of(bags, ratio.of, ratio.to, 1));
    }
}

}  // namespace feedwright::job
