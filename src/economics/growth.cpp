// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/growth.hpp"

#include <algorithm>
#include <cmath>

namespace feedwright::economics {

namespace {

void widen(std::optional<PublishedFcr>& span, const catalog::FeedingRate& rate) {
    if (!rate.expected_fcr) return;
    if (!span) span = PublishedFcr{*rate.expected_fcr, {}};
    span->range.low = std::min(span->range.low, rate.expected_fcr->low);
    span->range.high = std::max(span->range.high, rate.expected_fcr->high);
    auto& sources = span->sources;
    if (std::find(sources.begin(), sources.end(), rate.source) == sources.end()) {
        sources.push_back(rate.source);
    }
}

}  // namespace

double sgr_of(double start_g, double end_g, double days) {
    return 100 * (std::log(end_g) - std::log(start_g)) / days;
}

double grow_sgr(double weight_g, double sgr) {
    return weight_g * std::exp(sgr / 100);
}

double tgc_of(double start_g, double end_g, double degree_days) {
    return 1000 * (std::cbrt(end_g) - std::cbrt(start_g)) / degree_days;
}

double grow_tgc(double weight_g, double tgc, double temperature_c) {
    const double root = std::cbrt(weight_g) + tgc / 1000 * std::max(0.0, temperature_c);
    return root * root * root;
}

double fcr_of(double feed, double gain) {
    return feed / gain;
}

std::optional<PublishedFcr> published_fcr(const catalog::Profile& profile, double from_g,
                                          double to_g) {
    std::optional<PublishedFcr> span;
    for (const auto& stage : profile.stages) {
        for (const auto& rate : stage.feeding) {
            if (rate.weight_g.low <= to_g && rate.weight_g.high >= from_g) widen(span, rate);
        }
    }
    return span;
}

std::optional<PublishedFcr> published_fcr(const catalog::Stage& stage) {
    std::optional<PublishedFcr> span;
    for (const auto& rate : stage.feeding)
        widen(span, rate);
    return span;
}

}  // namespace feedwright::economics
