// SPDX-License-Identifier: GPL-3.0-or-later
#include "limits/findings.hpp"

#include "job/portion.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>
#include <set>
#include <string>
#include <tuple>
#include <utility>

namespace feedwright::limits {

namespace {

using job::Need;

// A number past its limit by less than this share of it is not past it: rounding of sums.
constexpr double rounding = 1e-6;

FindingKind kind_of(const catalog::Nutrient& nutrient) {
    switch (job::need_of(nutrient)) {
        case Need::energy:
            return FindingKind::energy;
        case Need::amino_acids:
            return FindingKind::amino_acids;
        case Need::fatty_acids:
            return FindingKind::fatty_acids;
        case Need::phosphorus:
            return FindingKind::phosphorus;
        case Need::minerals:
            return FindingKind::minerals;
        case Need::vitamins:
            return FindingKind::vitamins;
        case Need::other:
            break;
    }
    if (nutrient.group == "undesirable") return FindingKind::toxic;
    if (nutrient.id == "crude_protein" || nutrient.id == "digestible_protein") {
        return FindingKind::amino_acids;
    }
    if (nutrient.id == "crude_lipid" || nutrient.id == "digestible_lipid") {
        return FindingKind::fatty_acids;
    }
    return FindingKind::energy;  // fibre, starch, ash: what takes the place of energy
}

class Judge {
  public:
    Judge(const job::Job& job, const std::vector<double>& x, const Assessment& assessment)
        : job_(job),
          portion_(job),
          x_(x),
          assessment_(assessment),
          total_(std::accumulate(x.begin(), x.end(), 0.0)) {}

    Judgement judge() {
        Judgement result;
        if (!job_.profile || portion_.is_ration() || !(total_ > 0)) return result;
        look_at_safe_maxima();
        look_at_premixes();
        look_at_bags();
        look_at_limits();
        look_at_what_is_known();
        look_at_caps();
        look_at_water();
        look_at_prices();
        std::stable_sort(found_.begin(), found_.end(), [](const Finding& a, const Finding& b) {
            return std::tuple(a.severity, a.kind) < std::tuple(b.severity, b.kind);
        });
        const auto any = [&](Severity severity) {
            return std::any_of(found_.begin(), found_.end(), [&](const Finding& one) {
                return one.severity == severity && one.kind != FindingKind::input;
            });
        };
        result.verdict = any(Severity::stop)   ? Verdict::unsafe
                         : any(Severity::warn) ? Verdict::incomplete
                                               : Verdict::complete;
        result.findings = std::move(found_);
        return result;
    }

  private:
    Finding& add(FindingKind kind, Severity severity, Found found, std::string name) {
        Finding one;
        one.kind = kind;
        one.severity = severity;
        one.found = found;
        one.name = std::move(name);
        return found_.emplace_back(std::move(one));
    }

    // Amounts count per kg of feed: as mixed or finished, whichever the job goes by.
    struct Load {
        double value = 0;
        double known = 0;      ///< of it, what no kind's high value stands in for
        std::size_t most = 0;  ///< the ingredient that brings the most of it
        double most_value = -1;
        std::size_t most_known = 0;  ///< likewise of what is known
        double most_known_value = -1;
    };

    Load load_of(const catalog::SafeMaximum& maximum) const {
        Load load;
        double whole = 1;
        if (maximum.basis == catalog::Basis::dry_matter) {
            whole = assessment_.dry_matter.value_or(100) / 100;
        }
        for (std::size_t i = 0; i < x_.size(); ++i) {
            if (!(x_[i] > 0)) continue;
            const job::Choice& choice = job_.ingredients[i];
            const catalog::Amount* amount = choice.composition.find(maximum.substance);
            if (amount == nullptr) {
                const auto assumed = choice.assumed.find(maximum.substance);
                if (assumed == choice.assumed.end()) continue;
                amount = &assumed->second;
            }
            const double part = amount->value * x_[i] / whole;
            load.value += part;
            if (amount->origin != catalog::Origin::assumed) {
                load.known += part;
                if (part > load.most_known_value) {
                    load.most_known = i;
                    load.most_known_value = part;
                }
            }
            if (part <= load.most_value) continue;
            load.most = i;
            load.most_value = part;
        }
        return load;
    }

