// SPDX-License-Identifier: GPL-3.0-or-later
#include "limits/limit.hpp"

#include "base/diagnostics.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "job/portion.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::limits {

namespace {

// Turns a job's limits into arithmetic over its ingredients.
class LimitReader {
  public:
    explicit LimitReader(const job::Job& job)
        : job_(job), portion_(job), count_(job.ingredients.size()) {}

    std::vector<Limit> read(const std::vector<double>& used = {}) {
        if (portion_.is_finished()) require_dry_matter();
        if (const auto balance = portion_.balance()) add_balance(*balance);
        for (std::size_t i = 0; i < count_; ++i)
            add_inclusion(i);
        for (std::size_t i = 0; i < used.size(); ++i) {
            if (used[i] > 0) add_least_if_used(i);
        }
        for (const job::CapLimit& cap : job_.caps)
            add_cap(cap);
        for (const job::GroupLimit& group : job_.groups)
            add_group(group);
        for (const job::Proportion& proportion : job_.proportions)
            add_proportion(proportion);
        for (const job::ReplacementLimit& limit : job_.replacements)
            add_replacement(limit);
        for (const job::RatioLimit& ratio : job_.ratios)
            add_ratio(ratio);
        for (const job::NutrientLimit& limit : job_.limits)
            add_nutrient(limit);
        std::stable_sort(limits_.begin(), limits_.end(), [](const Limit& a, const Limit& b) {
            return std::pair(a.kind, std::string_view(a.id)) <
                   std::pair(b.kind, std::string_view(b.id));
        });
        return std::move(limits_);
    }

  private:
    Limit& add(LimitKind kind, std::string id, std::string name) {
        Limit limit;
        limit.id = std::string(to_string(kind)) + ':' + std::move(id);
        limit.kind = kind;
        limit.name = std::move(name);
        limit.amount.assign(count_, 0.0);
        limit.source = "job";
        return limits_.emplace_back(std::move(limit));
    }

    // The amount of a nutrient in ingredient i, 0 and noted when it is not known.
    double amount_of(std::size_t i, std::string_view nutrient, Limit& limit,
                     bool of_whole = false) const {
        const catalog::Amount* amount = job_.ingredients[i].composition.find(nutrient);
        const auto& partly = job_.ingredients[i].partly;
        const bool whole =
            amount != nullptr && !std::binary_search(partly.begin(), partly.end(), nutrient);
        if (whole) return amount->value;
        if (of_whole) limit.unknown_whole.push_back(i);
        if (limit.unknown.empty() || limit.unknown.back() != i) limit.unknown.push_back(i);
        return amount != nullptr ? amount->value : 0;
    }

    void require_dry_matter() const {
        base::Diagnostics diagnostics;
        for (const job::Choice& choice : job_.ingredients) {
            if (choice.composition.find("dry_matter") != nullptr) continue;
            diagnostics.add({job_.file, "ingredient " + choice.id, "no dry matter",
                             "its dry matter in percent, because a finished moisture is asked for",
                             "Give the ingredient a \"dry_matter\" of its own"});
        }
        diagnostics.throw_if_any();
    }

    void add_balance(const job::Portion::Balance& balance) {
        Limit& limit =
            portion_.is_finished()
                ? add(LimitKind::balance, "dry_matter", "dry matter of the finished feed")
                : add(LimitKind::balance, "total", "total of the mix");
        limit.unit = "%";
        limit.amount = balance.percent;
        limit.min = limit.max = balance.total;
    }

    // Makes a limit on the weight of some ingredients in one kg of feed, percent, or in kg.
    void weigh(Limit& limit, const std::vector<std::size_t>& members) const {
        limit.unit = portion_.weight_unit();
        for (const std::size_t i : members)
            limit.amount[i] = portion_.weight_per_kg();
    }

    // The same in percent of what is weighed in, where that is not the feed.
    void weigh_share(Limit& limit, const std::vector<std::size_t>& members) const {
        weigh(limit, members);
        if (portion_.is_finished()) limit.per.assign(count_, 1.0);
    }

