// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/ingredient.hpp"

#include <optional>
#include <string>

namespace feedwright::job {

/// A choice made while reading, or something odd that was read, of which the user should know. The
/// words are made in reports.
struct Note {
    enum class Kind {
        dear_price,     ///< `name` costs `value` per kg, 20 times `number`, its neighbours' median
        side_replaced,  ///< the job's limit has no such side as the profile's `min` or `max`
        other_basis,    ///< the job's limit is on `own_basis`, so the profile's does not apply
        odd_total,      ///< amounts of a recipe add up to `value`, and not to 100
        read_as,        ///< `written` is a name of the ingredient `name` alone
        read_as_nearest,  ///< the library does not have what `written` means; `name` is the nearest
        by_volume,     ///< a litre of `name` was taken for `value` kg, the middle of `min` to `max`
        paid_to_take,  ///< `name` has a price below zero, `value` per kg
        dried  ///< as weighed in, `value` % water; compared as if dried to `number` % moisture
    };
    Kind kind = Kind::dear_price;
    std::string name{};     ///< of the ingredient or nutrient, for people
    std::string written{};  ///< what a file or option calls it
    std::optional<double> value{};
    std::optional<double> number{};
    std::string category{};       ///< of the neighbours of a price; empty: all others of the list
    std::optional<double> min{};  ///< of the profile's limit, in `unit` on `basis`
    std::optional<double> max{};
    std::string unit{};
    catalog::Basis basis = catalog::Basis::as_fed;
    std::optional<catalog::Basis> own_basis{};  ///< empty: the job's limit is an amount in all
    bool operator==(const Note&) const = default;
};

}  // namespace feedwright::job
