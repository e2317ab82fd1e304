// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/meant.hpp"

#include "base/text.hpp"
#include "job/reading.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

namespace feedwright::job {

namespace {

using Kind = catalog::Meaning::Kind;

std::string quoted(const std::string& written) {
    return '"' + base::printable(written, 60) + '"';
}

// Of the ingredients of the job, those that a word may be; the only one, or "".
template <class May>
std::string only_one(const Job& job, May may) {
    std::string id;
    for (const Choice& choice : job.ingredients) {
        if (!may(choice)) continue;
        if (!id.empty()) return {};
        id = choice.id;
    }
    return id;
}

std::string name_of(const std::string& id, const Job& job, catalog::Library& library) {
    if (const Choice* choice = job.find(id)) return choice->name;
    return library.ingredient(id)->name;
}

// A name that differs from the library's in case or order of words is not worth a note.
void tell(Job& job, Note note) {
    if (note.kind == Note::Kind::read_as && catalog::same_name(note.written, note.name)) return;
    if (std::find(job.notes.begin(), job.notes.end(), note) == job.notes.end())
        job.notes.push_back(std::move(note));
}

}  // namespace

Meant meant_by(const Job& job, catalog::Library& library, const std::string& written, bool in_use) {
    if (job.find(written) != nullptr || library.ingredient(written) != nullptr)
        return {written, false, {Kind::id, {written}, {}, {}}};
    const std::string own = only_one(job, [&](const Choice& choice) {
        return library.ingredient(choice.id) == nullptr &&
               (catalog::same_name(written, choice.name) || catalog::same_name(written, choice.id));
    });
    if (!own.empty()) return {own, true, {Kind::name, {own}, {}, {}}};
    Meant meant{{}, true, library.meaning_of(written)};
    const std::vector<std::string>& ids = meant.meaning.ingredients;
    const bool settled = meant.meaning.kind == Kind::name || meant.meaning.kind == Kind::closest;
    if (settled) {
        meant.id = ids.front();
    } else if (in_use && meant.meaning.kind == Kind::several) {
        meant.id = only_one(job, [&](const Choice& choice) {
            return std::find(ids.begin(), ids.end(), choice.id) != ids.end();
        });
    }
    return meant;
}

Note note_on(const Meant& meant, const std::string& written, const Job& job,
             catalog::Library& library) {
    Note note;
    note.kind =
        meant.meaning.kind == Kind::closest ? Note::Kind::read_as_nearest : Note::Kind::read_as;
    note.written = base::printable(written, 60);
    note.name = name_of(meant.id, job, library);
    return note;
}

std::string named_in(Job& job, catalog::Library& library, const std::string& written) {
    const Meant meant = meant_by(job, library, written, true);
    if (meant.id.empty() || job.find(meant.id) == nullptr) return written;
    if (meant.by_name) tell(job, note_on(meant, written, job, library));
    return meant.id;
}

std::string premix_for(const catalog::Animal& animal, catalog::Library& library) {
    std::string nearest;
    int best = 0;
    for (const std::string& id : library.ingredient_ids()) {
        const catalog::Ingredient& ingredient = *library.ingredient(id);
        if (ingredient.role != "premix" || ingredient.made_for.empty()) continue;
        const int close =
            catalog::closeness(ingredient.made_for, ingredient.made_for_stages, animal);
        if (close <= best) continue;
        best = close;
        nearest = id;
    }
    return nearest;
}

NotMeant not_meant(const std::vector<std::string>& job_ids, catalog::Library& library,
                   const std::string& written, const catalog::Meaning& meaning) {
    const std::string about = meaning.note.empty() ? "" : fmt::format(" ({})", meaning.note);
    if (meaning.kind == Kind::several && meaning.ingredients.size() == 1) {
        return {
            fmt::format("{}, which does not mean the same everywhere{}", quoted(written), about),
            "a word for one ingredient",
            fmt::format("Write {} if it is that", meaning.ingredients.front()), true};
    }
    if (meaning.kind == Kind::several) {
        return {fmt::format("{}, which may be several ingredients{}", quoted(written), about),
                "one of " + base::join_words(meaning.ingredients, " or "), "", true};
    }
    if (meaning.kind == Kind::absent) {
        return {fmt::format("{}{}, which the library does not have", quoted(written), about),
                "an ingredient of the library, or one of your own",
                "Take it out, or give it contents of its own in a job file or with import", true};
    }
    std::string near = base::nearest(written, job_ids);
    if (near.empty()) near = library.nearest_name(written);
    return {fmt::format("the unknown ingredient {}", quoted(written)),
            "an ingredient of the library",
            (near.empty() ? "" : fmt::format("Did you mean \"{}\"? ", near)) +
                "To search: feedwright list ingredients WORD",
            !near.empty()};
}

std::string ingredient_meant(Reading& reading, const std::string& written, const std::string& file,
                             const std::string& place, bool in_use) {
    const Meant meant = meant_by(reading.job, reading.library, written, in_use);
    if (meant.id.empty()) {
        NotMeant why =
            not_meant(reading.job.ingredient_ids(), reading.library, written, meant.meaning);
        // A premix is made for an animal, which the job names.
        const bool premix = base::lower(written).find("premix") != std::string::npos;
        const std::string made =
            premix ? premix_for(reading.job.animal, reading.library) : std::string();
        if (!made.empty()) why.hint = fmt::format("Did you mean \"{}\"?", made);
        reading.diagnostics.add(
            {file, place, std::move(why.found), std::move(why.expected), std::move(why.hint)});
    } else if (meant.by_name) {
        tell(reading.job, note_on(meant, written, reading.job, reading.library));
    }
    return meant.id;
}

void name_options(Reading& reading, const std::vector<std::string>& own) {
    const auto is_own = [&](const std::string& written) {
        return std::find(own.begin(), own.end(), written) != own.end();
    };
    for (Extra& extra : reading.options.with) {
        if (is_own(extra.ingredient)) continue;
        std::string id = ingredient_meant(reading, extra.ingredient, "command line",
                                          "--with " + extra.ingredient, false);
        extra.ingredient = std::move(id);
    }
    std::erase_if(reading.options.with, [](const Extra& e) { return e.ingredient.empty(); });
    for (Restated& restated : reading.options.restated) {
        if (is_own(restated.ingredient)) continue;
        const Meant meant = meant_by(reading.job, reading.library, restated.ingredient, false);
        if (meant.id.empty()) continue;  // told by check_restated
        if (meant.by_name)
            tell(reading.job, note_on(meant, restated.ingredient, reading.job, reading.library));
        restated.ingredient = meant.id;
    }
}

}  // namespace feedwright::job