    void look_at_safe_maxima() {
        std::map<std::string, std::pair<Severity, Finding>> worst;  // by substance
        for (const job::SafeLimit& safe : job_.safe) {
            const Load load = load_of(safe.maximum);
            const double most = safe.maximum.max * (1 + rounding);
            if (load.value <= most) continue;
            const catalog::Nutrient& nutrient = *job_.dictionary.find(safe.maximum.substance);
            const bool certain = load.known > most;
            Finding one;
            one.kind = FindingKind::toxic;
            const bool stop =
                certain && safe.verified && !is_doubtful(safe.maximum, nutrient, load.value);
            one.severity = stop ? Severity::stop : Severity::warn;
            one.found = certain ? Found::above_safe : Found::may_be_above_safe;
            one.name = nutrient.name;
            one.limit = "nutrient:" + nutrient.id;
            const job::Choice& most_in = job_.ingredients[certain ? load.most_known : load.most];
            one.ingredient = most_in.id;
            one.ingredient_name = most_in.name;
            one.value = certain ? load.known : load.value;
            one.number = safe.maximum.max;
            one.unit = nutrient.unit;
            one.detail = safe.maximum.harms;
            one.source = safe.maximum.source;
            const auto [at, first] = worst.try_emplace(nutrient.id, one.severity, one);
            const bool worse =
                !first &&
                (one.severity < at->second.first ||
                 (one.severity == at->second.first && *one.number < *at->second.second.number));
            if (worse) at->second = {one.severity, one};
        }
        for (auto& [substance, one] : worst)
            found_.push_back(std::move(one.second));
    }

    // Trace elements and vitamins that law limits lie far below what harms, and feedstuffs differ
    // in them from field to field: past such a limit by less than an analysis could tell is a
    // warning.
    bool is_doubtful(const catalog::SafeMaximum& maximum, const catalog::Nutrient& nutrient,
                     double value) const {
        if (maximum.harms != "law" || nutrient.group == "undesirable") return false;
        if (maximum.basis != catalog::Basis::as_fed) return false;
        // The tolerance for contents below the declared one is the narrower: it has no room for
        // generous mixing.
        return is_tolerated(job_.tolerances, nutrient.id, maximum.max, 2 * maximum.max - value);
    }

    bool pond_gives(std::string_view kind) const {
        return job_.pond && std::any_of(job_.pond->supplies.begin(), job_.pond->supplies.end(),
                                        [&](const catalog::Pond::Supply& supply) {
                                            return supply.kind == kind &&
                                                   supply.percent_of_need >= 100;
                                        });
    }

    // What is in the mix, recipes that are ingredients taken apart; shares are kg per kg of feed.
    std::vector<job::Part> all_parts() const {
        std::vector<job::Part> all;
        const auto add_part = [&](job::Part part) {
            const auto same = std::find_if(all.begin(), all.end(), [&](const job::Part& other) {
                return other.id == part.id;
            });
            if (same != all.end()) {
                same->share += part.share;
            } else {
                all.push_back(std::move(part));
            }
        };
        for (std::size_t i = 0; i < x_.size(); ++i) {
            const job::Choice& choice = job_.ingredients[i];
            if (!(x_[i] > 0) || choice.label) continue;
            if (choice.parts.empty()) {
                add_part({choice.id, choice.name, choice.category, choice.role, choice.kin, x_[i],
                          0, choice.rate_percent, choice.made_for_animal});
            }
            for (job::Part part : choice.parts) {
                part.share *= x_[i];
                add_part(std::move(part));
            }
        }
        return all;
    }

    void look_at_premixes() {
        constexpr double most = 1.5;    // of the label rate; fixed by the rule of the design
        constexpr double least = 0.75;  // below it a label's amounts are no longer there
        bool any = false;
        for (const job::Part& one : all_parts()) {
            any = any || one.role == "premix" || one.category == "premix";
            if (!one.rate_percent) continue;
            const double percent = 100 * one.share;
            const auto tell = [&](Severity severity, Found found) {
                Finding& finding = add(FindingKind::premix, severity, found, one.name);
                finding.ingredient = one.id;
                finding.ingredient_name = one.name;
                finding.value = percent;
                finding.number = one.rate_percent;
                finding.unit = "%";
            };
            if (percent > most * *one.rate_percent) tell(Severity::stop, Found::premix_over_rate);
            if (one.role != "premix") continue;
            if (percent < least * *one.rate_percent) tell(Severity::warn, Found::premix_under_rate);
            if (!one.made_for_animal) tell(Severity::warn, Found::premix_for_others);
        }
        for (std::size_t i = 0; i < x_.size(); ++i)
            any = any || (x_[i] > 0 && job_.ingredients[i].label);
        if (!any && !(pond_gives("vitamins") && pond_gives("minerals"))) {
            add(FindingKind::premix, Severity::warn, Found::no_premix,
                "vitamin and mineral premix");
        }
    }

