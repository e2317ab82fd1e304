// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/profile_limits.hpp"

#include "feedwright/base/number.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

namespace feedwright::job {

namespace {

using catalog::Basis;

class ProfileAdder {
  public:
    ProfileAdder(Job& job, const catalog::Profile& profile, const catalog::Stage& stage)
        : job_(job), profile_(profile), stage_(stage) {}

    void add() {
        add_limits();
        add_ratios();
        if (job_.caps_in_use != CapsInUse::none) add_caps();
    }

  private:
    void add_limits() {
        // Only the job's own, which stand in front, replace what the profile says of a nutrient.
        const std::size_t own = job_.limits.size();
        for (const catalog::RequirementLimit& limit : stage_.limits) {
            const auto replaced =
                std::find_if(job_.limits.begin(), job_.limits.begin() + static_cast<long>(own),
                             [&](const NutrientLimit& o) { return o.nutrient == limit.nutrient; });
            if (replaced != job_.limits.begin() + static_cast<long>(own)) {
                const bool same_basis = std::any_of(
                    job_.limits.begin(), job_.limits.begin() + static_cast<long>(own),
                    [&](const NutrientLimit& o) {
                        return o.nutrient == limit.nutrient && !o.is_amount && o.basis == limit.basis;
                    });
                if (same_basis) {
                    tell_of_lost_side(limit, *replaced);
                } else {
                    tell_of_other_basis(limit, *replaced);
                }
                continue;
            }
            job_.limits.push_back({limit.nutrient, limit.min, limit.max, limit.basis, false,
                                   limit.advisory && !job_.enforce_advisory, limit.level,
                                   limit.source, limit.note});
        }
    }

    // "2.5 % of the feed" and "3.2 % of protein" are not two sizes of one thing: say that both are not held.
    void tell_of_other_basis(const catalog::RequirementLimit& limit, const NutrientLimit& own) {
        const catalog::Nutrient& nutrient = *job_.dictionary.find(limit.nutrient);
        const auto whole = [](Basis basis) {
            return basis == Basis::of_protein   ? "protein"
                   : basis == Basis::dry_matter ? "dry matter"
                                                : "the feed";
        };
        const std::string unit = limit.basis == Basis::of_protein ? "%" : nutrient.unit;
        std::string asked;
        if (limit.min) asked += fmt::format("at least {} {}", base::compact(*limit.min, 6), unit);
        if (limit.max) {
            asked += fmt::format("{}at most {} {}", asked.empty() ? "" : " and ",
                                 base::compact(*limit.max, 6), unit);
        }
        job_.notes.push_back(fmt::format(
            "Your limit on {} is {}; the profile's, {} of {}, does not apply beside it.", nutrient.name,
            own.is_amount ? "an amount in all" : fmt::format("of {}", whole(own.basis)), asked,
            whole(limit.basis)));
    }

    void tell_of_lost_side(const catalog::RequirementLimit& limit, const NutrientLimit& own) {
        const auto tell = [&](std::string_view side, double number) {
            const catalog::Nutrient& nutrient = *job_.dictionary.find(limit.nutrient);
            job_.notes.push_back(fmt::format(
                "Your limit on {} replaces the profile's; its \"{} {} {}\" does not hold any more.",
                nutrient.name, side, base::compact(number, 6),
                limit.basis == Basis::of_protein ? "% of protein" : nutrient.unit));
        };
        if (limit.min && !own.min) tell("at least", *limit.min);
        if (limit.max && !own.max) tell("at most", *limit.max);
    }

    void add_ratios() {
        for (const catalog::RequirementRatio& ratio : stage_.ratios) {
            const bool own = std::any_of(job_.ratios.begin(), job_.ratios.end(),
                                         [&](const RatioLimit& other) {
                                             return other.of == ratio.of && other.to == ratio.to;
                                         });
            if (own) continue;
            job_.ratios.push_back({ratio.of, ratio.to, ratio.min, ratio.max,
                                   ratio.advisory && !job_.enforce_advisory, ratio.source});
        }
    }

    bool for_stage(const catalog::Cap& cap) const {
        return cap.stages.empty() ||
               std::find(cap.stages.begin(), cap.stages.end(), stage_.id) != cap.stages.end();
    }

