// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/profile_limits.hpp"

#include "job/portion.hpp"

#include <algorithm>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::job {

namespace {

using catalog::Basis;

// Kinds of advisory limits that shape a mix unless others are asked for: all but trace minerals and
// vitamins, which a premix brings and few ingredients have values for.
bool shapes_by_default(Need need) {
    return need != Need::minerals && need != Need::vitamins;
}

class ProfileAdder {
  public:
    ProfileAdder(Job& job, const catalog::Profile& profile, const catalog::Stage& stage,
                 catalog::Library& library)
        : job_(job), profile_(profile), stage_(stage), library_(library) {}

    void add() {
        add_limits();
        add_ratios();
        take_pond_off();
        add_safe_maxima();
        add_caps();
        set_premixes();
        hold_caps();
        assume_under_maxima();
    }

  private:
    bool is_unverified(const std::string& id) {
        const catalog::Source* source = library_.source(id);
        return source != nullptr && source->how_known == "unverified";
    }

    // How a limit of the profile holds.
    template <class Limit>
    void set_strength(Limit& limit, Need need, const catalog::RequirementLimit* asked,
                      bool advisory) {
        limit.weak = is_unverified(limit.source) ||
                     (asked != nullptr && (asked->level == "target" || asked->level == "borrowed"));
        if (job_.enforce) {
            limit.advisory = advisory && !job_.enforce->contains(need);
            return;
        }
        limit.advisory = advisory && !shapes_by_default(need);
        limit.yields = !limit.advisory && (advisory || limit.weak);
    }

    void add_limits() {
        // Only the job's own, which stand in front, replace what the profile says of a nutrient.
        const std::size_t own = job_.limits.size();
        const auto own_limit = [&](auto fits) -> const NutrientLimit* {
            const auto end = job_.limits.begin() + static_cast<std::ptrdiff_t>(own);
            const auto at = std::find_if(job_.limits.begin(), end, fits);
            return at == end ? nullptr : &*at;
        };
        for (const catalog::RequirementLimit& limit : stage_.limits) {
            const NutrientLimit* same = own_limit([&](const NutrientLimit& o) {
                return o.nutrient == limit.nutrient && !o.is_amount && o.basis == limit.basis;
            });
            const NutrientLimit* other =
                own_limit([&](const NutrientLimit& o) { return o.nutrient == limit.nutrient; });
            if (same != nullptr)
                note_replaced_sides(limit, *same);
            else if (other != nullptr)
                note_other_basis(limit, *other);
            if (other != nullptr) continue;
            NutrientLimit added;
            added.nutrient = limit.nutrient;
            added.min = limit.min;
            added.max = limit.max;
            added.basis = limit.basis;
            added.level = limit.level;
            added.source = limit.source;
            added.note = limit.note;
            set_strength(added, need_of(*job_.dictionary.find(limit.nutrient)), &limit,
                         limit.advisory);
            job_.limits.push_back(std::move(added));
        }
    }

    // "2.5 % of the feed" and "3.2 % of protein" are not two sizes of one thing: the profile's does
    // not hold beside the job's, and a note says so.
    void note_other_basis(const catalog::RequirementLimit& limit, const NutrientLimit& own) {
        Note note = note_on(Note::Kind::other_basis, limit);
        note.min = limit.min;
        note.max = limit.max;
        if (!own.is_amount) note.own_basis = own.basis;
        job_.notes.push_back(std::move(note));
    }

    void note_replaced_sides(const catalog::RequirementLimit& limit, const NutrientLimit& own) {
        Note note = note_on(Note::Kind::side_replaced, limit);
        if (limit.min && !own.min) {
            note.min = limit.min;
            job_.notes.push_back(note);
            note.min.reset();
        }
        if (limit.max && !own.max) {
            note.max = limit.max;
            job_.notes.push_back(note);
        }
    }

    Note note_on(Note::Kind kind, const catalog::RequirementLimit& limit) const {
        const catalog::Nutrient& nutrient = *job_.dictionary.find(limit.nutrient);
        return {.kind = kind, .name = nutrient.name, .unit = nutrient.unit, .basis = limit.basis};
    }

