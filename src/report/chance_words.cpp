// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/chance_words.hpp"

#include "base/text.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <cmath>

namespace feedwright::report {

std::string lots_in_words(double percent) {
    if (percent <= 0 || percent >= 100) return fmt::format("{:.0f}", percent);
    if (percent < 1) return "fewer than 1";
    if (percent > 99) return "more than 99";
    return fmt::format("{:.0f}", percent);
}

void add_chance(Document& document, const limits::Assessment& assessment) {
    if (!assessment.chance) return;
    const limits::Chance& chance = *assessment.chance;
    if (chance.values == 0) return;  // of nothing here is it known how it varies
    std::string text =
        fmt::format("All limits hold in {} of 100 lots", lots_in_words(chance.all_percent));
    std::string weakest;
    if (chance.weakest) {
        weakest = assessment.limits[*chance.weakest].limit.name;
        text += fmt::format("; {} fails most, in {}", weakest,
                            lots_in_words(100 - chance.weakest_percent));
    }
    text += '.';
    if (!chance.without_spread.empty()) {
        text += fmt::format(" No spread between lots is known for {}, and none is counted.",
                            base::join_words(chance.without_spread));
    }
    document.blocks.push_back(Paragraph{std::move(text), Tone::plain});
    Table table;
    table.key = "chance";
    table.data_only = true;
    table.columns = {{"", Align::right, "chance_all_percent"},
                     {"", Align::left, "fails_first"},
                     {"", Align::right, "values_that_vary"},
                     {"", Align::right, "spreads_assumed"}};
    table.rows = {{number_cell(chance.all_percent, 2), text_cell(std::move(weakest)),
                   number_cell(static_cast<double>(chance.values), 0),
                   number_cell(static_cast<double>(chance.assumed), 0)}};
    document.blocks.push_back(std::move(table));
}

void add_assumed_spreads(Document& document, const limits::Assessment& assessment) {
    if (!assessment.chance || assessment.chance->assumed == 0) return;
    const limits::Chance& chance = *assessment.chance;
    document.blocks.push_back(Heading{"", Depth::full});
    document.blocks.push_back(Paragraph{
        fmt::format("Ingredients vary from lot to lot. The spread of {} of the {} is assumed from "
                    "the kind of ingredient.",
                    chance.assumed == chance.values ? "all" : std::to_string(chance.assumed),
                    count_of(chance.values, "value that varies", "values that vary")),
        Tone::quiet});
    document.blocks.push_back(Heading{""});
}

}  // namespace feedwright::report
