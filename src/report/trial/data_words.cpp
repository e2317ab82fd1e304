// SPDX-License-Identifier: GPL-3.0-or-later
// Notes on the data of a trial, numbers far from their neighbours, and reasons for no answer.
#include "base/number.hpp"
#include "base/text.hpp"
#include "report/trial/trial_words.hpp"

#include <fmt/format.h>

namespace feedwright::report {

namespace {

using base::significant;
using trial::Compared;
using trial::Lack;
using trial::Note;

std::string times_text(double times) {
    return times >= 1 ? fmt::format("{} times", significant(times, 2))
                      : fmt::format("1/{} of", significant(1 / times, 2));
}

std::string sentence(const Note& note) {
    const std::string tank = fmt::format("Tank {} ({})", note.tank, note.diet);
    switch (note.kind) {
        case Note::Kind::feed_unit:
            return fmt::format(
                "The middle tank's feed conversion ratio is {}: is the feed given in the unit its "
                "column says (feed_kg or feed_g)?",
                significant(note.value, 3));
        case Note::Kind::lost:
            return tank + " has no final weight and counts as lost: its growth is left out.";
        case Note::Kind::no_growth:
            return fmt::format("{}: the fish did not grow, {} g in and {} g out.", tank,
                               significant(note.number, 4), significant(note.value, 4));
        case Note::Kind::fast_growth:
            return fmt::format(
                "{}: growth of {} % a day is more than fish do. Check the weights and the days.",
                tank, base::fixed(note.value, 1));
        case Note::Kind::odd_conversion:
            return fmt::format(
                "{}: a feed conversion ratio of {} is unusual. Check the feed, the counts and the "
                "weights.",
                tank, significant(note.value, 3));
        case Note::Kind::odd_condition:
            return fmt::format("{}: a condition factor of {} is unusual. Are the lengths in cm?",
                               tank, significant(note.value, 3));
        case Note::Kind::dead_not_weighed:
            return fmt::format(
                "{}: {} of {} fish died and were not weighed, so their gain counts as lost in the "
                "feed conversion.",
                tank, note.value, note.number);
        case Note::Kind::gaps:
            return fmt::format("The tank numbers leave out {}. Were {} in the trial?",
                               base::join_words(note.names),
                               note.names.size() == 1 ? "it" : "they");
        case Note::Kind::fewer_tanks:
            return fmt::format("Diet {} has {} of the {} tanks that other diets have.", note.diet,
                               note.value, note.number);
        case Note::Kind::days_differ:
            return "The tanks were not all fed for the same number of days.";
        case Note::Kind::start_differs:
            return fmt::format(
                "The starting weights differ between diets (p = {}): a difference at the end "
                "may have been there at the start.",
                significant(note.value, 2));
        case Note::Kind::empty_rows:
            return fmt::format("{} {} without a value of {} left out.", note.value,
                               note.value == 1 ? "row is" : "rows are", note.names.front());
    }
    return "";
}

}  // namespace

std::string compared_with(const trial::Outlying& one) {
    switch (one.compared) {
        case Compared::diet:
            return "the other tanks of diet " + one.group;
        case Compared::all_tanks:
            return "all other tanks";
        case Compared::living:
            return "a living fish of the tank";
        case Compared::group:
            return fmt::format("the other values of {} {}", one.group_column, one.group);
    }
    return "";
}

std::string sentence(const trial::Outlying& one) {
    const std::string found = fmt::format("line {}, column {}: found {}", one.line, one.column,
                                          base::shortest(one.value));
    const std::string others = compared_with(one);
    if (one.compared == Compared::group) {
        return one.times > 0
                   ? fmt::format("{}, {} the middle of {}.", found, times_text(one.times), others)
                   : fmt::format("{}; the middle of {} is {}.", found, others,
                                 significant(one.middle, 4));
    }
    const std::string where =
        fmt::format("{} (tank {}, diet {}), {}", found, one.tank, one.group, times_text(one.times));
    if (one.compared == Compared::living) {
        return fmt::format("{} {} for each of {} dead.", where, others, one.dead);
    }
    return fmt::format("{} the middle of {}{}.", where, others, one.a_fish ? ", a fish" : "");
}

std::vector<std::string> notes_on_data(const trial::AnalysisResult& result) {
    std::vector<std::string> out;
    for (const Note& note : result.notes)
        out.push_back(sentence(note));
    for (const trial::Outlying& one : result.outlying) {
        if (!result.withheld) out.push_back("Kept, as --keep-outlying asks: " + sentence(one));
    }
    return out;
}

std::string in_words(const trial::Reason& reason) {
    switch (reason.lack) {
        case Lack::none:
            return "";
        case Lack::one_group:
            return "there is only one group with values";
        case Lack::lone_tanks:
            return "every group has one tank only, so nothing shows how much tanks differ by "
                   "chance";
        case Lack::lone_groups:
            return fmt::format(
                "{} {} one tank only, so nothing shows how much tanks differ by chance there",
                base::join_words(reason.groups), reason.groups.size() == 1 ? "has" : "have");
        case Lack::lone_control:
            return "the control has one tank only";
        case Lack::lone_diet:
            return "that diet has one tank only";
        case Lack::no_control:
            return "the control has no value";
        case Lack::no_result:
            return "no tank has a result";
        case Lack::no_variance:
            return "the tanks within a group do not differ at all, so there is no error to compare "
                   "the groups with";
        case Lack::blocks_apart:
            return "some groups share no block with the others, so the blocks cannot be taken out";
        case Lack::blocks_use_all:
            return "groups and blocks use up all the tanks, so nothing shows how much tanks differ "
                   "by chance";
        case Lack::blocks_uneven:
            return "curves need every diet in every block equally often";
        case Lack::group_varies_unseen:
            return fmt::format("the tanks of {} do not show how much they vary",
                               base::join_words(reason.groups));
        case Lack::few_for_variances:
            return "too few tanks a group to tell whether the variances are equal: it takes three "
                   "tanks in two groups";
        case Lack::distances_equal:
            return "the tanks of each group are equally far from its middle, which does not tell "
                   "whether the variances are equal";
        case Lack::variances_alike:
            return "the variances are not shown to differ";
        case Lack::few_values:
            return "the test needs 3 to 5000 values";
        case Lack::values_alike:
            return "the values do not vary";
        case Lack::no_levels:
            return "the groups have no levels";
        case Lack::few_levels:
            return fmt::format("{} levels; this curve needs {} or more", reason.found,
                               reason.needed);
        case Lack::few_tanks:
            return "no more tanks than the curve has parameters";
        case Lack::exact_fit:
            return "the values leave no variation around the curve";
        case Lack::no_bend:
            return "the values do not bend at all";
        case Lack::outlying:
            return "a number far from its neighbours is to be cleared first";
    }
    return "";
}

}  // namespace feedwright::report