    void add_ratios() {
        for (const catalog::RequirementRatio& ratio : stage_.ratios) {
            const bool own =
                std::any_of(job_.ratios.begin(), job_.ratios.end(), [&](const RatioLimit& other) {
                    return other.of == ratio.of && other.to == ratio.to;
                });
            if (own) continue;
            RatioLimit added{ratio.of, ratio.to, ratio.min, ratio.max,
                             false,    false,    false,     ratio.source};
            set_strength(added, need_of(*job_.dictionary.find(ratio.of)), nullptr, ratio.advisory);
            job_.ratios.push_back(std::move(added));
        }
    }

    // Of the maxima for one substance those nearest to the animal: a figure for fish stands in
    // place of one for all.
    void add_safe_maxima() {
        std::map<std::string, int> nearest;
        const auto close = [&](const catalog::SafeMaximum& one) {
            return catalog::closeness(one.animals, one.stages, job_.animal);
        };
        for (const catalog::SafeMaximum& one : library_.safe_maxima()) {
            int& best = nearest[one.substance];
            best = std::max(best, close(one));
        }
        for (const catalog::SafeMaximum& one : library_.safe_maxima()) {
            const int own = close(one);
            if (own > 0 && own == nearest[one.substance]) {
                job_.safe.push_back({one, !is_unverified(one.source)});
            }
        }
        for (const bool verified : {true, false})
            add_lowest_maxima(verified);
    }

    // A feed for a fertilised pond has to give what natural food does not.
    void take_pond_off() {
        if (!job_.pond) return;
        for (NutrientLimit& limit : job_.limits) {
            if (limit.source == "job" || !limit.min) continue;
            const catalog::Nutrient& nutrient = *job_.dictionary.find(limit.nutrient);
            double given = 0;
            for (const catalog::Pond::Supply& supply : job_.pond->supplies) {
                std::string kind = supply.kind;
                std::replace(kind.begin(), kind.end(), '_', '-');
                const bool meant = supply.nutrient == limit.nutrient ||
                                   (!kind.empty() && kind == to_string(need_of(nutrient)));
                if (meant) given = std::max(given, supply.percent_of_need);
            }
            if (given == 0) continue;
            // Amino acids that are a share of protein are less of less protein already.
            if (limit.basis == Basis::of_protein) continue;
            *limit.min *= 1 - given / 100;
            limit.from_pond = PondShare{given, job_.pond->source};
            if (given >= 100) limit.min.reset();
        }
        std::erase_if(job_.limits, [](const NutrientLimit& limit) {
            return limit.source != "job" && !limit.min && !limit.max;
        });
    }

    bool any_holds(const std::string& substance) const {
        return std::any_of(job_.ingredients.begin(), job_.ingredients.end(),
                           [&](const Choice& choice) {
                               const catalog::Amount* amount = choice.composition.find(substance);
                               return amount != nullptr && amount->value > 0;
                           });
    }

    // The lowest of a substance's maxima shapes the mix; one from memory only where it can be kept.
    void add_lowest_maxima(bool verified) {
        std::map<std::string, const catalog::SafeMaximum*> lowest;
        for (const SafeLimit& safe : job_.safe) {
            if (safe.verified != verified) continue;
            const catalog::SafeMaximum*& least = lowest[safe.maximum.substance];
            if (least == nullptr || safe.maximum.max < least->max) least = &safe.maximum;
        }
        for (const auto& [substance, maximum] : lowest) {
            const bool limited = std::any_of(
                job_.limits.begin(), job_.limits.end(), [&](const NutrientLimit& other) {
                    return other.nutrient == substance && other.basis == maximum->basis &&
                           other.max && (other.source == "job" || *other.max <= maximum->max);
                });
            if (limited || !any_holds(substance)) continue;
            NutrientLimit limit;
            limit.nutrient = substance;
            limit.max = maximum->max;
            limit.basis = maximum->basis;
            limit.yields = limit.weak = !verified;
            limit.harms = maximum->harms;
            limit.level = "practical";
            limit.source = maximum->source;
            limit.note = maximum->note;
            job_.limits.push_back(std::move(limit));
        }
    }

    void add_caps() {
        const catalog::CapTable& table = library_.caps();
        for (const Choice& choice : job_.ingredients) {
            if (choice.parts.empty()) add_cap_of(table, choice);
        }
        for (const Choice& choice : job_.ingredients) {
            for (const Part& part : choice.parts)
                add_cap_of_part(table, choice, part);
        }
        add_sums(table);
    }