    void add_inclusion(std::size_t i) {
        const job::Choice& choice = job_.ingredients[i];
        if (choice.at_label_rate) {
            Limit& limit =
                add(LimitKind::inclusion, choice.id + "@label", choice.name + ", label rate");
            limit.unit = "%";
            limit.amount[i] = 100;
            limit.min = limit.max = choice.rate_percent;
        } else if (choice.min || choice.max) {
            Limit& limit = add(LimitKind::inclusion, choice.id, choice.name);
            // A label rate is a share of the feed as it is eaten, whatever was weighed in for it.
            if (choice.rate_percent) {
                weigh(limit, {i});
            } else {
                weigh_share(limit, {i});
            }
            limit.min = choice.min;
            limit.max = choice.max;
        }
        if (choice.stock_kg) {
            Limit& limit = add(LimitKind::inclusion, choice.id + "@stock", choice.name + ", stock");
            limit.role = LimitRole::stock;
            weigh(limit, {i});
            const auto batch = portion_.weighed_per_kg();
            if (!batch) {
                throw base::DataError(base::Diagnostic{
                    job_.file, "ingredient " + choice.id, "a stock_kg and no batch_kg",
                    "the weight of the batch that the stock is for", "Add \"batch_kg\""});
            }
            limit.max = portion_.weight_per_kg() * *choice.stock_kg / *batch;
        }
    }

    void add_least_if_used(std::size_t i) {
        const job::Choice& choice = job_.ingredients[i];
        if (!choice.min_if_used) return;
        Limit& limit = add(LimitKind::inclusion, choice.id + "@if_used", choice.name + ", if used");
        weigh(limit, {i});
        limit.min = choice.min_if_used;
    }

    void add_cap(const job::CapLimit& cap) {
        std::vector<std::size_t> members;
        bool own = false;
        for (std::size_t i = 0; i < count_; ++i) {
            const job::Choice& choice = job_.ingredients[i];
            if (std::find(cap.ingredients.begin(), cap.ingredients.end(), choice.id) ==
                cap.ingredients.end()) {
                continue;
            }
            members.push_back(i);
            own = own || (choice.id == cap.subject && (choice.min || choice.max));
        }
        const std::string name = !cap.name.empty()    ? cap.name
                                 : members.size() > 1 ? "all " + cap.subject + " ingredients"
                                                      : job_.ingredients[members.front()].name;
        Limit& limit = add(LimitKind::inclusion,
                           free_id(LimitKind::inclusion, cap.subject, {own ? "@cap" : ""}), name);
        limit.unit = "%";
        if (portion_.is_finished()) limit.basis = "dry_matter";
        for (const std::size_t i : members) {
            limit.amount[i] = portion_.cap_percent(i) *
                              job::covered_share(cap, job_.ingredients[i], portion_.is_finished());
        }
        // A share, of a mix of any size and of any moisture.
        if (portion_.is_finished() || portion_.is_ration()) {
            for (std::size_t i = 0; i < count_; ++i)
                limit.per.push_back(portion_.cap_percent(i) / 100);
        }
        limit.max = cap.max;
        limit.level = catalog::to_string(cap.kind);
        limit.source = cap.source;
        limit.note = cap.note;
    }

    void add_group(const job::GroupLimit& group) {
        Limit& limit = add(LimitKind::group, group.name, group.name);
        std::vector<std::size_t> members;
        for (std::size_t i = 0; i < count_; ++i) {
            if (std::find(group.ingredients.begin(), group.ingredients.end(),
                          job_.ingredients[i].id) != group.ingredients.end()) {
                members.push_back(i);
            }
        }
        weigh_share(limit, members);
        limit.min = group.min;
        limit.max = group.max;
    }

    // Each part but the last is its share of all of them.
    void add_proportion(const job::Proportion& proportion) {
        double total = 0;
        std::vector<double> members(count_, 0.0);
        std::string names;
        for (const auto& [id, parts] : proportion.parts) {
            total += parts;
            names += (names.empty() ? "" : " : ") + id;
            for (std::size_t i = 0; i < count_; ++i) {
                if (job_.ingredients[i].id == id) members[i] = 1;
            }
        }
        for (std::size_t k = 0; k + 1 < proportion.parts.size(); ++k) {
            const auto& [id, parts] = proportion.parts[k];
            Limit& limit =
                add(LimitKind::group, id + "@proportion", job_.find(id)->name + " in " + names);
            limit.unit = "%";
            limit.per = members;
            for (std::size_t i = 0; i < count_; ++i) {
                if (job_.ingredients[i].id == id) limit.amount[i] = 100;
            }
            limit.min = limit.max = 100 * parts / total;
        }
    }

