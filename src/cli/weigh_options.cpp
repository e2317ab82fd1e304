// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/weigh_options.hpp"

#include "base/units.hpp"
#include "cli/search_options.hpp"

#include <cmath>

namespace feedwright::cli {

namespace {

// Grams of a weight such as "5g"; whole micrograms, so that 0.1 g is not 0.1000000001.
double grams_of(const std::string& text, const char* option) {
    // A number alone would be kilograms, and hardly any balance has such steps.
    const auto quantity = base::parse_quantity(text);
    const bool with_unit = quantity && !quantity->unit.empty();
    const auto kg = with_unit ? base::parse_mass_kg(text) : std::nullopt;
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
         "Weigh in whole steps of a balance, such as 5g; all limits are met as weighed",
         "Weighing"},
        {"--fine-scale", &fine_scale, "STEP",
         "Steps of a second balance for small weights, such as 0.1g", "Weighing"},
        {"--fine-below", &fine_below, "WEIGHT",
         "Use the second balance below this weight (default: 100g)", "Weighing"},
        {"--sheet", &sheet, "",
         "Print a mixing sheet of one page: order, weights, dilution, water, drying (default of "
         "--scale: 1g)",
         "Weighing"},
    });
}

search::WeighingScale WeighOptions::read() const {
    search::WeighingScale result;
    if (!scale.empty()) {
        result.step_g = grams_of(scale, "--scale");
        const std::string unit = base::parse_quantity(scale)->unit;
        result.in_ounces = unit == "oz" || unit == "lb";
    }
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