    // A bought feed is known by its label, so that what rests on it is said.
    void look_at_bags() {
        constexpr double little = 0.05;  // of the share of a label: rounding of weights
        for (std::size_t i = 0; i < x_.size(); ++i) {
            const job::Choice& choice = job_.ingredients[i];
            if (!(x_[i] > 0) || !choice.label) continue;
            const auto tell = [&](FindingKind kind, Severity severity, Found found) -> Finding& {
                Finding& one = add(kind, severity, found, choice.name);
                one.ingredient = choice.id;
                one.ingredient_name = choice.name;
                one.detail = choice.label->animal;
                return one;
            };
            Finding& rests = tell(FindingKind::unknown, Severity::note, Found::rests_on_label);
            rests.value = taken_for_granted(choice);
            const auto [species, stage] = catalog::parse_profile_id(choice.label->animal);
            if (species != job_.animal.species || stage != job_.animal.stage) {
                tell(FindingKind::untested,
                     species != job_.animal.species ? Severity::warn : Severity::note,
                     Found::feed_for_others);
            }
            if (!choice.rate_percent) continue;
            const double percent = 100 * x_[i];
            if (std::abs(percent / *choice.rate_percent - 1) <= little) continue;
            Finding& off = tell(FindingKind::untested, Severity::warn, Found::feed_off_share);
            off.value = percent;
            off.number = choice.rate_percent;
            off.unit = "%";
        }
    }

    // How many of the needs a bought feed is taken to meet, without a word on its label.
    double taken_for_granted(const job::Choice& choice) const {
        std::set<std::string> needs;
        for (const LimitResult& result : assessment_.limits) {
            const catalog::Amount* amount = choice.composition.find(result.limit.nutrient);
            if (result.limit.min && result.limit.kind == LimitKind::nutrient && amount != nullptr &&
                amount->origin == catalog::Origin::assumed) {
                needs.insert(result.limit.nutrient);
            }
        }
        return static_cast<double>(needs.size());
    }

    // The minimum that the profile states.
    static std::optional<double> least_of(const Limit& limit) {
        return limit.undiluted_min ? limit.undiluted_min : limit.min;
    }

    // The bought feed in the mix that is taken to meet a minimum which the mix falls below, if one
    // does.
    std::optional<std::size_t> thinned_bag(const LimitResult& result) const {
        const Limit& limit = result.limit;
        const auto least = least_of(limit);
        if (!least || !result.value || *result.value >= *least * (1 - rounding))
            return std::nullopt;
        for (std::size_t i = 0; i < x_.size(); ++i) {
            if (!(x_[i] > 0) || !job_.ingredients[i].label) continue;
            const double whole = limit.per.empty() ? portion_.makes(i) : limit.per[i];
            // A concentrate alone is no feed.
            if (job_.ingredients[i].label->use_percent || !(whole > 0)) continue;
            if (limit.amount[i] / whole >= *least * (1 - rounding)) return i;
        }
        return std::nullopt;
    }

    // Protein without free amino acids is told of where protein in all is enough.
    bool is_told_by_protein(const Limit& limit) const {
        if (limit.role != LimitRole::counted_protein) return false;
        return std::any_of(assessment_.limits.begin(), assessment_.limits.end(),
                           [](const LimitResult& other) {
                               return other.limit.nutrient == "crude_protein" && !other.met &&
                                      other.limit.role != LimitRole::counted_protein;
                           });
    }