    // What is tolerated is held, but for an ingredient with a maximum of the job's own or a label
    // rate.
    void hold_caps() {
        if (job_.caps_in_use == CapsInUse::none) return;
        for (const CapLimit& cap : job_.tolerated) {
            const Choice* only = job_.find(cap.subject);
            const bool own = only != nullptr &&
                             ((only->max && !Portion(job_).is_ration()) || only->at_label_rate);
            if (!own) job_.caps.push_back(cap);
        }
    }

    // The caps of one ingredient: of each basis the one in force.
    void add_cap_of(const catalog::CapTable& table, const Choice& choice) {
        std::map<catalog::Cap::Basis, std::vector<const catalog::Cap*>> by_basis;
        for (const catalog::Cap& cap : table.caps) {
            if (cap.is_sum() || !table.covers(cap, choice.id, choice.category, choice.kin))
                continue;
            by_basis[cap.basis].push_back(&cap);
        }
        for (const auto& [basis, caps] : by_basis) {
            const auto held = catalog::cap_in_force(caps, job_.animal);
            if (!held) continue;
            if (basis == catalog::Cap::Basis::diet) {
                job_.tolerated.push_back({choice.id,
                                          "",
                                          {choice.id},
                                          held->cap.max,
                                          held->cap.kind,
                                          held->cap.source,
                                          held->cap.note});
            } else if (job_.caps_in_use != CapsInUse::none) {
                add_replacement(held->cap, choice.id);
            }
        }
    }

    // What is tolerated of a part of a recipe that is an ingredient, with what else there is of it.
    void add_cap_of_part(const catalog::CapTable& table, const Choice& choice, const Part& part) {
        for (CapLimit& cap : job_.tolerated) {
            if (cap.subject != part.id) continue;
            cap.ingredients.push_back(choice.id);
            cap.parts.push_back(part.id);
            if (cap.name.empty()) cap.name = part.name;
            return;
        }
        std::vector<const catalog::Cap*> caps;
        for (const catalog::Cap& cap : table.caps) {
            if (!cap.is_sum() && cap.basis == catalog::Cap::Basis::diet &&
                table.covers(cap, part.id, part.category, part.kin)) {
                caps.push_back(&cap);
            }
        }
        const auto held = catalog::cap_in_force(caps, job_.animal);
        if (!held) return;
        job_.tolerated.push_back({part.id,
                                  part.name,
                                  {choice.id},
                                  held->cap.max,
                                  held->cap.kind,
                                  held->cap.source,
                                  held->cap.note,
                                  {part.id}});
    }

    void add_sums(const catalog::CapTable& table) {
        std::map<std::string, std::vector<const catalog::Cap*>> by_subject;
        for (const catalog::Cap& cap : table.caps) {
            if (cap.is_sum() && cap.basis == catalog::Cap::Basis::diet) {
                by_subject[cap.subject].push_back(&cap);
            }
        }
        for (const auto& [subject, caps] : by_subject) {
            const auto held = catalog::cap_in_force(caps, job_.animal);
            if (!held) continue;
            std::vector<std::string> ingredients;
            std::vector<std::string> parts;
            for (const Choice& choice : job_.ingredients) {
                bool any = choice.parts.empty() &&
                           table.covers(*caps.front(), choice.id, choice.category, choice.kin);
                for (const Part& part : choice.parts) {
                    if (!table.covers(*caps.front(), part.id, part.category, part.kin)) continue;
                    any = true;
                    parts.push_back(part.id);
                }
                if (any) ingredients.push_back(choice.id);
            }
            if (ingredients.empty()) continue;
            const std::string word = subject.substr(subject.find(':') + 1);
            const catalog::CapGroup* group = table.group(word);
            add_sum({subject, group != nullptr ? group->name : "all " + word + " ingredients",
                     std::move(ingredients), held->cap.max, held->cap.kind, held->cap.source,
                     held->cap.note, std::move(parts)});
        }
    }

    // A sum of which the job has one ingredient is a cap on that one.
    void add_sum(CapLimit sum) {
        if (sum.ingredients.size() > 1 || !sum.parts.empty()) {
            job_.tolerated.push_back(std::move(sum));
            return;
        }
        sum.subject = sum.ingredients[0];
        sum.name.clear();
        for (CapLimit& cap : job_.tolerated) {
            if (cap.subject != sum.subject) continue;
            if (sum.max < cap.max) cap = std::move(sum);
            return;
        }
        job_.tolerated.push_back(std::move(sum));
    }

