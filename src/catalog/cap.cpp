// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/cap.hpp"

#include <algorithm>
#include <tuple>

namespace feedwright::catalog {

namespace {

constexpr std::string_view each = "each:";
constexpr std::string_view category = "category:";
constexpr std::string_view group = "group:";

// Closeness in which a stage counts a quarter: what differs by animal differs by more than what
// differs by stage.
bool same_animal(int one, int other) {
    return one / 2 == other / 2;
}

int rank(const Cap& cap, int close) {
    const bool own_species = close >= 8;
    switch (cap.kind) {
        case Cap::Kind::tried:
            return own_species ? 0 : 1;
        case Cap::Kind::handbook:
            return 2;
        case Cap::Kind::rule_of_thumb:
            return 3;
        case Cap::Kind::by_default:
            return 4;
        case Cap::Kind::first_loss:
            break;
    }
    return 5;
}

}  // namespace

bool Cap::is_sum() const {
    return subject.starts_with(category) || subject.starts_with(group);
}

bool CapGroup::holds(const std::string& own_id, const std::string& of_category,
                     const std::vector<std::string>& kin) const {
    const auto named = [&](const std::vector<std::string>& list) {
        return std::any_of(list.begin(), list.end(), [&](const std::string& member) {
            return is_or_extends(own_id, kin, member);
        });
    };
    if (named(except)) return false;
    return named(members) ||
           std::find(categories.begin(), categories.end(), of_category) != categories.end();
}

const CapGroup* CapTable::group(std::string_view id) const {
    const auto at = std::find_if(groups.begin(), groups.end(),
                                 [&](const CapGroup& one) { return one.id == id; });
    return at == groups.end() ? nullptr : &*at;
}

bool CapTable::covers(const Cap& cap, const std::string& id, const std::string& of_category,
                      const std::vector<std::string>& kin) const {
    const std::string_view subject = cap.subject;
    if (subject.starts_with(each)) return of_category == subject.substr(each.size());
    if (subject.starts_with(category)) return of_category == subject.substr(category.size());
    if (subject.starts_with(catalog::group)) {
        const CapGroup* together = group(subject.substr(catalog::group.size()));
        return together != nullptr && together->holds(id, of_category, kin);
    }
    return is_or_extends(id, kin, subject);
}

std::optional<CapInForce> cap_in_force(const std::vector<const Cap*>& caps, const Animal& animal) {
    const Cap* best = nullptr;
    std::tuple<int, bool, int> best_place;
    int best_close = 0;
    const Cap* loss = nullptr;
    int loss_close = 0;
    for (const Cap* cap : caps) {
        const int close = closeness(cap->animals, cap->stages, animal);
        if (close == 0) continue;
        if (cap->kind == Cap::Kind::first_loss) {
            if (loss == nullptr || close > loss_close ||
                (close == loss_close && cap->max < loss->max)) {
                loss = cap;
                loss_close = close;
            }
            continue;
        }
        const std::tuple<int, bool, int> place{rank(*cap, close), cap->subject.starts_with(each),
                                               -close};
        // Of levels tried without loss in one kind of animal the highest counts; of advice the most
        // cautious.
        const bool stronger = cap->kind == Cap::Kind::tried
                                  ? best != nullptr && cap->max > best->max
                                  : best != nullptr && cap->max < best->max;
        const bool better =
            best == nullptr || place < best_place || (place == best_place && stronger);
        if (!better) continue;
        best = cap;
        best_place = place;
        best_close = close;
    }
    if (best == nullptr && loss == nullptr) return std::nullopt;
    // A loss in another class of animals says nothing against what was tried in this one.
    const bool counts = loss != nullptr && (best == nullptr || loss_close >= best_close ||
                                            same_animal(loss_close, best_close));
    constexpr double below_loss = 0.9;
    if (best == nullptr || (counts && loss->max <= best->max)) {
        CapInForce held{best == nullptr ? *loss : *best, *loss};
        held.cap.max = below_loss * loss->max;
        return held;
    }
    return CapInForce{*best, {}};
}

std::string_view to_string(Cap::Basis basis) {
    switch (basis) {
        case Cap::Basis::diet:
            return "diet";
        case Cap::Basis::fish_meal:
            return "fish_meal";
        case Cap::Basis::fish_meal_protein:
            return "fish_meal_protein";
        case Cap::Basis::dietary_protein:
            return "dietary_protein";
    }
    return "";
}

std::string_view to_string(Cap::Kind kind) {
    switch (kind) {
        case Cap::Kind::tried:
            return "tried";
        case Cap::Kind::first_loss:
            return "first_loss";
        case Cap::Kind::handbook:
            return "handbook";
        case Cap::Kind::rule_of_thumb:
            return "rule_of_thumb";
        case Cap::Kind::by_default:
            return "default";
    }
    return "";
}

}  // namespace feedwright::catalog
