// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/economics/economics_words.hpp"

#include "base/number.hpp"

#include <fmt/format.h>

namespace feedwright::report {

using base::compact;
using base::shortest;
using economics::KeepingCaution;
using economics::PlanNote;

namespace {

// "24 to 28"
std::string span(const catalog::Range& range) {
    if (range.low == range.high) return shortest(range.low);
    return shortest(range.low) + " to " + shortest(range.high);
}

}  // namespace

std::string sentence(const PlanNote& note, const economics::PlanResult& result) {
    switch (note.kind) {
        case PlanNote::Kind::all_survive:
            return "All animals are counted as alive at the end. To count losses: --survival 90.";
        case PlanNote::Kind::growth_from_rations:
            return fmt::format(
                "No growth was given, so it follows from the published rations and an FCR of {}, "
                "the "
                "middle of the range in the library ({}). Your own --fcr, --sgr or --tgc is "
                "better.",
                compact(note.value, 3), span(note.range));
        case PlanNote::Kind::rations_for:
            return fmt::format("The rations are for water of {} °C.", shortest(note.value));
        case PlanNote::Kind::nearest_rations:
            return fmt::format(
                "The nearest rations are for water of {} °C; yours is {} °C. Check how much is "
                "eaten.",
                shortest(note.value), base::fixed(note.own, 1));
        case PlanNote::Kind::follows_water:
            return fmt::format(
                "At {} °C rations and growth are counted as {} times those at {} °C, as one trial "
                "found ({}). Feed what is eaten.",
                base::fixed(note.own, 1), base::fixed(note.value, 2), span(note.range), note.name);
        case PlanNote::Kind::slower_growth:
            return fmt::format("{} grows best from {} °C; growth at {} °C will be slower.",
                               note.name, span(note.range), base::fixed(note.value, 1));
        case PlanNote::Kind::fed_by_fcr:
            return "Where no feeding rate is known for a weight, feed is growth times your FCR.";
        case PlanNote::Kind::pack_unused:
            return fmt::format("No \"{}\" is in the mix, so its pack is not used.", note.name);
        case PlanNote::Kind::batch_lasts:
            return fmt::format("One batch lasts {} days: {}. Make smaller batches.", note.value,
                               note.name);
        case PlanNote::Kind::drying:
            return fmt::format("Drying: {}.", note.name);
        case PlanNote::Kind::other_fcr:
            return fmt::format(
                "With the FCR of {} that the venture gives for the home feed, this growth needs {} "
                "kg "
                "of feed, not {}.",
                shortest(note.value), base::significant(note.value * result.gain_kg, 3),
                base::significant(result.feed_kg, 3));
    }
    return "";
}

std::string sentence(const economics::GrowthCaution& caution) {
    std::string water = compact(caution.water.low, 3);
    if (caution.water.high > caution.water.low) water += " to " + compact(caution.water.high, 3);
    if (caution.tried) {
        return fmt::format(
            "No forecast: at {} °C, outside the {} °C in which the growth of {} was "
            "tried, growth is slower than shown",
            water, span(caution.best), caution.animal);
    }
    return fmt::format(
        "No forecast: at {} °C, outside the {} °C in which {} grows best, growth is slower than "
        "shown{}",
        water, span(caution.best), caution.animal,
        caution.own_growth ? ", unless the growth you gave is from such water" : "");
}

std::string sentence(const economics::MaterialsCost& materials) {
    const std::string what =
        (materials.recipe ? "the recipe " : "the cheapest mix that meets every limit of ") +
        materials.file;
    return fmt::format("Materials: {}, {} per kg of {}.", what,
                       base::fixed(materials.cost_per_kg, 4),
                       materials.finished ? "finished feed" : "mix");
}

std::string in_words(const KeepingCaution& caution) {
    switch (caution.kind) {
        case KeepingCaution::Kind::kept_long:
            return fmt::format("the feed is to be kept {} months: {}", shortest(caution.value),
                               caution.advice);
        case KeepingCaution::Kind::batch_lasts:
            return fmt::format("one batch lasts {} months: {}", base::fixed(caution.value, 1),
                               caution.advice);
        case KeepingCaution::Kind::damp:
            return fmt::format("the feed is dried to {} % moisture only: {}",
                               shortest(caution.value), caution.advice);
    }
    return "";
}

std::vector<std::string> in_words(const std::vector<economics::Shortfall>& short_of) {
    std::vector<std::string> texts;
    for (const economics::Shortfall& one : short_of) {
        std::string text = one.name;
        if (one.value) text += fmt::format(" {} {}", base::significant(*one.value, 4), one.unit);
        if (one.min) text += ", at least " + shortest(*one.min);
        if (one.max) text += ", at most " + shortest(*one.max);
        texts.push_back(std::move(text));
    }
    return texts;
}

std::string name_of(const economics::ShoppingLine& line) {
    if (!line.name.empty()) return line.name;
    if (!line.pellet_mm) return "feed";
    const bool one = line.pellet_mm->low == line.pellet_mm->high;
    return fmt::format("feed, {} mm", one ? shortest(line.pellet_mm->low) : span(*line.pellet_mm));
}

}  // namespace feedwright::report