    void add_replacement(const job::ReplacementLimit& replacement) {
        const auto& references = replacement.references;
        std::string of = "all protein";
        if (references.size() == 1) of = references[0];
        if (references.size() > 1) of = "fish meals";
        const std::string word = replacement.ingredient + '/' + of;
        const std::string id = free_id(LimitKind::replacement, word,
                                       {"", replacement.by_weight ? "@by_weight" : "@of_protein"});
        std::string name = job_.find(replacement.ingredient)->name + " for " + of;
        if (id != word) name += replacement.by_weight ? ", by weight" : ", of protein";
        Limit& limit = add(LimitKind::replacement, id, std::move(name));
        limit.unit = "%";
        limit.per.assign(count_, 0.0);
        for (std::size_t i = 0; i < count_; ++i) {
            const std::string& own = job_.ingredients[i].id;
            const bool replaces = own == replacement.ingredient;
            const bool counts =
                replaces || references.empty() ||
                std::find(references.begin(), references.end(), own) != references.end();
            if (!counts) continue;
            limit.per[i] = replacement.by_weight ? 1 : amount_of(i, "crude_protein", limit);
            if (replaces) limit.amount[i] = 100 * limit.per[i];
        }
        limit.max = replacement.max;
        limit.source = replacement.source;
        limit.note = replacement.note;
    }

    void add_ratio(const job::RatioLimit& ratio) {
        const catalog::Nutrient& of = *job_.dictionary.find(ratio.of);
        const catalog::Nutrient& to = *job_.dictionary.find(ratio.to);
        Limit& limit = add(LimitKind::ratio, ratio.of + '/' + ratio.to, of.name + " : " + to.name);
        if (of.unit != to.unit) limit.unit = of.unit + " per " + to.unit;
        limit.per.assign(count_, 0.0);
        for (std::size_t i = 0; i < count_; ++i) {
            limit.amount[i] = amount_of(i, ratio.of, limit);
            limit.per[i] = amount_of(i, ratio.to, limit, true);
        }
        limit.nutrient = ratio.of;
        limit.nutrient_below = ratio.to;
        limit.min = ratio.min;
        limit.max = ratio.max;
        limit.weak = ratio.weak;
        limit.sure_percent = sure(ratio, ratio.sure_percent);
        limit.advisory = ratio.advisory;
        limit.undiluted_min = ratio.undiluted_min;
        limit.source = ratio.source;
    }

    // The nutrient, and what tells a further limit on it from those before.
    std::string id_of(const job::NutrientLimit& asked, std::string_view basis) const {
        std::vector<std::string> marks{"", "@" + std::string(basis), "@safe", "@advised",
                                       "@" + asked.source};
        if (!asked.harms.empty()) marks.erase(marks.begin() + 1);
        return free_id(LimitKind::nutrient, asked.nutrient, marks);
    }

    // The word with the first of the marks that no other limit of the kind has, or with a number.
    std::string free_id(LimitKind kind, const std::string& word,
                        const std::vector<std::string>& marks) const {
        const auto taken = [&](const std::string& one) {
            return std::any_of(limits_.begin(), limits_.end(), [&](const Limit& other) {
                return other.id == std::string(to_string(kind)) + ':' + one;
            });
        };
        for (const std::string& mark : marks) {
            if (!taken(word + mark)) return word + mark;
        }
        int number = 2;
        while (taken(word + '@' + std::to_string(number)))
            ++number;
        return word + '@' + std::to_string(number);
    }

    // Where the high value of a kind stands in for a missing one it does so under the maximum
    // alone.
    void add_nutrient(const job::NutrientLimit& asked) {
        const bool assumes =
            asked.max && !asked.is_amount && asked.basis != catalog::Basis::of_protein &&
            std::any_of(
                job_.ingredients.begin(), job_.ingredients.end(),
                [&](const job::Choice& choice) { return choice.assumed.contains(asked.nutrient); });
        if (assumes && asked.min) {
            job::NutrientLimit side = asked;
            side.max.reset();
            add_nutrient_limit(side, "", false);
            side = asked;
            side.min.reset();
            add_nutrient_limit(side, "@most", true);
        } else {
            add_nutrient_limit(asked, "", assumes);
        }
        if (asked.nutrient == "crude_protein" && asked.min && !asked.is_amount &&
            asked.basis != catalog::Basis::of_protein) {
            add_counted_protein(asked);
        }
    }

    // The most crude protein, percent of the feed, that free amino acids and urea count for.
    static constexpr double most_free_protein = 1;

    static bool is_free_nitrogen(const job::Choice& choice) {
        const catalog::Amount* protein = choice.composition.find("crude_protein");
        return choice.category == "amino-acid" || (protein != nullptr && protein->value > 100);
    }

