// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/volume.hpp"

#include "catalog/cap.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace feedwright::job {

std::optional<double> kilograms_a_litre(Reading& reading, const Choice& choice,
                                        const std::string& file, const std::string& place) {
    const auto& list = reading.library.bulk_densities();
    const auto at = std::find_if(list.begin(), list.end(), [&](const auto& one) {
        return catalog::is_or_extends(choice.id, choice.kin, one.ingredient);
    });
    if (at == list.end()) {
        reading.diagnostics.add({file, place, fmt::format("{} by volume", choice.name), "a weight",
                                 "The library does not know how heavy a litre of it is: weigh one "
                                 "measure, and write the weight"});
        return std::nullopt;
    }
    Note note{.kind = Note::Kind::by_volume, .name = choice.name, .value = at->middle()};
    note.min = at->low;
    note.max = at->high;
    auto& notes = reading.job.notes;
    if (std::find(notes.begin(), notes.end(), note) == notes.end()) notes.push_back(note);
    return at->middle();
}

}  // namespace feedwright::job
