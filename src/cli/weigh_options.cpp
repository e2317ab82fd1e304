// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/weigh_options.hpp"

#include "base/units.hpp"
#include "cli/search_options.hpp"

#include <cmath>

namespace feedwright::cli {

namespace {

// Grams of a weight such as "5g"; whole micrograms, so that 0.1 g is not 0.1000000001.
double grams_of(const std::string& text, const char* option) {
    const auto kg = base::parse_mass_kg(text);
    const double micrograms = kg ? std::round(*kg * 1e9) : 0;
    if (!(micrograms >= 1)) {
        throw UsageError(base::Diagnostic{"", option, '"' + text + '"',
                                          "a weight above zero with its unit, such as 5g or 0.1g",
                                          ""});
    }
    return micrograms / 1e6;
}

}  // namespace

void WeighOptions::add_to(Command& command) {
    command.add({
        {"--scale", &scale, "STEP",
         "Weigh in whole steps of this, such as 5g; the limits hold as weighed", "Weighing"},
        {"--fine-scale", &fine_scale, "STEP",
         "Steps of a second scale for what weighs little, such as 0.1g", "Weighing"},
        {"--fine-below", &fine_below, "WEIGHT",
         "Use the second scale below this weight (usually 100g)", "Weighing"},
        {"--sheet", &sheet, "",
         "Print one page to mix by: order, weights, dilution, water, drying "
         "(steps of 1g unless --scale says otherwise)",
         "Weighing"},
    });
}

search::WeighingScale WeighOptions::read() const {
    search::WeighingScale result;
    if (!scale.empty()) result.step_g = grams_of(scale, "--scale");
    if (!fine_scale.empty()) result.fine_step_g = grams_of(fine_scale, "--fine-scale");
    if (!fine_below.empty()) {
        if (fine_scale.empty()) {
            throw UsageError(base::Diagnostic{"", "--fine-below", "no --fine-scale",
                                              "the step of the second scale, such as 0.1g", ""});
        }
        result.fine_below_g = grams_of(fine_below, "--fine-below");
    }
    return result;
}

Settings WeighOptions::settings() const {
    Settings list;
    if (!scale.empty()) list.emplace_back("scale", scale);
    if (!fine_scale.empty()) list.emplace_back("fine_scale", fine_scale);
    if (!fine_below.empty()) list.emplace_back("fine_below", fine_below);
    if (sheet) list.emplace_back("sheet", "yes");
    return list;
}

}  // namespace feedwright::cli
