// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <string_view>

namespace feedwright::test {

/// The kinds of file the program reads.
enum class InputKind {
    job,
    recipe,
    recipe_table,
    prices,
    ingredient,
    profile,
    nutrients,
    library,
    plan,
    venture,
    trial
};

inline constexpr std::array input_kinds{
    InputKind::job,        InputKind::recipe,  InputKind::recipe_table, InputKind::prices,
    InputKind::ingredient, InputKind::profile, InputKind::nutrients,    InputKind::library,
    InputKind::plan,       InputKind::venture, InputKind::trial};

/// The end of a file name, for telling the kind of a kept input: "job.json".
std::string_view name_of(InputKind kind);

/// Reads `text` as the program would and works out and writes down the answer. True when there is
/// one, false when the text is refused with DataError or IoError. Every other exception goes
/// through: it is a fault of the program.
bool try_input(InputKind kind, std::string_view text);

}  // namespace feedwright::test