    void look_at_limits() {
        constexpr double nearly_all = 95;  // percent of the mix with a value
        for (const LimitResult& result : assessment_.limits) {
            const Limit& limit = result.limit;
            const bool need = limit.kind == LimitKind::nutrient || limit.kind == LimitKind::ratio;
            if (!need || !limit.harms.empty()) continue;
            const auto bag = thinned_bag(result);
            if ((result.met && !bag) || is_told_by_protein(limit)) continue;
            const FindingKind kind = kind_of(*job_.dictionary.find(limit.nutrient));
            if (bag) {
                Finding& one = add(kind, Severity::warn, Found::thinned, limit.name);
                one.limit = limit.id;
                one.ingredient = job_.ingredients[*bag].id;
                one.ingredient_name = job_.ingredients[*bag].name;
                one.value = result.value;
                one.number = least_of(limit);
                one.unit = unit_in_words(limit);
                one.source = limit.source;
                continue;
            }
            const bool over = result.value && limit.max && *result.value > *limit.max;
            const bool unknown = !over && result.known_percent < nearly_all;
            // Few feeds have figures for these; premixes bring them.
            const bool small = kind == FindingKind::vitamins || kind == FindingKind::minerals;
            Finding& one = add(kind, result.within_tolerance ? Severity::note : Severity::warn,
                               result.within_tolerance                    ? Found::within_tolerance
                               : over                                     ? Found::too_much
                               : limit.role == LimitRole::counted_protein ? Found::free_protein
                               : result.nothing_known && !small           ? Found::nothing_known
                               : unknown                                  ? Found::unknown_supply
                                                                          : Found::short_of,
                               limit.name);
            one.limit = limit.id;
            one.value = result.value;
            one.number = over ? limit.max : limit.min;
            one.unit = unit_in_words(limit);
            one.source = limit.source;
            if (unknown)
                one.ingredient = result.unknown_in.empty() ? "" : result.unknown_in.front();
        }
    }

    // What no figure is known for cannot be shown to be met.
    void look_at_what_is_known() {
        const auto limited = [&](auto&& test) {
            return std::any_of(assessment_.limits.begin(), assessment_.limits.end(),
                               [&](const LimitResult& result) {
                                   return !result.limit.nutrient.empty() && result.limit.min &&
                                          test(*job_.dictionary.find(result.limit.nutrient));
                               });
        };
        const auto need = [&](Need wanted) {
            return limited([&](const catalog::Nutrient& n) { return job::need_of(n) == wanted; });
        };
        const auto missing = [&](FindingKind kind, const char* name) {
            add(kind, Severity::warn, Found::no_need_known, name);
        };
        const auto is = [](const char* id) {
            return [id](const catalog::Nutrient& n) { return n.id == id; };
        };
        if (!limited(is("crude_protein")) && !limited(is("digestible_protein"))) {
            missing(FindingKind::amino_acids, "protein");
        }
        if (!need(Need::energy)) missing(FindingKind::energy, "energy");
        if (!need(Need::phosphorus)) missing(FindingKind::phosphorus, "phosphorus");
        const bool on_land = job_.animal.group != "fish" && job_.animal.group != "crustacean";
        if (on_land && !limited(is("calcium"))) missing(FindingKind::minerals, "calcium");
        // Requirements that were found with the animal itself, of those that feeds are short of
        // first.
        int own = 0;
        for (const char* word : {"lysine", "methionine", "threonine", "tryptophan", "arginine"}) {
            own += std::any_of(assessment_.limits.begin(), assessment_.limits.end(),
                               [&](const LimitResult& result) {
                                   return result.limit.nutrient.find(word) != std::string::npos &&
                                          result.limit.min && result.limit.level != "borrowed";
                               });
        }
        constexpr int enough = 3;
        std::vector<const Limit*> borrowed;
        for (const LimitResult& result : assessment_.limits) {
            if (result.limit.level == "borrowed") borrowed.push_back(&result.limit);
        }
        if (borrowed.empty()) {
            if (own < enough) {
                add(FindingKind::amino_acids, Severity::warn, Found::few_amino_acids,
                    "amino acids");
            }
            return;
        }
        const Limit& first = *borrowed.front();
        Finding& one =
            add(own < enough ? FindingKind::amino_acids
                             : kind_of(*job_.dictionary.find(first.nutrient)),
                own < enough ? Severity::warn : Severity::note, Found::borrowed_needs, first.name);
        for (const Limit* limit : borrowed) {
            one.detail += (one.detail.empty() ? "" : ", ") + limit->name;
        }
        one.value = static_cast<double>(borrowed.size());
        one.source = first.source;
    }

    double share_of(std::size_t i) const { return portion_.share_for_cap(i, x_[i], total_); }

