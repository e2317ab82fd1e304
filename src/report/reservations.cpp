// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/base/number.hpp"
#include "feedwright/base/text.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <numeric>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::report {

namespace {

using formulate::LimitKind;
using formulate::LimitResult;

std::string with_unit(const LimitResult& limit, double value) {
    return base::significant(value, 3) + (limit.limit.unit.empty() ? "" : ' ' + unit_in_words(limit.limit));
}

struct Advisory {
    std::vector<std::string> short_of;  ///< whatever is unknown
    std::vector<std::string> too_much;
    std::vector<std::string> unknown;  ///< next to nothing of it is known to be there
};

Advisory sort_out(const std::vector<LimitResult>& limits) {
    constexpr double nearly_all = 95;  // percent of the mix with a value
    constexpr double next_to_nothing = 0.1;
    Advisory found;
    for (const LimitResult& limit : limits) {
        if (!limit.limit.advisory || !limit.value || limit.met) continue;
        if (limit.limit.max && *limit.value > *limit.limit.max) {
            found.too_much.push_back(fmt::format("{} ({}, at most {})", limit.limit.name,
                                                 with_unit(limit, *limit.value),
                                                 base::compact(*limit.limit.max, 4)));
        } else if (!limit.limit.min) {
            continue;
        } else if (limit.known_percent >= nearly_all) {
            found.short_of.push_back(fmt::format(
                "{} ({} of {}{})", limit.limit.name, base::significant(*limit.value, 3),
                base::compact(*limit.limit.min, 4),
                limit.limit.unit.empty() ? "" : ' ' + unit_in_words(limit.limit)));
        } else if (*limit.value < next_to_nothing * *limit.limit.min) {
            found.unknown.push_back(limit.limit.name);
        }
    }
    return found;
}

// Far more than is asked of what does harm or goes to waste when there is much of it. How far is a
// rule of thumb of practice, without a source; the nutrients are those that cheap fillers bring.
std::vector<std::string> far_above_need(const std::vector<LimitResult>& limits) {
    struct Often {
        const char* limit;
        double times;
    };
    constexpr std::array often{Often{"nutrient:crude_protein", 1.5}, Often{"nutrient:calcium", 2},
                               Often{"nutrient:sodium", 3}};
    std::vector<std::string> far;
    for (const LimitResult& limit : limits) {
        if (!limit.value || !limit.limit.min || !(*limit.limit.min > 0)) continue;
        const double times = *limit.value / *limit.limit.min;
        const bool too_much = std::any_of(often.begin(), often.end(), [&](const Often& one) {
            return limit.limit.id == one.limit && times > one.times;
        });
        if (!too_much) continue;
        far.push_back(fmt::format("{} ({}, {} times what is needed)", limit.limit.name,
                                  with_unit(limit, *limit.value), base::significant(times, 2)));
    }
    return far;
}

bool holds_premix(const job::Job& job, const std::vector<double>& amounts) {
    for (std::size_t i = 0; i < amounts.size(); ++i) {
        if (amounts[i] > 0 && job.ingredients[i].role == "premix") return true;
    }
    return false;
}

std::vector<std::string> beyond_trials(const job::Job& job, const std::vector<double>& amounts) {
    std::vector<std::string> beyond;
    const double total = std::accumulate(amounts.begin(), amounts.end(), 0.0);
    // Levels are of dry feeds; what a moist mix weighs says nothing about them.
    if (job.finished_moisture || !(total > 0)) return beyond;
    for (const job::CapLimit& level : job.tried) {
        double amount = 0;
        for (const std::string& id : level.ingredients) {
            amount += amounts[static_cast<std::size_t>(job.find(id) - job.ingredients.data())];
        }
        const double percent = 100 * amount / total;
        constexpr double rounding = 1e-6;
        if (percent <= level.max + rounding) continue;
        const job::Choice* one = job.find(level.subject);
        beyond.push_back(fmt::format("{} ({} %, tried up to {} %)",
                                     one != nullptr ? one->name : level.subject.substr(level.subject.find(':') + 1),
                                     base::significant(percent, 3), base::compact(level.max, 4)));
    }
    return beyond;
}

}  // namespace

void add_reservations(Document& document, const job::Job& job, const std::vector<double>& amounts,
                      const std::vector<LimitResult>& limits) {
    const Advisory advisory = sort_out(limits);
    std::vector<std::string> items;
    if (!advisory.short_of.empty()) {
        items.push_back("It is short of needs that did not shape it: " +
                        base::join_words(advisory.short_of) +
                        ". --enforce-advisory makes them count.");
    }
    if (!advisory.too_much.empty()) {
        items.push_back("It holds more than is good of " + base::join_words(advisory.too_much) +
                        ". Weigh premixes with care.");
    }
    if (const auto far = far_above_need(limits); !far.empty()) {
        items.push_back("It holds far more than is asked of " + base::join_words(far) +
                        ": set a \"max\", or one for the ingredient that brings it.");
    }
    if (job.profile && !job.free_total && !holds_premix(job, amounts)) {
        items.emplace_back(
            "No vitamin and mineral premix is in it. Unless it is only part of what the animals "
            "eat, add one made for the species and hold it to the share on its label (its \"min\" "
            "and \"max\").");
    }
    if (!advisory.unknown.empty()) {
        items.push_back("Next to nothing is known to supply " +
                        base::join_words(advisory.unknown) +
                        ": see whether a premix of yours does.");
    }
    if (const auto beyond = beyond_trials(job, amounts); !beyond.empty()) {
        items.push_back("No trial in the library went as far with " + base::join_words(beyond) +
                        ". --caps strict keeps to what was tried.");
    }
    if (items.empty()) return;
    document.blocks.push_back(Paragraph{"But mind:", Tone::warn});
    Bullets bullets;
    for (std::string& item : items)
        bullets.items.push_back({std::move(item), Tone::warn});
    document.blocks.push_back(std::move(bullets));
}

}  // namespace feedwright::report
