// SPDX-License-Identifier: GPL-3.0-or-later
#include "trial/indices.hpp"

#include "base/diagnostics.hpp"
#include "economics/growth.hpp"

#include <cmath>

namespace feedwright::trial {

namespace {

// kg of fish in the tank at the start and end.
std::optional<double> biomass_in(const Tank& t) {
    if (!t.count_in) return std::nullopt;
    return t.weight_in_g * *t.count_in / 1000;
}

std::optional<double> biomass_out(const Tank& t) {
    if (!t.count_out || !t.weight_out_g) return std::nullopt;
    return *t.weight_out_g * *t.count_out / 1000;
}

std::optional<double> saleable_gain(const Tank& t) {
    const auto in = biomass_in(t);
    const auto out = biomass_out(t);
    if (!in || !out) return std::nullopt;
    return *out - *in;
}

std::optional<double> positive(std::optional<double> value) {
    if (value && *value > 0) return value;
    return std::nullopt;
}

// Gain that feed was turned into: with the dead fish where they were weighed.
std::optional<double> fed_gain(const Tank& t) {
    const auto gain = saleable_gain(t);
    if (!gain) return std::nullopt;
    return positive(*gain + t.dead_weight_g.value_or(0) / 1000);
}

std::optional<double> tank_fcr(const Tank& t) {
    const auto gain = fed_gain(t);
    if (!gain || !t.feed_kg) return std::nullopt;
    return economics::fcr_of(*t.feed_kg, *gain);
}

std::optional<double> tank_per(const Tank& t) {
    const auto gain = fed_gain(t);
    if (!gain || !t.feed_kg || !t.protein_percent) return std::nullopt;
    return per(*gain, *t.feed_kg, *t.protein_percent);
}

std::optional<double> tank_ppv(const Tank& t) {
    const auto in = biomass_in(t);
    const auto out = biomass_out(t);
    if (!in || !out || !t.feed_kg || !t.protein_percent || !t.carcass_protein_in_percent ||
        !t.carcass_protein_out_percent) {
        return std::nullopt;
    }
    const double gained =
        *out * *t.carcass_protein_out_percent / 100 - *in * *t.carcass_protein_in_percent / 100;
    return ppv(gained, *t.feed_kg, *t.protein_percent);
}

std::optional<double> tank_cost(const Tank& t) {
    const auto gain = positive(saleable_gain(t));
    if (!gain || !t.feed_kg || !t.feed_price) return std::nullopt;
    return *t.feed_price * economics::fcr_of(*t.feed_kg, *gain);
}

// Feed a fish: over the mean of the numbers at start and end, as the dead ate for part of the time.
std::optional<double> feed_intake(const Tank& t) {
    if (!t.feed_kg || !t.count_in || !t.count_out) return std::nullopt;
    return *t.feed_kg * 1000 / ((*t.count_in + *t.count_out) / 2.0);
}

std::optional<double> survival(const Tank& t) {
    if (!t.count_in || !t.count_out) return std::nullopt;
    return 100.0 * *t.count_out / *t.count_in;
}

}  // namespace

double daily_gain(double weight_in, double weight_out, double days) {
    return (weight_out - weight_in) / days;
}

double per(double gain, double feed, double protein_percent) {
    return gain / (feed * protein_percent / 100);
}

double ppv(double protein_gained, double feed, double protein_percent) {
    return 100 * protein_gained / (feed * protein_percent / 100);
}

double condition_factor(double weight, double length_cm) {
    return 100 * weight / (length_cm * length_cm * length_cm);
}

const std::vector<Index>& indices() {
    static const std::vector<Index> list{
        {"final_weight", "final weight", "g", "final g", Better::higher, 2, false},
        {"daily_gain", "daily gain", "g/d", "g/d", Better::higher, 3, false},
        {"sgr", "specific growth rate", "%/d", "SGR", Better::higher, 3, false},
        {"tgc", "thermal growth coefficient", "", "TGC", Better::higher, 3, false},
        {"condition_factor", "condition factor", "", "K", Better::neither, 3, false},
        {"survival", "survival", "%", "alive %", Better::higher, 1, false},
        {"feed_intake", "feed intake", "g a fish", "feed g", Better::neither, 2, true},
        {"fcr", "feed conversion ratio", "", "FCR", Better::lower, 3, true},
        {"per", "protein efficiency ratio", "", "PER", Better::higher, 3, true},
        {"ppv", "protein productive value", "%", "PPV %", Better::higher, 2, true},
        {"cost_per_kg_gain", "feed cost of a kg of gain", "money/kg", "cost", Better::lower, 3,
         true}};
    return list;
}

const Index& index_of(std::string_view id) {
    for (const Index& index : indices()) {
        if (index.id == id) return index;
    }
    throw Error("no such index: " + std::string(id));
}

std::optional<double> value_of(const Index& index, const Tank& t) {
    if (index.id == "survival") return survival(t);
    if (!t.weight_out_g) return std::nullopt;
    if (index.id == "final_weight") return t.weight_out_g;
    if (index.id == "daily_gain") return daily_gain(t.weight_in_g, *t.weight_out_g, t.days);
    if (index.id == "sgr") {
        return economics::sgr_of(t.weight_in_g, *t.weight_out_g, t.days);
    }
    if (index.id == "tgc") {
        if (!t.temperature_c || *t.temperature_c <= 0) return std::nullopt;
        return economics::tgc_of(t.weight_in_g, *t.weight_out_g, t.days * *t.temperature_c);
    }
    if (index.id == "feed_intake") return feed_intake(t);
    if (index.id == "fcr") return tank_fcr(t);
    if (index.id == "per") return tank_per(t);
    if (index.id == "ppv") return tank_ppv(t);
    if (index.id == "condition_factor") {
        if (!t.length_out_cm) return std::nullopt;
        return condition_factor(*t.weight_out_g, *t.length_out_cm);
    }
    if (index.id == "cost_per_kg_gain") return tank_cost(t);
    throw Error("no such index: " + std::string(index.id));
}

}  // namespace feedwright::trial
