// SPDX-License-Identifier: GPL-3.0-or-later
#include "batch/tally.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::batch {

namespace {

bool same_mix(const std::vector<double>& a, const std::vector<double>& b) {
    constexpr double rounding = 1e-7;  // percent
    return !a.empty() && a.size() == b.size() &&
           std::equal(a.begin(), a.end(), b.begin(),
                      [](double x, double y) { return std::abs(x - y) <= rounding; });
}

}  // namespace

void Stretches::begin(const Stretch& stretch, const std::vector<double>& percent) {
    if (!any_) {
        any_ = true;
        first_mix_ = percent;
    } else {
        if (tail_.lists > longest_.lists) longest_ = tail_;
        if (all_one_) head_ = std::move(tail_);
        all_one_ = false;
    }
    tail_ = stretch;
    last_mix_ = percent;
}

void Stretches::add(std::string_view name, const std::vector<double>& percent) {
    if (any_ && same_mix(last_mix_, percent)) {
        ++tail_.lists;
        tail_.last = name;
        last_mix_ = percent;
        return;
    }
    begin({percent.empty() ? 0U : 1U, std::string(name), std::string(name)}, percent);
}

void Stretches::append(const Stretches& next) {
    if (!next.any_) return;
    const Stretch& first = next.all_one_ ? next.tail_ : next.head_;
    if (any_ && same_mix(last_mix_, next.first_mix_)) {
        tail_.lists += first.lists;
        tail_.last = first.last;
    } else {
        begin(first, next.first_mix_);
    }
    if (next.all_one_) {
        last_mix_ = next.last_mix_;
        return;
    }
    begin(next.tail_, next.last_mix_);
    if (next.longest_.lists > longest_.lists) longest_ = next.longest_;
}

Stretch Stretches::longest() const {
    return tail_.lists > longest_.lists ? tail_ : longest_;
}

Tally::Tally(std::size_t ingredients, std::size_t limits) : uses(ingredients), held(limits) {}

void Tally::add(const Answer& answer, bool was_recalled) {
    ++lists;
    if (answer.picture == nullptr) {
        ++(answer.status == "error" ? unusable : unsolved);
        stretches.add(answer.list, {});
        return;
    }
    if (was_recalled) ++recalled;
    const Picture& picture = *answer.picture;
    const double cost = answer.cost_per_kg;
    if (costs.empty() || cost > dearest.cost) dearest = {std::string(answer.list), cost};
    if (costs.empty() || cost < cheapest.cost) cheapest = {std::string(answer.list), cost};
    costs.push_back(cost);
    for (const std::size_t i : picture.used) {
        const double percent = picture.percent[i];
        Use& use = uses[i];
        use.least = use.lists == 0 ? percent : std::min(use.least, percent);
        use.most = std::max(use.most, percent);
        ++use.lists;
    }
    for (const std::size_t limit : picture.binding)
        ++held[limit];
    stretches.add(answer.list, picture.percent);
}

TallySum::TallySum(std::size_t ingredients, std::size_t limits) {
    sum_.uses.resize(ingredients);
    sum_.held.resize(limits);
}

void TallySum::add(Tally&& tally) {
    sum_.lists += tally.lists;
    sum_.unsolved += tally.unsolved;
    sum_.unusable += tally.unusable;
    sum_.recalled += tally.recalled;
    sum_.solved += tally.costs.size();
    for (const double cost : tally.costs)
        sum_.costs.add(cost);
    if (!tally.costs.empty()) {
        if (!sum_.dearest || tally.dearest.cost > sum_.dearest->cost) {
            sum_.dearest = std::move(tally.dearest);
        }
        if (!sum_.cheapest || tally.cheapest.cost < sum_.cheapest->cost) {
            sum_.cheapest = std::move(tally.cheapest);
        }
    }
    for (std::size_t i = 0; i < sum_.uses.size(); ++i) {
        const Use& from = tally.uses[i];
        Use& to = sum_.uses[i];
        if (from.lists == 0) continue;
        to.least = to.lists == 0 ? from.least : std::min(to.least, from.least);
        to.most = std::max(to.most, from.most);
        to.lists += from.lists;
    }
    for (std::size_t k = 0; k < sum_.held.size(); ++k)
        sum_.held[k].lists += tally.held[k];
    stretches_.append(tally.stretches);
}

Summary TallySum::take() {
    sum_.longest = stretches_.longest();
    return std::move(sum_);
}

}  // namespace feedwright::batch
