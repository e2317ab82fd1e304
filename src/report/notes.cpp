// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/notes.hpp"

#include "base/number.hpp"
#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace feedwright::report {

namespace {

using catalog::Basis;
using job::Note;

std::string dear_price(const Note& note) {
    return fmt::format(
        "{} costs {} per kg, {} times the median price of {}, {}. Check the decimal point, and "
        "that it is the price of one kg.",
        note.name, base::compact(*note.value, 4), base::compact(*note.value / *note.number, 2),
        note.category.empty() ? "the others of the list"
                              : fmt::format("the others of its kind ({})", note.category),
        base::compact(*note.number, 4));
}

std::string side_replaced(const Note& note) {
    return fmt::format("Your limit on {} replaces the profile's limit, \"{} {} {}\".", note.name,
                       note.min ? "at least" : "at most",
                       base::compact(note.min ? *note.min : *note.max, 6),
                       note.basis == Basis::of_protein ? "% of protein" : note.unit);
}

const char* whole(Basis basis) {
    switch (basis) {
        case Basis::of_protein:
            return "protein";
        case Basis::dry_matter:
            return "dry matter";
        case Basis::as_fed:
            break;
    }
    return "the feed";
}

std::string other_basis(const Note& note) {
    const std::string unit = note.basis == Basis::of_protein ? "%" : note.unit;
    std::string asked;
    if (note.min) asked += fmt::format("at least {} {}", base::compact(*note.min, 6), unit);
    if (note.max) {
        asked += fmt::format("{}at most {} {}", asked.empty() ? "" : " and ",
                             base::compact(*note.max, 6), unit);
    }
    return fmt::format(
        "Your limit on {} is {}; it replaces the profile's limit, {} of {}.", note.name,
        note.own_basis ? fmt::format("of {}", whole(*note.own_basis)) : "an amount in all", asked,
        whole(note.basis));
}

}  // namespace

std::string sentence(const Note& note) {
    switch (note.kind) {
        case Note::Kind::dear_price:
            return dear_price(note);
        case Note::Kind::side_replaced:
            return side_replaced(note);
        case Note::Kind::other_basis:
            return other_basis(note);
        case Note::Kind::odd_total:
            return fmt::format(
                "Your amounts add up to {}, not 100. Percentages below are of that total.",
                base::compact(*note.value, 6));
        case Note::Kind::read_as:
            return fmt::format("\"{}\" was read as {}.", note.written, note.name);
        case Note::Kind::read_as_nearest:
            return fmt::format(
                "The library does not have \"{}\"; {}, the nearest to it, was taken. Give an "
                "analysis of your own where they differ.",
                note.written, note.name);
        case Note::Kind::by_volume:
            return fmt::format(
                "{} is given by volume: a litre was taken for {} kg{}. Volumes are rough: weigh a "
                "measure of yours once, and write the weight.",
                note.name, base::compact(*note.value, 3),
                *note.min == *note.max ? ""
                                       : fmt::format(" ({} to {} kg)", base::compact(*note.min, 3),
                                                     base::compact(*note.max, 3)));
        case Note::Kind::paid_to_take:
            return fmt::format(
                "{} has a price below zero: the cost counts that you are paid {} for each kg of "
                "it that you take.",
                note.name, base::compact(-*note.value, 4));
        case Note::Kind::dried:
            return fmt::format(
                "The mix contains {} % water as weighed in. It is compared with the requirements "
                "as if "
                "dried to {} % moisture (to change: --finished-moisture).",
                base::significant(*note.value, 3), base::compact(*note.number, 3));
    }
    return "";
}

std::vector<std::string> sentences(const std::vector<Note>& notes) {
    std::vector<std::string> texts;
    for (const Note& note : notes)
        texts.push_back(sentence(note));
    return texts;
}

void add_notes(Document& document, const job::Job& job, const limits::Judgement* judged) {
    const bool prices_told =
        judged != nullptr &&
        std::any_of(judged->findings.begin(), judged->findings.end(),
                    [](const auto& one) { return one.found == limits::Found::odd_price; });
    std::vector<std::string> names;
    for (const Note& note : job.notes) {
        if (note.kind == Note::Kind::read_as)
            names.push_back(fmt::format("\"{}\" as {}", note.written, note.name));
    }
    if (!names.empty()) {
        document.blocks.push_back(
            Paragraph{fmt::format("Names read: {}.", base::join_words(names)), Tone::plain});
    }
    for (const Note& note : job.notes) {
        if (note.kind == Note::Kind::read_as) continue;
        if (note.kind == Note::Kind::dear_price && prices_told) continue;
        document.blocks.push_back(Paragraph{sentence(note), Tone::warn});
    }
}

}  // namespace feedwright::report