    // Whether the caps keep free amino acids from counting for more anyway.
    bool free_protein_is_capped() const {
        double most = 0;
        for (const job::Choice& choice : job_.ingredients) {
            if (!is_free_nitrogen(choice)) continue;
            if (choice.amount) return false;  // a recipe keeps to no cap
            double cap = 100;
            for (const job::CapLimit& limit : job_.caps) {
                if (limit.subject == choice.id) cap = std::min(cap, limit.max);
            }
            if (choice.max) cap = std::min(cap, *choice.max);
            most += cap / 100 * choice.composition.find("crude_protein")->value;
        }
        if (most <= most_free_protein) return true;
        for (const job::CapLimit& limit : job_.caps) {
            double highest = 0;
            bool all = true;
            for (const job::Choice& choice : job_.ingredients) {
                if (!is_free_nitrogen(choice)) continue;
                all = all && std::find(limit.ingredients.begin(), limit.ingredients.end(),
                                       choice.id) != limit.ingredients.end();
                highest = std::max(highest, choice.composition.find("crude_protein")->value);
            }
            if (all && limit.max / 100 * highest <= most_free_protein) return true;
        }
        return false;
    }

    // Nitrogen of free amino acids and urea is protein only as far as it mends one that is short:
    // together they count as one percent of the feed at most. So the other ingredients have to
    // bring the rest.
    void add_counted_protein(const job::NutrientLimit& asked) {
        const bool any = std::any_of(job_.ingredients.begin(), job_.ingredients.end(),
                                     [](const job::Choice& choice) {
                                         return is_free_nitrogen(choice) &&
                                                choice.composition.find("crude_protein") != nullptr;
                                     });
        if (!any || *asked.min <= most_free_protein || free_protein_is_capped()) return;
        job::NutrientLimit side = asked;
        side.max.reset();
        *side.min -= most_free_protein;
        add_nutrient_limit(side, "@counted", false);
        Limit& limit = limits_.back();
        limit.name = "crude protein without free amino acids";
        limit.role = LimitRole::counted_protein;
        for (std::size_t i = 0; i < count_; ++i) {
            if (is_free_nitrogen(job_.ingredients[i])) limit.amount[i] = 0;
        }
    }

    void add_nutrient_limit(const job::NutrientLimit& asked, const std::string& mark,
                            bool assumes) {
        const catalog::Nutrient& nutrient = *job_.dictionary.find(asked.nutrient);
        const std::string basis(catalog::to_string(asked.basis));
        Limit& limit = add(LimitKind::nutrient,
                           mark.empty() ? id_of(asked, basis)
                                        : free_id(LimitKind::nutrient, asked.nutrient, {mark}),
                           nutrient.name);
        limit.nutrient = asked.nutrient;
        limit.basis = basis;
        limit.unit = nutrient.unit;
        double factor = 1;
        if (asked.is_amount) {
            // A daily total: percent becomes kg, "g/kg" becomes g.
            const bool percent = nutrient.unit == "%";
            limit.unit = percent ? "kg" : nutrient.unit.substr(0, nutrient.unit.size() - 3);
            if (percent) factor = 0.01;
        } else if (asked.basis == catalog::Basis::of_protein) {
            limit.unit = "% of protein";
            factor = base::convert(1, nutrient.unit, "%").value_or(1);
        }
        for (std::size_t i = 0; i < count_; ++i) {
            const auto& high = job_.ingredients[i].assumed;
            const auto stand_in = high.find(asked.nutrient);
            if (assumes && stand_in != high.end()) {
                limit.amount[i] = factor * stand_in->second.value;
                limit.assumed.push_back(i);
            } else {
                limit.amount[i] = factor * amount_of(i, asked.nutrient, limit);
            }
        }
        if (asked.basis == catalog::Basis::dry_matter) {
            limit.per.assign(count_, 0.0);
            for (std::size_t i = 0; i < count_; ++i) {
                limit.per[i] = amount_of(i, "dry_matter", limit, true) / 100;
            }
        } else if (asked.basis == catalog::Basis::of_protein) {
            limit.per.assign(count_, 0.0);
            for (std::size_t i = 0; i < count_; ++i) {
                limit.per[i] = amount_of(i, "crude_protein", limit, true) / 100;
            }
        } else if (portion_.is_ration() && !asked.is_amount) {
            limit.per.assign(count_, 1.0);
        }
        std::sort(limit.unknown.begin(), limit.unknown.end());
        limit.unknown.erase(std::unique(limit.unknown.begin(), limit.unknown.end()),
                            limit.unknown.end());
        limit.min = asked.min;
        limit.max = asked.max;
        limit.advisory = asked.advisory;
        limit.weak = asked.weak;
        limit.sure_percent = sure(asked, asked.sure_percent);
        limit.harms = asked.harms;
        limit.level = asked.level;
        limit.source = asked.source;
        limit.note = asked.note;
        limit.from_pond = asked.from_pond;
        limit.undiluted_min = asked.undiluted_min;
    }

