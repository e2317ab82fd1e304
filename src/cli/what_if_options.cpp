// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/what_if_options.hpp"

#include <algorithm>

namespace feedwright::cli {

namespace {

constexpr const char* every = "each";

}  // namespace

void WhatIfOptions::add_to(Command& command) {
    const char* group = "What if";
    command.add({
        repeated({"--set", &set, "WHAT=NUMBER",
                  "Use another number: maize.price=0.30, maize.max=20, lysine.min=1.5; may be "
                  "repeated",
                  group}),
        repeated({"--without", &without, "INGREDIENT",
                  "Leave out an ingredient, or each in turn (each)", group}),
        repeated({"--with", &with, "INGREDIENT@PRICE",
                  "Add an ingredient of the library at this price per kg", group}),
        repeated({"--weaken", &weaken, "WHAT=AMOUNT",
                  "Use another content: fish-meal-65.crude_protein=58; amino acids change with the "
                  "protein",
                  group}),
    });
}

bool WhatIfOptions::asked() const {
    return !set.empty() || !without.empty() || !with.empty() || !weaken.empty();
}

bool WhatIfOptions::each() const {
    return std::find(without.begin(), without.end(), every) != without.end();
}

tasks::Changes WhatIfOptions::changes() const {
    tasks::Changes changes{with, without, weaken, set};
    std::erase(changes.without, every);
    return changes;
}

}  // namespace feedwright::cli
