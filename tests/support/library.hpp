// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/library.hpp"
#include "support/paths.hpp"

namespace feedwright::test {

/// The library of the source tree, read as it is asked for.
inline catalog::Library& library() {
    static catalog::Library all((source_folder() / "data").string());
    return all;
}

}  // namespace feedwright::test