    void look_at_caps() {
        std::map<std::string, bool> capped;
        for (const job::CapLimit& cap : job_.tolerated) {
            double percent = 0;
            for (std::size_t i = 0; i < x_.size(); ++i) {
                const job::Choice& choice = job_.ingredients[i];
                const double covered = job::covered_share(cap, choice, portion_.is_finished());
                if (covered > 0) capped[cap.subject] = true;
                if (x_[i] > 0) percent += covered * share_of(i);
            }
            if (percent <= cap.max * (1 + rounding)) continue;
            const job::Choice* only = job_.find(cap.subject);
            // A premix has its own rule: the rate of its label.
            if (only != nullptr && only->rate_percent) continue;
            Finding& one = add(FindingKind::untested, Severity::warn, Found::past_cap,
                               only != nullptr ? only->name : cap.name);
            one.limit = "inclusion:" + cap.subject;
            if (only != nullptr) one.ingredient = only->id;
            one.value = percent;
            one.number = cap.max;
            one.unit = "%";
            one.detail = catalog::to_string(cap.kind);
            one.source = cap.source;
        }
        for (std::size_t i = 0; i < x_.size(); ++i) {
            const job::Choice& choice = job_.ingredients[i];
            if (choice.rate_percent || choice.label) continue;
            if (choice.parts.empty()) look_for_cap(choice, share_of(i), capped);
            for (const job::Part& part : choice.parts) {
                if (!part.rate_percent) look_for_cap(part, share_of(i) * part.share, capped);
            }
        }
    }

    template <class Ingredient>
    void look_for_cap(const Ingredient& of, double percent,
                      const std::map<std::string, bool>& capped) {
        constexpr double trifle = 1;  // percent of the feed that needs no trial
        if (capped.contains(of.id) || percent <= trifle || of.category == "water") return;
        Finding& one = add(FindingKind::untested, Severity::warn, Found::no_cap, of.name);
        one.ingredient = of.id;
        one.ingredient_name = of.name;
        one.value = percent;
        one.unit = "%";
    }

    void look_at_water() {
        constexpr double driest =
            80;  // percent of dry matter below which a feed is not compared as it is
        if (portion_.is_finished() || !assessment_.dry_matter ||
            *assessment_.dry_matter >= driest) {
            return;
        }
        Finding& one = add(FindingKind::moisture, Severity::warn, Found::too_wet, "water");
        one.value = 100 - *assessment_.dry_matter;
        one.number = 100 - driest;
        one.unit = "%";
    }

    // What was given may be wrong, whatever the mix is.
    void look_at_prices() {
        for (const job::Note& note : job_.notes) {
            if (note.kind != job::Note::Kind::dear_price) continue;
            Finding& one = add(FindingKind::input, Severity::warn, Found::odd_price, note.name);
            one.value = note.value;
            one.number = note.number;
            one.unit = job_.currency.empty() ? "a kg" : job_.currency + " a kg";
            one.detail = note.category;
        }
    }

    const job::Job& job_;
    job::Portion portion_;
    const std::vector<double>& x_;
    const Assessment& assessment_;
    double total_;
    std::vector<Finding> found_;
};

}  // namespace

Judgement judge(const job::Job& job, const std::vector<double>& x, const Assessment& assessment) {
    return Judge(job, x, assessment).judge();
}

bool is_tolerated(const std::vector<catalog::Tolerance>& tolerances, const std::string& nutrient,
                  double asked, double value) {
    const auto at = std::find_if(tolerances.begin(), tolerances.end(),
                                 [&](const auto& one) { return one.nutrient == nutrient; });
    if (at == tolerances.end()) return false;
    for (const catalog::Tolerance::Band& band : value < asked ? at->below : at->above) {
        if (band.under && asked >= *band.under) continue;
        const double room = band.points ? *band.points : *band.percent / 100 * asked;
        return std::abs(value - asked) <= room;
    }
    return false;
}

std::string_view to_string(Verdict verdict) {
    switch (verdict) {
        case Verdict::complete:
            return "complete";
        case Verdict::incomplete:
            return "incomplete";
        case Verdict::unsafe:
            return "unsafe";
    }
    return "";
}

std::string_view to_string(FindingKind kind) {
    constexpr std::array words{"toxic",       "premix",     "energy",   "amino_acids",
                               "fatty_acids", "phosphorus", "minerals", "vitamins",
                               "untested",    "moisture",   "unknown",  "input"};
    return words[static_cast<std::size_t>(kind)];
}

std::string_view to_string(Severity severity) {
    switch (severity) {
        case Severity::stop:
            return "stop";
        case Severity::warn:
            return "warn";
        case Severity::note:
            return "note";
    }
    return "";
}

}  // namespace feedwright::limits