    void add_replacement(const catalog::Cap& cap, const std::string& id) {
        std::vector<std::string> references;
        if (cap.basis != catalog::Cap::Basis::dietary_protein) {
            for (const Choice& choice : job_.ingredients) {
                if (choice.category == "fish-meal") references.push_back(choice.id);
            }
            // Without a fish meal to choose there is nothing to replace; the share says nothing
            // then.
            if (references.empty()) return;
        }
        if (std::find(references.begin(), references.end(), id) != references.end()) return;
        const bool by_weight = cap.basis == catalog::Cap::Basis::fish_meal;
        const bool own =
            std::any_of(job_.replacements.begin(), job_.replacements.end(), [&](const auto& other) {
                return other.ingredient == id && other.references == references &&
                       other.by_weight == by_weight;
            });
        if (own) return;
        job_.replacements.push_back({id, references, cap.max, by_weight, cap.source, cap.note});
    }

    // Of the premixes made for the animal, the closest one goes in at its label rate (of several
    // the first by id); none goes in above its rate. What the job says of a premix itself stands.
    void set_premixes() {
        if (Portion(job_).is_ration()) return;
        Choice* closest = nullptr;
        int best = 0;
        for (Choice& choice : job_.ingredients) {
            const catalog::Ingredient* ingredient = library_.ingredient(choice.id);
            for (std::size_t k = 0; ingredient == nullptr && k < choice.kin.size(); ++k) {
                ingredient = library_.ingredient(choice.kin[k]);
            }
            if (ingredient == nullptr || !ingredient->rate_percent) continue;
            choice.rate_percent = ingredient->rate_percent;
            const int close =
                catalog::closeness(ingredient->made_for, ingredient->made_for_stages, job_.animal);
            choice.made_for_animal = close > 0 && !ingredient->made_for.empty();
            if (choice.role != "premix" || !choice.made_for_animal || close <= best) continue;
            closest = &choice;
            best = close;
        }
        // Of premixes that may come into a recipe, one at most is the animal's.
        for (Choice& choice : job_.ingredients) {
            if (&choice != closest && choice.amount && !(*choice.amount > 0))
                choice.made_for_animal = false;
        }
        if (closest == nullptr || closest->min || closest->max || closest->amount) return;
        closest->at_label_rate = true;
    }

    // Missing is not zero under a maximum: the high value of its kind stands in.
    void assume_under_maxima() {
        for (const NutrientLimit& limit : job_.limits) {
            if (!limit.max || limit.basis == Basis::of_protein) continue;
            // Trace elements, vitamins and poisons differ more within a kind than between kinds:
            // what is known of them by kind stands with the contents of undesirable substances.
            const std::string& group = job_.dictionary.find(limit.nutrient)->group;
            if (group != "proximate" && group != "macro_mineral") continue;
            for (Choice& choice : job_.ingredients) {
                // Salt and limestone are of one category, which says nothing of what either holds.
                if (choice.category == "mineral" || choice.category == "premix") continue;
                if (choice.category.empty() || choice.composition.find(limit.nutrient) != nullptr ||
                    choice.assumed.contains(limit.nutrient)) {
                    continue;
                }
                // Minerals are a kind by use alone: what table salt holds says nothing about a
                // phosphate.
                if (choice.category == "mineral") continue;
                const catalog::Amount* dry = choice.composition.find("dry_matter");
                constexpr double air_dry = 90;
                const auto high = library_.high_of(choice.category, limit.nutrient,
                                                   dry != nullptr ? dry->value : air_dry);
                if (!high) continue;
                choice.assumed[limit.nutrient] = {*high, catalog::Origin::assumed, choice.category};
            }
        }
    }

    Job& job_;
    const catalog::Profile& profile_;
    const catalog::Stage& stage_;
    catalog::Library& library_;
};

}  // namespace

void add_profile(Job& job, const catalog::Profile& profile, const catalog::Stage& stage,
                 catalog::Library& library) {
    ProfileAdder(job, profile, stage, library).add();
}

}  // namespace feedwright::job