    bool in_use(const catalog::Cap& cap) const {
        return cap.kind != catalog::Cap::Kind::highest_tested ||
               job_.caps_in_use == CapsInUse::strict;
    }

    std::vector<std::string> covered(const catalog::Cap& cap) const {
        std::vector<std::string> ids;
        for (const Choice& choice : job_.ingredients) {
            if (cap.covers(choice.id, choice.category, choice.kin)) ids.push_back(choice.id);
        }
        return ids;
    }

    void add_caps() {
        for (const catalog::Cap& cap : profile_.caps) {
            if (!for_stage(cap)) continue;
            const auto ingredients = covered(cap);
            if (ingredients.empty()) continue;
            if (cap.kind == catalog::Cap::Kind::highest_tested) add_tried(cap, ingredients);
            if (!in_use(cap)) continue;
            if (cap.basis == catalog::Cap::Basis::diet) {
                add_diet_cap(cap, ingredients);
            } else {
                add_replacement(cap, ingredients);
            }
        }
    }

    // A group of which the job has one is a cap on that one.
    static const std::string& subject_of(const catalog::Cap& cap, const std::vector<std::string>& ingredients) {
        return ingredients.size() == 1 && cap.ingredient.starts_with("group:") ? ingredients[0] : cap.ingredient;
    }

    void add_diet_cap(const catalog::Cap& cap, const std::vector<std::string>& ingredients) {
        if (ingredients.size() == 1 && !cap.ingredient.starts_with("category:")) {
            const Choice& choice = *job_.find(ingredients[0]);
            if (choice.max && !job_.free_total) {
                if (*choice.max > cap.max) {
                    job_.notes.push_back(fmt::format(
                        "Your limit of {} % for {} is above the {} % that {} gives for {}.",
                        base::shortest(*choice.max), choice.name, base::shortest(cap.max),
                        cap.source, profile_.name));
                }
                return;
            }
        }
        const std::string& subject = subject_of(cap, ingredients);
        for (CapLimit& other : job_.caps) {
            if (other.subject != subject) continue;
            if (cap.max < other.max) {
                other = {subject, ingredients, cap.max, cap.kind, cap.source, cap.note};
            }
            return;
        }
        job_.caps.push_back({subject, ingredients, cap.max, cap.kind, cap.source, cap.note});
    }

    void add_tried(const catalog::Cap& cap, const std::vector<std::string>& ingredients) {
        if (cap.basis != catalog::Cap::Basis::diet) return;
        const std::string& subject = subject_of(cap, ingredients);
        const CapLimit level{subject, ingredients, cap.max, cap.kind, cap.source, cap.note};
        for (CapLimit& other : job_.tried) {
            if (other.subject != subject) continue;
            if (cap.max > other.max) other = level;
            return;
        }
        job_.tried.push_back(level);
    }

    void add_replacement(const catalog::Cap& cap, const std::vector<std::string>& ingredients) {
        std::vector<std::string> references;
        if (cap.basis != catalog::Cap::Basis::dietary_protein) {
            for (const Choice& choice : job_.ingredients) {
                if (choice.category == "fish-meal") references.push_back(choice.id);
            }
            // Without a fish meal to choose there is nothing to replace; the share says nothing then.
            if (references.empty()) return;
        }
        for (const std::string& id : ingredients) {
            if (std::find(references.begin(), references.end(), id) != references.end()) continue;
            const bool by_weight = cap.basis == catalog::Cap::Basis::fish_meal;
            const auto same = std::find_if(
                job_.replacements.begin(), job_.replacements.end(), [&](const auto& other) {
                    return other.ingredient == id && other.references == references &&
                           other.by_weight == by_weight;
                });
            if (same == job_.replacements.end()) {
                job_.replacements.push_back(
                    {id, references, cap.max, by_weight, cap.source, cap.note});
            } else if (cap.max < same->max) {
                *same = {id, references, cap.max, by_weight, cap.source, cap.note};
            }
        }
    }

    Job& job_;
    const catalog::Profile& profile_;
    const catalog::Stage& stage_;
};

}  // namespace

void add_profile(Job& job, const catalog::Profile& profile, const catalog::Stage& stage) {
    ProfileAdder(job, profile, stage).add();
}

}  // namespace feedwright::job