    // How sure a limit must be: of one number exactly nothing can be.
    template <class Asked>
    std::optional<double> sure(const Asked& asked, const std::optional<double>& own) const {
        if (asked.min && asked.max && *asked.min == *asked.max) return std::nullopt;
        return own ? own : job_.sure_percent;
    }

    const job::Job& job_;
    job::Portion portion_;
    std::size_t count_;
    std::vector<Limit> limits_;
};

double dot(const std::vector<double>& a, const std::vector<double>& x) {
    double sum = 0;
    for (std::size_t i = 0; i < a.size(); ++i)
        sum += a[i] * x[i];
    return sum;
}

}  // namespace

std::string_view to_string(LimitKind kind) {
    switch (kind) {
        case LimitKind::balance:
            return "balance";
        case LimitKind::inclusion:
            return "inclusion";
        case LimitKind::group:
            return "group";
        case LimitKind::replacement:
            return "replacement";
        case LimitKind::ratio:
            return "ratio";
        case LimitKind::nutrient:
            return "nutrient";
    }
    return "";
}

std::string unit_in_words(const Limit& limit) {
    return limit.unit +
           (limit.basis == "dry_matter" && !limit.unit.empty() ? " of dry matter" : "");
}

std::vector<Limit> limits_of(const job::Job& job) {
    return LimitReader(job).read();
}

std::vector<Limit> limits_of(const job::Job& job, const std::vector<double>& x) {
    return LimitReader(job).read(x);
}

std::optional<double> value_of(const Limit& limit, const std::vector<double>& x) {
    const double scale = scale_of(limit, x);
    if (!(scale > 0)) return std::nullopt;
    return dot(limit.amount, x) / scale;
}

double scale_of(const Limit& limit, const std::vector<double>& x) {
    return limit.per.empty() ? 1 : dot(limit.per, x);
}

std::optional<double> fixed_whole(const Limit& limit, const std::vector<Limit>& limits) {
    if (limit.per.empty()) return 1;
    const auto balance = std::find_if(limits.begin(), limits.end(), [](const Limit& other) {
        return other.kind == LimitKind::balance;
    });
    if (balance == limits.end()) return std::nullopt;
    std::optional<double> factor;
    for (std::size_t i = 0; i < limit.per.size(); ++i) {
        const double per = limit.per[i];
        const double of = balance->amount[i];
        if (of == 0 && per == 0) continue;
        if (of == 0) return std::nullopt;
        if (!factor) factor = per / of;
        constexpr double rounding = 1e-12;
        if (std::abs(per - *factor * of) > rounding * std::abs(per)) return std::nullopt;
    }
    if (!factor || *factor == 0) return std::nullopt;
    return *factor * *balance->min;
}

double size_of_side(const Limit& limit, double side) {
    double row = 0;
    for (const double amount : limit.amount)
        row = std::max(row, std::abs(amount));
    double per = 0;
    for (const double share : limit.per)
        per = std::max(per, std::abs(share));
    if (per > 0) row /= per;
    // A sum is known to about 1e-15 of its largest part.
    constexpr double rounding = 1e-15 / binding_margin;
    constexpr double of_zero = least_share / binding_margin;
    const double size = side != 0 ? std::max(std::abs(side), rounding * row) : of_zero * row;
    return size > 0 ? size : 1;
}

double Margin::scaled() const {
    return margin / size;
}

bool Margin::binds() const {
    return std::abs(scaled()) < binding_margin;
}

bool Margin::met() const {
    return scaled() > -binding_margin;
}

Margin margin_to(const Limit& limit, double value, bool is_min) {
    const double side = is_min ? *limit.min : *limit.max;
    return {is_min ? value - side : side - value, side, size_of_side(limit, side)};
}

std::optional<Margin> margin_of(const Limit& limit, double value) {
    std::optional<Margin> nearest;
    if (limit.min) nearest = margin_to(limit, value, true);
    if (limit.max && (!nearest || *limit.max - value < nearest->margin)) {
        nearest = margin_to(limit, value, false);
    }
    return nearest;
}

}  // namespace feedwright::limits
