// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "search/mend.hpp"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace feedwright::search {

/// One thing to buy.
struct Purchase {
    std::string id;
    std::string name;
    double percent = 0;  ///< of all that is weighed in
    double kg = 0;       ///< for the batch, or for 100 kg
    bool at_label_rate = false;
};

/// Up to three things to buy, and the recipe with them.
struct Purchases {
    std::vector<Purchase> items;  ///< the most of which is needed first
    job::Job recipe;              ///< the recipe that `change` is of, with them
    limits::Check before;         ///< it as it is, without any of them
    Change change;                ///< the smallest one that passes
};

/// Whether a mix so judged lacks something that can be bought.
bool lacks_something_to_buy(const limits::Judgement& judgement);

/// Looks for the fewest of the candidates, three at most, with which the recipe passes and is as
/// complete as it can be. `wide` is the recipe with all of them added, before what yields in it is
/// settled; `candidates` are their ids, the best proposed first; `with` reads and settles the
/// recipe with some of them added. nullopt when none of the sets looked at makes it pass, or better
/// than `best_on_hand`, the judgement of what is possible without buying (empty when nothing is).
std::optional<Purchases> find_purchases(
    const job::Job& wide, const std::vector<std::string>& candidates,
    const std::function<job::Job(const std::vector<std::string>&)>& with,
    const std::optional<limits::Judgement>& best_on_hand, const MendOptions& options = {});

}  // namespace feedwright::search
