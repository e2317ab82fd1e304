// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/trial/no_diet.hpp"

#include "base/number.hpp"
#include "base/text.hpp"

#include <fmt/format.h>

#include <vector>

namespace feedwright::report {

namespace {

using search::NoDiet;

std::string out_of_reach(const NoDiet& missing) {
    std::vector<std::string> names;
    for (const std::string& nutrient : missing.equal)
        names.push_back("the same " + nutrient);
    for (const limits::AskedSide& side : missing.limits) {
        names.push_back(
            fmt::format("{} {} {}{}", side.name, side.is_min ? "of at least" : "of at most",
                        base::compact(side.wanted, 4), side.unit.empty() ? "" : " " + side.unit));
    }
    if (names.empty()) return "no mix of the job's ingredients meets all limits together";
    return fmt::format("no mix meets all limits together; one does without {}",
                       base::join_words(names, " or "));
}

}  // namespace

std::string in_words(const NoDiet& missing) {
    switch (missing.why) {
        case NoDiet::Why::no_control:
            return "no mix without " + missing.name + " meets the job's limits";
        case NoDiet::Why::no_protein:
            return missing.name + " has no crude protein";
        case NoDiet::Why::past_limit:
            return fmt::format("it takes {} % of {} in the mix, and the job's limits allow {} %",
                               base::significant(missing.wanted, 3), missing.name,
                               base::significant(missing.number, 3));
        case NoDiet::Why::out_of_reach:
            return out_of_reach(missing);
        case NoDiet::Why::search:
            break;
    }
    return missing.message.empty() ? "the solver's answer did not pass the program's own check"
                                   : missing.message;
}

}  // namespace feedwright::report
